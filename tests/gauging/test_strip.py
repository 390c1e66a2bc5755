"""Gauging strip: ranges, the cosine law, joint, budget, and every reason to throw a reading away.

Expected numbers: US Army TM 5-2420-222-34 for the ranges, hand arithmetic written out here for the rest.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.gauging.build import card
from whitemetal.card import Card, Fasteners, Joint, Limit
from whitemetal.gauging.contract import CLEARANCE, GAP_CHANGE, Fact, Place, Reading, Result
from whitemetal.gauging.strip import STRIP
from whitemetal.gauging.strip.ranges import STRIPS, strips_for
from whitemetal.job.judge import judge_readings
from whitemetal.quantity import covariance
from whitemetal.units import INCH, read

WIDE = "0.175 to 0.500 mm"
LARGEST_INCH = "0.004 to 0.009 in (0.102 to 0.229 mm)"
RECORDED = {
    "strip_range": LARGEST_INCH,
    "strip_condition": "in date, kept cool",
    "oil": "dry",
    "journal_down": "yes",
    "weight_on_strip": "no",
    "shaft_turned": "no",
    "joint": "metal to metal",
    "tightened": "final value",
}


def facts(**changed: str | None) -> Mapping[str, Fact]:
    texts: dict[str, str | None] = {**RECORDED, **changed}
    return {key: Fact(text) for key, text in texts.items() if text is not None}


def taken(one: Card, gap: Callable[[Place], float], squeeze: int = 1) -> tuple[Reading, ...]:
    """A reading at each place, noted to a micrometre."""
    found = []
    for place in STRIP.default_places(one):
        text = f"{1e3 * gap(place):.3f} mm"
        found.append(Reading(place.label, text, float(text[:-3]) * 1e-3, 1e-6, squeeze))
    return tuple(found)


def squeezed(one: Card, gap: Callable[[Place], float], **changed: str | None) -> Result:
    return STRIP.evaluate(one, STRIP.default_places(one), facts(**changed), taken(one, gap))


def even(place: Place) -> float:
    return 0.180e-3


def value(result: Result) -> float:
    assert result.overall is not None
    return result.overall.value


def codes(result: Result, *severities: str) -> set[str]:
    return {f.code for f in result.findings if not severities or f.severity in severities}


def test_at_top_centre_the_strip_reads_the_diametral_clearance() -> None:
    result = squeezed(card(), even)
    assert value(result) == pytest.approx(0.180e-3, abs=1e-9)
    assert [p.place.label for p in result.places] == ["DE top", "M top", "OE top"]
    assert codes(result, "hold", "question", "refused") == set()
    assert result.says[CLEARANCE].value == pytest.approx(0.180e-3, abs=1e-9)
    assert result.says[GAP_CHANGE].value == pytest.approx(0.0, abs=1e-9)


def test_off_centre_the_cosine_law_gives_the_clearance() -> None:
    """Journal 160 mm, strip 28 mm to the right: 2 x 28/160 = 0.35 rad = 20.05°; (1 + cos)/2 = 0.9697. A gap of
    0.180 mm there is a clearance of 0.180/0.9697 = 0.18562 mm; to the left it is the same."""
    right = squeezed(card(), even, off_centre="28 mm")
    left = squeezed(card(), even, off_centre="-28 mm")
    assert value(right) == pytest.approx(0.18562e-3, abs=2e-8)
    assert value(left) == pytest.approx(value(right), abs=1e-12)
    assert [p.value.value for p in right.places] == pytest.approx([0.18562e-3] * 3, abs=2e-8)


def test_taper_comes_from_the_ends() -> None:
    """Land 160 mm, stations 16 and 144 mm: 0.164 and 0.196 mm there are 32 µm over 128 mm, 40 µm over the land."""
    ends = {"DE top": 0.164e-3, "M top": 0.180e-3, "OE top": 0.196e-3}
    result = squeezed(card(), lambda place: ends[place.label])
    assert value(result) == pytest.approx(0.180e-3, abs=1e-9)
    assert result.says[GAP_CHANGE].value == pytest.approx(40e-6, abs=1e-9)
    assert "strip.front_to_rear" in codes(result, "warning")


def test_beside_a_groove_there_is_a_strip_on_each_side() -> None:
    """At 15° both sides read (1 + cos 15°)/2 = 0.98296 of the clearance: 0.17693 of 0.180 mm."""
    one = card()
    one = replace(one, bearing=replace(one.bearing, groove_at_top=True))
    assert {p.piece for p in STRIP.default_places(one)} == {"left", "right"}
    result = squeezed(one, lambda place: 0.17693e-3)
    assert value(result) == pytest.approx(0.180e-3, abs=1e-7)


def test_shims_left_out_at_the_squeeze_are_reckoned_in() -> None:
    """Squeezed metal to metal, closed on shims of 0.10 mm that open the bore: 0.180 + 0.100 = 0.280 mm."""
    one = card(joint=Joint("shims", 0.10e-3, 0.10e-3, "shell joint"))
    result = squeezed(one, even)
    assert value(result) == pytest.approx(0.280e-3, abs=1e-9)
    assert "strip.other_joint" in codes(result, "warning")
    housing = card(joint=Joint("shims", 0.10e-3, 0.10e-3, "housing joint"))
    assert value(squeezed(housing, even)) == pytest.approx(0.180e-3, abs=1e-9)


def test_budget_of_one_place_by_hand() -> None:
    """Steps of 0.001 in: 25.4/√12 = 7.332; eye 25.4/4 = 6.35; make 3; closing 5; placing 4; warmth 160 mm x
    11.5e-6/√3 = 1.062; along the arc nothing at top centre. √(53.76 + 40.32 + 9 + 25 + 16 + 1.13) = 12.05 µm."""
    one = squeezed(card(), even).places[0].value
    assert one.u == pytest.approx(12.05e-6, abs=0.01e-6)


@pytest.mark.parametrize(("name", "gap"), [("0.001 to 0.003 in (0.025 to 0.076 mm)", 0.060e-3),
                                           (LARGEST_INCH, 0.180e-3)])  # fmt: skip
def test_expanded_uncertainty_is_that_of_practice(name: str, gap: float) -> None:
    """Common practice, skilled hand: 0.013 to 0.025 mm (k = 2)."""
    one = squeezed(card(diameter=0.100, length=0.08), lambda place: gap, strip_range=name).places[0].value
    assert 0.013e-3 < 2.0 * one.u < 0.025e-3


def test_off_centre_the_place_along_the_arc_counts() -> None:
    """1 mm of arc at 20.05°, taken at the rung next to the strip's 0.180 mm, which is 2^7.5 = 181.02 µm:
    C = 181.02 µm / 0.9697 and C x sin(20.05°)/2 x 2/160 / 0.9697 = 0.41 µm."""
    one = squeezed(card(), even, off_centre="28 mm").places[0].value
    arc = next(part for influence, part in one.parts.items() if influence.family == "placement_arc")
    factor = (1 + math.cos(0.35)) / 2
    assert abs(arc) == pytest.approx(
        2**7.5 * 1e-6 / factor * math.sin(0.35) / 2 * 2e-3 / 0.160 / factor, rel=1e-3
    )


def test_places_of_one_squeeze_share_closing_placing_and_warmth() -> None:
    """5² + 4² + 1.062² = 42.13 µm²."""
    places = squeezed(card(), even).places
    assert covariance(places[0].value, places[2].value) == pytest.approx(42.13e-12, rel=1e-3, abs=0.0)


def test_a_coarser_last_digit_than_the_scale_counts() -> None:
    one = card(length=0.08)
    readings = tuple(replace(r, resolution=1e-4) for r in taken(one, even))
    place = STRIP.evaluate(one, STRIP.default_places(one), facts(), readings).places[0].value
    step = next(i.u for i in place.parts if i.family == "reading")
    assert step == pytest.approx(1e-4 / math.sqrt(12.0))


def test_the_step_as_recorded_goes_before_the_usual_one() -> None:
    result = squeezed(card(), even, scale_step="0.05 mm")
    step = next(i.u for i in result.places[0].value.parts if i.family == "reading")
    assert step == pytest.approx(50e-6 / math.sqrt(12.0))
    assert "scale_step" not in {a.key for a in result.assumed}
    assert "scale_step" in {a.key for a in squeezed(card(), even).assumed}


def test_dry_is_assumed_and_said_to_be_disputed() -> None:
    said = next(a for a in squeezed(card(), even, oil=None).assumed if a.key == "oil")
    assert said.text == "dry" and "conflict" in said.source


def test_a_reading_off_the_scale_is_set_aside_and_named() -> None:
    ends = {"DE top": 0.180e-3, "M top": 0.180e-3, "OE top": 0.260e-3}
    result = squeezed(card(), lambda place: ends[place.label])
    finding = next(f for f in result.findings if f.code == "strip.out_of_range")
    assert (finding.severity, finding.place) == ("hold", "OE top")
    assert "0.260 mm" in finding.text and LARGEST_INCH in finding.text
    assert {p.place.label for p in result.places} == {"DE top", "M top"}


def test_all_off_the_scale_leaves_no_number() -> None:
    result = squeezed(card(), lambda place: 0.050e-3)
    assert result.overall is None
    assert codes(result, "hold") == {"strip.out_of_range", "strip.no_readings"}


@pytest.mark.parametrize("edge", [0.102e-3, 0.229e-3])
def test_the_last_mark_counts_but_is_said(edge: float) -> None:
    """0.004 and 0.009 in are printed 0.102 and 0.229 mm."""
    result = squeezed(card(diameter=0.1, length=0.08), lambda place: edge)
    assert value(result) == pytest.approx(edge, abs=1e-9)
    assert "strip.at_end" in codes(result, "warning")


def test_a_scale_that_ends_within_the_limits_is_said_and_another_strip_named() -> None:
    """Limits 0.20 to 0.28 mm; the Army's largest strip ends at 0.229: the next that holds both is 0.175 to 0.5."""
    finding = next(f for f in squeezed(card(), even).findings if f.code == "strip.scale_ends")
    assert WIDE in finding.text
    wide = squeezed(card(), lambda place: 0.24e-3, strip_range=WIDE)
    assert "strip.scale_ends" not in codes(wide)
    far = Limit("oil clearance", 0.02e-3, 0.9e-3, "maker's figure for this machine", "invented", "A")
    lost = squeezed(card(limits=(far,)), even)
    assert "No single strip" in next(f.text for f in lost.findings if f.code == "strip.scale_ends")


def test_the_scale_is_held_against_the_limit_with_most_authority_wherever_it_stands_on_the_card() -> None:
    """A chart from 0.02 to 0.9 mm stands first: no strip holds it. The maker's 0.20 to 0.28 mm decides."""
    chart = Limit("oil clearance", 0.02e-3, 0.9e-3, "maker's general chart", "invented", "A")
    both = squeezed(card(limits=(chart, *card().limits)), even)
    assert [WIDE in f.text for f in both.findings if f.code == "strip.scale_ends"] == [True]


def test_limits_may_be_radial() -> None:
    """0.06 to 0.11 mm radial is 0.12 to 0.22 diametral: on the scale of 0.102 to 0.229."""
    radial = Limit("oil clearance", 0.06e-3, 0.11e-3, "owner's standard", "invented", "A", "radial")
    assert "strip.scale_ends" not in codes(squeezed(card(limits=(radial,)), even))


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"strip_condition": "expired"}, "expired"),
        ({"strip_expires": "2026-01-31", "date": "2026-02-01"}, "expired"),
        ({"strip_condition": "stored hot"}, "stored_hot"),
        ({"shaft_turned": "yes"}, "shaft_turned"),
        ({"weight_on_strip": "yes"}, "weight"),
        ({"journal_down": "no"}, "journal_not_down"),
        ({"read_at": "another point"}, "not_widest"),
        ({"tightened": "not final"}, "tightening_not_final"),
        ({"torque": "200 N m"}, "tightening_differs"),
        ({"part_temperature": "52 degC"}, "hot"),
        ({"part_temperature": "20 degC", "journal_temperature": "27 degC"}, "unequal"),
        ({"off_centre": "45 mm"}, "beyond_30"),
    ],
)
def test_what_makes_the_reading_worth_nothing_holds_the_verdict(changed: dict[str, str], code: str) -> None:
    one = replace(card(limits=(WIDE_LIMIT,)), fasteners=Fasteners(torque=300.0))
    places = STRIP.default_places(one)
    assert judge_readings(STRIP, one, places, facts(), taken(one, even)).verdict == "within limits"
    judged = judge_readings(STRIP, one, places, facts(**changed), taken(one, even))
    assert judged.verdict == "not proven"
    assert f"strip.{code}" in {w.code for w in judged.warnings if w.severity == "hold"}


WIDE_LIMIT = Limit("oil clearance", 0.11e-3, 0.22e-3, "maker's figure for this machine", "invented", "C")
FOUND = {"out_of_range", "expired", "stored_hot", "shaft_turned", "weight", "journal_not_down", "not_widest",
         "tightening_not_final", "tightening_differs", "left_out_at_closing", "beyond_30", "hot",
         "unequal"}  # fmt: skip


def test_every_rule_the_program_finds_is_tested_here() -> None:
    assert {r.code for r in STRIP.rejection_rules if r.found_by == "program"} == {f"strip.{c}" for c in FOUND}


def test_a_gasket_left_out_at_the_closing_is_held() -> None:
    one = card(joint=Joint("gasket", 0.2e-3, 0.2e-3, "shell joint"))
    result = squeezed(one, even, joint="gasket", final_joint="metal to metal")
    assert "strip.left_out_at_closing" in codes(result, "hold")


def test_not_expired_on_its_last_day() -> None:
    assert "strip.expired" not in codes(squeezed(card(), even, strip_expires="2026-02-01", date="2026-02-01"))


def test_oil_is_a_warning_since_sources_conflict() -> None:
    result = squeezed(card(), even, oil="oiled")
    assert "strip.oiled" in codes(result, "warning")
    assert codes(result, "hold") == set()


@pytest.mark.parametrize("profile", ["tilting pad", "pressure dam", "offset halves", "multi-lobe"])
def test_wrong_bores_are_refused_as_for_the_wire(profile: str) -> None:
    result = squeezed(card(profile=profile), even)  # type: ignore[arg-type]
    assert (codes(result), result.overall) == ({"strip.refused"}, None)


def test_a_lemon_without_its_shape_is_read_at_top_centre_only() -> None:
    assert value(squeezed(card(profile="lemon"), even)) == pytest.approx(0.180e-3, abs=1e-9)
    off = squeezed(card(profile="lemon"), even, off_centre="28 mm")
    assert "strip.lemon_off_top" in codes(off, "hold")
    known = squeezed(card(profile="lemon", side_to_top=2.0), even, off_centre="28 mm")
    assert value(known) == pytest.approx(0.180e-3, abs=1e-9)


def test_scatter_beyond_the_budget_widens_it() -> None:
    """DE 0.11, M 0.20, OE 0.11 mm: no straight line goes through them."""
    bent = {"DE top": 0.11e-3, "M top": 0.20e-3, "OE top": 0.11e-3}
    result = squeezed(card(), lambda place: bent[place.label])
    assert "strip.scatter" in codes(result, "warning")
    assert result.places[0].value.u > squeezed(card(), even).places[0].value.u


def test_strips_offered_for_limits_are_the_finest_first() -> None:
    names = [s.name for s in strips_for(0.11e-3, 0.17e-3)]
    assert names[0] in {"0.100 to 0.250 mm", "0.025 to 0.175 mm"} and LARGEST_INCH in names[:3]
    steps = [STRIPS[name].step for name in names]
    assert steps == sorted(steps)
    assert strips_for(0.01e-3, 2e-3) == ()


ORDER = list(itertools.permutations(range(3)))


@pytest.mark.parametrize("order", ORDER)
def test_order_of_readings_changes_nothing(order: tuple[int, ...]) -> None:
    one = card()
    gaps = {"DE top": 0.164e-3, "M top": 0.185e-3, "OE top": 0.196e-3}
    readings = taken(one, lambda place: gaps[place.label])
    places = STRIP.default_places(one)
    plain = STRIP.evaluate(one, places, facts(), readings)
    turned = STRIP.evaluate(one, places, facts(), tuple(readings[i] for i in order))
    assert turned.overall == plain.overall
    assert turned.places == plain.places


@given(thou=st.integers(45, 85))
def test_unit_typed_changes_nothing(thou: int) -> None:
    """The same gap typed in in and thou."""
    one = card(diameter=0.1, length=0.08)
    results = []
    for text in (f"{thou / 10000:.4f} in", f"{thou / 10:.1f} thou"):
        typed = read(text, "length", field="gap")
        readings = tuple(
            Reading(p.label, text, typed.value, typed.resolution) for p in STRIP.default_places(one)
        )
        results.append(STRIP.evaluate(one, STRIP.default_places(one), facts(), readings))
    assert value(results[0]) == pytest.approx(value(results[1]), rel=1e-12)
    assert value(results[0]) == pytest.approx(thou * 1e-4 * INCH, rel=1e-9)
    assert codes(results[0]) == codes(results[1])
