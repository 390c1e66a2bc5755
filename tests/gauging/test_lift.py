"""The lift against hand arithmetic and geometry, and every rejection."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whitemetal.card import Bearing, Card, Duty, Limit, Machine
from whitemetal.gauging.contract import CLEARANCE, Fact, Reading, Result
from whitemetal.gauging.lift import LIFT
from whitemetal.gauging.lift.evaluate import FACTORS, FIVE, FOUR
from whitemetal.job.judge import judge_readings

GOOD = {"joint_closed": "yes", "coupled": "no"}


def card(profile: str = "plain", *limits: Limit) -> Card:
    bearing = Bearing("1", 0.16, 0.14, profile=profile)  # type: ignore[arg-type]
    return Card(Machine("T-1", "test", "fan", 100.0), bearing, duty=Duty(load=20e3), limits=limits)


def travels(shaft: tuple[float, ...], cap: tuple[float, ...] = ()) -> tuple[Reading, ...]:
    """Travels [mm], one a lift."""
    return tuple(
        Reading(place, f"{v:.3f}", v * 1e-3, 1e-6, squeeze=i, instrument=place)
        for place, values in (("shaft", shaft), ("cap", cap))
        for i, v in enumerate(values, start=1)
    )


def evaluate(readings: tuple[Reading, ...], of: Card | None = None, **more: str) -> Result:
    of = of or card()
    facts = {key: Fact(text) for key, text in (GOOD | more).items()}
    return LIFT.evaluate(of, LIFT.default_places(of), facts, readings)


def codes(result: Result, *severities: str) -> set[str]:
    return {one.code for one in result.findings if one.severity in severities}


def value(result: Result) -> float:
    assert result.overall is not None
    return result.overall.value


def test_shaft_less_cap() -> None:
    """0.212 - 0.012 = 0.200 mm."""
    result = evaluate(travels((0.212,), (0.012,)))
    assert value(result) == pytest.approx(0.200e-3)
    assert result.says[CLEARANCE] == result.overall
    assert codes(result, "hold", "question", "warning") == set()


def test_the_lever() -> None:
    """Indicator 1.5 m from the far bearing, bearing 1.2 m: 0.250 * 1.2/1.5 = 0.200 mm."""
    result = evaluate(travels((0.250,), (0.0,)), to_indicator="1500 mm", to_bearing="1200 mm")
    assert value(result) == pytest.approx(0.200e-3)


@pytest.mark.parametrize(("lifted", "factor"), [(FIVE, 1.118), (FOUR, 1.414)])
def test_pads(lifted: str, factor: float) -> None:
    """As printed: 1.118 for five pads, 1.414 for four (derived from geometry)."""
    assert FACTORS[lifted] == pytest.approx(factor, abs=5e-4)
    result = evaluate(travels((0.200 * factor,), (0.0,)), card("tilting pad"), lifted=lifted)
    assert value(result) == pytest.approx(0.200e-3, rel=5e-4)


@pytest.mark.parametrize(("count", "turn", "lifted"), [(5, 0.0, FIVE), (4, 0.25 * math.pi, FOUR)])
def test_pads_by_pushing_a_journal_about(count: int, turn: float, lifted: str) -> None:
    """A journal of radius 1 - c inside pads whose flat middles lie on a unit circle: by how much can it go up and
    down before it touches one? Searched for, not derived."""
    c = 0.001
    normals = [2.0 * math.pi * i / count + math.pi + turn for i in range(count)]

    def free(y: float) -> bool:
        return all(-y * math.cos(a) + (1.0 - c) <= 1.0 + 1e-15 for a in normals)

    steps = np.linspace(-3 * c, 3 * c, 60001)
    inside = [y for y in steps if free(float(y))]
    assert (max(inside) - min(inside)) / (2.0 * c) == pytest.approx(FACTORS[lifted], rel=2e-4)


@pytest.mark.parametrize(
    ("readings", "more", "profile", "severity", "code"),
    [
        (travels((0.2,)), {}, "plain", "hold", "no_cap"),
        (travels((0.2,), (0.0,)), {"joint_closed": "no"}, "plain", "hold", "joint_open"),
        (travels((0.2,), (0.0,)), {"coupled": "yes"}, "plain", "hold", "coupled"),
        (travels((0.2,), (0.0,)), {}, "tilting pad", "hold", "which_pads"),
        (travels((0.2,), (0.0,)), {"lifted": FOUR}, "plain", "question", "no_pads"),
        (travels((0.2,), (0.0,)), {"force": "40 kN"}, "plain", "warning", "force_large"),
        (travels((0.2,), (0.0,)), {"force": "10 kN"}, "plain", "warning", "force_small"),
        (travels((0.20, 0.23), (0.0, 0.0)), {}, "plain", "warning", "lifts_differ"),
        (travels((0.2,), (0.0,)), {"part_temperature": "55 degC"}, "plain", "hold", "hot"),
        (travels((-0.2,), (0.0,)), {}, "plain", "hold", "not_positive"),
    ],
)
def test_what_must_be_rejected(
    readings: tuple[Reading, ...], more: dict[str, str], profile: str, severity: str, code: str
) -> None:
    assert f"lift.{code}" in codes(evaluate(readings, card(profile), **more), severity)


def test_every_rule_that_the_program_finds_is_tried_above() -> None:
    tried = {"no_cap", "joint_open", "coupled", "which_pads", "no_pads", "force_large", "force_small",
             "lifts_differ", "hot", "not_positive"}  # fmt: skip
    found = {rule.code for rule in LIFT.rejection_rules if rule.found_by == "program"}
    assert found == {f"lift.{code}" for code in tried}


def test_three_lifts_that_agree_know_more_than_two_that_scatter() -> None:
    calm = evaluate(travels((0.212, 0.213, 0.212), (0.012, 0.012, 0.012))).overall
    wild = evaluate(travels((0.205, 0.221), (0.012, 0.012))).overall
    assert calm is not None and wild is not None
    assert calm.u < wild.u
    assert 2 * calm.u == pytest.approx(0.025e-3, rel=0.4)


def test_it_judges_a_clearance() -> None:
    limit = Limit("oil clearance", 0.15e-3, 0.25e-3, "owner's standard", "s", "1")
    of = card("plain", limit)
    facts = {key: Fact(text) for key, text in GOOD.items()}
    taken = travels((0.212, 0.213, 0.212), (0.012, 0.012, 0.012))
    judgement = judge_readings(LIFT, of, LIFT.default_places(of), facts, taken)
    assert judgement.verdict == "within limits"
    assert judgement.clearance is not None and len(judgement.clearance.places) == 1


@given(order=st.permutations(range(6)), unit=st.sampled_from(["mm", "in", "thou"]))
def test_order_and_unit_change_nothing(order: list[int], unit: str) -> None:
    taken = travels((0.212, 0.214, 0.211), (0.012, 0.013, 0.012))
    plain = evaluate(taken).overall
    other = replace(card(), bearing=replace(card().bearing, unit=unit))
    moved = evaluate(tuple(taken[i] for i in order), other).overall
    assert plain is not None and moved is not None
    assert (moved.value, moved.u) == pytest.approx((plain.value, plain.u))
