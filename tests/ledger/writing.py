"""Made-up devices that write entries, with or without a database, and a card to write them about."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any

from whitemetal.desk import Desk, Writer
from whitemetal.job.entry import Entry, make

AT = "2026-03-02T07:15:30.250Z"

CARD = """format = "whitemetal.card/1"

[machine]
tag = "TM-31-F02"
name = "Induced-draught fan (invented)"
kind = "fan"
speed = "990 rpm"

[bearing]
position = "drive end"
journal_diameter = "160 mm"
length = "140 mm"

[[limit]]
of = "oil clearance"
basis = "diametral"
minimum = "0.15 mm"
maximum = "0.25 mm"
rung = "maker's figure for this machine"
document = "Book 7, sheet 4"
revision = "C"
"""

PLACES = [
    {"label": "DE top", "axial": "16 mm", "angle": "0 deg", "piece": "DE", "lies": "across", "title": ""},
    {"label": "OE top", "axial": "124 mm", "angle": "0 deg", "piece": "OE", "lies": "across", "title": ""},
]


class Device:
    """A device with its own chain in one book, kept in memory."""

    def __init__(self, name: str, book: str = "job") -> None:
        self.name = name
        self.book = book
        self.chain: list[Entry] = []

    def write(self, kind: str, body: dict[str, Any], *seen: Device, at: str = AT) -> Entry:
        """Write an entry after this device's last and the present last entries of those seen."""
        links = [other.chain[-1].digest for other in seen if other.chain and other is not self]
        entry = make(
            id=f"{self.name}-{len(self.chain) + 1}", book=self.book, kind=kind, device=self.name,
            seq=len(self.chain) + 1, prev=self.chain[-1].digest if self.chain else "", after=links, at=at,
            offset=0, by={"name": self.name.title()}, body=body,
        )  # fmt: skip
        self.chain.append(entry)
        return entry

    def open(self, check: str = "c") -> None:
        """Open the job and begin a check."""
        self.write("opened/1", {"bearing": "b", "number": "J1", "title": "opening"})
        self.write("adopt/1", {"card": "d" * 64, "reason": ""})
        self.begin(check)

    def begin(self, check: str, *seen: Device) -> Entry:
        body = {"check": check, "method": "wire", "purpose": "as left", "places": PLACES}
        return self.write("check/1", body, *seen)

    def read(self, place: str, text: str, *seen: Device, check: str = "c", **more: Any) -> Entry:
        return self.write("reading/1", reading_body(place, text, check=check, **more), *seen)

    def fact(self, key: str, text: str, *seen: Device, check: str = "c") -> Entry:
        return self.write("fact/1", {"check": check, "key": key, "text": text, "unit": ""}, *seen)

    def fit(self, what: str, *seen: Device, text: str = "done") -> Entry:
        """A change of the upper half, the lower one loaded."""
        body = {"what": what, "half": "upper", "joint": "", "loaded": "lower", "text": text}
        return self.write("fit/1", body, *seen)

    def strike(self, entry: Entry | str, *seen: Device, why: str = "slipped") -> Entry:
        target = entry if isinstance(entry, str) else entry.id
        return self.write("strike/1", {"entry": target, "why": why}, *seen)


def reading_body(place: str, text: str, *, check: str = "c", **more: Any) -> dict[str, Any]:
    return {
        "check": check, "place": place, "squeeze": 1, "text": text, "unit": "", "basis": "diametral",
        "instrument": "", "repeat": "no", "unreadable": "", **more,
    }  # fmt: skip


def all_of(*devices: Device) -> list[Entry]:
    return [entry for device in devices for entry in device.chain]


def a_desk(where: object, **more: Any) -> Desk:
    """A desk whose clock steps by a second and whose ids count up."""
    steps, numbers = count(), count(1)
    start = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
    return Desk.open(
        str(where),
        clock=lambda: start + timedelta(seconds=next(steps)),
        ids=lambda: f"n{next(numbers):05d}",
        **more,
    )


ANN = Writer("Ann Dale", "phone")
BO = Writer("Bo Lund", "laptop")


def a_job(desk: Desk, writer: Writer = ANN) -> tuple[str, str]:
    """A job with one check begun: (job, check)."""
    bearing = desk.keep_card(CARD, writer).bearing
    job = desk.open_job(bearing, "J-1", "opening", writer)
    return job, desk.start_check(job, "wire", "as left", writer)
