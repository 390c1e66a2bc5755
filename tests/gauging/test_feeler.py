"""Feelers: the blade's sagitta, the clearance from above and from the sides, the side clearance.

Expected numbers: exact chords and hand arithmetic written out here.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.gauging.build import MAKER, card
from whitemetal.card import Card, Fasteners, Limit
from whitemetal.gauging.contract import CLEARANCE, GAP_CHANGE, Fact, Place, Reading, Result
from whitemetal.gauging.feeler import FEELER
from whitemetal.gauging.feeler.blade import sagitta
from whitemetal.job.judge import judge_readings
from whitemetal.units import INCH, read

RECORDED = {
    "blade_width": "4 mm",
    "leaves": "1",
    "leaf_step": "0.01 mm",
    "journal_down": "yes",
    "tightened": "final value",
}
LOW = 80.0 - math.sqrt(80.0**2 - 2.0**2)
"""Sagitta of a blade 4 mm wide on a journal of 160 mm [mm], from Pythagoras: 0.0250 mm."""


def facts(**changed: str | None) -> Mapping[str, Fact]:
    texts: dict[str, str | None] = {**RECORDED, **changed}
    return {key: Fact(text) for key, text in texts.items() if text is not None}


def gap(place: Place) -> float:
    """A plain bore of 0.300 mm, the journal at the bottom in the middle, derived: 0.300 (1 + cos a)/2."""
    return 0.300e-3 * (1.0 + math.cos(place.angle)) / 2.0


def stack(true: float) -> float:
    """What a blade that half bends shows of a gap, half a step below it: the correction undone by hand."""
    return true - 0.5 * LOW * 1e-3 - 0.005e-3


def taken(
    one: Card, true: Callable[[Place], float], keep: Callable[[Place], bool] = lambda place: True
) -> tuple[Reading, ...]:
    return tuple(
        Reading(p.label, f"{stack(true(p)) * 1e3:.6f} mm", stack(true(p)), 1e-9)
        for p in FEELER.default_places(one)
        if keep(p)
    )


def felt(one: Card, readings: tuple[Reading, ...] | None = None, **changed: str | None) -> Result:
    read_ = readings if readings is not None else taken(one, gap)
    return FEELER.evaluate(one, FEELER.default_places(one), facts(**changed), read_)


def value(result: Result) -> float:
    assert result.overall is not None
    return result.overall.value


def codes(result: Result, *severities: str) -> set[str]:
    return {f.code for f in result.findings if not severities or f.severity in severities}


def side(place: Place) -> bool:
    return place.label.endswith("side")


@pytest.mark.parametrize(("width", "radius"), [(4.0, 80.0), (6.0, 40.0), (12.7, 150.0)])
def test_sagitta_is_the_chords_height(width: float, radius: float) -> None:
    """Pythagoras, and w²/(8R): 4 mm on a radius of 80 is 0.025 mm, 6 on 40 is 0.1125, 12.7 on 150 is 0.1344."""
    assert sagitta(width, radius) ** 2 - 2 * radius * sagitta(width, radius) + width**2 / 4 == pytest.approx(
        0, abs=1e-9
    )
    assert sagitta(width, radius) == pytest.approx(width**2 / (8 * radius), rel=0.01)


def test_clearance_of_a_plain_bore_from_above_and_side_clearance_from_the_sides() -> None:
    """Gap 0.300 mm at the top, 0.150 at each side: side clearance 0.300."""
    result = felt(card())
    assert value(result) == pytest.approx(0.300e-3, abs=1e-9)
    assert result.says[CLEARANCE] == result.overall
    assert result.says[GAP_CHANGE].value == pytest.approx(0.0, abs=1e-9)
    assert [p.place.label for p in result.places] == [
        f"{end} {word}" for end in ("DE", "OE") for word in ("top", "45 left", "45 right")
    ]
    (sides,) = result.assessed
    assert (sides.of, sides.where, sides.needed) == ("side clearance", ("DE", "OE"), False)
    assert [v.value for v in sides.values] == pytest.approx([0.300e-3] * 2, abs=1e-9)
    assert codes(result, "hold", "question", "refused", "warning") == set()


def test_a_blade_reads_low_by_half_its_sagitta_and_half_a_step() -> None:
    """A stack of 0.250 mm, blade 4 mm: 0.250 + 0.0250/2 + 0.010/2 = 0.2675 mm at the top."""
    one = card()
    readings = tuple(Reading(f"{end} top", "0.250 mm", 0.250e-3, 1e-6) for end in ("DE", "OE"))
    assert value(felt(one, readings)) == pytest.approx(0.2675e-3, abs=2e-8)


def test_budget_of_one_place_by_hand() -> None:
    """Bridge 0.0250/2/√3 = 7.218; step 10/√12 = 2.887; feel 10; one leaf up to 0.3 mm thick good to 10 (table to 1 mm)
    /√3 = 5.774 (0.28 mm is above 0.1); warmth 1.062. √(52.1 + 8.33 + 100 + 33.33 + 1.13) = 13.96 µm."""
    top = felt(card()).places[0]
    assert top.value.u == pytest.approx(13.96e-6, abs=0.02e-6)


def test_three_leaves_have_three_errors() -> None:
    """5.774 x √3 = 10: √(52.1 + 8.33 + 100 + 100 + 1.13) = 16.17 µm; and three are assumed when nobody said."""
    assert felt(card(), leaves="3").places[0].value.u == pytest.approx(16.17e-6, abs=0.02e-6)
    unsaid = felt(card(), leaves=None)
    assert unsaid.places[0].value.u == pytest.approx(16.17e-6, abs=0.02e-6)
    assert {a.key for a in unsaid.assumed} == {"leaves"}


def test_expanded_uncertainty_is_that_of_practice() -> None:
    """Common practice: 0.02 to 0.05 mm (k = 2)."""
    for width in ("3 mm", "6 mm"):
        assert 0.02e-3 < 2.0 * felt(card(), blade_width=width, leaves="2").places[0].value.u < 0.05e-3


def test_bridging_is_one_error_of_all_places() -> None:
    """Averaging six places does not shrink what the blade bridges: 7.218 µm of it stays in the mean."""
    result = felt(card())
    assert result.overall is not None
    bridge = next(part for i, part in result.overall.parts.items() if i.family == "bridge")
    assert abs(bridge) == pytest.approx(7.218e-6, rel=0.1)
    assert result.shrinking < 0.7


def test_a_journal_off_the_middle_keeps_the_sum_of_the_sides() -> None:
    """0.020 mm sideways: 0.150 - 0.020 and 0.150 + 0.020 are 0.300 together; it shows above as well."""
    result = felt(card(), taken(card(), lambda p: gap(p) + 0.040e-3 * math.sin(p.angle)))
    (sides,) = result.assessed
    assert sides.values[0].value == pytest.approx(0.300e-3, abs=1e-9)
    assert "feeler.sides_differ" in codes(result, "warning")
    named = {n.key: n.quantity.value for n in result.named}
    assert named["sideways"] == pytest.approx(0.040e-3, abs=1e-9)
    text = next(f.text for f in result.findings if f.code == "feeler.sides_differ")
    assert "right side is 0.080 mm wider" in text


def test_the_sides_alone_give_the_clearance_with_a_warning() -> None:
    one = card()
    result = felt(one, taken(one, gap, side))
    assert value(result) == pytest.approx(0.300e-3, abs=1e-9)
    assert "feeler.from_sides" in codes(result, "warning")
    relief = next(i for i in result.places[0].value.parts if i.family == "relief")
    assert relief.u == pytest.approx(25.4e-6 / math.sqrt(3.0))
    assert [p.place.label for p in result.places] == ["DE sides", "OE sides"]


def test_the_sides_of_a_lemon_are_wider_by_its_shape() -> None:
    """Side over top 2: top 0.200, sides 0.200 each, 0.400 together; from the sides alone 0.400/2 = 0.200."""
    one = card(profile="lemon", side_to_top=2.0)

    def lemon(place: Place) -> float:
        return 0.200e-3 * ((1.0 - math.cos(place.angle)) + math.cos(place.angle))

    result = felt(one, taken(one, lemon))
    assert value(result) == pytest.approx(0.200e-3, abs=1e-9)
    assert result.assessed[0].values[0].value == pytest.approx(0.400e-3, abs=1e-9)
    assert value(felt(one, taken(one, lemon, side))) == pytest.approx(0.200e-3, abs=1e-9)
    unknown = card(profile="lemon")
    assert "feeler.sides_only" in codes(felt(unknown, taken(unknown, lemon, side)), "hold")
    assert "feeler.lemon_off_top" in codes(felt(unknown, taken(unknown, lemon)), "warning")


def test_one_side_alone_is_said_and_gives_no_sum() -> None:
    one = card()
    result = felt(one, taken(one, gap, lambda p: p.label != "DE left side"))
    assert result.assessed[0].where == ("OE",)
    assert "feeler.one_side" in codes(result, "warning")
    lost = felt(one, taken(one, gap, lambda p: p.label == "DE left side"))
    assert (lost.overall, codes(lost, "hold")) == (None, {"feeler.sides_only"})


def test_places_nearer_to_the_joint_than_45_degrees_are_not_used() -> None:
    one = card()
    low = Place("DE low", 0.0, math.radians(60.0), "DE")
    places = (*FEELER.default_places(one), low)
    readings = (*taken(one, gap), Reading("DE low", "0.900 mm", 0.9e-3, 1e-6))
    result = FEELER.evaluate(one, places, facts(), readings)
    assert value(result) == pytest.approx(0.300e-3, abs=1e-9)
    assert "feeler.too_low" in codes(result, "warning")


@pytest.mark.parametrize("profile", ["tilting pad", "pressure dam", "offset halves", "multi-lobe"])
def test_wrong_bores_are_refused(profile: str) -> None:
    result = felt(card(profile=profile))  # type: ignore[arg-type]
    assert (codes(result), result.overall) == ({"feeler.refused"}, None)


def test_a_stack_of_nothing_is_set_aside_and_named() -> None:
    one = card()
    readings = (*taken(one, gap, lambda p: p.label != "DE top"), Reading("DE top", "0 mm", 0.0, 1e-5))
    result = felt(one, readings)
    assert [(f.code, f.place) for f in result.findings if f.severity == "hold"] == [
        ("feeler.nothing_enters", "DE top")
    ]
    assert value(result) == pytest.approx(0.300e-3, abs=1e-6)


def test_a_wide_blade_is_said_with_what_it_hides() -> None:
    """12.7 mm on a radius of 80: 12.7²/640 = 0.252 mm."""
    finding = next(f for f in felt(card(), blade_width="12.7 mm").findings if f.code == "feeler.wide_blade")
    assert finding.severity == "warning" and "0.252 mm" in finding.text
    assert "feeler.wide_blade" not in codes(felt(card(), blade_width="6 mm"))


def test_a_blade_wider_than_the_journal_is_no_trace() -> None:
    assert felt(card(), blade_width="500 mm").overall is not None


WIDE = Limit("oil clearance", 0.20e-3, 0.40e-3, "maker's figure for this machine", "invented", "C")


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"leaves": "4"}, "too_many_leaves"),
        ({"journal_down": "no"}, "journal_not_down"),
        ({"tightened": "not final"}, "not_final"),
        ({"torque": "200 N m"}, "torque_differs"),
        ({"forced": "yes"}, "forced"),
        ({"part_temperature": "52 degC"}, "hot"),
        ({"part_temperature": "20 degC", "journal_temperature": "27 degC"}, "unequal"),
    ],
)
def test_what_spoils_a_feeler_holds_the_verdict(changed: dict[str, str], code: str) -> None:
    one = replace(card(limits=(WIDE,)), fasteners=Fasteners(torque=300.0))
    places, readings = FEELER.default_places(one), taken(one, gap)
    assert judge_readings(FEELER, one, places, facts(), readings).verdict == "within limits"
    judged = judge_readings(FEELER, one, places, facts(**changed), readings)
    assert judged.verdict == "not proven"
    assert f"feeler.{code}" in {w.code for w in judged.warnings if w.severity == "hold"}


def test_every_rule_the_program_finds_is_tested_here() -> None:
    marks = test_what_spoils_a_feeler_holds_the_verdict.pytestmark  # type: ignore[attr-defined]
    tested = {code for _, code in marks[0].args[1]} | {"nothing_enters", "sides_only"}
    assert {r.code for r in FEELER.rejection_rules if r.found_by == "program"} == {
        f"feeler.{c}" for c in tested
    }


def test_side_clearance_counts_where_the_card_limits_it() -> None:
    """Limits of 0.40 to 0.60 mm diametral, or 0.20 to 0.30 radial, against 0.30: outside."""
    for low, high, basis in ((0.40e-3, 0.60e-3, "diametral"), (0.20e-3, 0.30e-3, "radial")):
        tight = Limit("side clearance", low, high, "owner's standard", "invented", "A", basis)  # type: ignore[arg-type]
        one = card(limits=(WIDE, tight))
        judged = judge_readings(FEELER, one, FEELER.default_places(one), facts(), taken(one, gap))
        assert judged.verdict == "outside limits"


def test_the_rule_for_the_sides_follows_from_the_cards_least_clearance() -> None:
    """Plain: as the oil clearance's minimum, 0.20; a lemon of 2: 0.40 (derived from geometry)."""
    (plain,) = FEELER.rules(card(limits=(MAKER,)))
    (lemon,) = FEELER.rules(card(profile="lemon", side_to_top=2.0, limits=(MAKER,)))
    assert plain.minimum == pytest.approx(0.20e-3) and plain.maximum is None
    assert lemon.minimum == pytest.approx(0.40e-3)
    owners = Limit("oil clearance", 0.10e-3, None, "owner's standard", "shop sheet (invented)", "1")
    (of_two,) = FEELER.rules(card(limits=(owners, MAKER)))
    assert of_two.minimum == pytest.approx(0.20e-3), "the maker's, though the owner's stands first"
    assert FEELER.rules(card(limits=())) == () == FEELER.rules(card(profile="tilting pad"))


@given(seed=st.integers(0, 999))
def test_order_of_readings_changes_nothing(seed: int) -> None:
    one = card()
    readings = list(taken(one, lambda p: gap(p) + (0.03e-3 if p.label == "DE top" else 0.0)))
    plain = felt(one, tuple(readings))
    random.Random(seed).shuffle(readings)
    turned = felt(one, tuple(readings))
    assert turned.overall == plain.overall
    assert turned.places == plain.places and turned.assessed == plain.assessed


@given(thou=st.integers(50, 150))
def test_unit_typed_changes_nothing(thou: int) -> None:
    one, results = card(), []
    for text in (f"{thou / 1e4:.4f} in", f"{thou / 10:.1f} thou"):
        typed = read(text, "length", field="stack")
        readings = tuple(
            Reading(p.label, text, typed.value, typed.resolution)
            for p in FEELER.default_places(one)
            if not side(p)
        )
        results.append(felt(one, readings))
    assert value(results[0]) == pytest.approx(value(results[1]), rel=1e-12)
    assert results[0].places[0].reading == pytest.approx(thou * 1e-4 * INCH)
