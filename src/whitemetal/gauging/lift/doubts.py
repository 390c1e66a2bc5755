"""What puts a lift in doubt before any number is used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from whitemetal.card import Card
from whitemetal.gauging import diameters
from whitemetal.gauging.asked import GEOMETRY, PRACTICE, Spoils, calibration, other_torque, spoilt, strangers
from whitemetal.gauging.contract import Fact, Facts, Finding, Place, Reading, Severity
from whitemetal.gauging.wire.facts import length, text
from whitemetal.units import read, show
from whitemetal.words import say

SHARE = (1.1, 1.2)
"""A lift takes about this times the bearing's share of the rotor's weight. Common practice."""

TOO_MUCH = 1.5
"""From this times the share on the shaft has surely bent. Our own threshold."""

SPOILS: tuple[Spoils, ...] = (
    Spoils("journal_down", "no", "lift.journal_not_down"),
    Spoils("joint_closed", "no", "lift.joint_open"),
    Spoils("tightened", "not final", "lift.not_final"),
    Spoils("stopped", "no", "lift.no_stop"),
    Spoils("returned", "no", "lift.not_returned"),
    Spoils("lifted_with", "jack", "lift.jack", "warning"),
)


def found(
    code: str, severity: Severity, source: str = PRACTICE, place: str = "", **values: object
) -> Finding:
    """A finding of this method."""
    return Finding(f"lift.{code}", severity, say(f"lift.{code}", **values), source, place)


def before(
    card: Card, facts: Facts, places: Mapping[str, Place], readings: Sequence[Reading]
) -> Iterator[Finding]:
    """Doubts that need no result."""
    yield from spoilt(facts, SPOILS)
    yield from other_torque("lift", card, facts)
    yield from diameters.warmth("lift", facts, ("part_temperature", "journal_temperature"))
    yield from calibration("lift", facts, readings)
    yield from strangers("lift", places, readings)
    yield from _force(card, facts)
    yield from _lever(facts)
    for reading in readings:
        if reading.place == "shaft" and reading.value <= 0.0:
            yield found("not_lifted", "hold", place=reading.place, typed=reading.text)


def factor_unknown(card: Card) -> Finding:
    """Why there is no clearance: the bore's factor is not known."""
    if card.bearing.profile == "tilting pad":
        return found("pads_unknown", "hold", GEOMETRY)
    return found("factor_needed", "hold", GEOMETRY, profile=card.bearing.profile)


def _force(card: Card, facts: Facts) -> Iterator[Finding]:
    force, load = _newtons(facts.get("force")), card.duty.load
    if force is None or not load:
        return
    said = {"force": _shown(force), "share": f"{force / load:.2f}", "most": _shown(SHARE[1] * load)}
    if force > SHARE[1] * load * (1 + 1e-9):
        yield found("force_large", "hold" if force > TOO_MUCH * load else "warning", **said)
    elif force < load:
        yield found("force_small", "question", **said)


def _newtons(fact: Fact | None) -> float | None:
    if fact is None or not fact.text.strip():
        return None
    return fact.value if fact.value is not None else read(fact.text, "force", field="force").value


def _shown(force: float) -> str:
    return show(force, "kN", "force") if force >= 1e3 else show(force, "N", "force")


def _lever(facts: Facts) -> Iterator[Finding]:
    a, b = length(facts, "to_indicator"), length(facts, "to_bearing")
    if (a is None) != (b is None):
        yield found("one_arm", "hold", GEOMETRY)
    elif a is not None and b is not None and (a <= 0.0 or b <= 0.0):
        yield found("arm_nothing", "hold", GEOMETRY)
    elif not text(facts, "to_indicator"):
        yield found("no_lever", "note", GEOMETRY)
