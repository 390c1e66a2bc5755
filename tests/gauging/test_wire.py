"""The soft-wire method against what geometry and practice say.

Expected numbers are worked out here from the formula of the circle in a circle (derived from geometry)
or are marked as common practice; none is the program's own output.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.gauging.build import card, facts, places_of, readings
from whitemetal.card import Joint
from whitemetal.card.bearing import Profile
from whitemetal.gauging.contract import Finding, Place, Reading, Result
from whitemetal.gauging.wire import WIRE
from whitemetal.gauging.wire.influences import curl, micrometer_mpe
from whitemetal.quantity import budget

CD = 0.240e-3
SHIMS = Joint("shims", 0.30e-3, 0.30e-3, "shell joint")
GASKET = Joint("gasket", 0.10e-3, 0.10e-3, "shell joint")


def plain(place: Place, clearance: float = CD) -> float:
    """A circle in a circle, touching at the bottom."""
    return clearance * (1.0 + math.cos(place.angle)) / 2.0


def codes(result: Result, *severities: str) -> set[str]:
    return {f.code for f in result.findings if not severities or f.severity in severities}


def overall(result: Result) -> float:
    assert result.overall is not None
    return result.overall.value


def test_top_centre_reads_the_diametral_clearance() -> None:
    """Common practice: thickness at the crown is the full diametral clearance, not half of it."""
    one = card()
    top = tuple(p for p in places_of(one) if "top" in p.label)
    result = WIRE.evaluate(one, top, facts(), readings(top, lambda p: CD))
    assert overall(result) == pytest.approx(CD, abs=1e-9)


def test_every_place_gives_the_same_clearance_in_a_round_bore() -> None:
    one = card()
    places = places_of(one)
    result = WIRE.evaluate(one, places, facts(), readings(places, plain))
    for place in result.places:
        assert place.value.value == pytest.approx(CD, abs=0.6e-6), place.place.label


def test_taper_and_sideways_offset_are_found() -> None:
    one = card()
    places = places_of(one)

    def read(p: Place) -> float:
        local = CD + 0.030e-3 * (p.axial / one.bearing.length - 0.5)
        return plain(p, local) + 0.040e-3 * math.sin(p.angle)

    result = WIRE.evaluate(one, places, facts(), readings(places, read))
    named = {n.key: n.quantity.value for n in result.named}
    assert named["end_to_end"] == pytest.approx(0.030e-3, abs=1e-6)
    assert named["taper"] == pytest.approx(0.030e-3 / 0.160, rel=0.03)
    assert named["sideways"] == pytest.approx(0.040e-3, abs=2e-6)
    assert overall(result) == pytest.approx(CD, abs=1e-6)


@pytest.mark.parametrize(
    ("joint", "changed", "at_squeeze", "at_closing"),
    [
        (SHIMS, {"joint": "shims"}, 0.30e-3, 0.30e-3),
        (
            Joint(),
            {"joint": "joint wires", "joint_wire_left": "0.052 mm", "joint_wire_right": "0.048 mm"},
            50e-6,
            0.0,
        ),
        (GASKET, {"joint": "metal to metal"}, 0.0, 0.10e-3),
        (Joint(), {"joint": "metal to metal"}, 0.0, 0.0),
    ],
    ids=["final shims in", "joint wires", "gasket left out", "metal to metal"],
)
def test_the_four_joint_cases(
    joint: Joint, changed: dict[str, str], at_squeeze: float, at_closing: float
) -> None:
    """t(a) = Cd_final (1 + cos a)/2 + (g_squeeze - g_final) cos a (derived from geometry)."""
    one = card(joint=joint)
    places = places_of(one)

    def read(p: Place) -> float:
        return plain(p) + (at_squeeze - at_closing) * math.cos(p.angle)

    result = WIRE.evaluate(one, places, facts(**changed), readings(places, read))
    assert overall(result) == pytest.approx(CD, abs=0.6e-6)
    left_out = "wire.left_out_at_squeeze" in codes(result, "warning")
    assert left_out == (joint is GASKET)


def test_shims_in_need_no_correction_and_add_no_uncertainty() -> None:
    one, other = card(joint=SHIMS), card()
    places = places_of(one)
    with_shims = WIRE.evaluate(one, places, facts(joint="shims"), readings(places, plain)).overall
    without = WIRE.evaluate(other, places, facts(), readings(places, plain)).overall
    assert with_shims is not None and without is not None
    assert with_shims.u == pytest.approx(without.u, rel=1e-12)


def test_a_shim_in_the_housing_joint_opens_no_bore() -> None:
    """Derived: outside a shell the shim changes the crush, not the bore."""
    one = card(joint=replace(SHIMS, shim_sits="housing joint"))
    places = places_of(one)
    result = WIRE.evaluate(one, places, facts(joint="metal to metal"), readings(places, plain))
    assert overall(result) == pytest.approx(CD, abs=0.6e-6)


def test_a_gasket_that_belongs_and_is_left_out_at_closing_holds() -> None:
    one = card(joint=GASKET)
    places = places_of(one)
    said = facts(joint="metal to metal", final_joint="metal to metal")
    assert "wire.left_out_at_closing" in codes(
        WIRE.evaluate(one, places, said, readings(places, plain)), "hold"
    )


@pytest.mark.parametrize("profile", ["tilting pad", "pressure dam", "offset halves", "multi-lobe"])
def test_bores_for_which_the_method_is_wrong_are_refused(profile: Profile) -> None:
    one = card(profile=profile)
    places = places_of(one)
    result = WIRE.evaluate(one, places, facts(), readings(places, plain))
    assert result.overall is None
    assert codes(result) == {"wire.refused"}


def test_a_lemon_bore_reports_top_and_side() -> None:
    """Two arcs of side clearance Cs with centres moved together: gap along a ray, worked out exactly."""
    top, side, radius = 0.240e-3, 0.480e-3, 0.080
    one = card(profile="lemon", side_to_top=side / top)
    places = places_of(one)
    arc = radius + side / 2
    down = side / 2 - top / 2
    drop = top / 2

    def read(p: Place) -> float:
        cos = math.cos(p.angle)
        lift = drop - down
        reach = lift * cos + math.sqrt(arc**2 - (lift * math.sin(p.angle)) ** 2)
        return reach - radius

    result = WIRE.evaluate(one, places, facts(), readings(places, read))
    assert overall(result) == pytest.approx(top, abs=1e-6)
    named = {n.key: n.quantity.value for n in result.named}
    assert named["side_clearance"] == pytest.approx(side, abs=2e-6)


def test_beyond_thirty_degrees_is_set_aside_and_said() -> None:
    one = card()
    places = (*places_of(one), Place("DE far", 0.016, math.radians(45), "DE"))
    result = WIRE.evaluate(one, places, facts(), readings(places, plain))
    assert "wire.beyond_30" in codes(result, "warning")
    assert "DE far" not in {p.place.label for p in result.places}


@pytest.mark.parametrize(
    ("typed", "code", "severity"),
    [
        (0.130e-3, "wire.too_thin", "hold"),
        (0.150e-3, "wire.rather_thin", "warning"),
        (0.161e-3, "", ""),
        (0.339e-3, "", ""),
        (0.350e-3, "wire.little_flattened", "warning"),
        (0.385e-3, "wire.hardly_flattened", "hold"),
        (0.401e-3, "wire.thicker_than_wire", "hold"),
        (-0.1e-3, "wire.not_positive", "hold"),
    ],
)
def test_wire_diameter_against_result(typed: float, code: str, severity: str) -> None:
    """0.40 to 0.85 good, to 0.33 and 0.95 a warning, outside invalid; wire 0.40 mm (common practice)."""
    one = card()
    place = places_of(one)[1]
    reading = Reading(place.label, f"{typed * 1e3:.3f} mm", typed, 1e-6, 1, "M-7")
    found = [f for f in WIRE.evaluate(one, (place,), facts(), (reading,)).findings if f.place]
    assert [(f.code, f.severity) for f in found if f.code != "wire.other_unit"] == (
        [(code, severity)] if code else []
    )


HOLDS: list[tuple[dict[str, str], str]] = [
    ({"tightened": "not final"}, "wire.tightening_not_final"),
    ({"part_temperature": "55 degC"}, "wire.hot"),
    ({"part_temperature": "30 degC", "journal_temperature": "20 degC"}, "wire.unequal"),
    ({"instrument__M-7__zero_after": "0.003 mm"}, "wire.zero_drift"),
    ({"date": "2027-03-02"}, "wire.calibration"),
    ({"journal_down": "no"}, "wire.journal_not_down"),
    ({"wires_out": "2"}, "wire.wires_left_in"),
    ({"wire_material": "tin-lead solder"}, "wire.wrong_wire"),
    ({"oil_wiped": "no"}, "wire.oil_under_wire"),
    ({"shaft_turned": "yes"}, "wire.shaft_turned"),
    (
        {"joint": "joint wires", "joint_wire_left": "0.080 mm", "joint_wire_right": "0.050 mm"},
        "wire.joint_differs",
    ),
    ({"joint": "joint wires"}, "wire.joint_wires_missing"),
]


@pytest.mark.parametrize(("changed", "code"), HOLDS, ids=[code for _, code in HOLDS])
def test_what_holds_the_check(changed: dict[str, str], code: str) -> None:
    one = card()
    places = places_of(one)
    assert code not in codes(WIRE.evaluate(one, places, facts(), readings(places, plain)))
    assert code in codes(WIRE.evaluate(one, places, facts(**changed), readings(places, plain)), "hold")


def test_another_torque_holds_the_check() -> None:
    one = card()
    one = replace(one, fasteners=replace(one.fasteners, torque=210.0))
    places = places_of(one)
    right = WIRE.evaluate(one, places, facts(torque="210 N m"), readings(places, plain))
    wrong = WIRE.evaluate(one, places, facts(torque="150 N m"), readings(places, plain))
    assert "wire.tightening_differs" not in codes(right)
    assert "wire.tightening_differs" in codes(wrong, "hold")


def test_zero_reading_is_taken_off() -> None:
    one = card()
    places = places_of(one)
    said = facts(**{"instrument__M-7__zero_before": "0.010 mm", "instrument__M-7__zero_after": "0.010 mm"})
    result = WIRE.evaluate(one, places, said, readings(places, lambda p: plain(p) + 10e-6))
    assert overall(result) == pytest.approx(CD, abs=0.6e-6)


def test_a_single_reading_has_the_uncertainty_of_the_worked_budget() -> None:
    """4/sqrt(3), 5, 5, 4 and 2 µm give 8.7 µm (worked by hand); temperature adds 1 K at 160 mm, the scale of
    1 µm half a step twice, for the reading and for the zero."""
    one = card()
    place = places_of(one)[1]
    result = WIRE.evaluate(one, (place,), facts(), readings((place,), plain))
    assert result.overall is not None
    warm = 0.160 * 11.5e-6 / math.sqrt(3)
    by_hand = math.sqrt(
        (4e-6) ** 2 / 3 + 2 * (5e-6) ** 2 + (4e-6) ** 2 + (2e-6) ** 2 + warm**2 + 2 * (1e-6) ** 2 / 12
    )
    assert result.overall.u == pytest.approx(by_hand, rel=1e-6)
    assert len(result.unknown) == 2


def test_a_curled_strip_under_a_flat_anvil_enters_the_budget() -> None:
    """w^2/8R by hand: 6.5 mm over 80 mm radius is 66.0 µm; one-sided, not corrected: over sqrt(3)."""
    assert curl(6.5e-3, 0.080) == pytest.approx(66.015625e-6, rel=1e-9)
    one = card()
    places = places_of(one)
    said = facts(**{"instrument__M-7__anvil": "flat, strip not flattened"})
    result = WIRE.evaluate(one, places, said, readings(places, plain))
    assert result.overall is not None
    line = budget(result.overall)[0]
    assert line.label == "strip curled under a flat anvil"
    assert line.u_input == pytest.approx(66.015625e-6 / math.sqrt(3))


def test_repeats_at_a_place_are_used_as_repeats() -> None:
    """Pooled standard deviation of two pairs, by hand: deviations 4 µm and 0 give sqrt(16/2) = 2.83 µm."""
    one = card()
    first, second = places_of(one)[1], places_of(one)[4]
    taken = [
        Reading(first.label, "0.238 mm", 0.238e-3, 1e-6, 1, "M-7"),
        Reading(first.label, "0.242 mm", 0.242e-3, 1e-6, 1, "M-7"),
        Reading(second.label, "0.240 mm", 0.240e-3, 1e-6, 1, "M-7"),
        Reading(second.label, "0.240 mm", 0.240e-3, 1e-6, 1, "M-7"),
    ]
    result = WIRE.evaluate(one, (first, second), facts(), tuple(taken))
    assert [p.readings for p in result.places] == [2, 2]
    own = [i for i in result.places[0].value.parts if i.family == "reading"]
    assert [round(i.u * 1e6, 3) for i in own] == [round(math.sqrt(8 / 2) / math.sqrt(2), 3)]
    assert own[0].dof == 2


def test_repeated_squeezes_shrink_what_belongs_to_a_squeeze_only() -> None:
    one = card()
    places = places_of(one)
    said = facts(**{"joint@2": "metal to metal", "tightened@2": "final value"})
    once = WIRE.evaluate(one, places, said, readings(places, plain))
    both = readings(places, plain) + readings(places, plain, squeeze=2)
    twice = WIRE.evaluate(one, places, said, both)
    u1, u2 = once.places[0].value.u, twice.places[0].value.u
    assert u2**2 == pytest.approx(u1**2 * (1 - once.shrinking / 2), rel=1e-2, abs=0.0)
    assert twice.places[0].squeezes == 2


def test_a_reading_that_disagrees_is_named_and_widens_the_uncertainty() -> None:
    one = card()
    places = places_of(one)
    taken = list(readings(places, plain))
    taken[4] = replace(taken[4], value=taken[4].value + 60e-6)
    result = WIRE.evaluate(one, places, facts(), tuple(taken))
    calm = WIRE.evaluate(one, places, facts(), readings(places, plain))
    assert result.fit is not None and result.overall is not None and calm.overall is not None
    assert result.fit.worst == places[4].label
    assert "wire.scatter" in codes(result, "warning")
    assert result.overall.u > 1.3 * calm.overall.u


def test_a_reading_in_the_other_unit_is_questioned() -> None:
    one = card()
    place = places_of(one)[1]
    typed = Reading(place.label, "9.4 mm", 9.4e-3, 1e-4, 1, "M-7")
    found: tuple[Finding, ...] = WIRE.evaluate(one, (place,), facts(wire_diameter="15 mm"), (typed,)).findings
    asked = {f.code: f.text for f in found if f.severity == "question"}
    assert "thou" in asked["wire.other_unit"]
    assert "wire.relative" in asked


def test_the_budget_says_where_the_permissible_error_comes_from() -> None:
    one = card()
    places = places_of(one)
    for said, source in (
        (facts(), "DIN 863"),
        (facts(**{"instrument__M-7__mpe": "0.003 mm"}), "as recorded"),
    ):
        found = WIRE.evaluate(one, places, said, readings(places, plain)).overall
        assert found is not None
        line = next(
            line for line in budget(found) if "micrometer" in line.label and "permissible" in line.label
        )
        assert source in line.source


def test_a_coarse_last_digit_does_not_shrink_with_repeats() -> None:
    one = card()
    place = places_of(one)[1]
    coarse = Reading(place.label, "0.2 mm", 0.2e-3, 1e-4, 1, "M-7")
    fine = Reading(place.label, "0.200 mm", 0.2e-3, 1e-6, 1, "M-7")
    assert WIRE.evaluate(one, (place,), facts(), (coarse,)).shrinking < 0.2
    assert WIRE.evaluate(one, (place,), facts(), (fine,)).shrinking > 0.8


def test_layout_has_a_third_station_when_long() -> None:
    """Common practice: three stations when longer than 150 mm or longer than thick."""
    assert len(places_of(card(length=0.140))) == 6
    assert len(places_of(card(length=0.160))) == 9
    assert len(places_of(card(diameter=0.080, length=0.090))) == 9


def test_ends_of_a_piece_a_quarter_diameter_long_stay_within_thirty_degrees() -> None:
    assert math.degrees(2 * 0.125) < 30
    assert max(abs(p.angle) for p in places_of(card())) < 2 * 0.125


def test_micrometer_permissible_errors() -> None:
    """DIN 863 / ISO 3611 practice: 0-50 mm 4 µm, 50-100 5, 100-150 6, 475-500 13."""
    assert [micrometer_mpe(x) for x in (0.025, 0.05, 0.1, 0.15, 0.5)] == [4e-6, 4e-6, 5e-6, 6e-6, 13e-6]


def test_only_the_defaults_that_were_used_are_listed() -> None:
    one = card()
    places = places_of(one)
    plain_check = WIRE.evaluate(one, places, facts(), readings(places, plain))
    keys = {line.key for line in plain_check.assumed}
    assert {"strip", "closure", "placement", "spring_back"} <= keys
    assert not {"zero", "gasket_share", "shim", "anvil_width"} & keys
    curled = facts(
        **{"instrument__M-7__anvil": "flat, strip not flattened", "instrument__M-7__zero_before": None}
    )
    with_curl = WIRE.evaluate(one, places, curled, readings(places, plain))
    assert "anvil_width" in {line.key for line in with_curl.assumed}
    gasket = card(joint=GASKET)
    left_out = WIRE.evaluate(gasket, places, facts(joint="metal to metal"), readings(places, plain))
    assert "gasket_share" in {line.key for line in left_out.assumed}
