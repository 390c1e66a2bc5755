"""The crush by its three ways against hand arithmetic, the limits by seat and size, and every rejection."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whitemetal.card import Bearing, Card, Fasteners, Joint, Limit, Machine
from whitemetal.gauging.contract import Fact, Reading, Result
from whitemetal.gauging.crush import CRUSH
from whitemetal.gauging.crush.evaluate import FEELERS, SHIMS, WIRES
from whitemetal.gauging.crush.limits import SEATS
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement import Judgement

ZEIDAN = "Zeidan and Herbage, 20th Turbomachinery Symposium 1991"


def card(seat: str = "cylindrical", diameter: float = 0.16, *limits: Limit) -> Card:
    bearing = Bearing("1", diameter, 0.14, seat=seat)  # type: ignore[arg-type]
    return Card(
        Machine("T-1", "test", "fan", 155.0), bearing, fasteners=Fasteners(4, torque=420.0), limits=limits
    )


def facts(way: str, **more: str) -> dict[str, Fact]:
    told = {"way": way, "in_which_joint": "housing joint", "shells_closed": "yes", "tightened": "final value"}
    if way == SHIMS:
        told |= {"shim_left": "0.40 mm", "shim_right": "0.40 mm"}
    return {key: Fact(text) for key, text in (told | more).items()}


def read(**places: float) -> tuple[Reading, ...]:
    """Readings [mm] by place, the blank written as an underscore."""
    return tuple(
        Reading(key.replace("_", " "), f"{value:.3f}", value * 1e-3, 1e-6, instrument="M1")
        for key, value in places.items()
    )


def evaluate(way: str, readings: tuple[Reading, ...], of: Card | None = None, **more: str) -> Result:
    of = of or card()
    return CRUSH.evaluate(of, CRUSH.default_places(of), facts(way, **more), readings)


def codes(result: Result, severity: str) -> set[str]:
    return {one.code for one in result.findings if one.severity == severity}


def test_shims_in_the_joint() -> None:
    """0.40 - 0.37 = 0.03 mm tight; 0.40 - 0.41 = 0.01 mm loose."""
    result = evaluate(SHIMS, read(DE_crown=0.370, OE_crown=0.410))
    assert [value.value for value in result.assessed[0].values] == pytest.approx([0.03e-3, -0.01e-3])
    assert codes(result, "note") == {"crush.tight", "crush.loose"}


def test_wires_in_the_joint() -> None:
    """(0.40 + 0.42)/2 - 0.39 = 0.02 mm."""
    result = evaluate(WIRES, read(DE_crown=0.390, DE_left=0.400, DE_right=0.420))
    assert result.assessed[0].values[0].value == pytest.approx(0.02e-3)


def test_the_feelers_gap_is_pi_times_the_crush() -> None:
    """0.10 and 0.09 mm at the slack joint, 0.095 on average: 0.095/3.14159 = 0.0302 mm."""
    result = evaluate(FEELERS, read(DE_left=0.100, DE_right=0.090), in_which_joint="none: feeler")
    assert result.assessed[0].values[0].value == pytest.approx(0.0302e-3, rel=2e-3)


def test_excess_of_circumference_over_excess_of_diameter() -> None:
    """A ring cut open and pressed into a bore smaller by d must lose pi d of its length: from the two lengths."""
    ring, bore = math.pi * 0.250030, math.pi * 0.250000
    gap = ring - bore
    result = evaluate(FEELERS, read(DE_left=gap * 1e3, DE_right=gap * 1e3), in_which_joint="none: feeler")
    assert result.assessed[0].values[0].value == pytest.approx(30e-6, rel=1e-6)


def test_the_feelers_way_knows_less_than_the_wires() -> None:
    wires = evaluate(WIRES, read(DE_crown=0.370, DE_left=0.400, DE_right=0.400)).assessed[0].values[0]
    feelers = evaluate(FEELERS, read(DE_left=0.094, DE_right=0.094)).assessed[0].values[0]
    assert feelers.value == pytest.approx(wires.value, rel=0.01)
    assert wires.u < 12e-6


@pytest.mark.parametrize(
    ("way", "readings", "more", "severity", "code"),
    [
        (SHIMS, read(DE_crown=0.37), {"tightened": "not final"}, "hold", "not_final"),
        (SHIMS, read(DE_crown=0.37), {"torque": "380 N m"}, "hold", "other_torque"),
        (SHIMS, read(DE_crown=0.37), {"in_which_joint": "shell joint"}, "refused", "wrong_joint"),
        (SHIMS, read(DE_crown=0.37), {"shells_closed": "no"}, "hold", "shells_open"),
        (SHIMS, read(DE_crown=0.37), {"shim_right": "0.45 mm"}, "hold", "shims_differ"),
        (SHIMS, read(DE_crown=0.37), {"wire_diameter": "0.38 mm"}, "hold", "hardly_flattened"),
        (SHIMS, read(DE_crown=0.20), {"wire_diameter": "0.8 mm"}, "hold", "too_thin"),
        (SHIMS, read(DE_crown=0.0), {}, "hold", "not_positive"),
        (WIRES, read(DE_crown=0.37, DE_left=0.36, DE_right=0.44), {}, "hold", "cocked"),
        (FEELERS, read(DE_left=0.10), {}, "warning", "one_side"),
        (FEELERS, read(DE_left=0.0, DE_right=0.0), {}, "hold", "no_gap"),
        (FEELERS, read(DE_left=0.10, DE_right=0.05), {}, "hold", "stuck"),
        (SHIMS, read(DE_crown=0.37), {"in_which_joint": "none: feeler"}, "hold", "nothing_in_joint"),
        (WIRES, read(DE_crown=0.37, DE_left=0.4, DE_right=0.4, OE_crown=0.37), {}, "hold", "incomplete"),
        (SHIMS, (), {}, "hold", "no_readings"),
    ],
)
def test_what_must_be_rejected(
    way: str, readings: tuple[Reading, ...], more: dict[str, str], severity: str, code: str
) -> None:
    assert f"crush.{code}" in codes(evaluate(way, readings, None, **more), severity)


def test_every_rule_that_the_program_finds_is_tried_above() -> None:
    tried = {"not_final", "other_torque", "wrong_joint", "shells_open", "shims_differ", "hardly_flattened",
             "too_thin", "not_positive", "cocked", "one_side", "no_gap", "stuck",
             "nothing_in_joint", "incomplete"}  # fmt: skip
    found = {rule.code for rule in CRUSH.rejection_rules if rule.found_by == "program"}
    assert found == {f"crush.{code}" for code in tried}


def test_a_reading_of_no_use_is_said_and_not_dropped_in_silence() -> None:
    shims = evaluate(SHIMS, read(DE_crown=0.37, DE_left=0.40))
    assert [one.place for one in shims.findings if one.code == "crush.not_used"] == ["DE left"]
    feelers = evaluate(FEELERS, read(DE_crown=0.37, DE_left=0.10, DE_right=0.10))
    assert [one.place for one in feelers.findings if one.code == "crush.not_used"] == ["DE crown"]


@pytest.mark.parametrize(
    ("seat", "recorded", "code", "severity"),
    [
        ("cylindrical", SEATS[0], "loose_in_cylinder", "fault"),
        ("not known", SEATS[3], "loose_in_cylinder", "fault"),
        ("not known", SEATS[0], "loose_seat_not_known", "hold"),
        ("cylindrical", SEATS[2], "", ""),
        ("spherical", SEATS[0], "", ""),
    ],
)
def test_a_loose_shell_by_its_seat(seat: str, recorded: str, code: str, severity: str) -> None:
    """0.40 - 0.45 = 0.05 mm loose, seven standard uncertainties from nothing."""
    result = evaluate(SHIMS, read(DE_crown=0.45), card(seat), seat_kind=recorded)
    said = [(one.code, one.severity) for one in result.findings if one.code.startswith("crush.loose_")]
    assert said == ([(f"crush.{code}", severity)] if code else [])


def test_a_seat_recorded_as_spherical_brings_its_rules() -> None:
    rules = evaluate(SHIMS, read(DE_crown=0.40), card("cylindrical"), seat_kind=SEATS[2]).assessed[0].rules
    assert [(rule.minimum, rule.maximum) for rule in rules] == [(0.0, 0.02e-3), (-0.03e-3, 0.0)]
    turbine = replace(card("spherical"), machine=Machine("T-1", "test", "turbine", 155.0))
    assert (CRUSH.rules(turbine)[-1].minimum, CRUSH.rules(turbine)[-1].maximum) == (-0.03e-3, 0.03e-3)


def test_a_good_check_rejects_nothing() -> None:
    result = evaluate(SHIMS, read(DE_crown=0.37, OE_crown=0.38), wire_diameter="0.8 mm", torque="420 N m")
    assert codes(result, "hold") | codes(result, "warning") | codes(result, "refused") == set()


def test_no_shell_no_crush() -> None:
    poured = replace(card(), joint=Joint("shims", 1e-4, 1e-4, "lined cap joint"))
    assert "crush.none_exists" in codes(evaluate(SHIMS, read(DE_crown=0.37), poured), "refused")


@pytest.mark.parametrize(
    ("seat", "diameter", "bands"),
    [
        ("cylindrical", 0.120, [(0.0, 0.05), (0.01, 0.04)]),
        ("cylindrical", 0.200, [(0.0, 0.05), (0.02, 0.06)]),
        ("cylindrical", 0.400, [(0.0, 0.05)]),
        ("spherical", 0.200, [(0.0, 0.02), (-0.03, 0.0)]),
    ],
)
def test_rules_by_seat_and_size(seat: str, diameter: float, bands: list[tuple[float, float]]) -> None:
    """Metal to metal to 0.05 mm: Zeidan and Herbage; the others are common practice. In mm."""
    rules = CRUSH.rules(card(seat, diameter))
    found = [(round((rule.minimum or 0.0) * 1e3, 9), round((rule.maximum or 0.0) * 1e3, 9)) for rule in rules]
    assert found == bands
    if seat == "cylindrical":
        assert rules[0].source == ZEIDAN


def test_a_thin_walled_insert_is_ruled_by_its_joint_gap() -> None:
    """0.05 to 0.15 mm of gap over pi: 0.0159 to 0.0477 mm."""
    result = evaluate(FEELERS, read(DE_left=0.1, DE_right=0.1), seat_kind=SEATS[3])
    rule = result.assessed[0].rules[0]
    assert (rule.minimum, rule.maximum) == pytest.approx((0.0159e-3, 0.0477e-3), rel=2e-3)


def judge(of: Card, way: str, readings: tuple[Reading, ...], **more: str) -> Judgement:
    return judge_readings(CRUSH, of, CRUSH.default_places(of), facts(way, **more), readings)


def owners(low: float, high: float) -> Limit:
    return Limit("crush", low, high, "owner's standard", "sheet (invented)", "1")


@pytest.mark.parametrize(
    ("back", "verdict"),
    [(0.375, "within limits"), (0.395, "not proven"), (0.310, "outside limits"), (0.440, "outside limits")],
)
def test_verdicts(back: float, verdict: str) -> None:
    """Limits 0 to 0.05 mm; 0.025, 0.005, 0.09 and -0.04 mm of crush."""
    of = card("cylindrical", 0.16, owners(0.0, 0.05e-3))
    assert judge(of, SHIMS, read(DE_crown=back, OE_crown=back)).verdict == verdict


def test_a_loose_shell_is_a_fault_in_a_cylinder_and_right_in_a_sphere() -> None:
    loose = read(DE_crown=0.425, OE_crown=0.425)
    cylinder = judge(card("cylindrical"), SHIMS, loose)
    assert cylinder.verdict == "outside limits"
    assert any(one.code == "crush.loose_in_cylinder" for one in cylinder.warnings)
    sphere = judge(card("spherical", 0.16, owners(-0.06e-3, 0.01e-3)), SHIMS, loose)
    assert sphere.verdict == "within limits"


@given(order=st.permutations(range(3)), unit=st.sampled_from(["mm", "in", "thou"]))
def test_order_and_unit_change_nothing(order: list[int], unit: str) -> None:
    taken = read(DE_crown=0.390, DE_left=0.400, DE_right=0.410)
    plain = evaluate(WIRES, taken).assessed[0].values[0]
    other = replace(card(), bearing=replace(card().bearing, unit=unit))  # type: ignore[arg-type]
    moved = evaluate(WIRES, tuple(taken[i] for i in order), other).assessed[0].values[0]
    assert (moved.value, moved.u) == pytest.approx((plain.value, plain.u), rel=1e-12)
