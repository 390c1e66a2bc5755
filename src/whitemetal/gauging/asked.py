"""What methods ask about how a reading was taken, and what an answer or an instrument makes of it.

Shared by the methods that read with indicators, blades and gauges: answers that spoil a reading, another
torque than the card's, calibration, readings grouped by place, and what last digit and repeats leave open.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.gauging.contract import Facts, Finding, Place, Reading, Severity
from whitemetal.gauging.diameters import TORQUE_SHARE
from whitemetal.gauging.wire.facts import text, torque
from whitemetal.words import say

PRACTICE = "common practice"
GEOMETRY = "derived from geometry"


@dataclass(frozen=True)
class Spoils:
    """An answer that spoils a reading. key: of the fact; answer: the wrong one; code: of its message."""

    key: str
    answer: str
    code: str
    severity: Severity = "hold"
    source: str = PRACTICE


def spoilt(facts: Facts, rules: Sequence[Spoils]) -> Iterator[Finding]:
    """A finding for each wrong answer."""
    for rule in rules:
        if text(facts, rule.key) == rule.answer:
            yield Finding(rule.code, rule.severity, say(rule.code), rule.source)


def other_torque(method: str, card: Card, facts: Facts) -> Iterator[Finding]:
    """The cap was tightened to another torque than the card's final one."""
    used, final = torque(facts, "torque"), card.fasteners.torque
    if used is not None and final is not None and abs(used - final) > TORQUE_SHARE * final:
        said = say("asked.torque_differs", used=f"{used:.0f} N m", final=f"{final:.0f} N m")
        yield Finding(f"{method}.torque_differs", "hold", said, PRACTICE)


def calibration(method: str, facts: Facts, readings: Sequence[Reading]) -> Iterator[Finding]:
    """Instruments whose calibration is overdue at the date of the readings, or not recorded."""
    date = text(facts, "date")
    for name in sorted({reading.instrument for reading in readings}):
        stem = f"instrument.{name}." if name else "instrument."
        due, called = text(facts, stem + "calibration_due"), name or say("diameters.no_name")
        if due and date and due < date:
            said = say("diameters.calibration", name=called, due=due)
            yield Finding(f"{method}.calibration", "hold", said, PRACTICE)
        elif not due:
            said = say("diameters.calibration_unknown", name=called)
            yield Finding(f"{method}.calibration_unknown", "warning", said, PRACTICE)


def by_place(readings: Sequence[Reading]) -> dict[tuple[int, str], list[Reading]]:
    """The readings of each place of each repeat, in whatever order they came."""
    groups: dict[tuple[int, str], list[Reading]] = {}
    for reading in readings:
        groups.setdefault((reading.squeeze, reading.place), []).append(reading)
    return groups


def mean_of(group: Sequence[Reading]) -> float:
    """Mean of readings [SI], the same in any order."""
    return math.fsum(reading.value for reading in group) / len(group)


def strangers(method: str, places: Mapping[str, Place], readings: Sequence[Reading]) -> Iterator[Finding]:
    """A hold for each place that the check does not have; what was read there is set aside."""
    for label in sorted({reading.place for reading in readings} - set(places)):
        said = say("diameters.unknown_place", place_name=label)
        yield Finding(f"{method}.unknown_place", "hold", said, "", label)
