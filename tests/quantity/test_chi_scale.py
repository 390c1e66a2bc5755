"""The scale of the joint t probability, taken at nodes, against the quantile itself."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import chdtri

from whitemetal.quantity import chance


def probabilities() -> NDArray[np.float64]:
    """Those of the lattice's first column: fractional parts of k sqrt(2), folded."""
    steps = np.arange(1, chance.LATTICE_POINTS + 1) * np.sqrt(2.0)
    return np.asarray(np.clip(np.abs(2.0 * (steps % 1.0) - 1.0), 1e-12, 1 - 1e-12))


def test_two_degrees_of_freedom_in_closed_form() -> None:
    """Chi-square with two degrees of freedom is exponential: its quantile is -2 ln(1 - p)."""
    expected = np.sqrt(-np.log1p(-probabilities()))
    np.testing.assert_allclose(chance._chi_scale(2.0), expected, rtol=0.0, atol=2e-5)


@pytest.mark.parametrize("dof", [1.0, 3.0, 7.5, 40.0, 1e4, 9e5])
def test_against_the_tail_quantile(dof: float) -> None:
    expected = np.sqrt(chdtri(dof, 1.0 - probabilities()) / dof)
    np.testing.assert_allclose(chance._chi_scale(dof), expected, rtol=0.0, atol=2e-5)


def test_no_finite_dof_is_the_normal_distribution() -> None:
    assert set(chance._chi_scale(np.inf)) == {1.0}
