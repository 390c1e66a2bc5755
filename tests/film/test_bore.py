"""A card and measured values as a clearance array."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from whitemetal.card import Bearing, Duty
from whitemetal.errors import InputError
from whitemetal.film.balance import position
from whitemetal.film.bore import Measured, bore_of

PLAIN = Bearing("drive end", 0.160, 0.120)
DOWN = Duty(10e3, "down")


def test_plain_bore_is_half_the_diametral_clearance() -> None:
    bore = bore_of(PLAIN, DOWN, Measured(0.3e-3))
    np.testing.assert_allclose(bore.clearance, 0.15e-3, rtol=1e-14, atol=0)
    assert bore.slenderness == pytest.approx(0.75)
    assert bore.load_angle == pytest.approx(math.pi)
    assert bore.feed is None


def test_taper_and_tilt_are_differences_between_the_ends() -> None:
    """Wider by the taper (diametral) at the second end; the journal stands nearer the top there by the tilt, so
    the gap at the top is less by it and that at the bottom more."""
    taper = bore_of(PLAIN, DOWN, Measured(0.3e-3, taper=0.04e-3)).clearance
    assert 2 * (taper[0, -1] - taper[0, 0]) == pytest.approx(0.04e-3)
    tilt = bore_of(PLAIN, DOWN, Measured(0.3e-3, tilt=(0.04e-3, 0.0))).clearance
    assert tilt[0, -1] - tilt[0, 0] == pytest.approx(-0.04e-3)
    assert tilt[90, -1] - tilt[90, 0] == pytest.approx(0.04e-3)


def test_rotation_turns_the_map_over() -> None:
    """The same bearing seen with the shaft turning the other way: right and left of it change places."""
    measured = Measured(0.3e-3, tilt=(0.0, 0.05e-3), sideways=0.02e-3)
    one = bore_of(PLAIN, Duty(1.0, "right"), measured)
    other = bore_of(PLAIN, Duty(1.0, "right"), measured, rotation="anticlockwise")
    assert other.load_angle == pytest.approx(2 * math.pi - one.load_angle)
    inside = np.delete(np.arange(180), [45, 135])  # the joint itself belongs to one half or the other
    np.testing.assert_allclose(other.clearance[-inside % 180], one.clearance[inside], rtol=1e-12, atol=0)


def test_lemon_and_grooves() -> None:
    bearing = replace(PLAIN, profile="lemon", side_to_top=2.0)
    bore = bore_of(bearing, DOWN, Measured(0.2e-3))
    assert bore.clearance[0, 0] == pytest.approx(0.1e-3)
    assert bore.clearance[45, 0] == pytest.approx(0.2e-3)
    assert bore.feed is not None
    assert bore.feed[:, 20].sum() == 22
    assert bore_of(replace(PLAIN, groove_at_top=True), DOWN, Measured(0.2e-3)).feed is not None


def test_tilt_that_the_mean_does_not_show_thins_the_film() -> None:
    """The mean clearance is the same; a tilt of a fifth of it takes more than a third of the least film."""
    films = [
        position(2.0, bore.load_angle, bore.dimensionless, bore.slenderness).least_gap
        for bore in (
            bore_of(PLAIN, DOWN, Measured(0.3e-3)), bore_of(PLAIN, DOWN, Measured(0.3e-3, tilt=(0.06e-3, 0.0))),
        )
    ]  # fmt: skip
    assert films[1] < 0.65 * films[0]


@pytest.mark.parametrize(
    ("field", "bearing", "duty", "measured"),
    [
        ("bearing.profile", replace(PLAIN, profile="tilting pad"), DOWN, Measured(1e-4)),
        ("bearing.side_to_top", replace(PLAIN, profile="lemon"), DOWN, Measured(1e-4)),
        ("duty.direction", PLAIN, Duty(1.0, "not known"), Measured(1e-4)),
        ("clearance", PLAIN, DOWN, Measured(0.0)),
        ("clearance", PLAIN, DOWN, Measured(math.nan)),
        ("clearance", PLAIN, DOWN, Measured(1e-4, taper=3e-4)),
    ],
)
def test_bad_input_names_its_field(field: str, bearing: Bearing, duty: Duty, measured: Measured) -> None:
    with pytest.raises(InputError) as caught:
        bore_of(bearing, duty, measured)
    assert [problem.field for problem in caught.value.problems] == [field]
