"""Bore less journal: station by station, least and greatest.

Expected numbers come from hand arithmetic written out here, from ISO 1 (lengths at 20 °C) or from a published
worked example, named where it is used.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest

from tests.gauging.build import card
from whitemetal.card import Card, Joint
from whitemetal.gauging.bore import BORE
from whitemetal.gauging.bore.layout import part_of, station_of
from whitemetal.gauging.contract import (
    BORE_CHANGE,
    CLEARANCE,
    GAP_CHANGE,
    JOURNAL_CHANGE,
    Fact,
    Place,
    Reading,
    Result,
)
from whitemetal.job.judge import judge_readings
from whitemetal.quantity import covariance, coverage_factor
from whitemetal.units import INCH

D = 0.160
RECORDED = {
    "bore_gauge": "comparator set on a ring",
    "tightened": "final value",
    "shells_home": "yes",
    "part_temperature": "20 degC",
    "journal_temperature": "20 degC",
    **{
        f"instrument.{name}.{key}": text
        for name in ("B-1", "M-3")
        for key, text in (
            ("zero_before", "0.000 mm"),
            ("zero_after", "0.000 mm"),
            ("calibration_due", "2027-03-01"),
        )
    },
}


def facts(**changed: str | None) -> Mapping[str, Fact]:
    texts: dict[str, str | None] = {**RECORDED, **{k.replace("__", "."): v for k, v in changed.items()}}
    return {key: Fact(text) for key, text in texts.items() if text is not None}


def usual(place: Place) -> float:
    """Bore 160.200, journal 160.000 everywhere: clearance 0.200 mm."""
    return D + 0.200e-3 if part_of(place) == "bore" else D


def taken(one: Card, size: Callable[[Place], float], unit: str = "mm") -> tuple[Reading, ...]:
    """A reading at each place, noted to a micrometre (to 0.00001 in)."""
    found = []
    for place in BORE.default_places(one):
        scale, digits = (1e-3, 3) if unit == "mm" else (INCH, 5)
        text = f"{size(place) / scale:.{digits}f} {unit}"
        value = float(text.split()[0]) * scale
        gauge = "M-3" if part_of(place) == "journal" else "B-1"
        found.append(Reading(place.label, text, value, scale * 10.0**-digits, 1, gauge))
    return tuple(found)


def sized(one: Card, size: Callable[[Place], float], **changed: str | None) -> Result:
    return BORE.evaluate(one, BORE.default_places(one), facts(**changed), taken(one, size))


def evaluated(one: Card, **changed: str | None) -> Result:
    return sized(one, usual, **changed)


def codes(result: Result, *severities: str) -> set[str]:
    return {f.code for f in result.findings if not severities or f.severity in severities}


def value(result: Result) -> float:
    assert result.overall is not None
    return result.overall.value


def test_a_round_bore_and_journal_give_their_difference_everywhere() -> None:
    result = evaluated(card())
    assert value(result) == pytest.approx(0.200e-3, abs=1e-9)
    assert [p.place.label for p in result.places] == ["DE least", "DE greatest", "M least", "M greatest",
                                                      "OE least", "OE greatest"]  # fmt: skip
    assert [p.value.value for p in result.places] == pytest.approx([0.200e-3] * 6, abs=1e-9)
    assert codes(result, "hold", "question", "refused") == set()


def test_the_least_clearance_takes_least_bore_and_greatest_journal() -> None:
    """By hand, in mm: bore 160.210 upright, 160.240 and 160.230 aslant; journal 160.000, 160.012, 160.004.
    Least 160.210 - 160.012 = 0.198; greatest 160.240 - 160.000 = 0.240; mean 0.22667 - 0.00533 = 0.22133."""
    bore = {"0": 0.210e-3, "45 left": 0.240e-3, "45 right": 0.230e-3}
    journal = {"0": 0.000e-3, "45 left": 0.012e-3, "45 right": 0.004e-3}

    def size(place: Place) -> float:
        sizes = bore if part_of(place) == "bore" else journal
        return D + next(v for k, v in sizes.items() if place.label.endswith(f"{part_of(place)} {k}"))

    result = sized(card(), size)
    by_label = {p.place.label: p.value.value for p in result.places}
    for station in ("DE", "M", "OE"):
        assert by_label[f"{station} least"] == pytest.approx(0.198e-3, abs=1e-9)
        assert by_label[f"{station} greatest"] == pytest.approx(0.240e-3, abs=1e-9)
    assert value(result) == pytest.approx(0.22133e-3, abs=1e-8)
    (round_,) = result.assessed
    assert round_.of == "bore out-of-round"
    assert [q.value for q in round_.values] == pytest.approx([0.030e-3] * 3, abs=1e-9)
    assert "bore.closed_in" in codes(result, "warning")


def test_an_average_within_limits_hides_no_station_outside() -> None:
    """Limits 0.20 to 0.28 mm. Bores 0.15, 0.24, 0.33 mm over the journal: the mean is 0.24, in the middle."""
    one = card()
    over = {"DE": 0.15e-3, "M": 0.24e-3, "OE": 0.33e-3}

    def size(place: Place) -> float:
        return D + (over[station_of(place)] if part_of(place) == "bore" else 0.0)

    judged = judge_readings(BORE, one, BORE.default_places(one), facts(), taken(one, size))
    assert judged.clearance is not None
    assert judged.clearance.diametral_m == pytest.approx(0.24e-3, abs=1e-9)
    assert judged.verdict == "outside limits"
    assert [p.verdict for p in judged.clearance.places] == ["outside limits"] * 2 + ["within limits"] * 2 + [
        "outside limits"
    ] * 2


def test_taper_is_laid_at_the_door_of_bore_or_journal() -> None:
    """Bore 30 µm wider at the far edge, journal 10 µm thicker there: the gap changes by 20 µm."""
    one = card()

    def size(place: Place) -> float:
        along = place.axial / one.bearing.length - 0.5
        return D + (0.24e-3 + 30e-6 * along if part_of(place) == "bore" else 10e-6 * along)

    result = sized(one, size)
    assert result.says[BORE_CHANGE].value == pytest.approx(30e-6, abs=1.2e-6)
    assert result.says[JOURNAL_CHANGE].value == pytest.approx(10e-6, abs=1.2e-6)
    assert result.says[GAP_CHANGE].value == pytest.approx(20e-6, abs=2.4e-6)
    assert result.says[CLEARANCE].value == pytest.approx(0.24e-3, abs=1e-6)
    named = {n.key: n.quantity.value for n in result.named}
    assert named["end_to_end"] == pytest.approx(20e-6, abs=2.4e-6)


def test_gap_change_is_bore_change_less_journal_change_and_their_errors_close() -> None:
    said = evaluated(card()).says
    left = said[GAP_CHANGE] - (said[BORE_CHANGE] - said[JOURNAL_CHANGE])
    assert left.value == pytest.approx(0.0, abs=1e-12)
    turn = [one for one in left.parts if one.family != "turn" and abs(left.parts[one]) > 1e-12]
    assert turn == []


def test_lengths_are_brought_to_20_degrees() -> None:
    """ISO 1, by hand: a steel journal of 160 mm at 25 °C is 160 x 11.5e-6 x 5 = 0.0092 mm too thick; a cast-iron
    shell of 160.2 mm at 23 °C is 160.2 x 10.5e-6 x 3 = 0.005046 mm too wide. Clearance at 20 °C:
    0.200 + 0.0092 - 0.00505 = 0.20415 mm."""
    result = evaluated(card(), part_temperature="23 degC", journal_temperature="25 degC")
    assert value(result) == pytest.approx(0.20415e-3, abs=1e-8)


@pytest.mark.parametrize("warm", ["20 degC", "30 degC", "68 degF"])
def test_the_same_warmth_and_material_cancels(warm: str) -> None:
    """Both steel and equally warm: only the clearance itself grows, 0.2 mm x 11.5e-6 x 10 = 0.02 µm."""
    result = evaluated(card(), part_temperature=warm, journal_temperature=warm, shell_material="steel")
    assert value(result) == pytest.approx(0.200e-3, abs=0.03e-6)


def test_a_journal_five_kelvin_hotter_reads_nine_micrometres_tight() -> None:
    """150 mm x 11.5e-6 x 5 = 8.6 µm low (derived)."""
    one = card(diameter=0.150)

    def size(place: Place) -> float:
        return 0.150 + (0.200e-3 if part_of(place) == "bore" else 0.0)

    cold = sized(one, size, shell_material="steel")
    warm = sized(one, size, shell_material="steel", journal_temperature="25 degC")
    assert value(warm) - value(cold) == pytest.approx(8.6e-6, abs=0.05e-6)


def test_a_comparator_set_on_the_journals_micrometer_shares_its_error() -> None:
    """By hand, D = 160: outside micrometer 7 µm over √3 = 4.04; comparator 4/√3 = 2.31; ring 3/√3 = 1.73;
    finding a diameter 3 and 3; step 1/√12 = 0.29 twice; zero unchanged 0; warmth 160.2 mm x 11.5e-6/√3 = 1.06.
    On a ring: √(4.04² + 2.31² + 1.73² + 9 + 9 + 2 x 0.08 + 1.13) = 6.66 µm; on the micrometer the 4.04 and the
    1.73 drop out: √(2.31² + 9 + 9 + 0.17 + 1.13) = 4.97 µm."""
    on_ring = evaluated(card()).places[0].value.u
    on_micrometer = (
        evaluated(card(), bore_gauge="comparator set on the journal's micrometer").places[0].value.u
    )
    assert on_ring == pytest.approx(6.66e-6, abs=0.03e-6)
    assert on_micrometer == pytest.approx(4.97e-6, abs=0.03e-6)


def test_expanded_uncertainties_are_those_of_practice() -> None:
    """Derived figures of practice, k = 2: rod inside micrometer 0.017 to 0.03 mm; comparator about 0.014 mm."""
    rod = evaluated(card(), bore_gauge="inside micrometer").places[0].value
    ring = evaluated(card()).places[0].value
    assert 0.017e-3 < 2.0 * rod.u < 0.030e-3
    assert 0.011e-3 < 2.0 * ring.u < 0.017e-3
    assert coverage_factor(rod.dof) < 2.1


def test_stations_share_the_instruments_errors() -> None:
    """What two stations share by hand: (7/√3)² + (4/√3)² + (3/√3)² + 1.06² = 25.8 µm²."""
    places = evaluated(card()).places
    shared = covariance(places[0].value, places[2].value)
    assert shared == pytest.approx(25.8e-12, rel=0.01, abs=0.0)


def test_zero_of_the_micrometer_is_taken_off_the_journal() -> None:
    """The micrometer shows 2 µm too much: the journal is thinner, the clearance wider by 2 µm; set on it, the
    comparator shows the same 2 µm, and nothing is left."""
    zero = {"instrument__M-3__zero_before": "0.002 mm", "instrument__M-3__zero_after": "0.002 mm"}
    assert value(evaluated(card(), **zero)) == pytest.approx(0.202e-3, abs=1e-9)
    both = evaluated(card(), bore_gauge="comparator set on the journal's micrometer", **zero)
    assert value(both) == pytest.approx(0.200e-3, abs=1e-9)


def test_a_joint_that_will_be_closed_otherwise_opens_the_bore() -> None:
    """Taken metal to metal, closed on shims of 0.30 mm: upright 0.200 + 0.300 = 0.500, at 45° 0.200 + 0.212."""
    one = card(joint=Joint("shims", 0.30e-3, 0.30e-3, "shell joint"))
    result = evaluated(one, joint="metal to metal")
    named = {n.key: n.quantity.value for n in result.named}
    assert named["clearance.DE bore 0"] == pytest.approx(0.500e-3, abs=1e-9)
    assert named["clearance.DE bore 45 left"] == pytest.approx(0.200e-3 + 0.300e-3 * math.sqrt(0.5), abs=1e-9)
    assert "bore.joint_differs" in codes(result, "warning")
    outside = card(joint=Joint("shims", 0.30e-3, 0.30e-3, "housing joint"))
    assert value(evaluated(outside, joint="metal to metal")) == pytest.approx(0.200e-3, abs=1e-9)


def test_in_a_lemon_the_upright_diameters_alone_are_judged() -> None:
    one = card(profile="lemon", side_to_top=2.0)

    def size(place: Place) -> float:
        upright = place.label.endswith(" 0")
        return D + ((0.200e-3 if upright else 0.300e-3) if part_of(place) == "bore" else 0.0)

    result = sized(one, size)
    assert {round(p.value.value * 1e6) for p in result.places} == {200}
    assert result.assessed == ()


@pytest.mark.parametrize("profile", ["offset halves", "multi-lobe"])
def test_bores_of_several_centres_are_refused(profile: str) -> None:
    result = evaluated(card(profile=profile))  # type: ignore[arg-type]
    assert codes(result) == {"bore.refused"}
    assert result.overall is None


def test_the_published_clearance_of_pivoted_shoes() -> None:
    """A published paper on measuring the clearance of pivoted shoes: ring bore 7.000 in, twice the shoe 1.991 in,
    shaft 5.000 in: 7.000 - 1.991 - 5.000 = 0.009 in."""
    one = card(diameter=5.0 * INCH, profile="tilting pad")
    sizes = {"ring": 7.000 * INCH, "pads": 0.9955 * INCH, "journal": 5.000 * INCH}
    places = BORE.default_places(one)
    result = BORE.evaluate(one, places, facts(), taken(one, lambda p: sizes[part_of(p)], "in"))
    assert value(result) == pytest.approx(0.009 * INCH, abs=1e-9)
    assert [p.value.value for p in result.places] == pytest.approx([0.009 * INCH] * 2, abs=1e-9)
    assert result.says[CLEARANCE].value == pytest.approx(0.009 * INCH, abs=1e-9)


def test_uneven_pads_are_taken_twice_on_the_side_that_hurts() -> None:
    """Pads 25.00 to 25.02 mm: least = 210.30 - 2 x 25.02 - 160 = 0.26; greatest = 210.30 - 50.00 - 160 = 0.30."""
    one = card(profile="tilting pad")

    def size(place: Place) -> float:
        pads = {"pad 2": 25.02e-3, "pad 3": 25.01e-3}
        return {"ring": 210.30e-3, "pads": pads.get(place.label, 25.00e-3), "journal": 160.00e-3}[
            part_of(place)
        ]

    result = sized(one, size)
    assert [p.value.value for p in result.places] == pytest.approx([0.26e-3, 0.30e-3], abs=1e-9)


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"tightened": "not final"}, "bore.not_final"),
        ({"torque": "200 N m"}, "bore.torque_differs"),
        ({"shells_home": "no"}, "bore.not_home"),
        ({"part_temperature": "45 degC"}, "bore.hot"),
        ({"journal_temperature": "26 degC"}, "bore.unequal"),
        ({"instrument__M-3__zero_after": "0.003 mm"}, "bore.zero_drift"),
        ({"date": "2027-04-01"}, "bore.calibration"),
    ],
)
def test_facts_that_reject_the_check(changed: dict[str, str], code: str) -> None:
    one = card()
    one = replace(one, fasteners=replace(one.fasteners, torque=420.0))
    assert code not in codes(evaluated(one, torque="420 N m"))
    assert code in codes(evaluated(one, **changed), "hold")


def test_readings_that_are_rejected() -> None:
    one = card()
    good = taken(one, usual)
    places = BORE.default_places(one)

    def held(readings: tuple[Reading, ...], at: tuple[Place, ...] = places) -> set[str]:
        return codes(BORE.evaluate(one, at, facts(), readings), "hold")

    assert held(good) == set()
    assert held((*good, replace(good[0], value=D + 0.230e-3))) == {"bore.repeats_differ"}
    assert held((replace(good[0], value=1.6), *good[1:])) == {"bore.far_off", "bore.directions"}
    assert held(good[1:]) == {"bore.directions"}
    assert held(tuple(r for r in good if r.place.startswith("DE"))) == {"bore.one_station"}
    assert held(tuple(r for r in good if not r.place.startswith("M journal"))) == {"bore.no_counterpart"}
    lost = replace(good[0], place="nowhere")
    assert held((*good, lost)) == {"bore.unknown_place"}
    turned = tuple(replace(p, angle=math.radians(90)) if p.label == "DE bore 45 left" else p for p in places)
    assert held(good, turned) == {"bore.at_joint"}
    assert codes(BORE.evaluate(one, places, facts(), ())) >= {"bore.no_readings"}


def test_a_shim_left_out_is_caught() -> None:
    one = card(joint=Joint("shims", 0.30e-3, 0.30e-3, "shell joint"))
    assert "bore.left_out_at_closing" in codes(evaluated(one, final_joint="metal to metal"), "hold")


def test_every_rule_the_program_finds_is_one_it_can_find() -> None:
    from whitemetal.words.en import ROOMS

    said = {f"bore.{name}" for room in ("bore", "diameters") for name in ROOMS[room]}
    assert {rule.code for rule in BORE.rejection_rules if rule.found_by == "program"} <= said


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_order_and_unit_change_nothing(unit: str) -> None:
    one = card()
    places = BORE.default_places(one)

    def size(place: Place) -> float:
        return 6.3 * INCH + (0.0078 * INCH + 0.0002 * INCH * math.cos(3 * place.angle + place.axial) if part_of(place) == "bore" else 0.0)  # fmt: skip

    readings = taken(one, size, unit)
    first = judge_readings(BORE, one, places, facts(), readings)
    assert judge_readings(BORE, one, places, facts(), readings[::-1]) == first
    other = judge_readings(BORE, one, places, facts(), taken(one, size, "in" if unit == "mm" else "mm"))
    assert other.verdict == first.verdict
    assert first.clearance is not None and other.clearance is not None
    assert other.clearance.diametral_m == pytest.approx(first.clearance.diametral_m, abs=0.5e-6)


def test_a_journal_out_of_round_makes_the_clearance_at_the_top_less_sure() -> None:
    """By hand: diameters 160.000, 160.012, 160.006 at every station: half the difference 6 µm, over √2 4.24 µm at
    each of three stations that count a third each: 18/3 = 6 µm² more than with a round journal."""
    lobes = {"0": 0.0, "45 left": 12e-6, "45 right": 6e-6}

    def size(place: Place) -> float:
        if part_of(place) == "bore":
            return D + 0.200e-3
        return D + next(v for k, v in lobes.items() if place.label.endswith(f"journal {k}"))

    lobed, even = sized(card(), size).says[CLEARANCE], evaluated(card()).says[CLEARANCE]
    assert lobed.variance - even.variance == pytest.approx(6e-12, rel=0.01, abs=0.0)


@pytest.mark.parametrize(
    ("part", "code"), [("bore", "bore.taper_of_bore"), ("journal", "bore.taper_of_journal")]
)
def test_the_finding_names_whose_taper_it_is(part: str, code: str) -> None:
    one = card()

    def size(place: Place) -> float:
        along = 60e-6 * (place.axial / one.bearing.length - 0.5)
        return D + (0.24e-3 if part_of(place) == "bore" else 0.0) + (along if part_of(place) == part else 0.0)

    assert {c for c in codes(sized(one, size), "warning") if "taper" in c} == {code}


def test_a_clearance_no_bearing_runs_with_is_asked() -> None:
    """1.0 mm on 160 mm is 6.25 per mille; bearings run between 0.3 and 4."""
    result = sized(card(), lambda place: D + (1.0e-3 if part_of(place) == "bore" else 0.0))
    assert codes(result, "question") == {"bore.relative"}


def test_a_dam_is_asked_and_missing_directions_are_said() -> None:
    assert "bore.dam" in codes(evaluated(card(profile="pressure dam")), "question")
    one = card()
    some = tuple(
        r for r in taken(one, usual) if r.place not in ("DE bore 0", "M journal 0", "M journal 45 left")
    )
    found = codes(BORE.evaluate(one, BORE.default_places(one), facts(), some), "warning")
    assert {"bore.no_vertical", "bore.one_journal"} <= found


def test_an_expansion_known_to_a_tenth_is_in_the_budget() -> None:
    """By hand: shell at 25 °C, 160.2 mm x 5 K x 10.5e-6 = 8.41 µm, a tenth of it over √3 = 0.486 µm more on every
    bore, so on the mean."""
    cold = evaluated(card(), journal_temperature="25 degC").overall
    warm = evaluated(card(), journal_temperature="25 degC", part_temperature="25 degC").overall
    assert cold is not None and warm is not None
    assert warm.variance - cold.variance == pytest.approx((0.486e-6) ** 2, rel=0.01, abs=0.0)


def test_repeats_that_scatter_widen_the_place() -> None:
    """By hand: at one place 160.200 and 160.208: standard deviation 5.66 µm with one degree of freedom, 4 µm of the
    mean, instead of the step's 0.29; finding it twice leaves 3/√2 of feel."""
    one = card()
    good = taken(one, usual)
    more = (*good, replace(good[0], text="160.208 mm", value=D + 0.208e-3))
    result = BORE.evaluate(one, BORE.default_places(one), facts(), more)
    mean = next(n.quantity for n in result.named if n.key == "clearance.DE bore 0")
    own = {i.family: p for i, p in mean.parts.items() if i.key.endswith("DE bore 0")}
    assert own["reading"] == pytest.approx(4.0e-6, rel=1e-6)
    assert own["feel"] == pytest.approx(3e-6 / math.sqrt(2.0), rel=1e-6)
    assert mean.value == pytest.approx(0.204e-3, abs=1e-9)


def test_half_the_permissible_error_is_too_much_drift() -> None:
    """An instrument good to 3 µm may move 1.5 µm between the checks on its standard; 1.8 µm is too much."""
    drift = {"instrument__M-3__mpe": "0.003 mm", "instrument__M-3__zero_after": "0.0018 mm"}
    assert "bore.zero_drift" in codes(evaluated(card(), **drift), "hold")
    drift["instrument__M-3__zero_after"] = "0.0014 mm"
    assert "bore.zero_drift" not in codes(evaluated(card(), **drift))
