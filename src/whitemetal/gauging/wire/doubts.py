"""What is odd about the readings once they are fitted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from whitemetal.card import Card
from whitemetal.gauging.contract import Finding, PlaceResult
from whitemetal.gauging.gap_fit import Observation, front_to_rear, relative, shown, squeezes_differ
from whitemetal.gauging.wire.squeeze import CHECKED
from whitemetal.quantity import Quantity
from whitemetal.words import say

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
        *relative("wire", card, unknown["mean"], places),
        *front_to_rear("wire", card, observed, unknown),
        *_sideways(card, unknown),
        *_ends_against_middle(card, places),
        *squeezes_differ("wire", card, observed),
    ]


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
