"""A judged check with its entries, for the tests of the sheets; invented."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace
from typing import Any

from pypdf import PdfReader

from tests.gauging.build import card, facts, places_of, readings
from whitemetal.gauging.contract import Fact, Place, Reading
from whitemetal.gauging.wire import WIRE
from whitemetal.job.entry import Entry, make
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement import HoldShown, Struck
from whitemetal.job.judgement_json import as_json
from whitemetal.sheets import JobHead, data_sheet

CARD = card()
PLACES = places_of(CARD)
FACTS = facts(wire_diameter="0.50 mm")
HOLDS = (
    HoldShown("clearance", "clearance", True, ""),
    HoldShown("alignment", "alignment", False, "cap moved"),
)
STRUCK = (Struck("DE top", "0.432 mm", "B. Helper", "misread the barrel"),)
JOB = JobHead("WO-7731", "Opening of the fan", "as found", "B1", "ab" * 32)


def gap(place: Place) -> float:
    return 0.240e-3 * (1.0 + math.cos(place.angle)) / 2.0


def entries(count: int, name: str = "A. Fitter") -> tuple[Entry, ...]:
    found: list[Entry] = []
    for i in range(count):
        found.append(
            make(
                id=f"E{i}", book="B1", kind="reading/1", device="phone-a", seq=i + 1,
                prev=found[-1].digest if found else "", after=(), at=f"2026-03-02T09:{i % 60:02d}:00.000Z",
                offset=60, by={"name": name}, body={"text": "0.240 mm"},
            )
        )  # fmt: skip
    return tuple(found)


def taken(**changed: Any) -> tuple[Reading, ...]:
    return tuple(replace(one, entry=f"E{i}", **changed) for i, one in enumerate(readings(PLACES, gap)))


def sheet(**changed: Any) -> bytes:
    """The data sheet of the usual check, some of its arguments changed."""
    said: dict[str, Fact] = dict(changed.pop("facts", FACTS))
    read = changed.pop("readings", taken())
    judgement = changed.pop("judgement", None)
    one = changed.pop("card", CARD)
    method = changed.pop("method", WIRE)
    if judgement is None:
        judgement = as_json(
            judge_readings(method, one, PLACES, said, read, struck=changed.pop("struck", STRUCK), holds=HOLDS)
        )
    options: dict[str, Any] = {"job": JOB, "entries": entries(9), "version": "0.0.0", **changed}
    return data_sheet(judgement, one, method, places=PLACES, readings=read, facts=said, **options)


def text_of(pdf: bytes) -> str:
    """All text of a PDF on one line, invisible breaking places taken out."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages).replace("\u200b", ""))
