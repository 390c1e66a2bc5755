"""The ladder of limits, and the general rules as printed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.gauging.build import MAKER, card
from whitemetal.card import Limit
from whitemetal.card.limits import Rung
from whitemetal.card.machine import MachineKind
from whitemetal.fitting.ladder import climb
from whitemetal.fitting.rules import RULES, RuleFigures, psi_by_speed, psi_by_table, rules_for

MM = 1e-3


def on(rung: Rung, signed_by: str = "") -> Limit:
    return Limit("oil clearance", 0.1e-3, 0.3e-3, rung, "invented", "A", signed_by=signed_by)


def test_the_highest_rung_with_authority_is_chosen() -> None:
    limits = (on("general rule", "engineer"), on("owner's standard"), MAKER, on("maker's general chart"))
    assert climb(card(limits=limits), "oil clearance").chosen is MAKER
    ladder = climb(card(limits=limits[:2]), "oil clearance")
    assert ladder.chosen is not None and ladder.chosen.rung == "owner's standard"


def test_a_general_rule_counts_only_when_signed() -> None:
    assert climb(card(limits=(on("general rule"),)), "oil clearance").chosen is None
    assert climb(card(limits=(on("general rule", "engineer"),)), "oil clearance").chosen is not None


def test_rules_are_shown_only_without_a_figure_of_authority() -> None:
    assert climb(card(), "oil clearance").rules == ()
    assert climb(card(limits=()), "oil clearance").rules


def test_radial_limits_are_doubled() -> None:
    limit = replace(MAKER, basis="radial")
    assert limit.diametral("minimum") == pytest.approx(0.40e-3)
    assert MAKER.diametral("minimum") == pytest.approx(0.20e-3)


def rule(key: str, diameter: float, kind: MachineKind, rpm: float, length: float = 0.1) -> RuleFigures:
    one = card(diameter=diameter, length=length, limits=())
    one = replace(one, machine=replace(one.machine, kind=kind, speed=rpm * 3.141592653589793 / 30))
    return next(figures for figures in rules_for(one) if figures.rule.key == key)


@pytest.mark.parametrize(
    ("diameter", "one_plus_one", "one_and_half", "two_plus_one", "two"),
    [
        (50, 0.075, 0.075, 0.101, 0.100), (100, 0.125, 0.150, 0.151, 0.200), (150, 0.175, 0.225, 0.201, 0.300),
        (200, 0.225, 0.300, 0.251, 0.400), (400, 0.425, 0.600, 0.451, 0.800),
    ],
)  # fmt: skip
def test_four_rival_rules(
    diameter: float, one_plus_one: float, one_and_half: float, two_plus_one: float, two: float
) -> None:
    """Worked by hand in mm from the printed rules (0.001 in = 0.0254 mm), to the micrometre."""
    for key, expected in (
        ("motor_one_plus_one", one_plus_one), ("motor_one_and_half", one_and_half),
        ("motor_two_plus_one", two_plus_one), ("motor_two", two),
    ):  # fmt: skip
        figures = rule(key, diameter * MM, "motor", 1500)
        assert figures.typical == pytest.approx(expected * MM, abs=0.51e-6), key


def test_rules_follow_machine_and_speed() -> None:
    slow = {f.rule.key for f in rules_for(replace(card(diameter=0.1, length=0.12, limits=()), machine=replace(
        card().machine, kind="motor", speed=52.0)))}  # fmt: skip
    assert "motor_slow" in slow
    assert not {"motor_fast", "motor_other", "process_pump", "one_to_two"} & slow
    fast = rule("motor_fast", 0.1, "motor", 3000)
    assert fast.minimum == pytest.approx(0.0254e-3 + 0.1e-3)
    assert fast.maximum == pytest.approx(0.0254e-3 + 0.15e-3)


@pytest.mark.parametrize(("speed", "psi"), [(1, 0.80), (5, 1.20), (10, 1.42), (20, 1.69), (40, 2.01)])
def test_relative_clearance_by_speed(speed: float, psi: float) -> None:
    """0.8 v^(1/4) per mille, worked by hand to two decimals."""
    assert psi_by_speed(speed) * 1e3 == pytest.approx(psi, abs=0.006)


@pytest.mark.parametrize(
    ("diameter", "speed", "psi"),
    [(0.1, 2.9, 1.32), (0.1, 3.0, 1.6), (0.25, 9.9, 1.32), (0.25, 30, 1.9), (0.3, 5, 1.12), (0.3, 60, 1.9)],
)
def test_mean_relative_clearance_table(diameter: float, speed: float, psi: float) -> None:
    """Companion table of ISO 7902-3, from memory, cell by cell."""
    found = psi_by_table(diameter, speed)
    assert found is not None
    assert found * 1e3 == pytest.approx(psi)


def test_no_cell_above_the_table() -> None:
    assert psi_by_table(0.1, 126.0) is None


def test_every_rule_says_its_source() -> None:
    assert all(rule.source and rule.title for rule in RULES)
    assert len({rule.key for rule in RULES}) == len(RULES)


def test_rules_stand_beside_an_owner_standard_too() -> None:
    assert climb(card(limits=(on("owner's standard"),)), "oil clearance").rules
    assert climb(card(limits=(on("maker's general chart"),)), "oil clearance").rules == ()
