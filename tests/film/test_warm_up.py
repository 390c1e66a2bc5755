"""The transient against its own steady end, a closed form and common sense."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from whitemetal.errors import InputError
from whitemetal.film.curve import short_bearing
from whitemetal.film.heat import CarriedByOil, Convection
from whitemetal.film.oil import ICE, from_grade
from whitemetal.film.running import Conditions
from whitemetal.film.warm_up import Masses, guessed, warm_up

CURVE = short_bearing(0.25)
FAN = Conditions(
    0.16, 0.04, 990 * math.pi / 30, 6000.0, from_grade("ISO VG 68"), Convection(ICE + 25.0, 0.6)
)  # fmt: skip
START = ICE + 15.0
MASSES = guessed(FAN, 0.2e-3, start=START)


def test_the_end_is_a_balance() -> None:
    """At rest what friction makes leaves by the air: T_h = T_amb + P/(k_A A), with P of the film then."""
    found = warm_up(FAN, 0.2e-3, CURVE, MASSES, hours=48.0)
    assert found.settled and not found.contact
    t, gap = float(found.film_temperature[-1]), float(found.clearance[-1])
    point = CURVE.at(FAN.load_number(gap, FAN.oil.dynamic(t)))
    assert point is not None
    power = point.friction * gap / 0.16 * FAN.load * FAN.surface_speed
    assert found.housing[-1] == pytest.approx(ICE + 25.0 + power / 12.0, abs=0.05)
    assert found.journal[-1] == pytest.approx(t, abs=0.05)


def test_the_least_gap_comes_in_warm_up() -> None:
    """Journal and housing of the same expansion: only the lag closes the gap, and it is gone in the end."""
    alike = replace(FAN, shell_expansion=FAN.journal_expansion)
    quick = replace(MASSES, film_to_journal=400.0, film_to_housing=400.0, housing=150e3)
    found = warm_up(alike, 0.2e-3, CURVE, quick, hours=48.0)
    assert found.least_clearance < found.clearance[-1] < found.clearance[0]
    assert 60.0 < found.least_clearance_at < 3600.0
    assert found.least_clearance == found.clearance.min()


def test_clearance_by_hand() -> None:
    found = warm_up(FAN, 0.2e-3, CURVE, MASSES)
    rise_h, rise_j = found.housing - ICE - 20.0, found.journal - ICE - 20.0
    expected = 0.2e-3 + 0.16 * (10.5e-6 * rise_h - 11.5e-6 * rise_j)
    np.testing.assert_allclose(found.clearance, expected, rtol=1e-12)


def test_heat_is_kept() -> None:
    """Without any loss everything that friction made is in journal and housing: integrated by trapezia."""
    closed = replace(MASSES, to_air=0.0, along_shaft=0.0)
    found = warm_up(FAN, 0.2e-3, CURVE, closed, hours=0.5)
    made = closed.film_to_journal * (found.film_temperature - found.journal)
    made += closed.film_to_housing * (found.film_temperature - found.housing)
    stored = closed.journal * (found.journal[-1] - START) + closed.housing * (found.housing[-1] - START)
    assert np.trapezoid(made, found.time) == pytest.approx(stored, rel=2e-3)


def test_a_tight_bearing_closes_on_the_shaft() -> None:
    """No growth of the housing for a long time: the journal takes the clearance, and that is an answer."""
    heavy = replace(MASSES, housing=1e9)
    found = warm_up(FAN, 0.05e-3, CURVE, heavy)
    assert found.contact and found.least_film == 0.0
    assert found.time[-1] < 3600.0 and not found.settled


def test_a_bearing_that_touches_before_it_starts() -> None:
    hot = replace(MASSES, start=ICE + 100.0)
    found = warm_up(replace(FAN, shell_expansion=0.0), 0.05e-3, CURVE, hot)
    assert found.contact and len(found.time) == 1


def test_oil_carries_heat_away() -> None:
    fed = replace(FAN, cooling=CarriedByOil(ICE + 45.0), ambient=ICE + 25.0)
    found = warm_up(fed, 0.2e-3, CURVE, replace(MASSES, to_air=0.0), hours=48.0)
    point = CURVE.at(fed.load_number(found.clearance[-1], fed.oil.dynamic(float(found.film_temperature[-1]))))
    assert point is not None
    gap = float(found.clearance[-1])
    power = point.friction * gap / 0.16 * fed.load * fed.surface_speed
    flow = point.side_flow * fed.surface_speed * 0.5 * gap * fed.length
    assert found.film_temperature[-1] == pytest.approx(ICE + 45.0 + power / (2 * 1.8e6 * flow), abs=0.1)


def test_bad_input() -> None:
    with pytest.raises(InputError, match="clearance"):
        warm_up(FAN, -1.0, CURVE, MASSES)
    with pytest.raises(InputError) as caught:
        Masses(0.0, 1.0, 1.0, math.nan, -1.0, 1.0, 300.0)
    fields = {problem.field for problem in caught.value.problems}
    assert fields == {"warm_up.journal", "warm_up.film_to_housing", "warm_up.along_shaft"}
