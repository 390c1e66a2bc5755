"""Stiffness, damping and whirl: the short bearing to all printed digits, and a table for two axial grooves."""

from __future__ import annotations

import math
from functools import partial

import numpy as np
import pytest

from tests.published.case import Case
from whitemetal.film import short
from whitemetal.film.gap import groove, plain
from whitemetal.film.motion import whirl
from whitemetal.film.solved import Setting, point_at

FRISWELL = "Friswell, Penny, Garvey & Lees, Dynamics of Rotating Machines, example 5.5.1"
SPEED, LOAD, CLEARANCE = 2 * math.pi * 1500 / 60, 525.0, 1e-4


def friswell_eccentricity() -> float:
    """D 100 mm, L 30 mm, c 0.1 mm, 0.1 Pa s, 1500 rev/min, 525 N."""
    s = (0.05 / CLEARANCE) ** 2 * 0.1 * 25.0 / (LOAD / (0.1 * 0.03))
    return short.eccentricity_for(s, 0.3)


def friswell(kind: str, row: str, column: str) -> float:
    """An entry in their axes: u horizontal is our y, v vertical is against our x."""
    film = short.coefficients(friswell_eccentricity())
    matrix, unit = {
        "K": (film.stiffness, LOAD / CLEARANCE / 1e6),
        "C": (film.damping, LOAD / CLEARANCE / SPEED / 1e3),
    }[kind]
    index = {"u": (1, 1.0), "v": (0, -1.0)}
    (i, a), (j, b) = index[row], index[column]
    return a * b * matrix[i][j] * unit


ENTRIES = (
    ("K", "u", "u", "12.81"), ("K", "u", "v", "16.39"), ("K", "v", "u", "-25.06"), ("K", "v", "v", "8.815"),
    ("C", "u", "u", "232.9"), ("C", "u", "v", "-81.92"), ("C", "v", "u", "-81.92"), ("C", "v", "v", "294.9"),
)  # fmt: skip

CASES = (
    Case("eccentricity", FRISWELL, "seen", "0.2663", friswell_eccentricity),
    *(
        Case(
            f"{kind}{row}{column}", FRISWELL, "seen", text,
            partial(friswell, kind, row, column),
            "MN/m" if kind == "K" else "kN s/m",
        )
        for kind, row, column, text in ENTRIES
    ),
    Case(
        "whirl ratio as e -> 0", "short bearing, derived from its closed forms", "derived", "0.500",
        lambda: whirl(short.coefficients(0.01)).ratio,
    ),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_published(case: Case) -> None:
    case.check()


def test_short_bearing_is_stable_at_any_speed_above_0_7560() -> None:
    """The border at which whirl² vanishes, derived from the closed forms: 0.7560."""
    low, high = 0.5, 0.9
    while high - low > 1e-9:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if whirl(short.coefficients(middle)).ratio_squared > 0 else (low, middle)
    assert low == pytest.approx(0.7560, abs=5e-5)


GROOVES = "two 20° axial grooves at ±90° from the load, L/D 0.5 (table of the type of Lund & Thomsen 1978)"
TABLE = (
    (0.207, 2.030, 68.75, (1.65, 5.67, -2.50, 1.93), (11.18, 2.07, 5.33)),
    (0.570, 0.378, 45.43, (3.33, 3.64, -0.43, 1.68), (6.76, 1.87, 1.89)),
    (0.809, 0.086, 30.04, (7.51, 4.42, 0.47, 1.59), (8.03, 1.79, 1.03)),
)


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"e {row[0]}")
def test_two_groove_table(row: tuple[float, float, float, tuple[float, ...], tuple[float, ...]]) -> None:
    """S within half a printed step or 0.2 %, attitude within 0.1°, coefficients within 1 % or 0.05."""
    e, s, attitude, stiffness, damping = row
    grooves = groove(math.pi / 2, math.radians(20.0), 1.0) | groove(-math.pi / 2, math.radians(20.0), 1.0)
    point = point_at(Setting(plain(), 0.5, direction=0.0, feed=grooves), e)
    assert point.sommerfeld == pytest.approx(s, rel=2e-3, abs=5e-4)
    assert math.degrees(point.attitude) == pytest.approx(attitude, abs=0.1)
    assert point.coefficients is not None
    np.testing.assert_allclose(np.ravel(point.coefficients.stiffness), stiffness, rtol=0.01, atol=0.05)
    (cxx, cxy), (cyx, cyy) = point.coefficients.damping
    np.testing.assert_allclose((cxx, cxy, cyy), damping, rtol=0.01, atol=0.05)
    assert cxy == pytest.approx(cyx, abs=0.01)
