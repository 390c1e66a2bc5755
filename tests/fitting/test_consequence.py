"""What a measured gap means for the film: it warns, explains, and moves no limit."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache
from importlib import resources
from typing import get_args

import numpy as np
import pytest

from whitemetal.card import Bearing, Card, Duty, Machine, Oil, read_card
from whitemetal.errors import InputError
from whitemetal.film.heat import Convection
from whitemetal.film.nominal import nominal
from whitemetal.film.running import settle
from whitemetal.film.window import Criterion
from whitemetal.fitting import as_measured
from whitemetal.fitting.as_measured import Seat, gauged, numbers
from whitemetal.fitting.consequence import Consequence, WhatIf, as_json, consequence
from whitemetal.fitting.criteria_shown import lines_of
from whitemetal.fitting.what_if import seen
from whitemetal.gauging.contract import Named, Place, PlaceResult, Result
from whitemetal.quantity import Influence, Quantity
from whitemetal.words.en.film import MESSAGES


def demo(name: str) -> Card:
    text = (resources.files("whitemetal.demo_mill") / f"{name}.toml").read_text(encoding="utf-8")
    return read_card(text)


FAN, GEAR, MOTOR = demo("fan_drive_end"), demo("gear_pinion_coupling_end"), demo("motor_drive_end")
RIGID = replace(FAN, bearing=replace(FAN.bearing, seat="cylindrical"))
"""The fan with a seat that does not turn with its journal."""


def known(key: str, value: float, u: float) -> Quantity:
    return Quantity.of(value, Influence(key, key, u))


def result(mean: float, end_to_end: float, u: float = 3e-6) -> Result:
    """A result as the wire gives it, numbers in metres."""
    change = Named("end_to_end", "end to end", known("change", end_to_end, u))
    return Result(known("mean", mean, u), named=(change,))


@cache
def found(askew: float, seat: str = "cylindrical") -> Consequence:
    card = replace(FAN, bearing=replace(FAN.bearing, seat=seat))  # type: ignore[arg-type]
    return consequence(card, result(0.20e-3, askew))


def test_a_load_too_light_for_a_whirl_threshold_is_told_in_words() -> None:
    """10 N on the fan's bearing: the journal runs within a hundredth of the middle."""
    light = consequence(FAN, result(0.20e-3, 0.0), WhatIf(load=10.0))
    assert light.state is not None and light.state.eccentricity < 0.01
    assert light.state.threshold is None and light.state.threshold_is == "centred"
    assert MESSAGES["tells_centred"] in light.sentence
    assert as_json(light, maps=False)["state"]["threshold_is"] == "centred"


def test_the_mean_is_fine_and_the_tilt_is_not() -> None:
    """0.20 mm is the middle of the maker's band; 0.16 mm end to end leaves less film than is wanted.

    The gap at the top is wider at the other end: a journal that lies askew stands lower there."""
    straight, askew = found(0.0), found(0.16e-3)
    wanted = next(each.value for each in askew.criteria if each.name == "film")
    assert straight.state is not None and straight.state.least_film.low > wanted
    assert askew.state is not None and askew.aligned_film is not None
    assert askew.state.least_film.value < wanted < askew.aligned_film
    (said,) = [each for each in askew.sentence.split(". ") if "The mean clearance is fine" in each]
    assert "the journal lies askew" in said and "52 µm" in said and "thinnest at the other end" in said
    assert "fine" not in straight.sentence


def test_a_measured_shape_does_not_move_its_own_limit() -> None:
    straight, askew = found(0.0), found(0.16e-3)
    assert straight.points == askew.points and straight.intervals == askew.intervals
    assert straight.criteria == askew.criteria and straight.placed == askew.placed == "inside"


def test_the_thin_end_is_where_the_clearance_is_least_in_a_tapered_bore() -> None:
    """A spherical seat: the bore is wider at the other end, so the film is thin at the drive end, z = 0."""
    tapered = found(0.08e-3, "spherical")
    assert tapered.gap is not None and tapered.z is not None
    along = tapered.gap.min(axis=0)
    assert along[0] == along.min() and tapered.z[0] == 0.0
    assert tapered.z[-1] == pytest.approx(FAN.bearing.length)
    assert (
        "the bore is wider at one end" in tapered.sentence and "thinnest at the drive end" in tapered.sentence
    )


def test_a_rigid_seat_counts_the_worse_of_taper_and_tilt() -> None:
    rigid, turning = found(0.08e-3), found(0.08e-3, "spherical")
    assert rigid.state is not None and turning.state is not None
    assert rigid.state.least_film.value <= turning.state.least_film.value


def test_a_tilted_journal_reads_back_as_it_was_measured() -> None:
    """Lying in the bore it touches below at one end; the gap at the top at both ends must be what was read."""
    for change in (0.08e-3, -0.08e-3):
        gap = numbers("tilt", (0.20e-3, change, 0.0))
        low_end = 0.5 * abs(change)  # how far the middle of the journal stands above the bottom
        tops = [gap.clearance - low_end - 0.5 * side * gap.tilt[0] for side in (-1.0, 1.0)]
        assert tops == pytest.approx([0.20e-3 - 0.5 * change, 0.20e-3 + 0.5 * change])


def test_maps_carry_the_load_the_card_states() -> None:
    """The pressure integrated over the land, against 18.5 kN downwards; and the least gap is the film."""
    c = found(0.05e-3)
    assert c.gap is not None and c.pressure is not None and c.theta is not None and c.z is not None
    assert c.state is not None
    assert c.gap.shape == c.pressure.shape == (len(c.theta), len(c.z))
    assert np.all(np.diff(c.theta) > 0.0) and -math.pi <= c.theta[0] and c.theta[-1] < math.pi
    rows = (
        np.trapezoid(c.pressure, c.z, axis=1)
        * 0.5
        * FAN.bearing.journal_diameter
        * 2
        * math.pi
        / len(c.theta)
    )
    down, right = -float(rows @ np.cos(c.theta)), float(rows @ np.sin(c.theta))
    assert down == pytest.approx(18.5e3, rel=3e-3) and abs(right) < 50.0
    assert c.gap.min() == pytest.approx(c.state.least_film.value, rel=1e-3)
    assert c.pressure.max() == pytest.approx(c.state.peak, rel=1e-3)


def test_turning_the_other_way_mirrors_the_maps() -> None:
    one = found(0.05e-3)
    other = consequence(RIGID, result(0.20e-3, 0.05e-3), WhatIf(rotation="anticlockwise"))
    assert one.journal is not None and other.journal is not None
    assert one.journal[0] < 0.0 < other.journal[0], "the bottom of the journal drags it along"
    assert other.journal == pytest.approx((-one.journal[0], one.journal[1]), rel=1e-4)
    assert one.gap is not None and other.gap is not None
    assert np.roll(other.gap[::-1], 1, axis=0) == pytest.approx(one.gap, rel=1e-4)


def test_the_interval_covers_drawn_bores() -> None:
    """60 bores drawn from the measurement, each run on the full film: about 95 % lie in the interval."""
    card, taken = RIGID, result(0.20e-3, 0.05e-3, 4e-6)
    shown = consequence(card, taken).state
    assert shown is not None
    seat = Seat(card, seen(card, WhatIf()), "clockwise")
    draw = np.random.default_rng(5)
    bores = zip(draw.normal(0.20e-3, 4e-6, 60), draw.normal(0.05e-3, 4e-6, 60), strict=True)
    films = [seat.settled("tilt", (float(m), float(e), 0.0), as_measured.COARSE).film for m, e in bores]
    inside = sum(shown.least_film.low <= film <= shown.least_film.high for film in films)
    assert 53 <= inside <= 60 and min(films) < shown.least_film.value < max(films)


def test_nothing_measured() -> None:
    c = consequence(FAN)
    assert (c.measured, c.low, c.high, c.placed) == (None, None, None, "not measured")
    assert c.state is not None and c.state.least_film.low == c.state.least_film.high
    assert "Nothing is measured" in c.sentence and c.limits == pytest.approx((0.15e-3, 0.25e-3))


def test_rings_are_shown_with_a_full_and_with_half_a_supply() -> None:
    c = found(0.0)
    assert c.half is not None and c.state is not None and c.half.supply == 0.5
    assert c.half.least_film.value < c.state.least_film.value and c.half.threshold is None
    assert "With half the oil" in c.sentence and any("full supply and half" in each for each in c.said)
    assert consequence(GEAR).half is None


def test_an_overloaded_film_is_an_answer() -> None:
    c = consequence(FAN, result(0.20e-3, 0.0), WhatIf(load=4e6))
    assert c.state is not None and c.state.answer == "contact" and c.gap is None and c.journal is None
    assert "cannot carry this load" in c.sentence and "At no clearance" in c.sentence
    json.dumps(as_json(c), allow_nan=False)


def test_the_housing_stays_the_same_for_a_trial() -> None:
    """VG 32 runs cooler and thinner; calibrated anew to 68 degC it would not."""
    base, thin = (seen(FAN, each) for each in (WhatIf(), WhatIf(oil="ISO VG 32")))
    assert isinstance(base.conditions.cooling, Convection)
    assert thin.conditions.cooling == base.conditions.cooling
    states = [settle(each.conditions, 0.2e-3, each.curve) for each in (base, thin)]
    assert states[0].hottest == pytest.approx(273.15 + 68.0, abs=1e-3)
    assert states[1].hottest < states[0].hottest - 5.0 and states[1].film < states[0].film
    assert not any("VG 68" in each for each in thin.said) and any("VG 32" in each for each in thin.said)


def test_criteria_given_for_a_trial_are_said() -> None:
    c = consequence(FAN, result(0.20e-3, 0.0), WhatIf(least_film=60e-6))
    film = next(each for each in c.criteria if each.name == "film")
    assert film.value == 60e-6 and film.source == "given for this trial"
    assert all("trial" not in each.source for each in c.criteria if each.name != "film")
    assert c.placed != "inside"


def test_what_the_card_lacks_is_asked_for_all_at_once() -> None:
    with pytest.raises(InputError) as caught:
        consequence(replace(MOTOR, oil=Oil(), duty=Duty(direction="not known")))
    assert {each.field for each in caught.value.problems} == {"duty.load", "duty.direction", "oil.grade"}
    with pytest.raises(InputError, match="inlet"):
        consequence(FAN, None, WhatIf(inlet=320.0))
    with pytest.raises(InputError, match="least_film"):
        consequence(FAN, None, WhatIf(least_film=-1.0))


def test_no_verdict_is_spoken() -> None:
    spoken = " ".join(MESSAGES.values()).casefold()
    for word in ("safe", "within limits", "is fit", "acceptable"):
        assert word not in spoken
    assert any("maker's limit governs" in each for each in found(0.0).cautions)
    assert any("no limit" in each for each in consequence(MOTOR, None, WhatIf(load=9000.0)).cautions)


def test_every_criterion_has_its_word() -> None:
    assert {name for name in MESSAGES if name.startswith("closes_")} == {
        f"closes_{each}" for each in get_args(Criterion)
    }


def test_json_has_units_and_every_point() -> None:
    c = found(0.05e-3)
    kept = json.loads(json.dumps(as_json(c), allow_nan=False))
    assert kept["format"] == "whitemetal.film/1" and len(kept["points"]) == len(c.points) >= 40
    assert kept["clearance"]["measured_m"] == c.measured == 0.20e-3
    assert len(kept["maps"]["gap_m"]) == len(kept["maps"]["theta_rad"])
    assert as_json(c, maps=False)["maps"] is None


def test_a_result_without_a_clearance_shows_the_window_alone() -> None:
    assert gauged(FAN, Result(None)) is None
    assert consequence(FAN, Result(None)).placed == "not measured"


def test_a_bore_of_another_shape() -> None:
    """A lemon bore with grooves, pressure-fed: half a supply is not shown, and nothing is left out silently."""
    lemon = Bearing("DE", 0.16, 0.14, "lemon", side_to_top=2.0, lubrication="ring-oiled", seat="cylindrical")
    card = Card(Machine("T", "turbine", "turbine", 150.0), lemon, duty=Duty(2e4), oil=Oil("ISO VG 46"))
    c = consequence(card, result(0.25e-3, 0.03e-3))
    assert c.half is None and any("plain bore" in each for each in c.said)
    assert c.state is not None and c.state.answer == "runs"
    assert nominal(card).curve.points[0].bore_reach != 1.0


def test_what_single_places_read_besides_is_said_to_be_left_out() -> None:
    """Two places 4 µm and 7 µm off what is carried: 7 µm is named."""
    place = Place("A1", 0.0, 0.0, "A")
    off = tuple(PlaceResult(place, known("p", 0.2e-3, 1e-6), 0.2e-3, 1, residual=r) for r in (4e-6, -7e-6))
    told = consequence(FAN, replace(result(0.20e-3, 0.0), places=off))
    assert MESSAGES["places_left_out"].format(most="7 µm") in told.said
    assert not any("scatter of the readings" in each for each in found(0.0).said)


def test_the_cards_rotation_is_used_and_not_assumed() -> None:
    turning = replace(RIGID, machine=replace(RIGID.machine, rotation="anticlockwise"))
    shifted = Result(known("mean", 0.2e-3, 3e-6), named=(Named("sideways", "", known("s", 2e-5, 1e-6)),))
    told, tried = (
        consequence(card, shifted, trial)
        for card, trial in ((turning, WhatIf()), (RIGID, WhatIf(rotation="anticlockwise")))
    )
    assert told.rotation == "anticlockwise"
    assert told.journal == pytest.approx(tried.journal)
    assert MESSAGES["rotation_assumed"].partition("{")[0] not in " ".join(told.said)


def test_air_colder_than_the_oil_is_known_is_refused_by_the_cards_own_name() -> None:
    with pytest.raises(InputError) as caught:
        consequence(replace(FAN, duty=replace(FAN.duty, ambient=250.0)))
    assert "duty.ambient" in [problem.field for problem in caught.value.problems]


def test_a_criterion_is_met_or_not_by_what_there_is() -> None:
    """The fan's film is some 50 µm: 10 µm are met and 90 µm are not; 68 °C meets 90 °C and not 60 °C."""
    for least, hottest, met in ((10e-6, 363.15, True), (90e-6, 333.15, False)):
        told = consequence(FAN, result(0.20e-3, 0.0), WhatIf(least_film=least, hottest=hottest))
        lines = {line.name: line for line in lines_of(FAN, told)}
        film, heat = lines[MESSAGES["named_film"]], lines[MESSAGES["named_temperature"]]
        assert (film.met, heat.met) == (met, met)
        assert told.state is not None
        assert film.here == f"{told.state.least_film.value * 1e6:.0f} µm"
        assert film.wanted == f"at least {least * 1e6:.0f} µm"
        assert heat.wanted == f"at most {hottest - 273.15:.0f} °C"
