"""Closing up, seen from the other checks of a job: what was squeezed or measured at another torque than the
cap was finally pulled to."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from whitemetal.card import Card
from whitemetal.gauging.contract import Finding
from whitemetal.gauging.tightening.doubts import WRENCH, other_unit, shown
from whitemetal.gauging.tightening.evaluate import last_of
from whitemetal.gauging.tightening.layout import shares
from whitemetal.job.kinds import is_as_found
from whitemetal.job.state import CheckState, JobState
from whitemetal.words import say

TIGHTENING = "tightening"
TORQUE = "torque"
"""Key of the fact that says at which torque a check was taken, with @2 and so on for later squeezes."""


def final_torque(state: JobState, card: Card) -> float | None:
    """The torque [N m] the nuts were pulled to in the last pass, by the checks of tightening that count: the
    middle one of the nuts' last readings, nothing and less left out. None while no nut is that far, or the
    check is stale."""
    pulled = [
        reading.value
        for name in state.deciding.get(TIGHTENING, ())
        for check in [state.checks[name]]
        if check.method == TIGHTENING and not check.stale
        for reading in last_of(check.readings).values()
        if reading.squeeze >= len(shares(card)) and reading.value > 0.0
    ]
    return median(pulled) if pulled else None


def otherwise(state: JobState, card: Card, check: str) -> tuple[Finding, ...]:
    """A hold on a check that says it was taken at another torque than the final one. A check of the bearing
    as it was found has its own tightening."""
    found, final = state.checks[check], final_torque(state, card)
    if final is None or found.method == TIGHTENING or is_as_found(found.purpose):
        return ()
    return tuple(
        Finding("closing_up.other_torque", "hold", _said(card, used, final), "common practice")
        for used in _torques(found)
        if abs(used / final - 1.0) > WRENCH
    )


def _said(card: Card, used: float, final: float) -> str:
    """What is odd about a torque, with the units it may have been mixed up in."""
    said = say("tightening.squeezed_otherwise", used=shown(card, used), final=shown(card, final))
    units = other_unit(used, final)
    if units is None:
        return said
    return f"{said} {say('tightening.squeezed_unit', meant=units[0], written=units[1])}"


def _torques(found: CheckState) -> Iterator[float]:
    for key, fact in found.facts.items():
        if key.partition("@")[0] == TORQUE and fact.value is not None:
            yield fact.value
