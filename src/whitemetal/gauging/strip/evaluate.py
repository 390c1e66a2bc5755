"""From the width of a flattened strip to the clearance: observations, fit, places, doubts.

A strip of plastic thread is squeezed between journal and shell; its volume is conserved, so the narrower
the gap the wider it lies, and the printed scale beside it turns width into gap. The widest point is the least
gap of its station. Under the upper half of a plain bore, the journal down, a strip at angle a from top centre
reads ``Cd (1 + cos a)/2 + (g_squeeze - g_final) cos a`` as a wire does (`gap_shape`); strips of several
stations give the change along the axis.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from whitemetal.card import Card
from whitemetal.gauging.contract import Assumed, Facts, Finding, Place, Reading, Result
from whitemetal.gauging.gap_fit import Observation, fit_findings, fit_result, sized, solve, widen
from whitemetal.gauging.gap_shape import WRONG_FOR
from whitemetal.gauging.strip import doubts, influences
from whitemetal.gauging.strip.ranges import STRIPS, Strip
from whitemetal.gauging.wire.facts import length, text
from whitemetal.gauging.wire.layout import STEEPEST
from whitemetal.gauging.wire.observe import Repeats, joint_change, pooled
from whitemetal.quantity import Influence, Quantity
from whitemetal.words import say

GEOMETRY = "derived from geometry"


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The oil clearance from gauging strips; diametral, SI. Raises UnitError on a fact that cannot be read.

    A reading off the strip's scale is set aside and named. A bore for which the method is wrong gives a
    result without a value and a *refused* finding.
    """
    if card.bearing.profile in WRONG_FOR:
        why = WRONG_FOR[card.bearing.profile]
        text_ = say("strip.refused", profile=card.bearing.profile, why=why)
        return Result(None, findings=(Finding("strip.refused", "refused", text_, GEOMETRY),))
    strip = STRIPS.get(text(facts, "strip_range"))
    squeezes = sorted({reading.squeeze for reading in readings}) or [1]
    findings = list(doubts.before(card, facts, strip, squeezes))
    if strip is None:
        return Result(None, findings=(*findings, doubts.found("no_range", "hold")))
    turned = tuple(_moved(card, facts, place) for place in places)
    aside = [*_wrong_place(card, turned, readings), *doubts.of_readings(card, strip, readings)]
    usable = _usable(card, turned, strip, readings)
    findings += aside
    if not usable:
        return Result(None, findings=(*findings, doubts.found("no_readings", "hold")))
    return _result(card, turned, facts, strip, usable, findings)


def _result(
    card: Card, places: Sequence[Place], facts: Facts, strip: Strip, usable: Sequence[Reading],
    findings: Sequence[Finding],
) -> Result:  # fmt: skip
    observed = observations(card, places, facts, strip, usable)
    observed, solved, scattered = widen("strip", card, observed, solve(card, observed))
    result = fit_result(card, observed, solved, _shrinks)
    return replace(
        result,
        findings=(*findings, *scattered, *fit_findings("strip", card, observed, solved, result)),
        unknown=_unknown(solved.unknown),
        assumed=_assumed(card, facts, strip),
    )


def observations(
    card: Card, places: Sequence[Place], facts: Facts, strip: Strip, readings: Sequence[Reading]
) -> tuple[Observation, ...]:
    """One observation for each squeeze and place that has readings, in the order of the places."""
    groups: dict[tuple[int, str], list[Reading]] = {}
    for reading in readings:
        groups.setdefault((reading.squeeze, reading.place), []).append(reading)
    repeats = pooled([groups[key] for key in sorted(groups)])
    rough = sized(float(np.median([reading.value for reading in readings])))
    steps = length(facts, "scale_step") or strip.step
    return tuple(
        _observe(card, place, squeeze, groups[squeeze, place.label], repeats, rough, steps, facts)
        for squeeze in sorted({squeeze for squeeze, _ in groups})
        for place in places
        if (squeeze, place.label) in groups
    )


def _observe(
    card: Card, place: Place, squeeze: int, group: Sequence[Reading], repeats: Repeats, rough: float,
    scale_step: float, facts: Facts,
) -> Observation:  # fmt: skip
    mean = math.fsum(reading.value for reading in group) / len(group)
    step = max(scale_step, *(reading.resolution for reading in group))
    own = influences.own(place, squeeze, group, repeats, step)
    parts: dict[Influence, float] = {one: one.u for one in own}
    parts |= influences.shared(card, place, squeeze, rough)
    change = joint_change(card, facts, squeeze, 0.0, Quantity(0.0))
    corrected = Quantity(mean, parts) - change * math.cos(place.angle)
    return Observation(squeeze, place, len(group), mean, corrected, math.hypot(*(one.u for one in own)))


def _moved(card: Card, facts: Facts, place: Place) -> Place:
    """A place turned by how far off top centre the strips were laid; theta = 2 s / D."""
    off = length(facts, "off_centre") or 0.0
    return replace(place, angle=place.angle + 2.0 * off / card.bearing.journal_diameter)


def _usable(
    card: Card, places: Sequence[Place], strip: Strip, readings: Sequence[Reading]
) -> tuple[Reading, ...]:
    good = {place.label for place in places if not _place_wrong(card, place)}
    return tuple(one for one in readings if one.place in good and strip.reaches(one.value))


def _place_wrong(card: Card, place: Place) -> str:
    """Why nothing read at a place can be used: code of the message, "" when it can."""
    if abs(place.angle) > STEEPEST * (1 + 1e-6):
        return "beyond_30"
    no_shape = card.bearing.profile == "lemon" and not card.bearing.side_to_top
    return "lemon_off_top" if no_shape and abs(place.angle) > math.radians(2.0) else ""


def _wrong_place(card: Card, places: Sequence[Place], readings: Sequence[Reading]) -> list[Finding]:
    by_label = {place.label: place for place in places}
    found = []
    for label in sorted({reading.place for reading in readings}):
        place = by_label.get(label)
        code = "unknown_place" if place is None else _place_wrong(card, place)
        if code:
            degrees = f"{math.degrees(abs(place.angle)):.0f}" if place is not None else ""
            said_ = {"place_name": label, "degrees": degrees}
            found.append(doubts.found(code, "hold", GEOMETRY, label, **said_))
    return found


def _unknown(found: Mapping[str, Quantity]) -> tuple[str, ...]:
    """What a strip cannot say."""
    lacking = () if "end_to_end" in found else (say("strip.no_axis"),)
    return (*lacking, say("strip.greatest"), say("strip.one_direction"))


def _shrinks(influence: Influence) -> bool:
    """Whether squeezing new strips shrinks it; equal strips round alike, so what the scale's step hides does
    not."""
    family, shape = influence.family, influence.shape
    return family in influences.SHRINKS or (family, shape) == ("reading", "student")


def _assumed(card: Card, facts: Facts, strip: Strip) -> tuple[Assumed, ...]:
    found = influences.assumed(card, strip, bool(text(facts, "scale_step")))
    if not text(facts, "oil"):
        found.append(Assumed("oil", say("strip.oil_label"), doubts.DRY, say("strip.oil_source")))
    return tuple(found)
