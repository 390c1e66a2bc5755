"""The short and the long bearing's closed forms against quadrature of their pressures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad, quad_vec

from whitemetal.errors import InputError
from whitemetal.film import long, short

ECCENTRICITIES = [0.05, 0.3, 0.6, 0.9]


def short_force(x: float, y: float, vx: float = 0.0, vy: float = 0.0) -> NDArray[np.float64]:
    """Load (x, y) the half film carries, in units of So (D/L)², journal at (x, y), moving at (vx, vy) c omega.

    From d/dz(h³ dp/dz) = 6 mu U dh/dx + 12 mu dh/dt: P = (zeta² - 1)(dH/dtheta + 2 dH/dtau)/(2 H³) in
    units of (L/D)², over the half turn that starts where the gap of the whole motion is widest.
    """
    wx, wy = x - 2.0 * vy, y + 2.0 * vx
    starts = math.atan2(wy, wx) + math.pi

    def strip(angle: float) -> NDArray[np.float64]:
        gap = 1.0 - x * math.cos(angle) - y * math.sin(angle)
        wedge = wx * math.sin(angle) - wy * math.cos(angle)
        return np.array([math.cos(angle), math.sin(angle)]) * -wedge / gap**3

    found, _ = quad_vec(strip, starts, starts + math.pi, epsabs=1e-12, epsrel=1e-12)
    return np.asarray(found, dtype=np.float64)


@pytest.mark.parametrize("e", ECCENTRICITIES)
def test_load_and_attitude(e: float) -> None:
    """So (D/L)² = |force|: 3/2 of the integral of P over the film, with 2/3 of the parabola along the land."""
    x, y = short_force(e, 0.0)
    size = math.hypot(x, y)
    assert 1.0 / (2.0 * math.pi * short.sommerfeld(e, 1.0)) == pytest.approx(size, rel=1e-9)
    assert -math.atan2(y, x) == pytest.approx(short.attitude(e), rel=1e-9)


@pytest.mark.parametrize("e", ECCENTRICITIES)
def test_stiffness_and_damping(e: float) -> None:
    """Central differences of the quadrature, turned to the load's axes."""
    base = short_force(e, 0.0)
    size, angle = math.hypot(*base), math.atan2(base[1], base[0])
    axes = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    step = 1e-4 * min(e, 1 - e)
    k, c = np.empty((2, 2)), np.empty((2, 2))
    for i, (dx, dy) in enumerate(((step, 0.0), (0.0, step))):
        k[:, i] = (short_force(e + dx, dy) - short_force(e - dx, -dy)) / (2 * step * size)
        c[:, i] = (short_force(e, 0, dx, dy) - short_force(e, 0, -dx, -dy)) / (2 * step * size)
    film = short.coefficients(e)
    np.testing.assert_allclose(film.stiffness, axes @ k @ axes.T, rtol=1e-5, atol=1e-5)
    np.testing.assert_allclose(film.damping, axes @ c @ axes.T, rtol=1e-5, atol=1e-5)


@pytest.mark.parametrize("e", ECCENTRICITIES)
def test_peak(e: float) -> None:
    """The largest pressure of the strip at mid-land, found by looking."""
    angles = np.linspace(0, math.pi, 200001)
    highest = float(np.max(e * np.sin(angles) / (1 + e * np.cos(angles)) ** 3))
    expected = 6 * math.pi * 0.25**2 * short.sommerfeld(e, 0.25) * highest
    assert short.peak(e, 0.25) == pytest.approx(expected, rel=1e-8)


def test_published_values() -> None:
    """Recomputed elsewhere: e 0.6 gives S (L/D)² 0.0625299 and 46.321 degrees; long, e 0.5: 0.032905 for the
    full film, 0.0617698 and 69.819 degrees for the half film."""
    assert short.sommerfeld(0.6, 1.0) == pytest.approx(0.0625299, abs=5e-8)
    assert math.degrees(short.attitude(0.6)) == pytest.approx(46.321, abs=5e-4)
    assert long.full_sommerfeld(0.5) == pytest.approx(0.032905, abs=5e-7)
    assert long.half_sommerfeld(0.5) == pytest.approx(0.0617698, abs=5e-8)
    assert math.degrees(long.half_attitude(0.5)) == pytest.approx(69.819, abs=5e-4)


@pytest.mark.parametrize("e", ECCENTRICITIES)
def test_long_bearing_by_quadrature(e: float) -> None:
    """So = 1/2 of the integral of p c²/(mu omega R²) across and along the line of centres."""
    across = quad(lambda t: long.full_pressure(t, e) * math.sin(t), 0, math.pi, epsabs=1e-12)[0]
    along = -quad(lambda t: long.full_pressure(t, e) * math.cos(t), 0, math.pi, epsabs=1e-12)[0]
    assert 1 / (2 * math.pi * long.full_sommerfeld(e)) == pytest.approx(across, rel=1e-9)
    half = 0.5 * math.hypot(across, along)
    assert 1 / (2 * math.pi * long.half_sommerfeld(e)) == pytest.approx(half, rel=1e-9)
    assert long.half_attitude(e) == pytest.approx(math.atan2(across, along), rel=1e-9)


@pytest.mark.parametrize("e", ECCENTRICITIES)
def test_friction_of_the_full_film(e: float) -> None:
    """The self-check of any row: (R/c) f = 2 pi² S/sqrt(1 - e²) + (e/2) sin(attitude), attitude 90 degrees."""
    s = long.full_sommerfeld(e)
    assert long.full_friction(e) == pytest.approx(
        2 * math.pi**2 * s / math.sqrt(1 - e * e) + e / 2, rel=1e-12
    )


@pytest.mark.parametrize("slenderness", [0.1, 0.25])
@pytest.mark.parametrize("e", [1e-6, 0.2, 0.6, 0.98, 1 - 1e-6])
def test_eccentricity_comes_back(e: float, slenderness: float) -> None:
    assert short.eccentricity_for(short.sommerfeld(e, slenderness), slenderness) == pytest.approx(e, rel=1e-9)


@pytest.mark.parametrize("e", [0.0, 1.0, -0.2, math.nan])
def test_no_eccentricity(e: float) -> None:
    for function in (short.attitude, short.coefficients, long.full_sommerfeld, long.half_attitude):
        with pytest.raises(InputError, match="eccentricity"):
            function(e)


def test_petroff_is_the_limit() -> None:
    """A light load: the friction of every film tends to Petroff's."""
    s = short.sommerfeld(1e-5, 0.5)
    assert short.friction(1e-5, 0.5) == pytest.approx(long.centred_friction(s), rel=1e-9)
