"""The shape of a journal from its diameters: two lobes at each station, taper along it.

The diameter at angle a of a journal with two lobes is ``d(a) = d0 + A cos 2(a - a0)``, or
``d0 + C cos 2a + S sin 2a`` (derived from geometry: the second harmonic of the radius; higher even ones are
left to the residual). A diameter sees no odd number of lobes: what one side gains the other loses (derived).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from whitemetal.card import Card
from whitemetal.gauging.diameters import Diameter
from whitemetal.quantity import LinearFit, Quantity, combine, fit_linear
from whitemetal.words import say

UNKNOWNS = 3
"""Mean, cosine and sine of the two-lobe fit: derived from the formula."""


@dataclass(frozen=True)
class Lobes:
    """The two-lobe fit of one station. mean: d0; amplitude: A, half of greatest less least fitted [m].

    direction: a0, where the diameter is greatest, 0 to pi [rad]. fit: with its residuals.
    """

    mean: Quantity
    amplitude: Quantity
    direction: Quantity
    fit: LinearFit


@dataclass(frozen=True)
class Ring:
    """The diameters at one station. axial [m]. lobes: None when there are too few directions."""

    name: str
    axial: float
    diameters: tuple[Diameter, ...]
    lobes: Lobes | None

    @property
    def mean(self) -> Quantity:
        """The fitted mean diameter, or the mean of the diameters where nothing was fitted."""
        if self.lobes is not None:
            return self.lobes.mean
        return combine([1.0 / len(self.diameters)] * len(self.diameters), [d.value for d in self.diameters])

    @property
    def out_of_round(self) -> Quantity:
        """Greatest diameter less the least."""
        ordered = sorted(self.diameters, key=lambda one: (one.value.value, one.place.label))
        return ordered[-1].value - ordered[0].value


def rings_of(found: Sequence[Diameter]) -> tuple[Ring, ...]:
    """The stations along the axis, each with its two-lobe fit."""
    stations: dict[str, list[Diameter]] = {}
    for one in found:
        stations.setdefault(one.place.piece, []).append(one)
    rings = [
        Ring(name, members[0].place.axial, tuple(members), two_lobes(members))
        for name, members in stations.items()
    ]
    return tuple(sorted(rings, key=lambda ring: (ring.axial, ring.name)))


def design(angles: NDArray[np.float64]) -> NDArray[np.float64]:
    """Columns 1, cos 2a, sin 2a at these angles [rad]. Shape (n, 3)."""
    return np.column_stack([np.ones_like(angles), np.cos(2.0 * angles), np.sin(2.0 * angles)])


def two_lobes(found: Sequence[Diameter]) -> Lobes | None:
    """The two-lobe fit by least squares, each diameter weighted by what is its own; None when the directions
    are too few or too close to tell its unknowns apart."""
    angles = np.array([one.place.angle for one in found])
    columns = design(angles)
    if len(found) < UNKNOWNS or np.linalg.cond(columns) > 1e3:
        return None
    fit = fit_linear(
        columns, np.array([one.value.value for one in found]), np.array([one.own_u for one in found])
    )
    mean, cosine, sine = (combine(fit.operator[k].tolist(), [one.value for one in found]) for k in range(3))
    a = math.hypot(cosine.value, sine.value)
    if a == 0.0:
        return Lobes(mean, Quantity(0.0, cosine.parts), Quantity(0.0), fit)
    c, s = cosine.value / a, sine.value / a
    amplitude = Quantity(a, combine([c, s], [cosine, sine]).parts)
    turn = math.remainder(0.5 * math.atan2(sine.value, cosine.value), math.pi) % math.pi
    direction = Quantity(turn, combine([-s / (2.0 * a), c / (2.0 * a)], [cosine, sine]).parts)
    return Lobes(mean, amplitude, direction, fit)


def change(card: Card, rings: Sequence[Ring]) -> Quantity | None:
    """Change of the mean diameter from the card's first end to its last over the whole land [m]: the straight
    line through the stations, all of equal weight; None when they lie too close together."""
    z = np.array([ring.axial for ring in rings]) / card.bearing.length - 0.5
    if len(rings) < 2 or float(np.ptp(z)) < 0.1:
        return None
    weights = np.linalg.pinv(np.column_stack([np.ones_like(z), z]))
    return combine(weights[1].tolist(), [ring.mean for ring in rings])


def hollow(rings: Sequence[Ring]) -> Quantity | None:
    """Middle station less the mean of the outer two [m], above zero for a barrel; None without three."""
    if len(rings) < 3:
        return None
    return rings[len(rings) // 2].mean - (rings[0].mean + rings[-1].mean) * 0.5


def in_words(direction: float) -> str:
    """A direction of the two lobes, to a degree."""
    return say("journal.direction", degrees=f"{math.degrees(direction) % 180.0:.0f}")
