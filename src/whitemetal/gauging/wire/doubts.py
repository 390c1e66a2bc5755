"""What is odd about the readings once they are fitted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from whitemetal.card import Card
from whitemetal.card.doubts import RELATIVE
from whitemetal.gauging.contract import Finding, PlaceResult
from whitemetal.gauging.wire.observe import Observation
from whitemetal.gauging.wire.squeeze import CHECKED, shown
from whitemetal.quantity import Quantity
from whitemetal.units import UNITS, find_unit
from whitemetal.words import say

FRONT_TO_REAR = 20e-6
FRONT_TO_REAR_SHARE = 0.1
"""A change along the axis above 0.02 mm or a tenth of the clearance is investigated. Common practice."""

SQUEEZES_AGREE = 15e-6
"""Repeats of the whole squeeze agree within 0.010 to 0.015 mm. Common practice."""

ENDS_DIFFER = 20e-6
"""Ends of a piece against its middle; taken equal to the front-to-rear figure. Our own."""


def _found(code: str, severity: str, source: str = CHECKED, place: str = "", **values: object) -> Finding:
    return Finding(f"wire.{code}", severity, say(f"wire.{code}", **values), source, place)  # type: ignore[arg-type]


def after_fit(
    card: Card,
    observed: Sequence[Observation],
    unknown: Mapping[str, Quantity],
    places: Sequence[PlaceResult],
) -> list[Finding]:
    """Every doubt that the numbers themselves raise."""
    return [
        *_relative(card, unknown["mean"], places),
        *_front_to_rear(card, observed, unknown),
        *_sideways(card, unknown),
        *_ends_against_middle(card, places),
        *_squeezes(card, observed),
    ]


def _relative(card: Card, mean: Quantity, places: Sequence[PlaceResult]) -> Iterator[Finding]:
    diameter = card.bearing.journal_diameter
    for result in places:
        if not RELATIVE[0] <= result.value.value / diameter <= RELATIVE[1]:
            other = _fitting_unit(card, result.value.value)
            if other is not None:
                typed = shown(card, result.reading)
                yield _found(
                    "other_unit",
                    "question",
                    place=result.place.label,
                    place_name=result.place.label,
                    typed=typed,
                    unit=other,
                )
    if not RELATIVE[0] <= mean.value / diameter <= RELATIVE[1]:
        yield _found(
            "relative",
            "question",
            clearance=shown(card, mean.value),
            journal=shown(card, diameter),
            permille=f"{1e3 * mean.value / diameter:.2g}",
        )


def _fitting_unit(card: Card, value: float) -> str | None:
    """The unit in which the same digits would be a usual clearance, or None."""
    own = find_unit(card.bearing.unit, "length")
    if own is None:
        return None
    digits = value / own.scale
    for unit in UNITS:
        if unit.name in ("mm", "in", "thou", "µm") and unit is not own:
            relative = digits * unit.scale / card.bearing.journal_diameter
            if RELATIVE[0] <= relative <= RELATIVE[1]:
                return unit.name
    return None


def _front_to_rear(
    card: Card, observed: Sequence[Observation], unknown: Mapping[str, Quantity]
) -> Iterator[Finding]:
    if "end_to_end" not in unknown:
        return
    axial = [o.place.axial for o in observed]
    change = unknown["end_to_end"] * (float(np.ptp(axial)) / card.bearing.length)
    allowed = min(FRONT_TO_REAR, FRONT_TO_REAR_SHARE * unknown["mean"].value)
    if abs(change.value) > max(allowed, 2.0 * change.u):
        first, last = card.bearing.ends
        yield _found("front_to_rear", "warning", change=shown(card, change.value), first=first, last=last)


def _sideways(card: Card, unknown: Mapping[str, Quantity]) -> Iterator[Finding]:
    offset = unknown.get("sideways")
    if offset is not None and abs(offset.value) > 3.0 * offset.u:
        yield _found("sideways", "warning", "derived from geometry", offset=shown(card, abs(offset.value)))


def _ends_against_middle(card: Card, places: Sequence[PlaceResult]) -> Iterator[Finding]:
    pieces: dict[str, list[PlaceResult]] = {}
    for result in places:
        pieces.setdefault(result.place.piece, []).append(result)
    for piece, members in pieces.items():
        if len(members) < 3:
            continue
        ordered = sorted(members, key=lambda r: (r.place.axial, r.place.angle))
        ends = 0.5 * (ordered[0].value + ordered[-1].value)
        middle = ordered[len(ordered) // 2].value
        difference = ends - middle
        if abs(difference.value) > max(ENDS_DIFFER, 2.0 * difference.u):
            word = "more" if difference.value > 0 else "less"
            yield _found(
                "ends_against_middle",
                "warning",
                piece=piece,
                difference=shown(card, abs(difference.value)),
                word=word,
            )


def _squeezes(card: Card, observed: Sequence[Observation]) -> Iterator[Finding]:
    grouped: dict[str, list[float]] = {}
    for observation in observed:
        grouped.setdefault(observation.place.label, []).append(observation.corrected.value)
    for label, values in grouped.items():
        difference = max(values) - min(values)
        if difference > SQUEEZES_AGREE and not math.isclose(difference, SQUEEZES_AGREE):
            yield _found(
                "squeezes_differ",
                "warning",
                place=label,
                place_name=label,
                difference=shown(card, difference),
                allowed=shown(card, SQUEEZES_AGREE),
            )


def unknown(observed: Sequence[Observation], found: Mapping[str, Quantity], dof: int) -> tuple[str, ...]:
    """What these readings cannot say, in words."""
    if len(observed) == 1:
        return (say("wire.one_reading"), say("wire.cap_or_journal"))
    missing = []
    if "end_to_end" not in found:
        missing.append(say("wire.no_axis"))
    missing.append(say("wire.cap_or_journal") if "sideways" in found else say("wire.no_sides"))
    if dof < 1:
        missing.append(say("wire.no_check"))
    return tuple(missing)
