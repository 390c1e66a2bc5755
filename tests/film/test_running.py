"""The heat balance and what follows from it."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from whitemetal.errors import InputError
from whitemetal.film.curve import short_bearing
from whitemetal.film.heat import CarriedByOil, Convection, Held
from whitemetal.film.motion import decay, whirl
from whitemetal.film.oil import ICE, from_grade
from whitemetal.film.running import REFERENCE, Conditions, settle

CURVE = short_bearing(0.25)
FAN = Conditions(
    0.16, 0.04, 990 * math.pi / 30, 6000.0, from_grade("ISO VG 68"), Convection(ICE + 25.0, 0.6)
)  # fmt: skip


def test_the_balance_balances() -> None:
    """Friction computed anew from the state leaves through the housing at the state's temperature."""
    state = settle(FAN, 0.2e-3, CURVE)
    assert state.answer == "runs"
    assert state.power == pytest.approx(state.friction * 6000.0 * 0.08 * FAN.speed, rel=1e-12)
    assert 20.0 * 0.6 * (state.temperature - ICE - 25.0) == pytest.approx(state.power, rel=1e-6)
    assert state.viscosity == pytest.approx(FAN.oil.dynamic(state.temperature), rel=1e-12)
    assert abs(state.residual) <= 1e-6 and state.iterations > 0


def test_so_is_that_of_the_running_clearance() -> None:
    state = settle(FAN, 0.2e-3, CURVE)
    psi = state.clearance / 0.16
    so = 6000.0 * psi**2 / (0.16 * 0.04 * state.viscosity * FAN.speed)
    assert state.load_number == pytest.approx(so, rel=1e-9)
    assert state.film == pytest.approx((1 - state.eccentricity) * state.clearance / 2, rel=1e-3)


def test_clearance_at_running_temperature() -> None:
    """By hand: 40 K above 20 degC, steel in iron, 160 mm: 160e-3 * 40 * (10.5 - 11.5)e-6 = -6.4 µm."""
    assert FAN.running_clearance(0.2e-3, REFERENCE + 40.0) == pytest.approx(193.6e-6, rel=1e-9)
    cold_housing = replace(FAN, housing_follows=0.0, ambient=REFERENCE)
    assert cold_housing.running_clearance(0.2e-3, REFERENCE + 40.0) == pytest.approx(126.4e-6, rel=1e-9)


def test_carried_by_oil() -> None:
    given = replace(FAN, cooling=CarriedByOil(ICE + 45.0))
    state = settle(given, 0.2e-3, CURVE)
    rise = state.power / (1.8e6 * state.side_flow)
    assert state.hottest == pytest.approx(ICE + 45.0 + rise, abs=1e-4)
    assert state.temperature == pytest.approx(ICE + 45.0 + rise / 2, abs=1e-4)
    more = settle(given, 0.2e-3, CURVE, pressure_flow=lambda psi, mu, e: 5e-6)
    assert more.pressure_flow == 5e-6
    assert more.hottest < state.hottest


def test_thinner_oil_runs_cooler_and_thinner() -> None:
    thick, thin = settle(FAN, 0.2e-3, CURVE), settle(replace(FAN, oil=from_grade("32")), 0.2e-3, CURVE)
    assert thin.temperature < thick.temperature
    assert thin.film < thick.film


def test_a_load_it_cannot_carry_is_an_answer() -> None:
    state = settle(replace(FAN, load=4e6), 0.2e-3, CURVE)
    assert (state.answer, state.film, state.eccentricity) == ("contact", 0.0, 1.0)
    assert math.isnan(state.threshold)


def test_too_much_heat_is_an_answer() -> None:
    state = settle(replace(FAN, cooling=Convection(ICE + 25.0, 0.01)), 0.2e-3, CURVE)
    assert state.answer in ("overheats", "contact")
    hot = settle(replace(FAN, load=500.0, cooling=Convection(ICE + 25.0, 0.01)), 0.1e-3, CURVE)
    assert (hot.answer, hot.hottest) == ("overheats", math.inf)


def test_the_growing_journal_may_take_the_whole_clearance() -> None:
    state = settle(replace(FAN, shell_expansion=0.0, cooling=Held(ICE + 140.0)), 0.05e-3, CURVE)
    assert state.answer == "contact"


def test_threshold_speed_is_where_the_rotor_starts_to_whirl() -> None:
    """At the threshold, with viscosity and clearance of the state, the eigenvalues change sign."""
    given = replace(FAN, load=1500.0, cooling=Held(ICE + 60.0))
    state = settle(given, 0.24e-3, CURVE)
    assert math.isfinite(state.threshold)
    signs = []
    for part in (0.999, 1.001):
        speed = part * state.threshold
        point = CURVE.at(state.load_number * given.speed / speed)
        assert point is not None and point.coefficients is not None
        mass = given.carried_mass * 0.5 * state.clearance * speed**2 / given.load
        signs.append(decay(point.coefficients, mass))
    assert signs[0] < 0.0 < signs[1]


def test_threshold_below_the_running_speed_is_found() -> None:
    given = replace(FAN, load=60.0, mass=600.0, cooling=Held(ICE + 40.0))
    state = settle(given, 0.4e-3, CURVE)
    assert 0.0 < state.threshold < given.speed
    point = CURVE.at(state.load_number * given.speed / state.threshold)
    assert point is not None and point.coefficients is not None
    mass = given.carried_mass * 0.5 * state.clearance * state.threshold**2 / given.load
    assert whirl(point.coefficients).threshold == pytest.approx(mass, rel=1e-3)


def test_a_journal_all_but_centred_has_a_film_and_no_whirl_threshold() -> None:
    """Below the first eccentricity of the curve its stiffness is no more than carried on: it says so."""
    state = settle(replace(FAN, load=2.0), 0.2e-3, CURVE)
    assert state.eccentricity < CURVE.points[0].eccentricity
    assert (state.answer, state.threshold_is, state.whirl) == ("runs", "centred", None)
    assert math.isnan(state.threshold)
    assert state.film == pytest.approx(0.5 * state.clearance, rel=0.01)


def test_a_threshold_beyond_which_the_journal_centres_is_told_as_a_lower_bound() -> None:
    """A rotor of a tenth of the load's weight stays steady until it is all but centred: a little above
    the speed told the curve no longer knows it, at that speed it does, and is stable (eigenvalues)."""
    given = replace(FAN, load=60.0, mass=0.6)
    state = settle(given, 0.2e-3, CURVE)
    assert state.threshold_is == "at least"
    beyond = CURVE.at(state.load_number * given.speed / (1.001 * state.threshold))
    here = CURVE.at(state.load_number * given.speed / state.threshold)
    assert beyond is not None and beyond.centred
    assert here is not None and here.coefficients is not None
    mass = 0.6 * 0.5 * state.clearance * state.threshold**2 / given.load
    assert decay(here.coefficients, mass) < 0.0


def test_reynolds_number_by_hand() -> None:
    """rho U c/mu against 41.3/sqrt(psi)."""
    state = settle(FAN, 0.2e-3, CURVE)
    by_hand = FAN.oil.density(state.temperature) * 0.08 * FAN.speed * state.clearance / 2 / state.viscosity
    assert state.reynolds == pytest.approx(by_hand, rel=1e-9)
    assert state.reynolds_limit == pytest.approx(41.3 / math.sqrt(state.clearance / 0.16), rel=1e-9)
    assert state.laminar


@pytest.mark.parametrize("cold", [0.0, -1e-4, math.nan])
def test_no_clearance(cold: float) -> None:
    with pytest.raises(InputError, match="clearance"):
        settle(FAN, cold, CURVE)


def test_every_fault_at_once() -> None:
    with pytest.raises(InputError) as caught:
        replace(FAN, speed=0.0, load=-1.0, mass=0.0)
    assert [p.field for p in caught.value.problems] == ["speed", "load", "mass"]


def test_a_cooling_colder_than_the_oil_is_known() -> None:
    with pytest.raises(InputError, match="temperature"):
        settle(replace(FAN, cooling=Held(ICE - 40.0)), 0.2e-3, CURVE)
