"""Figures recorded with their limits, and gaps round a ring: each look, each rule, each figure's uncertainty."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whitemetal.card import LIMITED, Bearing, Card, Limit, Machine
from whitemetal.gauging import METHODS
from whitemetal.gauging.alignment import ALIGNMENT
from whitemetal.gauging.contract import Fact, Method, Reading
from whitemetal.gauging.end_float import END_FLOAT
from whitemetal.gauging.insulation import INSULATION
from whitemetal.gauging.oil_ring import OIL_RING
from whitemetal.gauging.recorded import NO_READING
from whitemetal.gauging.seals import SEALS
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement import Judgement
from whitemetal.units import read

RECORDED = [
    method
    for method in METHODS.values()
    if method.reading_field == NO_READING and method.key != "vibration"  # says more: test_vibration.py
]
ROUND = [METHODS[key] for key in ("seals", "air_gap", "impeller")]


def card(rpm: float = 1490.0, kind: str = "fan", power: float = 200e3, *limits: Limit) -> Card:
    machine = Machine("T-1", "test", kind, rpm * math.pi / 30.0, power)  # type: ignore[arg-type]
    return Card(machine, Bearing("1", 0.16, 0.14), limits=limits)


def right(method: Method) -> dict[str, str]:
    """Facts with every look right and every figure at a usual value."""
    usual = {"length": "0.02 mm", "ratio": "0.2 %", "resistance": "50 Mohm", "angle": "60 deg"}
    facts = {}
    wrong_by = {rule.code.partition(".")[2] for rule in method.rejection_rules if rule.found_by == "program"}
    for field in method.fields:
        if field.kind == "number":
            facts[field.key] = "3"
        elif field.kind == "quantity":
            facts[field.key] = usual[str(field.dimension)]
        elif field.choices:
            facts[field.key] = field.choices[0]
        else:
            facts[field.key] = "noted"
    for key in wrong_by & set(facts):
        field = next(field for field in method.fields if field.key == key)
        facts[key] = next(text for text in field.choices if not _found(method, key, text))
    return facts


def _found(method: Method, key: str, text: str) -> bool:
    result = method.evaluate(card(), (), {key: Fact(text)}, ())
    return any(finding.code == f"{method.key}.{key}" for finding in result.findings)


def judge(method: Method, facts: dict[str, str], of: Card | None = None) -> Judgement:
    return judge_readings(method, of or card(), (), {key: Fact(text) for key, text in facts.items()}, ())


@pytest.mark.parametrize("method", [one for one in RECORDED if one.assesses], ids=lambda one: one.key)
def test_every_figure_comes_back_with_its_last_digit_and_its_gauge(method: Method) -> None:
    facts = right(method)
    result = method.evaluate(card(), (), {key: Fact(text) for key, text in facts.items()}, ())
    figures = [field for field in method.fields if field.kind == "quantity"]
    assert [one.label for one in result.assessed] == [field.label for field in figures]
    for one, field in zip(result.assessed, figures, strict=True):
        assert field.dimension is not None
        typed = read(facts[field.key], field.dimension, field=field.key)
        assert one.of in method.assesses and one.of in LIMITED
        assert one.values[0].value == pytest.approx(typed.value)
        if field.key != "joint_feeler":
            assert one.values[0].u > typed.resolution / math.sqrt(12.0)
    assert result.findings == ()


@pytest.mark.parametrize(
    ("method", "code"),
    [
        (m, r.code)
        for m in RECORDED
        for r in m.rejection_rules
        if r.found_by == "program" and any(r.code == f"{m.key}.{field.key}" for field in m.fields)
    ],
    ids=lambda value: value if isinstance(value, str) else value.key,
)
def test_every_look_that_goes_wrong_is_said(method: Method, code: str) -> None:
    key = code.partition(".")[2]
    field = next(field for field in method.fields if field.key == key)
    wrong = [text for text in field.choices if _found(method, key, text)]
    assert wrong and len(wrong) < len(field.choices)
    judgement = judge(method, {**right(method), key: wrong[0]})
    warned = next(one for one in judgement.warnings if one.code == code)
    if warned.severity == "fault":
        assert judgement.verdict == "outside limits"
        assert warned.text in judgement.reasons[0]
    elif warned.severity == "hold":
        assert judgement.verdict == "not proven"


@pytest.mark.parametrize("method", RECORDED, ids=lambda one: one.key)
def test_without_its_needed_facts_a_check_is_not_proven(method: Method) -> None:
    judgement = judge(method, {})
    needed = [field for field in method.fields if field.needed]
    assert needed
    assert judgement.verdict == "not proven"
    assert len([one for one in judgement.warnings if one.code.startswith("needed.")]) == len(needed)


@pytest.mark.parametrize("method", [*RECORDED, *ROUND], ids=lambda one: one.key)
def test_a_general_rule_counts_once_it_is_adopted(method: Method) -> None:
    assert {rule.of for rule in method.rules(card())} <= set(method.assesses)
    assert all(rule.source and rule.title for rule in method.rules(card()))


@pytest.mark.parametrize("method", RECORDED, ids=lambda one: one.key)
def test_a_figure_below_nothing_is_held_and_not_let_pass_under_an_upper_limit(method: Method) -> None:
    for field in method.fields:
        if field.kind != "quantity":
            continue
        usual = right(method)
        facts = {key: Fact(text) for key, text in (usual | {field.key: f"-{usual[field.key]}"}).items()}
        result = method.evaluate(card(), (), facts, ())
        assert [(one.code, one.severity) for one in result.findings] == [(f"{method.key}.impossible", "hold")]
        assert field.label not in [one.label for one in result.assessed]


def test_an_offset_with_a_sign_is_not_within_its_limit() -> None:
    of = card(
        1490.0, "fan", 2e5, adopted("alignment offset", None, 0.06e-3),
        adopted("alignment angle", None, 3e-3), adopted("soft foot", None, 0.1e-3),
    )  # fmt: skip
    facts = right(ALIGNMENT)
    assert judge(ALIGNMENT, facts, of).verdict == "within limits"
    assert judge(ALIGNMENT, facts | {"offset_upright": "-0.30 mm"}, of).verdict == "not proven"


def test_a_share_above_the_whole_is_held() -> None:
    facts = {"contact": Fact("120 %")}
    assert "seat.impossible" in [one.code for one in METHODS["seat"].evaluate(card(), (), facts, ()).findings]


@pytest.mark.parametrize(
    ("entered", "verdict"),
    [("0 mm", "within limits"), ("0.0010 in", "outside limits"), ("0.001 in", "outside limits")],
)
def test_a_thou_that_enters_the_joint_is_outside(entered: str, verdict: str) -> None:
    """A feeler of 0.02 to 0.03 mm (0.001 in) must not enter anywhere: common practice."""
    seat = METHODS["seat"]
    rule = next(rule for rule in seat.rules(card()) if rule.of == "joint feeler")
    of = card(
        1490.0, "fan", 2e5, adopted("joint feeler", None, rule.maximum), adopted("seat contact", 0.75, None)
    )
    facts = right(seat) | {"contact": "90 %", "joint_feeler": entered}
    assert judge(seat, facts, of).verdict == verdict


@pytest.mark.parametrize("method", ROUND, ids=lambda one: one.key)
def test_a_gap_below_nothing_is_held_at_its_place(method: Method) -> None:
    taken = gaps(method, top=-0.2e-3, right=0.2e-3, bottom=0.4e-3, left=0.2e-3)
    result = method.evaluate(card(), method.default_places(card()), {}, taken)
    held = [one.place for one in result.findings if one.code == f"{method.key}.impossible"]
    assert held == [taken[0].place]
    without = method.evaluate(card(), method.default_places(card()), {}, taken[1:])
    assert result.assessed == without.assessed


def test_no_air_gap_at_all_is_held() -> None:
    method = METHODS["air_gap"]
    taken = gaps(method, top=0.0, right=0.0, bottom=0.0, left=0.0)
    result = method.evaluate(card(), method.default_places(card()), {}, taken)
    assert [(one.code, one.severity) for one in result.findings] == [("air_gap.no_gap", "hold")]


def adopted(of: str, low: float | None, high: float | None) -> Limit:
    return Limit(of, low, high, "owner's standard", "sheet (invented)", "1", basis="as it is")


def test_an_oil_ring_within_and_outside() -> None:
    limit = adopted("oil ring out-of-round", None, 0.05e-3)
    facts = right(OIL_RING)
    assert judge(OIL_RING, facts, card(1490.0, "fan", 2e5, limit)).verdict == "within limits"
    oval = facts | {"out_of_round": "0.09 mm"}
    assert judge(OIL_RING, oval, card(1490.0, "fan", 2e5, limit)).verdict == "outside limits"
    one_piece = facts | {"screws_locked": "one piece"}
    assert judge(OIL_RING, one_piece, card(1490.0, "fan", 2e5, limit)).verdict == "within limits"


@pytest.mark.parametrize(
    ("rpm", "offset", "angle"),
    [(1480, 0.09e-3, 0.7e-3), (1780, 76.2e-6, 0.5e-3), (2980, 0.06e-3, 0.4e-3), (3560, 38.1e-6, 0.3e-3)],
)
def test_alignment_rows_by_speed(rpm: float, offset: float, angle: float) -> None:
    """As printed: 0.09 mm and 0.07 per 100; 3.0 thou and 5 per 10 in; 0.06 mm and 0.04 per 100; 1.5 and 3."""
    rules = {rule.of: rule.maximum for rule in ALIGNMENT.rules(card(rpm))}
    assert rules["alignment offset"] == pytest.approx(offset)
    assert rules["alignment angle"] == pytest.approx(angle)
    assert rules["soft foot"] == pytest.approx(0.06e-3)


def test_above_the_table_there_is_no_row() -> None:
    assert [rule.of for rule in ALIGNMENT.rules(card(6000.0))] == ["soft foot"]


def test_end_float_rules_follow_what_takes_the_thrust() -> None:
    """0.13 to 0.25 mm with a ball bearing, 0.25 to 0.33 with a film bearing (a pump maker's manual); 0.25 in and
    0.50 in of float for a motor to and above 500 hp."""
    found = {}
    for thrust in ("none, rotor floats", "ball thrust bearing", "film thrust bearing"):
        facts = {"total": Fact("0.20 mm"), "thrust": Fact(thrust)}
        found[thrust] = [
            (rule.minimum, rule.maximum)
            for power in (200e3, 900e3)
            for one in END_FLOAT.evaluate(card(1490.0, "motor", power), (), facts, ()).assessed
            for rule in one.rules
            if rule.of == "end float"
        ]
    assert found["ball thrust bearing"] == [(0.13e-3, 0.25e-3)] * 2
    assert found["film thrust bearing"] == [(0.25e-3, 0.33e-3)] * 2
    assert [low for low, _ in found["none, rotor floats"]] == pytest.approx([6.35e-3, 12.7e-3])


@pytest.mark.parametrize(("power", "most"), [(200e3, 0.09), (900e3, 0.19)])
def test_a_coupling_may_leave_a_floating_motor_so_much(power: float, most: float) -> None:
    """0.09 in to 500 hp and 0.19 in above: NEMA MG 1, from memory."""
    facts = {key: Fact(text) for key, text in right(END_FLOAT).items()}
    result = END_FLOAT.evaluate(card(1490.0, "motor", power), (), facts, ())
    rule = next(rule for one in result.assessed if one.of == "coupling float" for rule in one.rules)
    assert rule.maximum == pytest.approx(most * 25.4e-3)


def test_a_rotor_on_a_shoulder_is_outside_whatever_its_float() -> None:
    limit = adopted("end float", 6e-3, None)
    of = card(1490.0, "motor", 2e5, limit)
    facts = right(END_FLOAT) | {"total": "9.0 mm"}
    assert judge(END_FLOAT, facts, of).verdict == "within limits"
    assert judge(END_FLOAT, facts | {"on_shoulder": "yes"}, of).verdict == "outside limits"
    assert (
        judge(END_FLOAT, {k: v for k, v in facts.items() if k != "on_shoulder"}, of).verdict == "not proven"
    )


def test_one_large_spot_without_bond_is_outside() -> None:
    """No single spot above 12 mm: common practice."""
    of = card(1490.0, "motor", 2e5, adopted("bond defect size", None, 12e-3))
    facts = right(METHODS["bond"])
    assert judge(METHODS["bond"], facts | {"largest": "5 mm"}, of).verdict == "within limits"
    assert judge(METHODS["bond"], facts | {"largest": "20 mm"}, of).verdict == "outside limits"


def test_insulation_just_above_one_megohm_is_not_proven() -> None:
    limit = adopted("insulation resistance", 1e6, None)
    of = card(1490.0, "motor", 2e5, limit)
    assert judge(INSULATION, right(INSULATION) | {"resistance": "1.05 Mohm"}, of).verdict == "not proven"
    assert judge(INSULATION, right(INSULATION) | {"resistance": "2 Mohm"}, of).verdict == "within limits"
    assert judge(INSULATION, right(INSULATION) | {"coupling_parted": "no"}, of).verdict == "not proven"


def gaps(method: Method, **sides: float) -> tuple[Reading, ...]:
    piece = method.default_places(card())[0].piece
    return tuple(Reading(f"{piece} {side}", f"{v * 1e3:.2f}", v, 1e-5) for side, v in sides.items())


def test_seal_clearance_is_the_sum_of_opposite_gaps() -> None:
    """0.40 + 0.00 up and down, 0.18 + 0.22 side to side: 0.40 mm each way, wherever the shaft lies."""
    places = SEALS.default_places(card())
    taken = gaps(SEALS, top=0.40e-3, bottom=0.0, left=0.18e-3, right=0.22e-3)
    result = SEALS.evaluate(card(), places, {}, taken)
    assert [value.value for value in result.assessed[0].values] == pytest.approx([0.40e-3, 0.40e-3])
    assert [len(where) > 0 for where in result.assessed[0].where] == [True, True]
    assert SEALS.rules(card())[0].maximum == pytest.approx(0.56e-3)


def test_gaps_on_one_side_only_are_held() -> None:
    places = SEALS.default_places(card())
    result = SEALS.evaluate(card(), places, {}, gaps(SEALS, top=0.40e-3, left=0.2e-3))
    assert [finding.code for finding in result.findings] == ["seals.one_side"]
    assert result.assessed == ()


def test_air_gap_deviation() -> None:
    """1.2, 1.0, 0.8, 1.0 mm: mean 1.0, greatest deviation 0.2, that is 20 % (worked by hand)."""
    method = METHODS["air_gap"]
    taken = gaps(method, top=1.2e-3, right=1.0e-3, bottom=0.8e-3, left=1.0e-3)
    result = method.evaluate(card(), method.default_places(card()), {}, taken)
    off = result.assessed[0]
    assert off.of == "motor air gap deviation"
    assert off.values[0].value == pytest.approx(0.20)
    assert len(result.assessed[1].values) == 4


@given(order=st.permutations(range(4)), unit=st.sampled_from(["mm", "in", "thou"]))
def test_order_and_unit_change_nothing(order: list[int], unit: str) -> None:
    method = METHODS["air_gap"]
    taken = gaps(method, top=1.2e-3, right=1.0e-3, bottom=0.8e-3, left=1.1e-3)
    shuffled = tuple(taken[i] for i in order)
    other = replace(card(), bearing=replace(card().bearing, unit=unit))  # type: ignore[arg-type]
    places = method.default_places(card())
    plain = method.evaluate(card(), places, {}, taken).assessed[0].values[0]
    moved = method.evaluate(other, places, {}, shuffled).assessed[0].values[0]
    assert (moved.value, moved.u) == pytest.approx((plain.value, plain.u))
