"""A card, a job and readings for tests of the pages; invented."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from whitemetal.desk import Desk, Writer

CARD = """\
format = "whitemetal.card/1"

[machine]
tag = "TM-31-F02"
name = "Induced-draught fan (invented)"
kind = "fan"
speed = "990 rpm"
view_from = "drive end"

[bearing]
position = "drive end"
journal_diameter = "160.00 mm"
length = "140 mm"
ends = ["drive end", "other end"]
match_mark_end = "drive end"
lubrication = "ring-oiled"

[fasteners]
count = 4
torque = "420 N m"

[[limit]]
minimum = "0.15 mm"
maximum = "0.30 mm"
basis = "diametral"
rung = "maker's figure for this machine"
document = "maker's book, table 3 (invented)"
revision = "2"
"""

CLEARANCE = 0.225
"""Diametral clearance of the bearing in the tests [mm]: in the middle of its limits."""

FACTS = {
    "wire_diameter": "0.40 mm", "wires_in": "2", "wires_out": "2", "journal_down": "yes",
    "joint": "metal to metal", "tightened": "final value", "torque": "420 N m",
}  # fmt: skip

GAUGE = {
    "name": "micrometer 0 to 25 mm", "mpe": "0.004 mm", "calibration_due": "2027-03-01", "anvil": "ball",
}  # fmt: skip


@dataclass(frozen=True)
class Job:
    """What a test needs to know of a job. at: the address of its check's bench page."""

    bearing: str
    job: str
    check: str

    @property
    def at(self) -> str:
        return f"/jobs/{self.job}/checks/{self.check}"


def begin(desk: Desk, writer: Writer, card: str = CARD, number: str = "4711") -> Job:
    """A kept card, a gauge and a job with a check."""
    bearing = desk.keep_card(card, writer).bearing
    desk.keep_instrument("M-07", GAUGE, writer)
    job = desk.open_job(bearing, number, "rebabbitted shell", writer)
    return Job(bearing, job, desk.start_check(job, "wire", "as left", writer))


def wire_reading(place: Any, clearance: float = CLEARANCE) -> str:
    """What a wire reads at a place of a plain bore, to a micrometre: C (1 + cos a)/2 (derived from geometry)."""
    return f"{clearance * (1 + math.cos(place.angle)) / 2:.3f}"


def fill(desk: Desk, job: Job, writer: Writer, clearance: float = CLEARANCE) -> None:
    """Every needed fact and a reading at every place."""
    for key, text in FACTS.items():
        desk.keep_fact(job.job, job.check, key, text, writer)
    for key in ("zero_before", "zero_after"):
        desk.keep_fact(job.job, job.check, f"instrument.M-07.{key}", "0.000 mm", writer)
    for place in desk.job(job.job).state.checks[job.check].places:
        desk.keep_reading(
            job.job, job.check, place.label, wire_reading(place, clearance), writer, unit="mm",
            instrument="M-07",
        )  # fmt: skip
