"""Puts the invented bearings of Tarn Mill into a record, each with a job at another stage.

Only the desk's own verbs are used. With `mill_clock` and `mill_ids` the same record comes out every time.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from importlib import resources
from itertools import count

from whitemetal.card import read_card
from whitemetal.desk import Desk, Writer
from whitemetal.desk.life import keep_counter, keep_rule, keep_shells
from whitemetal.desk.old_paper import keep as keep_paper
from whitemetal.errors import InputError
from whitemetal.gauging import method_named
from whitemetal.gauging.readings_file import ReadingsFile, read_csv, read_toml
from whitemetal.job.life_book import HOURS, PAPER
from whitemetal.job.old_paper import Body

FITTER = Writer("Fitter A (invented)", "benchphone" + "2" * 16, offset=60)
ENGINEER = Writer("Engineer B (invented)", "officedesk" + "3" * 16, offset=60)

FAN, GEAR, MOTOR = "fan_drive_end", "gear_pinion_coupling_end", "motor_drive_end"
FAN_OTHER, PUMP, BLOWER = "fan_other_end", "pump_outboard_end", "blower_coupling_end"
THREE_WAYS = ("wire", "bore", "lift")
"""The fan's other bearing was measured in these ways, and they do not agree."""
SLIP = ("OE right", "0,918")
"""A reading that is struck out before the right one is typed."""

_ZERO = ("zero_before", "zero_after")
"""Facts of an instrument that belong to one check; the others are the instrument's own."""


def load(desk: Desk, tell: Callable[[str], object] = lambda what: None) -> None:
    """Put the demo into a record. ``tell`` hears what is being done."""
    for step in (_fan, _gear, _motor, _three_ways, _shims_and_a_pass, _nothing_works):
        step(desk, tell)


def mill_clock() -> Callable[[], datetime]:
    """A clock that begins on a working morning in March 2026 and goes on 40 seconds at each look."""
    ticks = count()
    return lambda: datetime(2026, 3, 11, 7, 30, tzinfo=UTC) + timedelta(seconds=40 * next(ticks))


def mill_ids() -> Callable[[], str]:
    """Ids that look like any other, but are the same every time."""
    numbers = count()

    def new_id() -> str:
        digest = hashlib.sha256(f"Tarn Mill {next(numbers)}".encode()).digest()[:16]
        return base64.b32encode(digest).decode().rstrip("=").lower()

    return new_id


def demo_text(name: str) -> str:
    """One of the demo's files."""
    return resources.files("whitemetal.demo_mill").joinpath(name).read_text(encoding="utf-8")


def demo_readings(bearing: str) -> ReadingsFile:
    """The readings that go with a demo card, with their facts."""
    card, method = read_card(demo_text(f"{bearing}.toml")), method_named("wire")
    if bearing == FAN:
        beside = read_toml(demo_text(f"{FAN}.facts.toml"), card, method, only_facts=True).sound()
        facts = {key: fact.text for key, fact in beside.facts.items()}
        return read_csv(demo_text(f"{FAN}.csv"), card, method, facts=facts).sound()
    return read_toml(demo_text(f"{bearing}.readings.toml"), card, method).sound()


def _fan(desk: Desk, tell: Callable[[str], object]) -> None:
    """Complete: within limits, every hold point closed."""
    tell("fan, drive end")
    taken = demo_readings(FAN)
    job = _open(desk, FAN, "TM-4471", "Shells cleaned and put back after the spring stop (invented)")
    check = desk.start_check(job, "wire", "as left", FITTER)
    _close(desk, job, check, "before")
    _facts(desk, job, check, taken)
    place, slip = SLIP
    wrong = desk.keep_reading(job, check, place, slip, FITTER, unit="mm", instrument="M1")
    if wrong.entry is not None:
        desk.strike(job, wrong.entry.id, "two digits changed places when it was typed", FITTER)
    _readings(desk, job, check, taken, "mm")
    remark = next(row.text("remark") for row in taken.rows if row.text("remark"))
    desk.keep_note(job, f"OE right, second squeeze: {remark}", FITTER)
    _close(desk, job, check, "after")
    _past(desk, desk.job(job).state.bearing)
    seen = Writer(ENGINEER.name, ENGINEER.device, ENGINEER.offset, desk.job(job).state.heads)
    for hold, text in _TRUSTED.items():
        desk.set_hold(job, hold, "closed", text, seen)


def _past(desk: Desk, bearing: str) -> None:
    """Four earlier openings from old paper, the counters, and what the plant says of how often to open."""
    bodies = []
    keys = ("date", "number", "purpose", "text", "plus_minus", "hours", "starts")
    lines = [line for line in demo_text(f"{FAN}.past.csv").splitlines() if not line.startswith("#")]
    for number, line in enumerate(lines[1:], start=1):
        row = dict(zip(keys, line.split(";"), strict=True))
        told = {"source": "old paper (invented)", **row}
        bodies.append(Body(PAPER, {**_ON_PAPER, **told}, number))
        if row["purpose"] == "as left":
            bodies.append(Body(HOURS, {"anew": "no", **told}, number))
    keep_paper(desk, bearing, bodies, ENGINEER)
    keep_counter(desk, bearing, {"date": "2026-03-10", "hours": "65800", "starts": "163"}, ENGINEER)
    keep_shells(desk, bearing, {"date": "2017-09-12", "shells": "new shells of 2017 (invented)"}, ENGINEER)
    keep_rule(desk, {"months": "36", "risk": "5 %", "text": "plant's rule (invented)"}, ENGINEER)


_ON_PAPER = {
    "of": "oil clearance", "unit": "mm", "basis": "diametral", "method": "wire", "joint": "metal to metal",
    "torque": "420 N m",
}  # fmt: skip
"""What the demo's old sheets all say."""


def _gear(desk: Desk, tell: Callable[[str], object]) -> None:
    """Read as found, and not proven: too near the limit for wires."""
    tell("gear unit, pinion coupling end")
    taken = demo_readings(GEAR)
    job = _open(desk, GEAR, "TM-4466", "Clearance as found, before the shims are chosen (invented)")
    check = desk.start_check(job, "wire", "as found", FITTER)
    _close(desk, job, check, "before")
    _facts(desk, job, check, taken)
    _readings(desk, job, check, taken, "in")


def _motor(desk: Desk, tell: Callable[[str], object]) -> None:
    """Begun, with nothing read yet; and no maker's figure."""
    tell("motor, drive end")
    job = _open(desk, MOTOR, "TM-4480", "Find the clearance; no maker's figure at hand (invented)")
    check = desk.start_check(job, "wire", "as found", FITTER)
    desk.keep_fact(job, check, "wire_diameter", "0.35 mm", FITTER)


def _three_ways(desk: Desk, tell: Callable[[str], object]) -> None:
    """Measured as found in three ways that disagree: the program names the likeliest cause."""
    tell("fan, other end")
    job = _open(desk, FAN_OTHER, "TM-4472", "As found, taken three ways that do not agree (invented)")
    for method in THREE_WAYS:
        text = demo_text(f"{FAN_OTHER}.{method}.toml")
        _check(desk, job, FAN_OTHER, method, "as found", text)


def _shims_and_a_pass(desk: Desk, tell: Callable[[str], object]) -> None:
    """Too wide all over and tapered: shims out at the joint, then one finishing pass at the mark end."""
    tell("vacuum pump, outboard end")
    job = _open(desk, PUMP, "TM-4485", "Too wide as found; the plan brings it in (invented)")
    _check(desk, job, PUMP, "wire", "as found", demo_text(f"{PUMP}.readings.toml"))


def _nothing_works(desk: Desk, tell: Callable[[str], object]) -> None:
    """Far too wide, no shims to take and no scraping allowed: new shells, and the order for their bore."""
    tell("blower, coupling end")
    job = _open(desk, BLOWER, "TM-4490", "Worn out as found; shells to be ordered (invented)")
    _check(desk, job, BLOWER, "wire", "as found", demo_text(f"{BLOWER}.readings.toml"))


def _check(desk: Desk, job: str, bearing: str, method: str, purpose: str, text: str) -> None:
    """One check with its hold points, facts and readings from a readings file."""
    taken = read_toml(text, read_card(demo_text(f"{bearing}.toml")), method_named(method)).sound()
    check = desk.start_check(job, method, purpose, FITTER)
    _close(desk, job, check, "before", method)
    _facts(desk, job, check, taken)
    _readings(desk, job, check, taken, "mm")


def _open(desk: Desk, bearing: str, number: str, title: str) -> str:
    kept = desk.keep_card(demo_text(f"{bearing}.toml"), ENGINEER)
    return desk.open_job(kept.bearing, number, title, FITTER)


def _close(desk: Desk, job: str, check: str, when: str, method: str = "wire") -> None:
    for point in method_named(method).hold_points:
        if point.when == when:
            desk.set_hold(job, point.key, "closed", "done", FITTER, check=check)


def _facts(desk: Desk, job: str, check: str, taken: ReadingsFile) -> None:
    standing: dict[str, dict[str, str]] = {}
    for key, fact in taken.facts.items():
        parts = key.split(".")
        if parts[0] == "instrument" and parts[-1] not in _ZERO:
            standing.setdefault(parts[1], {})[parts[-1]] = fact.text
    for name, facts in standing.items():
        _instrument(desk, name, facts)
    for key, fact in taken.facts.items():
        if key == "purpose" or (key.startswith("instrument.") and key.rpartition(".")[2] not in _ZERO):
            continue
        kept = desk.keep_fact(job, check, key, fact.text, FITTER)
        if kept.problem is not None:
            raise InputError(kept.problem)


def _instrument(desk: Desk, name: str, facts: Mapping[str, str]) -> None:
    desk.keep_instrument(
        name, {"name": f"{_KINDS.get(name, 'outside micrometer')} {name} (invented)", **facts}, ENGINEER
    )


def _readings(desk: Desk, job: str, check: str, taken: ReadingsFile, unit: str) -> None:
    for reading in taken.readings:
        kept = desk.keep_reading(
            job, check, reading.place, reading.text, FITTER, unit=unit, squeeze=reading.squeeze,
            instrument=reading.instrument,
        )  # fmt: skip
        if kept.problem is not None:
            raise InputError(kept.problem)


_KINDS = {"M6": "inside micrometer", "D1": "dial indicator", "D2": "dial indicator"}
"""What the demo's instruments are, where they are not outside micrometers."""

_TRUSTED: dict[str, str] = {
    "joint_faces": "clean, 0.02 mm feeler enters nowhere (invented)",
    "tightening": "420 N m, two rounds, no nut moved in the last (invented)",
    "crush": "0.02 mm, lead on the shell back (invented)",
    "contact": "60 degrees, even over the land (invented)",
    "alignment": "checked after closing, within the coupling maker's figures (invented)",
    "seals": "0.25 mm diametral, all round (invented)",
}
