"""From feeler blades to the clearance and to the side clearance.

Upper places, at least 45° from the parting line, read ``Cd (1 + cos a)/2 + b sin a`` as a wire does
(`gap_shape`), the journal at rest at the bottom. At the joint, 90° from top centre, left and right together
read ``(Cd/2 - b) + (Cd/2 + b) = Cd`` in a plain bore wherever the journal lies sideways, and q Cv in a
lemon of side clearance q Cv (derived from geometry): that sum is the side clearance, diametral. The bore is
often relieved at the joint, so the sides give the clearance only where nothing else was read, and then too
large.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.gauging.asked import GEOMETRY, PRACTICE, by_place, mean_of
from whitemetal.gauging.contract import (
    CLEARANCE,
    Assessed,
    Assumed,
    Facts,
    Finding,
    GeneralRule,
    Place,
    PlaceResult,
    Reading,
    Result,
)
from whitemetal.gauging.feeler import doubts
from whitemetal.gauging.feeler.blade import BLADE, LEAVES, STEP, gap_of
from whitemetal.gauging.gap_fit import (
    Observation,
    fit_findings,
    fit_result,
    relative,
    shown,
    shrinking,
    solve,
    widen,
)
from whitemetal.gauging.gap_shape import WRONG_FOR, shape_factor
from whitemetal.gauging.wire.facts import text
from whitemetal.quantity import Influence, Quantity, combine, covariance_matrix
from whitemetal.units import INCH, show
from whitemetal.words import say

FARTHEST = math.radians(45.0)
"""An upper place lies no farther from top centre [rad], so at least 45° from the parting line. Common
practice: study cards for NSTM 244, a US Navy manual."""

RELIEF = 1e-3 * INCH
"""Thin shells are made wider by about this [m] at the parting line: US Army TM 55-1905-220-14-4."""

SIDES_DIFFER = 20e-6
"""Left and right further apart than this [m] are looked into; the wire's figure for the joint. Our own."""

LEFT, RIGHT = "left side", "right side"
SHRINKS = ("feel", "scatter")


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The oil clearance and the side clearance by feeler; diametral, SI. Raises UnitError.

    A stack of nothing is set aside and named. A bore for which the method is wrong gives a result without a
    value and a *refused* finding.
    """
    if card.bearing.profile in WRONG_FOR:
        why, profile = WRONG_FOR[card.bearing.profile], card.bearing.profile
        return Result(
            None, findings=(doubts.found("refused", "refused", GEOMETRY, profile=profile, why=why),)
        )
    by_label = {place.label: place for place in places}
    findings = list(doubts.before(card, facts, by_label, readings))
    usable = [one for one in readings if one.place in by_label and one.value > 0.0]
    observed = observations(card, places, facts, usable)
    upper = tuple(o for o in observed if _is_upper(card, o.place))
    sides = _sides(observed)
    if not upper and not sides:
        return Result(None, findings=(*findings, doubts.found("no_readings", "hold")))
    findings += [*_off_top(card, observed), *_sides_differ(card, sides)]
    result = _from_upper(card, upper) if upper else _from_sides(card, sides)
    return replace(
        result,
        findings=(*findings, *result.findings),
        assessed=_side_clearance(sides),
        unknown=(say("feeler.inside"),),
        assumed=_assumed(facts),
    )


def observations(
    card: Card, places: Sequence[Place], facts: Facts, readings: Sequence[Reading]
) -> tuple[Observation, ...]:
    """One for each repeat and place that has readings, in the order of the places."""
    groups = by_place(readings)
    found = []
    for number in sorted({squeeze for squeeze, _ in groups}):
        for place in places:
            group = groups.get((number, place.label))
            if group is not None:
                gap, own = gap_of(card, facts, f"{number}.{place.label}", group)
                found.append(Observation(number, place, len(group), mean_of(group), gap, own))
    return tuple(found)


def _is_upper(card: Card, place: Place) -> bool:
    no_shape = card.bearing.profile == "lemon" and not card.bearing.side_to_top
    return abs(place.angle) <= (math.radians(2.0) if no_shape else FARTHEST) * (1 + 1e-6)


def _off_top(card: Card, observed: Sequence[Observation]) -> Iterator[Finding]:
    """Places that say nothing of the clearance, neither upper ones nor at the joint."""
    for place in dict.fromkeys(o.place for o in observed):
        if not _is_upper(card, place) and _side_of(place) is None:
            code = "lemon_off_top" if abs(place.angle) <= FARTHEST * (1 + 1e-6) else "too_low"
            yield doubts.found(code, "warning", GEOMETRY, place.label, place_name=place.label)


def _side_of(place: Place) -> str | None:
    if abs(abs(place.angle) - 0.5 * math.pi) > math.radians(5.0):
        return None
    return LEFT if place.angle < 0.0 else RIGHT


def _sides(observed: Sequence[Observation]) -> dict[str, dict[str, Quantity]]:
    """By end: the mean gap left and right at the joint."""
    grouped: dict[str, dict[str, list[Quantity]]] = {}
    for one in observed:
        side = _side_of(one.place)
        if side is not None:
            grouped.setdefault(one.place.piece, {}).setdefault(side, []).append(one.corrected)
    return {
        end: {side: combine([1.0 / len(gaps)] * len(gaps), gaps) for side, gaps in ends.items()}
        for end, ends in grouped.items()
    }


def _sums(sides: Mapping[str, Mapping[str, Quantity]]) -> dict[str, Quantity]:
    """By end: left and right together, where both were read."""
    return {end: gaps[LEFT] + gaps[RIGHT] for end, gaps in sides.items() if len(gaps) == 2}


def _side_clearance(sides: Mapping[str, Mapping[str, Quantity]]) -> tuple[Assessed, ...]:
    sums = _sums(sides)
    if not sums:
        return ()
    label, note = say("feeler.side_clearance"), say("feeler.side_note")
    return (Assessed("side clearance", label, tuple(sums.values()), tuple(sums), note=note, needed=False),)


def _sides_differ(card: Card, sides: Mapping[str, Mapping[str, Quantity]]) -> Iterator[Finding]:
    for end, gaps in sides.items():
        if len(gaps) < 2:
            yield doubts.found("one_side", "warning", PRACTICE, end=end)
            continue
        apart = gaps[RIGHT] - gaps[LEFT]
        if abs(apart.value) > max(SIDES_DIFFER, 2.0 * apart.u):
            wide = say("feeler.right" if apart.value > 0.0 else "feeler.left")
            by = shown(card, abs(apart.value))
            yield doubts.found("sides_differ", "warning", PRACTICE, end=end, by=by, side=wide)


def _from_upper(card: Card, observed: tuple[Observation, ...]) -> Result:
    observed, solved, scattered = widen("feeler", card, observed, solve(card, observed))
    result = fit_result(card, observed, solved, _shrinks)
    return replace(result, findings=(*scattered, *fit_findings("feeler", card, observed, solved, result)))


def _from_sides(card: Card, sides: Mapping[str, Mapping[str, Quantity]]) -> Result:
    """The clearance where the sides alone were read: their sum over twice the bore's shape at the joint."""
    relief = Influence(
        "feeler.relief", say("feeler.relief"), RELIEF / math.sqrt(3.0), math.inf, "one-sided rectangular",
        "US Army TM 55-1905-220-14-4", "relief",
    )  # fmt: skip
    sums, shape = _sums(sides), 2.0 * shape_factor(card.bearing, 0.5 * math.pi)
    no_shape = card.bearing.profile == "lemon" and not card.bearing.side_to_top
    if not sums or no_shape:
        return Result(None, findings=(doubts.found("sides_only", "hold", GEOMETRY),))
    each = {end: (gap + Quantity.of(0.0, relief)) * (1.0 / shape) for end, gap in sums.items()}
    mean = combine([1.0 / len(each)] * len(each), list(each.values()))
    places = tuple(
        PlaceResult(
            Place(f"{end} sides", 0.0, 0.0, end, title=say("feeler.sides", end=end)), gap, gap.value, 2
        )
        for end, gap in each.items()
    )
    findings = (doubts.found("from_sides", "warning", GEOMETRY), *relative("feeler", card, mean, ()))
    return Result(
        overall=mean,
        places=places,
        covariance=covariance_matrix([place.value for place in places]),
        findings=findings,
        shrinking=shrinking([place.value for place in places], _shrinks),
        says={CLEARANCE: mean},
    )


def _shrinks(influence: Influence) -> bool:
    return influence.family in SHRINKS


def _assumed(facts: Facts) -> tuple[Assumed, ...]:
    rows = (
        ("blade_width", "feeler.width_label", show(BLADE, "mm", "length"), PRACTICE),
        ("leaf_step", "feeler.step_label", show(STEP, "mm", "length"), say("feeler.own")),
        ("leaves", "feeler.leaves_label", str(LEAVES), PRACTICE),
    )
    return tuple(
        Assumed(key, say(label), value, source) for key, label, value, source in rows if not text(facts, key)
    )


def rules(card: Card) -> tuple[GeneralRule, ...]:
    """The sides of a plain bore are together at least its oil clearance, of a lemon q times that."""
    lows = [limit.diametral("minimum") for limit in card.limits_on(OIL_CLEARANCE)]
    known = [low for low in lows if low is not None]
    if not known or card.bearing.profile in WRONG_FOR:
        return ()
    low = known[0] * 2.0 * shape_factor(card.bearing, 0.5 * math.pi)
    return (GeneralRule("side clearance", say("feeler.rule"), GEOMETRY, low),)
