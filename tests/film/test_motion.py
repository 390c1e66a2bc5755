"""Whirl: the border of stability against the eigenvalues of the rotor."""

from __future__ import annotations

import math

import pytest

from whitemetal.errors import InputError
from whitemetal.film import short
from whitemetal.film.motion import Coefficients, decay, whirl


@pytest.mark.parametrize("e", [0.02, 0.2, 0.4, 0.6, 0.75])
def test_eigenvalues_change_sign_at_the_threshold(e: float) -> None:
    """Independent of the border's formula: the quartic's roots."""
    film = short.coefficients(e)
    border = whirl(film).threshold
    assert decay(film, 0.999 * border) < 0.0 < decay(film, 1.001 * border)


@pytest.mark.parametrize("e", [0.77, 0.9])
def test_stable_at_any_speed(e: float) -> None:
    film = short.coefficients(e)
    assert whirl(film).threshold == math.inf
    assert whirl(film).ratio == 0.0
    assert decay(film, 1e4) < 0.0


def test_a_film_that_pushes_sideways_more_than_it_holds() -> None:
    """Only cross stiffness: no speed is stable, and the eigenvalues say so."""
    film = Coefficients(((0.0, 2.0), (-2.0, 0.0)), ((4.0, 0.0), (0.0, 4.0)))
    assert whirl(film).threshold == 0.0
    assert decay(film, 1e-3) > 0.0


@pytest.mark.parametrize(
    "damping", [((0.0, 0.0), (0.0, 1.0)), ((1.0, 2.0), (2.0, 1.0)), ((math.nan, 0), (0, 1.0))]
)
def test_no_damping_is_refused(damping: tuple[tuple[float, float], tuple[float, float]]) -> None:
    with pytest.raises(InputError, match="damping"):
        whirl(Coefficients(((1.0, 1.0), (-1.0, 1.0)), damping))
