"""Bores and masks as arrays."""

from __future__ import annotations

import math

import numpy as np
import pytest

from whitemetal.errors import InputError
from whitemetal.film import gap


def test_journal_takes_the_gap_it_moves_towards() -> None:
    """h = c - x cos - y sin to first order in clearance over radius, derived from geometry."""
    h = gap.circular(0.4, math.radians(60))
    assert h.min() == pytest.approx(0.6, abs=1e-12)
    assert int(h[:, 0].argmin()) == 30
    tilted = gap.circular(0.0, tilt=(0.2, 0.0))
    assert tilted[0, 0] == pytest.approx(1.2)
    assert tilted[0, -1] == pytest.approx(0.8)
    assert tilted[90, -1] == pytest.approx(1.2)


def test_lemon_has_its_clearances() -> None:
    h = gap.lemon(2.0, joint=math.pi / 2, top=0.5)[:, 0]
    np.testing.assert_allclose(h[[0, 90]], 0.5, rtol=1e-12, atol=0)
    np.testing.assert_allclose(h[[45, 135]], 1.0, rtol=1e-12, atol=0)


def test_taper_keeps_the_mean() -> None:
    h = gap.plain(taper=0.3)
    assert h.mean() == pytest.approx(1.0)
    assert h[0, -1] - h[0, 0] == pytest.approx(0.3)


def test_half_moved_sideways() -> None:
    """The half above the joint line moves; gap at its joint grows on one side by what it loses on the
    other."""
    h = gap.sideways(gap.plain(), 0.1, joint=0.0, first=0.0)[:, 0]
    assert h[0] == pytest.approx(1.1)
    assert h[89] == pytest.approx(1.0 + 0.1 * math.cos(2 * math.pi * 89 / 180))
    np.testing.assert_allclose(h[90:], 1.0, rtol=0, atol=0)


def test_relief_is_deepest_at_the_joint() -> None:
    h = gap.relieved(gap.plain(), math.pi / 2, math.radians(40), 0.5)[:, 0]
    assert h[45] == pytest.approx(1.5)
    assert h[50] == pytest.approx(1.25)
    assert h[60] == h[0] == pytest.approx(1.0)


def test_groove_covers_its_angle_and_length() -> None:
    mask = gap.groove(math.pi / 2, math.radians(20), 0.8)
    assert mask[:, 20].sum() == 11  # both edges on nodes 2 degrees apart
    assert mask[45].sum() == 33  # |zeta| <= 0.8 in steps of 0.05
    assert not mask[:, [0, -1]].any()


def test_groove_narrower_than_the_grid_is_not_lost() -> None:
    assert gap.groove(1.0, 1e-3, 0.8).any()
    assert gap.hole(1.0, 1e-3, 1.0).sum() == 1
    with pytest.raises(InputError):
        gap.groove(1.0, 0.3, 1e-4, centre=0.03)


def test_round_hole_covers_its_area() -> None:
    mask = gap.hole(1.0, 0.5, 1.0, 720, 161)
    cell = 2 * math.pi / 720 * 2 / 160
    assert mask.sum() * cell == pytest.approx(math.pi * 0.25, rel=0.02)


def test_places_are_met_where_they_were_read() -> None:
    angles = np.array([0.0, math.pi / 2, math.pi, 0.0, math.pi / 2, math.pi])
    zetas = np.array([-0.8, -0.8, -0.8, 0.8, 0.8, 0.8])
    values = np.array([1.0, 1.2, 1.0, 1.1, 1.4, 1.3])
    h = gap.from_places(angles, zetas, values)
    stations = (round(float(z + 1) / 0.05) for z in zetas)
    for angle, j, value in zip(angles, stations, values, strict=True):
        assert h[round(float(angle) / (2 * math.pi) * 180), j] == pytest.approx(value)
