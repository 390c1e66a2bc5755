"""Gaps read round a ring (a seal, an impeller, a rotor in its stator): across, mean and deviation."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from whitemetal.gauging.contract import Facts, Finding, Place, Reading
from whitemetal.gauging.instruments import FEELER, of_instrument, of_step
from whitemetal.quantity import Quantity
from whitemetal.words import say

ROUND: tuple[tuple[str, float], ...] = (
    ("top", 0.0), ("right", 0.5 * math.pi), ("bottom", math.pi), ("left", -0.5 * math.pi),
)  # fmt: skip
"""The four places at which a gap is read, and their angles from top centre [rad]: common practice."""


@dataclass(frozen=True)
class Gaps:
    """piece: the ring; by side ("top", ...): the gap there [m]."""

    piece: str
    by_side: dict[str, Quantity]

    def across(self) -> tuple[tuple[str, Quantity], ...]:
        """Diametral clearance [m] up and down and side to side, where both gaps were read."""
        pairs = (("upright", "top", "bottom"), ("sideways", "left", "right"))
        return tuple(
            (say("recorded.across", piece=self.piece, direction=say(f"recorded.{name}")),
             self.by_side[one] + self.by_side[other])
            for name, one, other in pairs
            if one in self.by_side and other in self.by_side
        )  # fmt: skip

    @property
    def mean(self) -> Quantity:
        """Mean of the gaps read [m]."""
        total = sum(self.by_side.values(), start=Quantity(0.0))
        return total * (1.0 / len(self.by_side))


def ring_places(pieces: Sequence[tuple[str, float, str]]) -> tuple[Place, ...]:
    """Four places on each ring: (short name, axial place [m], name in full)."""
    return tuple(
        Place(f"{short} {side}", axial, angle, short, title=f"{title}, {side}")
        for short, axial, title in pieces
        for side, angle in ROUND
    )


def gaps_of(
    method: str, places: Sequence[Place], facts: Facts, readings: Sequence[Reading]
) -> tuple[tuple[Gaps, ...], tuple[Finding, ...]]:
    """The gaps of each ring that was read, and a hold where there are none or one side is missing."""
    by_label: dict[str, list[Reading]] = {}
    for reading in readings:
        if reading.value >= 0.0:
            by_label.setdefault(reading.place, []).append(reading)
    below = tuple(
        Finding(
            f"{method}.impossible", "hold", say("recorded.below_nothing", label=one.place, typed=one.text),
            "by definition", one.place,
        )
        for one in readings
        if one.value < 0.0
    )  # fmt: skip
    rings: dict[str, dict[str, Quantity]] = {}
    for place in places:
        if place.label in by_label:
            side = place.label.removeprefix(place.piece).strip()
            rings.setdefault(place.piece, {})[side] = _gap(method, place, facts, by_label[place.label])
    found = tuple(Gaps(piece, sides) for piece, sides in rings.items())
    if not found:
        return (), (*below, Finding(f"{method}.no_readings", "hold", say("recorded.no_readings")))
    lacking = tuple(
        Finding(f"{method}.one_side", "hold", say("recorded.one_side", piece=ring.piece), place="")
        for ring in found
        if len(ring.across()) < 2
    )
    return found, (*below, *lacking)


def _gap(method: str, place: Place, facts: Facts, group: Sequence[Reading]) -> Quantity:
    mean = math.fsum(reading.value for reading in group) / len(group)
    step = of_step(method, place.label, group)
    blade = of_instrument(method, facts, group[0].instrument, FEELER, mean)
    return Quantity(mean, {step: step.u, blade: blade.u})
