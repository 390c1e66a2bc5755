"""A job as a hand writes it, and everything it is then told. The machine is invented."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.ledger.writing import a_desk
from whitemetal.desk import Desk, Writer
from whitemetal.desk.run_in import begin_run, keep_run_reading, runs, see
from whitemetal.gauging.contract import Place
from whitemetal.job.run_in import RunShown

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
seat = "cylindrical"

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

[[limit]]
of = "crush"
basis = "diametral"
minimum = "0.00 mm"
maximum = "0.05 mm"
rung = "maker's figure for this machine"
document = "maker's book, table 4 (invented)"
revision = "2"

[[limit]]
of = "bore out-of-round"
maximum = "0.03 mm"
rung = "maker's figure for this machine"
document = "maker's book, table 3 (invented)"
revision = "2"

[[limit]]
of = "oil ring out-of-round"
maximum = "0.05 mm"
rung = "maker's figure for this machine"
document = "maker's book, table 6 (invented)"
revision = "2"

[[limit]]
of = "seat contact"
minimum = "75 %"
rung = "maker's figure for this machine"
document = "maker's book, table 4 (invented)"
revision = "2"

[[limit]]
of = "joint feeler"
maximum = "0.03 mm"
rung = "maker's figure for this machine"
document = "maker's book, table 4 (invented)"
revision = "2"
"""

GAUGE = {"name": "micrometer 0 to 25 mm", "mpe": "0.004 mm", "calibration_due": "2027-03-01", "anvil": "ball"}
WIRE_FACTS = {
    "wire_diameter": "0.40 mm", "wires_in": "2", "wires_out": "2", "journal_down": "yes", "oil_wiped": "yes",
    "joint": "metal to metal", "tightened": "final value", "torque": "420 N m",
    "instrument.M-07.zero_before": "0.000 mm", "instrument.M-07.zero_after": "0.000 mm",
}  # fmt: skip
BORE_FACTS = {
    "bore_gauge": "comparator set on a ring", "tightened": "final value", "torque": "420 N m",
    "shells_home": "yes", "part_temperature": "20 degC", "journal_temperature": "20 degC",
}  # fmt: skip
CRUSH_FACTS = {
    "way": "wire on the back, shims in the joint", "in_which_joint": "housing joint", "shells_closed": "yes",
    "tightened": "final value", "torque": "420 N m", "shim_left": "0.40 mm", "shim_right": "0.40 mm",
}  # fmt: skip
SEAT_FACTS = {
    "contact": "90 %", "joint_feeler": "0 mm", "rocks": "no", "bright_spots": "no", "faces_clean": "yes",
    "marks_meet": "yes",
}  # fmt: skip
TIGHT_FACTS = {
    "thread": "oiled", "grade": "8.8", "threads": "yes", "tapped": "yes", "last_round": "no nut moved",
    "joint_feeler": "0 mm", "date": "2026-11-25",
}  # fmt: skip
COUNTED_OUT = {
    "blue_off": "yes", "oil_holes": "yes", "dowels_in": "yes", "locked": "yes", "ring_screws": "yes",
    "gasket": "none on this bearing", "seals_in": "yes", "oil_in": "yes", "wires_in": "2", "wires_out": "2",
    "rags_in": "1", "rags_out": "1", "plugs_in": "0", "plugs_out": "0", "oil_grade": "ISO VG 46",
    "oil_quantity": "3 l",
}  # fmt: skip
VIBRATION_FACTS = {
    "housing_across": "2.0 mm/s", "housing_upright": "1.6 mm/s", "steady": "yes", "at_speed": "yes",
}  # fmt: skip
RING_FACTS = {
    "out_of_round": "0.02 mm", "flat": "yes", "burr": "no", "screws_locked": "yes", "turns": "yes",
}  # fmt: skip

Text = Callable[[Place], str]


class Hand:
    """A job and the hand that writes in it, which has seen everything that is there. told: every sentence."""

    def __init__(self, desk: Desk, card: str) -> None:
        self.desk = desk
        self._name = Writer("Ida Invented", "a" * 26)
        bearing = desk.keep_card(card, self._name).bearing
        desk.keep_instrument("M-07", GAUGE, self._name)
        self.job = desk.open_job(bearing, "4711", "rebabbitted shell", self._name)

    @property
    def writer(self) -> Writer:
        return Writer("Ida Invented", "a" * 26, seen=self.desk.job(self.job).state.heads)

    def check(
        self, method: str, facts: Mapping[str, str], text: Text | None = None, purpose: str = "as left",
        skip: Callable[[Place], bool] = lambda place: False,
    ) -> str:  # fmt: skip
        """A check with these facts, and a reading at each place that is not skipped."""
        check = self.desk.start_check(self.job, method, purpose, self.writer)
        for key, said in facts.items():
            self.desk.keep_fact(self.job, check, key, said, self.writer)
        for place in self.desk.job(self.job).state.checks[check].places:
            if text is not None and not skip(place):
                kept = self.desk.keep_reading(
                    self.job, check, place.label, text(place), self.writer, unit="mm", instrument="M-07"
                )
                assert kept.entry is not None
        return check

    def wire(self, text: Text | None = None, purpose: str = "as left", **facts: str | None) -> str:
        """A soft-wire check of a clearance of 0.225 mm, or as `text` has it; facts given as None left out."""
        own = ("zero_before", "zero_after")
        named = {f"instrument.M-07.{key}" if key in own else key: value for key, value in facts.items()}
        said = {**WIRE_FACTS, **named}
        return self.check(
            "wire",
            {key: value for key, value in said.items() if value is not None},
            text or squeezed(),
            purpose,
        )

    def tighten(self, final: float = 420.0, purpose: str = "as left", **facts: str) -> str:
        """The four nuts of the card pulled to this torque [N m] in three passes."""
        check = self.check("tightening", {**TIGHT_FACTS, **facts}, purpose=purpose)
        for squeeze, share in enumerate((0.3, 0.6, 1.0), start=1):
            for place in self.desk.job(self.job).state.checks[check].places:
                text = f"{share * final:g} N m"
                self.desk.keep_reading(
                    self.job, check, place.label, text, self.writer, squeeze=squeeze, instrument="M-07"
                )
        return check

    def run_in(self, minutes: int, ring: str = "yes") -> RunShown:
        """A run-in of so many minutes, a reading every five: 20 + 18 (1 - exp(-t/18)) degC, which settles. ring:
        whether it was seen turning, "" where nobody looked."""
        kept = begin_run(self.desk, self.job, "coupled", "2026-11-25T08:00:00Z", "20.0 degC", self.writer)
        assert kept.entry is not None
        run = str(kept.entry.body["run"])
        for minute in range(0, minutes + 1, 5):
            at = f"2026-11-25T{8 + minute // 60:02d}:{minute % 60:02d}:00Z"
            text = f"{20.0 + 18.0 * (1.0 - math.exp(-minute / 18.0)):.1f} degC"
            keep_run_reading(self.desk, self.job, run, "metal", at, text, self.writer)
        see(self.desk, self.job, run, "oil_level", "yes", "at the middle of the gauge", self.writer)
        if ring:
            see(self.desk, self.job, run, "ring_turning", ring, "through the cap", self.writer)
        return runs(self.desk, self.desk.job(self.job))[-1]

    def change(self, what: str, half: str = "", joint: str = "") -> None:
        self.desk.change_fit(self.job, what, half, joint, f"{what} as entered", self.writer)

    def close(self, *holds: str) -> None:
        for hold in holds:
            self.desk.set_hold(self.job, hold, "closed", "seen", self.writer)

    def told(self, check: str = "") -> tuple[str, ...]:
        """Every sentence that the judgement of a check, or else the chain of the job, says."""
        if not check:
            return tuple(f"{link.text}: {link.full_why}" for link in self.desk.chain(self.job).links)
        judged = self.desk.judgement(self.job, check)
        return (*(one.text for one in judged.warnings), *judged.reasons)

    def word(self, check: str = "") -> str:
        """The verdict of a check, or whether the bearing is fit."""
        return self.desk.judgement(self.job, check).verdict if check else self.desk.chain(self.job).bearing


def squeezed(drive: float = 0.225, other: float | None = None) -> Text:
    """What wires read in a plain bore of these clearances [mm] at its ends, to a micrometre:
    C (1 + cos a)/2 (derived from geometry)."""
    end = drive if other is None else other

    def text(place: Place) -> str:
        clearance = drive + (end - drive) * (place.axial / 0.140)
        return f"{clearance * (1 + math.cos(place.angle)) / 2:.3f} mm"

    return text


def bored(clearance: float = 0.225) -> Text:
    """A round bore this much [mm] larger than a journal of 160 mm."""
    return lambda place: f"{160.0 + (clearance if place.piece.endswith('bore') else 0.0):.3f} mm"


@contextmanager
def a_hand(card: str = CARD) -> Iterator[Hand]:
    """A hand at a fresh record."""
    with tempfile.TemporaryDirectory() as folder:
        desk: Any = a_desk(Path(folder) / "mistake.db")
        try:
            yield Hand(desk, card)
        finally:
            desk.close()
