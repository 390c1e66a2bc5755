"""From the demo's cards to conditions, curve, window and a bore as measured."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from importlib import resources

import numpy as np
import pytest

from whitemetal.card import Card, Duty, Limit, Oil, read_card
from whitemetal.errors import InputError
from whitemetal.film.bore import Measured, bore_of
from whitemetal.film.heat import CarriedByOil, Convection
from whitemetal.film.nominal import expected_clearance, measured_film, nominal, rotation_of
from whitemetal.film.oil import ICE, from_grade
from whitemetal.film.running import FilmAt, settle
from whitemetal.film.spread import spread
from whitemetal.film.window import sweep
from whitemetal.quantity import Influence, Quantity
from whitemetal.words.en.film import MESSAGES


def demo(name: str) -> Card:
    text = (resources.files("whitemetal.demo_mill") / f"{name}.toml").read_text(encoding="utf-8")
    return read_card(text)


FAN, GEAR, MOTOR = demo("fan_drive_end"), demo("gear_pinion_coupling_end"), demo("motor_drive_end")


def test_the_fan_runs_at_its_known_temperature() -> None:
    """The card says 68 degC: with the middle of its limits, 0.20 mm, the balance must give that back."""
    found = nominal(FAN)
    assert isinstance(found.conditions.cooling, Convection)
    state = settle(found.conditions, 0.20e-3, found.curve)
    assert state.hottest == pytest.approx(ICE + 68.0, abs=1e-3)
    assert expected_clearance(FAN) == pytest.approx(0.20e-3)


def test_the_clearance_to_expect_is_of_the_limit_with_most_authority_wherever_it_stands() -> None:
    """The fan's maker says 0.15 to 0.25 mm, middle 0.20; an owner's 0.30 to 0.50 mm stands before it."""
    owners = Limit("oil clearance", 0.30e-3, 0.50e-3, "owner's standard", "shop sheet (invented)", "1")
    assert expected_clearance(replace(FAN, limits=(owners, *FAN.limits))) == pytest.approx(0.20e-3)


def test_every_assumption_is_said() -> None:
    said = " ".join(nominal(FAN).said)
    for word in ("mid-point", "viscosity index", "density", "68 °C", "rings", "air around", "cast-iron"):
        assert word in said


def test_a_window_for_the_fan() -> None:
    found = nominal(FAN)
    window = sweep(found.conditions, found.curve, found.criteria)
    assert window.widest is not None and window.widest.holds(0.2e-3)
    assert window.widest.low.closed_by in ("temperature", "film", "load")


def test_the_gear_is_loaded_upwards_and_fed() -> None:
    found = nominal(GEAR)
    assert isinstance(found.conditions.cooling, CarriedByOil)
    assert found.conditions.load == pytest.approx(2900 * 4.4482216, rel=1e-6)
    assert "guess" in " ".join(found.said)


def test_the_motor_lacks_its_load() -> None:
    with pytest.raises(InputError) as caught:
        nominal(replace(MOTOR, oil=Oil(), duty=Duty(direction="not known")))
    fields = {problem.field for problem in caught.value.problems}
    assert fields == {"duty.load", "duty.direction", "oil.grade"}
    assert nominal(MOTOR, load=9000.0).conditions.load == 9000.0


def test_half_supply() -> None:
    """Rings that deliver half: the film is thinner at every clearance, and whirl is left out and said so."""
    full, half = nominal(FAN), nominal(FAN, supply=0.5)
    for cold in (0.15e-3, 0.25e-3):
        a, b = (settle(each.conditions, cold, each.curve) for each in (full, half))
        assert b.film < a.film
        assert math.isnan(b.threshold)
    window = sweep(half.conditions, half.curve, half.criteria)
    assert "whirl" not in window.margins and "film" in window.margins
    assert "50 %" in half.said[-1]
    with pytest.raises(InputError, match=r"bearing\.profile"):
        nominal(replace(FAN, bearing=replace(FAN.bearing, groove_at_top=True)), supply=0.5)


def test_feed_pressure_cools_a_grooved_bearing() -> None:
    """1.4 bar in two grooves: more oil, cooler, and the flow is the curve's own gain times the pressure."""
    grooved = replace(GEAR, bearing=replace(GEAR.bearing, profile="two axial grooves"))
    plain_, fed = nominal(grooved), nominal(grooved, feed_pressure=1.4e5)
    a, b = (settle(each.conditions, 0.19e-3, each.curve) for each in (plain_, fed))
    assert a.pressure_flow == 0.0 < b.pressure_flow
    assert b.hottest < a.hottest
    point = fed.curve.at(b.load_number)
    assert point is not None
    c, given = b.clearance / 2, fed.conditions
    dimensionless = 1.4e5 * c**2 / (6 * b.viscosity * given.speed * (given.diameter / 2) ** 2)
    by_hand = point.feed_gain * dimensionless * given.surface_speed * c * given.length
    assert b.pressure_flow == pytest.approx(by_hand, rel=1e-6)


def test_what_if_thinner_oil() -> None:
    found, thin = nominal(GEAR), nominal(GEAR, oil=from_grade("ISO VG 32"))
    a, b = (settle(each.conditions, 0.19e-3, each.curve) for each in (found, thin))
    assert b.film < a.film and b.hottest < a.hottest
    assert thin.curve is found.curve


def test_grooves_turn_with_the_load_not_with_the_bearing() -> None:
    """Load down on two grooves at the joints and load up are the same film; sideways, into a groove, is not."""
    grooved = replace(FAN.bearing, profile="two axial grooves")
    curves = [
        nominal(replace(FAN, bearing=grooved, duty=replace(FAN.duty, direction=way))).curve.at(1.0)
        for way in ("down", "up", "left")
    ]
    down, up, left = curves
    assert down is not None and up is not None and left is not None
    assert up.eccentricity == pytest.approx(down.eccentricity, rel=1e-4)
    assert left.eccentricity > 1.1 * down.eccentricity


def test_a_tilt_is_found_though_the_mean_clearance_is_fine() -> None:
    """The same mean clearance of 0.20 mm; the journal 0.1 mm lower at one end than at the other."""
    found = nominal(FAN)
    films = []
    for tilt in (0.0, -0.1e-3):
        bore = bore_of(FAN.bearing, FAN.duty, Measured(0.2e-3, tilt=(tilt, 0.0)))
        films.append(settle(found.conditions, 0.2e-3, measured_film(bore)).film)
    assert films[0] == pytest.approx(settle(found.conditions, 0.2e-3, found.curve).film, rel=3e-3)
    assert films[1] < 0.6 * films[0]


def test_a_lemon_has_a_curve_of_its_own() -> None:
    oval = replace(FAN.bearing, profile="lemon", side_to_top=2.0)
    point = nominal(replace(FAN, bearing=oval)).curve.at(1.0)
    assert point is not None and point.coefficients is not None
    assert math.isfinite(point.attitude) and np.all(np.isfinite(point.coefficients.stiffness))


def test_a_bore_that_is_not_fixed_is_refused() -> None:
    with pytest.raises(InputError, match=r"bearing\.profile"):
        nominal(replace(FAN, bearing=replace(FAN.bearing, profile="tilting pad")))


def test_uncertain_tilt_and_clearance_reach_the_film() -> None:
    """Mean clearance, taper and tilt with a shared influence; the film's interval against the runs at both ends."""
    found = nominal(FAN)
    anvil, place, lie = (Influence(name, name, 1.0) for name in ("anvil", "place", "lie"))
    inputs = (
        Quantity(0.2e-3, {anvil: 3e-6, place: 2e-6}),
        Quantity(20e-6, {place: 4e-6}),
        Quantity(-40e-6, {lie: 10e-6}),
    )

    def gap_of(values: Sequence[float]) -> tuple[float, FilmAt]:
        measured = Measured(values[0], taper=values[1], tilt=(values[2], 0.0))
        return values[0], measured_film(bore_of(FAN.bearing, FAN.duty, measured))

    result = spread(found.conditions, gap_of, inputs)
    more_tilt = settle(found.conditions, *gap_of((0.2e-3, 20e-6, -50e-6))).film
    less_tilt = settle(found.conditions, *gap_of((0.2e-3, 20e-6, -30e-6))).film
    film = result.film.quantity
    assert more_tilt < film.value < less_tilt
    assert abs(film.parts[lie]) == pytest.approx(0.5 * (less_tilt - more_tilt), rel=1e-6)
    assert film.parts[anvil] != 0.0 and 1e-6 < film.u < 6e-6
    assert result.temperature.quantity.u > 0.0


def with_facts(card: Card) -> Card:
    """What the film used to assume, known."""
    return replace(
        card,
        machine=replace(card.machine, rotation="anticlockwise"),
        oil=replace(card.oil, inlet_temperature=311.15, feed_pressure=1.2e5),
        duty=replace(card.duty, ambient=303.15, rotor_mass=777.0),
    )


def test_what_the_card_knows_is_not_assumed() -> None:
    """The gear is fed under pressure, the fan by a ring: each uses what bears on it."""
    fed, ring = nominal(with_facts(GEAR)), nominal(with_facts(FAN))
    assert isinstance(fed.conditions.cooling, CarriedByOil)
    assert fed.conditions.cooling.inlet == 311.15
    assert (fed.conditions.feed_pressure, ring.conditions.feed_pressure) == (1.2e5, 0.0)
    assert (fed.conditions.mass, ring.conditions.mass) == (777.0, 777.0)
    assert isinstance(ring.conditions.cooling, Convection)
    assert ring.conditions.cooling.ambient == ring.conditions.ambient == 303.15
    before, after = " ".join(nominal(GEAR).said + nominal(FAN).said), " ".join(fed.said + ring.said)
    for name in ("supply_assumed", "ambient_assumed", "mass_from_load", "feed_left_out"):
        start = MESSAGES[name].partition("{")[0]
        assert start in before and start not in after, name


def test_a_given_value_goes_before_the_cards() -> None:
    known = with_facts(FAN)
    found = nominal(known, ambient=290.0, rotation="clockwise")
    assert found.conditions.ambient == 290.0
    assert (rotation_of(known), rotation_of(FAN)) == ("anticlockwise", "clockwise")


def test_the_way_it_turns_is_the_cards() -> None:
    """A bearing loaded sideways with a groove at the top is another one when it turns the other way."""
    bearing = replace(FAN.bearing, groove_at_top=True)
    card = replace(FAN, bearing=bearing, duty=replace(FAN.duty, direction="right"))
    other = replace(card, machine=replace(card.machine, rotation="anticlockwise"))
    clockwise, anticlockwise = (nominal(each).curve.at(1.0) for each in (card, other))
    assert clockwise is not None and anticlockwise is not None
    assert anticlockwise.attitude != pytest.approx(clockwise.attitude, abs=1e-3)
    assert nominal(card, rotation="anticlockwise").curve.at(1.0) == anticlockwise


def test_a_feed_pressure_without_a_groove_is_said_to_do_nothing() -> None:
    known = with_facts(GEAR)
    assert MESSAGES["feed_no_groove"] in nominal(known).said
    grooved = replace(known, bearing=replace(known.bearing, profile="two axial grooves"))
    assert MESSAGES["feed_no_groove"] not in nominal(grooved).said
