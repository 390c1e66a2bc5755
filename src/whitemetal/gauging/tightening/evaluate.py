"""What nut by nut was pulled, against the card's torque and what the joint then shows.

A wrench's reading is no measure of preload: at one torque it scatters by 25 to 30 %. So a nut is at its
torque or it is not, and what that leaves of the preload is said beside; stretch is the better proof.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from whitemetal.card import Card
from whitemetal.gauging.asked import calibration, strangers
from whitemetal.gauging.contract import Facts, Finding, Place, Reading, Result
from whitemetal.gauging.seat import JOINT
from whitemetal.gauging.tightening.doubts import (
    WRENCH,
    found,
    of_card,
    of_grade,
    of_lubricant,
    of_order,
    of_passes,
    other_unit,
    shown,
)
from whitemetal.gauging.tightening.layout import sequence_of, shares
from whitemetal.gauging.wire.facts import length, text
from whitemetal.units import show
from whitemetal.words import say

UNCERTAIN_FEELER = 1e-9
"""Slack [m] in comparing a blade's marked thickness with a limit: rounding only. Our own."""


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """Every nut against the final torque on the card; no quantity comes of it. Raises UnitError."""
    known = {place.label: place for place in places}
    taken = [one for one in readings if one.place in known]
    findings = [
        *_cap(card, places), *strangers("tightening", known, readings), *_nuts(card, places, taken),
        *_order(card, places, taken),
        *of_lubricant(card, facts), *of_grade(card, facts), *_how(facts), *joint_findings(card, facts),
        *calibration("tightening", facts, readings),
    ]  # fmt: skip
    return Result(None, findings=tuple(findings), unknown=(say("tightening.not_preload"),))


def _cap(card: Card, places: Sequence[Place]) -> Iterator[Finding]:
    if not places:
        yield found("no_nuts", "hold")
    elif card.fasteners.count is not None and card.fasteners.count != len(places):
        yield found("other_count", "hold", card=card.fasteners.count, here=len(places))
    if card.fasteners.torque is None:
        yield found("no_torque", "hold")
    yield from of_card(card)


def _order(card: Card, places: Sequence[Place], readings: Sequence[Reading]) -> Iterator[Finding]:
    order = sequence_of(card)
    if order is not None and len(order.bolts) == len(places):
        yield from of_order(order.passes, [place.label for place in places], readings)


def last_of(readings: Sequence[Reading]) -> Mapping[str, Reading]:
    """The reading of each nut in the last pass it has one in."""
    last: dict[str, Reading] = {}
    for one in readings:
        if one.place not in last or one.squeeze >= last[one.place].squeeze:
            last[one.place] = one
    return last


def _nuts(card: Card, places: Sequence[Place], readings: Sequence[Reading]) -> Iterator[Finding]:
    final, last = card.fasteners.torque, last_of(readings)
    missed = [place.label for place in places if place.label not in last]
    if missed:
        yield found("missed", "hold", places=", ".join(missed))
    if final is None:
        return
    on_the_way = [
        label
        for label, one in last.items()
        if one.squeeze < len(shares(card)) and one.value < (1.0 - WRENCH) * final
    ]
    if on_the_way:
        yield found("on_the_way", "hold", places=", ".join(on_the_way), final=shown(card, final))
    yield from of_passes(final, shares(card), readings)
    for label, one in last.items():
        if label not in on_the_way:
            yield from _at_final(card, one, final)


def _at_final(card: Card, one: Reading, final: float) -> Iterator[Finding]:
    share = one.value / final - 1.0
    if abs(share) <= WRENCH:
        return
    units = other_unit(one.value, final)
    if units is not None:
        yield found(
            "unit", "hold", one.place, nut=one.place, typed=one.text, final=shown(card, final),
            meant=units[0], written=units[1],
        )  # fmt: skip
        return
    yield found(
        "over" if share > 0.0 else "under", "fault", one.place, nut=one.place, typed=one.text,
        final=shown(card, final), share=f"{100 * abs(share):.0f} %",
    )  # fmt: skip


def _how(facts: Facts) -> Iterator[Finding]:
    if text(facts, "threads") == "no":
        yield found("threads_bad", "hold")
    if text(facts, "tapped") == "no":
        yield found("pulled_home", "hold")
    if text(facts, "last_round") == MOVED:
        yield found("moved", "hold")


STILL, MOVED = "no nut moved", "a nut moved"


def joint_findings(card: Card, facts: Facts) -> Iterator[Finding]:
    """The feeler afterwards: a joint that stands open is not tight, whatever the wrench said."""
    blade = length(facts, "joint_feeler")
    if blade is None:
        if card.joint.filling == "metal to metal":
            yield found("no_feeler", "hold")
        return
    if blade < 0.0:
        yield found("feeler_below_nothing", "hold", typed=text(facts, "joint_feeler"))
        return
    limit, source = joint_limit(card)
    if card.joint.filling == "metal to metal" and blade > limit + UNCERTAIN_FEELER:
        most = show(limit, card.bearing.unit, "length")
        yield found("joint_open", "fault", source=source, typed=text(facts, "joint_feeler"), most=most)


def joint_limit(card: Card) -> tuple[float, str]:
    """The thickest blade [m] that may enter the closed joint, and its source: the card's of the highest rung,
    else what is common practice."""
    for limit in card.limits_on("joint feeler"):
        most = limit.in_main_basis("maximum")
        if limit.adopted and most is not None:
            return most, limit.document
    return JOINT, "common practice"
