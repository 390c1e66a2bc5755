"""From readings to the clearance: observations, fit, places, doubts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from whitemetal.card import Card
from whitemetal.gauging.contract import (
    Assumed,
    Facts,
    Finding,
    Place,
    Reading,
    Result,
)
from whitemetal.gauging.gap_fit import Observation, fit_result, solve, widen
from whitemetal.gauging.gap_shape import WRONG_FOR
from whitemetal.gauging.wire import doubts, squeeze
from whitemetal.gauging.wire.facts import Gauge, assumed_mpe, gauge, joint_at_closing, joint_at_squeeze
from whitemetal.gauging.wire.influences import DEFAULTS, REPEATING_SHRINKS
from whitemetal.gauging.wire.layout import STEEPEST
from whitemetal.gauging.wire.observe import observations
from whitemetal.quantity import Influence
from whitemetal.words import say


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The oil clearance from soft-wire readings; diametral, SI.

    Readings that cannot be used are set aside and named in the findings, never dropped silently.
    A bore for which the method is wrong gives a result without a value and a *refused* finding.
    """
    refused = profile_gate(card)
    if refused is not None:
        return Result(None, findings=(refused,))
    by_label = {place.label: place for place in places}
    aside = list(_set_aside(card, by_label, readings))
    bad = {(finding.place, finding.code) for finding in aside}
    usable = tuple(r for r in readings if not any(place == r.place for place, _ in bad) and r.value > 0.0)
    findings = [*_doubts_before(card, facts, readings), *aside]
    if not usable:
        findings.append(Finding("wire.no_readings", "hold", say("wire.no_readings")))
        return Result(None, findings=tuple(findings))
    observed = observations(card, by_label, facts, usable)
    solved = solve(card, observed)
    observed, solved, scattered = widen("wire", card, observed, solved)
    result = fit_result(card, observed, solved, _shrinks)
    findings += [*scattered, *doubts.after_fit(card, observed, solved.unknown, result.places)]
    return replace(
        result,
        findings=tuple(findings),
        unknown=doubts.unknown(observed, solved.unknown, solved.fit.dof),
        assumed=_assumed(card, facts, usable, observed),
    )


def profile_gate(card: Card) -> Finding | None:
    """A *refused* finding when the wire method is wrong for this bore."""
    profile = card.bearing.profile
    if profile not in WRONG_FOR:
        return None
    return Finding(
        "wire.refused",
        "refused",
        say("wire.refused", profile=_named_bore(profile), why=WRONG_FOR[profile]),
        "derived from geometry",
    )


def _named_bore(profile: str) -> str:
    return {
        "tilting pad": "tilting pads",
        "pressure dam": "a pressure dam",
        "multi-lobe": "several lobes",
    }.get(profile, profile)


SHRINKS = frozenset(
    {*(key for key, default in DEFAULTS.items() if default.scope in REPEATING_SHRINKS),
     "reading", "joint_wires", "scatter"}
)  # fmt: skip
"""Families that repeating the whole squeeze makes smaller by averaging."""


def _shrinks(influence: Influence) -> bool:
    """Whether repeating the whole squeeze shrinks it; what the last digit hides does not: equal wires round
    alike."""
    family, shape = influence.family, influence.shape
    return family in SHRINKS and (family, shape) != ("reading", "rectangular")


def _set_aside(card: Card, by_label: dict[str, Place], readings: Sequence[Reading]) -> list[Finding]:
    found = []
    no_shape = card.bearing.profile == "lemon" and not card.bearing.side_to_top
    for label in dict.fromkeys(reading.place for reading in readings):
        place = by_label.get(label)
        if place is None:
            found.append(_aside("unknown_place", "hold", label))
        elif abs(place.angle) > STEEPEST * (1 + 1e-6):
            found.append(_aside("beyond_30", "warning", label, angle=math.degrees(abs(place.angle))))
        elif no_shape and abs(place.angle) > math.radians(2.0):
            found.append(_aside("lemon_off_top", "warning", label))
    return found


def _aside(code: str, severity: str, label: str, **values: object) -> Finding:
    text = say(f"wire.{code}", place_name=label, **values)
    return Finding(f"wire.{code}", severity, text, "common practice", label)  # type: ignore[arg-type]


def _gauges(facts: Facts, readings: Sequence[Reading]) -> list[Gauge]:
    return [gauge(facts, name) for name in dict.fromkeys(reading.instrument for reading in readings)]


def _doubts_before(card: Card, facts: Facts, readings: Sequence[Reading]) -> list[Finding]:
    squeezes = sorted({reading.squeeze for reading in readings}) or [1]
    found = [
        *squeeze.housekeeping(facts),
        *squeeze.tightening(card, facts, squeezes),
        *squeeze.joint(card, facts, squeezes),
        *squeeze.warmth(facts),
    ]
    for one in _gauges(facts, readings):
        found += squeeze.instrument(card, facts, one)
    return [*found, *squeeze.flattening(card, facts, readings)]


def _assumed(
    card: Card, facts: Facts, readings: Sequence[Reading], observed: Sequence[Observation]
) -> tuple[Assumed, ...]:
    """Every default that the result rests on, and none that it does not."""
    parts = [influence for one in observed for influence in one.corrected.parts]
    used = {
        one.family for one in parts if one.family in DEFAULTS and one.source == DEFAULTS[one.family].source
    }
    if any(one.family == "curl" for one in parts) and not all(
        one.anvil_width for one in _gauges(facts, readings)
    ):
        used.add("anvil_width")
    found = [
        Assumed(d.key, d.label, _default_text(d.value, d.unit), d.source)
        for d in DEFAULTS.values()
        if d.key in used and d.key not in card.uncertainty
    ]
    for one in _gauges(facts, readings):
        if f"instrument.{one.name}.mpe" not in facts:
            found.append(assumed_mpe(one))
    for number in sorted({reading.squeeze for reading in readings}):
        gap = joint_at_squeeze(card, facts, number)
        if not gap.known:
            label = say("wire.joint_label", squeeze=number)
            found.append(Assumed("joint", label, gap.filling, say("wire.joint_as_card")))
    closing = joint_at_closing(card, facts)
    if not closing.known:
        label, source = say("wire.closing_label"), say("wire.joint_as_card")
        found.append(Assumed("final_joint", label, closing.filling, source))
    return tuple(found)


def _default_text(value: float, unit: str) -> str:
    return (
        f"{value * 1e6:g} µm"
        if unit == "m" and value < 1e-3
        else f"{value * 1e3:g} mm"
        if unit == "m"
        else f"{value:g} {unit}"
    )
