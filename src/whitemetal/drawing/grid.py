"""Places in rows and columns: stations along the axis, distinct angles across."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from whitemetal.drawing.spot import Spot

SAME_AXIAL = 1e-4
SAME_ANGLE = math.radians(1.0)


def stations(spots: Sequence[Spot]) -> list[tuple[float, list[Spot]]]:
    """Spots within 0.1 mm of the station's first one along the axis, from the card's first end on."""
    found: list[tuple[float, list[Spot]]] = []
    for spot in sorted(spots, key=lambda s: (s.axial, s.angle, s.label)):
        if not found or spot.axial - found[-1][0] > SAME_AXIAL:
            found.append((spot.axial, []))
        found[-1][1].append(spot)
    return found


def distinct_angles(spots: Sequence[Spot]) -> list[float]:
    """Angles at least a degree apart, other than top centre, least first."""
    angles: list[float] = []
    for angle in sorted(spot.angle for spot in spots):
        if abs(angle) > SAME_ANGLE and (not angles or angle - angles[-1] > SAME_ANGLE):
            angles.append(angle)
    return angles


def knots(
    spots: Sequence[Spot], sign: int, left: float, right: float
) -> tuple[list[tuple[float, float]], float]:
    """A scale across the page that sets the columns wide apart, top centre always in the middle.

    Gives knots (angle as on the page, page position), least angle first, and the distance of the columns.
    sign: +1 where positive angles lie to the page's right. left, right: page positions of the joint edges.
    """
    angles = distinct_angles(spots)
    lefts, rights = [a for a in angles if a < 0], [a for a in angles if a > 0]
    step = (right - left) / (2 * max(len(lefts), len(rights), 1) + 1)
    middle = 0.5 * (left + right)
    found = [(-math.pi / 2, left), (0.0, middle), (math.pi / 2, right)]
    found += [(a, middle + step * (i + 1)) for i, a in enumerate(rights)]
    found += [(a, middle - step * (i + 1)) for i, a in enumerate(reversed(lefts))]
    if sign < 0:
        found = [(-a, 2 * middle - x) for a, x in found]
    return sorted(found), step


def across(angle: float, scale: Sequence[tuple[float, float]]) -> float:
    """Page position of an angle as on the page, by straight lines between knots."""
    for (a, xa), (b, xb) in pairwise(scale):
        if a <= angle <= b:
            return xa + (xb - xa) * (angle - a) / (b - a) if b > a else xa
    return scale[0][1] if angle < scale[0][0] else scale[-1][1]
