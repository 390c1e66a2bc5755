"""The infinitely long bearing against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from whitemetal.errors import InputError
from whitemetal.film import gap
from whitemetal.film.infinite import solve_long
from whitemetal.film.kinds import Array
from whitemetal.film.reynolds import solve


@pytest.mark.parametrize("e", [0.2, 0.5, 0.8])
def test_full_film_is_sommerfelds(e: float) -> None:
    """S = (2 + e^2) sqrt(1 - e^2) / (12 pi^2 e), phi = 90 degrees (Sommerfeld 1904): a film that cannot
    rupture because one line feeds it at high pressure. At e = 0.5, S = 0.032905."""
    theta = gap.around(720)
    feed = np.zeros(720, dtype=bool)
    feed[360] = True
    film = solve_long(1.0 - e * np.cos(theta), feed=feed, feed_pressure=50.0)
    expected = (2 + e * e) * math.sqrt(1 - e * e) / (12 * math.pi**2 * e)
    assert 1 / (2 * math.pi * film.load) == pytest.approx(expected, rel=1e-4)
    assert math.degrees(-film.load_angle) == pytest.approx(90.0, abs=0.02)


def test_rupture_is_where_the_closed_form_has_it() -> None:
    """p = 0 and dp/dtheta = 0 at the rupture (Swift and Stieber): the flow there is that of the gap, so the
    flow in at the widest gap, Q/(R c N L) = pi h at the rupture."""
    theta = gap.around(1440)
    h = 1.0 + 0.6 * np.cos(theta)
    film = solve_long(h)
    last = int(np.flatnonzero(film.pressure > 0).max())
    assert h[last] <= film.inlet_flow / math.pi <= h[last + 2]


def test_finite_bearing_tends_to_it() -> None:
    """So of L/D = 4 is below it and above that of L/D = 2, and the lack shrinks about as D/L."""
    long = solve_long(gap.circular(0.5, 0.0, 360, 5)[:, 0]).load
    two, four = (solve(gap.circular(0.5), k).load for k in (2.0, 4.0))
    assert two < four < long
    assert (long - two) / (long - four) == pytest.approx(2.0, rel=0.25)


@pytest.mark.parametrize("row", [np.ones(5), np.ones((24, 5)), np.full(24, math.nan), np.zeros(24)])
def test_bad_gap(row: Array) -> None:
    with pytest.raises(InputError) as caught:
        solve_long(row)
    assert caught.value.problems[0].field == "gap"
