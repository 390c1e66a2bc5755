"""The blue pattern as numbers: a grid of cells over the loaded half, heavy, light or none.

Angles are turned so that they count from the middle of the loaded half, positive to the right as seen from
the machine's viewing end; rows run from the card's first end.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from whitemetal.card import Card
from whitemetal.gauging.contract import Place, Reading

COLUMNS, ROWS = 12, 6
"""Cells round the half (15 degrees each) and along the axis. Our own: a thumb still hits them."""

COLOURS = ("heavy", "light", "none")
HEAVY, LIGHT, NONE = 0, 1, 2

LOAD_ANGLE: dict[str, float] = {"down": math.pi, "left": -0.5 * math.pi, "right": 0.5 * math.pi, "up": 0.0}
"""Where the load points, from top centre [rad]: by definition."""


def middle_of_half(card: Card) -> float:
    """Middle of the loaded half, from top centre [rad]."""
    return math.pi if card.duty.loaded_half == "lower" else 0.0


def wrapped(angle: float) -> float:
    """An angle between -pi and pi [rad]."""
    return math.remainder(angle, 2.0 * math.pi)


def standard_places(card: Card) -> tuple[Place, ...]:
    """Every cell, row by row from the first end, left to right as seen from the viewing end."""
    middle, wide = middle_of_half(card), math.pi / COLUMNS
    deep = card.bearing.length / ROWS
    return tuple(
        Place(
            f"{chr(ord('A') + row)}{column + 1}",
            (row + 0.5) * deep,
            wrapped(middle + _side(card) * (column - 0.5 * (COLUMNS - 1)) * wide),
            chr(ord("A") + row),
            title=f"row {chr(ord('A') + row)}, {abs((column - 0.5 * (COLUMNS - 1)) * 180 / COLUMNS):.1f}° "
            f"{'left' if column < COLUMNS / 2 else 'right'} of the middle",
        )
        for row in range(ROWS)
        for column in range(COLUMNS)
    )


def _side(card: Card) -> float:
    """+1 where angles from top centre grow to the right across the half, -1 over the lower half."""
    return -1.0 if card.duty.loaded_half == "lower" else 1.0


@dataclass(frozen=True)
class Pattern:
    """colour: shape (rows, columns), HEAVY, LIGHT, NONE, or -1 where nobody looked. angle: middle of each
    column from the middle of the half [rad], ascending to the right; axial: middle of each row [m]. wide
    [rad], deep [m]: size of a cell. load: angle of the load line from the middle of the half [rad].
    """

    colour: NDArray[np.int64]
    angle: NDArray[np.float64]
    axial: NDArray[np.float64]
    wide: float
    deep: float
    load: float

    @property
    def seen(self) -> bool:
        """Whether every cell was looked at."""
        return bool(np.all(self.colour >= 0))

    @property
    def touches(self) -> NDArray[np.bool_]:
        """Cells with blue, heavy or light, shape (rows, columns)."""
        return np.isin(self.colour, (HEAVY, LIGHT))


def pattern_of(card: Card, places: Sequence[Place], readings: Sequence[Reading]) -> Pattern:
    """The grid that the places span, with the last reading of each cell."""
    middle, side = middle_of_half(card), _side(card)
    at = {
        place.label: (round(side * wrapped(place.angle - middle), 9), round(place.axial, 9))
        for place in places
    }
    angles, axials = sorted({angle for angle, _ in at.values()}), sorted({axial for _, axial in at.values()})
    colour = np.full((len(axials), len(angles)), -1, dtype=np.int64)
    for reading in readings:
        angle, axial = at[reading.place]
        colour[axials.index(axial), angles.index(angle)] = int(reading.value)
    direction = LOAD_ANGLE.get(card.duty.direction, middle)
    return Pattern(
        colour, np.array(angles), np.array(axials), math.pi / len(angles), card.bearing.length / len(axials),
        side * wrapped(direction - middle),
    )  # fmt: skip
