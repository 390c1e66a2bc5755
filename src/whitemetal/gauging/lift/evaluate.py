"""From travels to the clearance: how far the shaft lifts, less how far the cap goes with it.

    Cd = (shaft travel - cap travel) b / a / f

a: distance from the far bearing, about which the shaft tilts, to the indicator; b: to the bearing (similar
triangles, derived from geometry; 1 when the indicator stands at the bearing). f: lift over diametral
clearance, 1 for a round bore. Over tilting pads the journal does not rest where it is lifted to (derived from
geometry):

- five pads, lifted along the line through a pad: it rises from a pad's middle to where it touches the two
  pads on the other side, each 36 degrees off the line: (1 + 1/cos 36)/2 = 1.118;
- four pads, lifted between pads: it goes from touching two pads, each 45 degrees off, to touching the two
  opposite ones: 1/cos 45 = 1.414.

The cap's own travel is in the shaft's reading; without an indicator on it the result is too large by it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from whitemetal.card import Card
from whitemetal.gauging.contract import (
    CLEARANCE,
    Assumed,
    Facts,
    Finding,
    Place,
    PlaceResult,
    Reading,
    Result,
    Severity,
)
from whitemetal.gauging.instruments import DIAL_INDICATOR, of_instrument, of_step
from whitemetal.gauging.wire.facts import length, temperature, text
from whitemetal.gauging.wire.influences import STEEL_EXPANSION, amount
from whitemetal.gauging.wire.squeeze import HOT
from whitemetal.quantity import Influence, Quantity, covariance_matrix
from whitemetal.units import clearance_step, read, show
from whitemetal.words import say

FIVE, FOUR, ROUND = "five pads, lifted along a pad", "four pads, lifted between pads", "round bore"
FACTORS: dict[str, float] = {
    ROUND: 1.0,
    FIVE: 0.5 * (1.0 + 1.0 / math.cos(math.radians(36.0))),
    FOUR: 1.0 / math.cos(math.radians(45.0)),
}
"""Lift over diametral clearance [-]: derived from geometry."""

FORCE = (1.0, 1.3)
"""Lifting force over the bearing's share of the weight: 1.1 to 1.2 lifts, more bends the shaft (common
practice); the edges are our own."""

BEND = 5e-6
"""What the shaft and the foot of the indicator give [m], one standard uncertainty. Common practice for a
skilled hand, from memory; check against your own repeats."""

LIFTS_AGREE = 15e-6
"""Lifts that agree lie within 0.010 to 0.015 mm, as squeezes do. Common practice."""

LEVER_U = 5e-3
"""A distance along the shaft is known to 5 mm, rectangular. Our own."""

SHAFT, CAP = "shaft", "cap"
PRACTICE = "common practice"


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The oil clearance from the lift of the shaft, diametral, SI. Raises UnitError."""
    findings = [*_how(card, facts), *_repeats(card, readings)]
    by_kind = {kind: [r for r in readings if r.place == kind] for kind in (SHAFT, CAP)}
    if not by_kind[SHAFT]:
        findings.append(_found("no_readings", "hold"))
        return Result(None, findings=tuple(findings))
    findings.append(_found("cap_read", "note") if by_kind[CAP] else _found("no_cap", "hold"))
    negative = [r for r in by_kind[SHAFT] if r.value <= 0.0]
    if negative:
        findings.append(_found("not_positive", "hold", typed=negative[0].text))
        return Result(None, findings=tuple(findings))
    clearance = _clearance(card, facts, by_kind)
    place = next(place for place in places if place.label == SHAFT)
    count = len(by_kind[SHAFT])
    mean = math.fsum(r.value for r in by_kind[SHAFT]) / count
    result = PlaceResult(place, clearance, mean, count, len({r.squeeze for r in by_kind[SHAFT]}))
    return Result(
        overall=clearance,
        places=(result,),
        covariance=covariance_matrix([clearance]),
        findings=tuple(findings),
        shrinking=_shrinking(clearance),
        unknown=(say("lift.no_axis"), say("lift.no_sides")),
        assumed=_assumed(facts),
        says={CLEARANCE: clearance},
    )


def _found(code: str, severity: Severity, source: str = PRACTICE, **values: object) -> Finding:
    return Finding(f"lift.{code}", severity, say(f"lift.{code}", **values), source)


def factor_of(card: Card, facts: Facts) -> float:
    """Lift over clearance [-] for the way it was lifted."""
    return FACTORS.get(text(facts, "lifted"), 1.0)


def _clearance(card: Card, facts: Facts, by_kind: Mapping[str, Sequence[Reading]]) -> Quantity:
    travel = _travel(facts, SHAFT, by_kind[SHAFT])
    if by_kind[CAP]:
        travel = travel - _travel(facts, CAP, by_kind[CAP])
    travel = travel * _lever(facts) * (1.0 / factor_of(card, facts))
    u = card.bearing.journal_diameter * STEEL_EXPANSION * amount(card, "temperature") / math.sqrt(3.0)
    warmth = Influence(
        "lift.temperature",
        say("lift.warmth"),
        u,
        math.inf,
        "rectangular",
        say("lift.warmth_source"),
        "temperature",
    )
    bend = Influence("lift.bend", say("lift.bend"), BEND, math.inf, "normal", say("lift.bend_source"), "bend")
    return travel + Quantity(0.0, {warmth: warmth.u, bend: bend.u})


def _travel(facts: Facts, kind: str, group: Sequence[Reading]) -> Quantity:
    """Mean travel of one indicator; repeats lower what belongs to a single lift."""
    mean = math.fsum(reading.value for reading in group) / len(group)
    step = of_step("lift", kind, group)
    dial = of_instrument("lift", facts, group[0].instrument, DIAL_INDICATOR, mean)
    parts: dict[Influence, float] = {step: step.u, dial: dial.u}
    if len(group) > 1:
        spread = math.sqrt(math.fsum((r.value - mean) ** 2 for r in group) / (len(group) - 1))
        repeat = Influence(
            f"lift.repeat.{kind}", say("lift.repeat"), spread / math.sqrt(len(group)), float(len(group) - 1),
            "student", say("lift.repeat_source"), "reading",
        )  # fmt: skip
        parts[repeat] = repeat.u
    return Quantity(mean, parts)


def _lever(facts: Facts) -> Quantity:
    """b/a, exact where the indicator stands at the bearing."""
    a, b = length(facts, "to_indicator"), length(facts, "to_bearing")
    if a is None or b is None or a <= 0.0 or b <= 0.0:
        return Quantity(1.0)
    u = LEVER_U / math.sqrt(3.0)
    far = Influence("lift.far", say("lift.lever"), u, math.inf, "rectangular", "our own assumption", "lever")
    near = Influence(
        "lift.near", say("lift.lever"), u, math.inf, "rectangular", "our own assumption", "lever"
    )
    return Quantity(b, {near: u}) / Quantity(a, {far: u})


def _how(card: Card, facts: Facts) -> Iterator[Finding]:
    """How it was lifted: joint, force, factor, warmth."""
    if text(facts, "joint_closed") == "no":
        yield _found("joint_open", "hold")
    if text(facts, "coupled") == "yes":
        yield _found("coupled", "hold")
    pads = card.bearing.profile == "tilting pad"
    lifted = text(facts, "lifted")
    if pads and lifted in ("", ROUND):
        yield _found("which_pads", "hold", "derived from geometry")
    if not pads and lifted in (FIVE, FOUR):
        yield _found("no_pads", "question")
    force = facts.get("force")
    if force is not None and force.text.strip() and card.duty.load:
        value = force.value if force.value is not None else read(force.text, "force", field="force").value
        share = value / card.duty.load
        if not FORCE[0] <= share <= FORCE[1]:
            code = "force_large" if share > FORCE[1] else "force_small"
            yield _found(code, "warning", percent=f"{100 * share:.0f}")
    warm = temperature(facts, "part_temperature")
    if warm is not None and warm > HOT:
        yield _found("hot", "hold")


def _repeats(card: Card, readings: Sequence[Reading]) -> Iterator[Finding]:
    values = [reading.value for reading in readings if reading.place == SHAFT]
    if len(values) > 1 and max(values) - min(values) > LIFTS_AGREE * (1.0 + 1e-9):
        unit = card.bearing.unit
        apart = show(max(values) - min(values), unit, "length", step=clearance_step(unit))
        yield _found("lifts_differ", "warning", difference=apart)
    elif len(values) == 1:
        yield _found("once", "note")


def _shrinking(clearance: Quantity) -> float:
    """Share of the variance that lifting again shrinks: what belongs to the readings."""
    own = math.fsum(part**2 for one, part in clearance.parts.items() if one.family == "reading")
    return own / clearance.variance if clearance.variance > 0.0 else 0.0


def _assumed(facts: Facts) -> tuple[Assumed, ...]:
    if text(facts, "to_indicator") and text(facts, "to_bearing"):
        return ()
    return (
        Assumed("to_indicator", say("lift.lever"), say("lift.at_bearing"), say("lift.at_bearing_source")),
    )
