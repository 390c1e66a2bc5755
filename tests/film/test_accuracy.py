"""Accuracy of the default grid, against finer grids extrapolated to none (Richardson)."""

from __future__ import annotations

import pytest

from whitemetal.film import gap
from whitemetal.film.reynolds import solve


def extrapolated(eccentricity: float, angle: float, slenderness: float) -> float:
    """So from 360x81 and 720x161 as the grid goes to nothing, second order."""
    coarse, fine = (
        solve(gap.circular(eccentricity, angle, 180 * k, 40 * k + 1), slenderness).load for k in (2, 4)
    )  # fmt: skip
    return fine + (fine - coarse) / 3.0


@pytest.mark.parametrize("slenderness", [0.25, 0.5, 1.0, 2.0])
@pytest.mark.parametrize(
    ("eccentricity", "allowed"), [(0.1, 2e-3), (0.5, 2e-3), (0.8, 2e-3), (0.9, 2e-3), (0.95, 5e-3)]
)
def test_default_grid(eccentricity: float, allowed: float, slenderness: float) -> None:
    """So within 0.2 % to eccentricity 0.9, 0.5 % to 0.95, wherever the narrowest gap lies between nodes."""
    for angle in (0.0, 0.3):
        usual = solve(gap.circular(eccentricity, angle), slenderness).load
        assert usual == pytest.approx(extrapolated(eccentricity, angle, slenderness), rel=allowed)
