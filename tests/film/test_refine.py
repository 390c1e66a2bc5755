"""A pressure moved along with the journal, by hand on the smallest grids."""

from __future__ import annotations

import numpy as np
import pytest

from whitemetal.film import refine

NOWHERE = np.zeros((4, 5), dtype=bool)


def test_a_field_is_read_straight_between_its_points() -> None:
    """Two points round (a ring: the second is followed by the first) and three along, the ends at nothing:
    between 4 and 8 lies 6, half-way along to an end half of it."""
    fine = np.full((4, 5), np.nan)
    refine.finer(np.array([[0.0, 4.0, 0.0], [0.0, 8.0, 0.0]]), fine, NOWHERE)
    np.testing.assert_allclose(fine[:, 2], [4.0, 6.0, 8.0, 6.0])
    np.testing.assert_allclose(fine[:, 1], [2.0, 3.0, 4.0, 3.0])
    np.testing.assert_allclose(fine[:, [0, 4]], 0.0)


def test_a_pressure_follows_both_coordinates_and_stays_above_nothing() -> None:
    """10 + 2 * 3 - 1 * 4 = 12; where 10 + 2 * 3 - 1 * 20 it is held at 0; the fed node stays."""
    by_u = np.array([[0.0, 3.0, 0.0], [0.0, 3.0, 0.0]])
    by_v = np.array([[0.0, 4.0, 0.0], [0.0, 20.0, 0.0]])
    known = np.zeros((2, 3), dtype=bool)
    same = np.full((2, 3), 10.0)
    refine.follow(same, by_u, 2.0, by_v, -1.0, known)
    np.testing.assert_allclose(same[:, 1], [12.0, 0.0])
    fine, fed = np.full((4, 5), 10.0), NOWHERE.copy()
    fed[0, 1] = True
    refine.follow_finer(fine, by_u, 2.0, by_v, -1.0, fed)
    np.testing.assert_allclose(fine[:, 2], [12.0, 4.0, 0.0, 4.0])
    assert fine[0, 1] == 10.0
    assert fine[2, 1] == pytest.approx(3.0)


def test_scaled() -> None:
    p, known = np.array([[0.0, 2.0, 4.0, 0.0]]), np.array([[False, True, False, False]])
    refine.scale(p, 3.0, known)
    np.testing.assert_allclose(p, [[0.0, 2.0, 12.0, 0.0]])
