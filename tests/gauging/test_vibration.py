"""Vibration against zones: the row that was said, the row that fits the machine, the shaft and its clearance.
The zones themselves are held cell by cell in tests/closing/test_vibration.py; limits here are hand arithmetic."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from whitemetal.card import Bearing, Card, Limit, Machine
from whitemetal.gauging.contract import Fact
from whitemetal.gauging.vibration import VIBRATION, clearance_of, rules_of_facts
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement import Judgement

MAKER = "maker's figure for this machine"
GOOD = {
    "housing_across": "1.2 mm/s", "housing_upright": "0.9 mm/s", "steady": "yes", "at_speed": "yes",
    "machine_group": "group 2, rigid support",
}  # fmt: skip


def card(*limits: Limit, kind: str = "fan", power: float | None = 110e3, rpm: float = 1800.0) -> Card:
    machine = Machine("T-1", "test", kind, rpm * math.pi / 30.0, power)  # type: ignore[arg-type]
    return Card(machine, Bearing("1", 0.16, 0.14), limits=limits)


def housing(maximum: float, rung: str = MAKER) -> Limit:
    return Limit("housing vibration", None, maximum, rung, "book (invented)", "1", "as it is")  # type: ignore[arg-type]


def judge(of: Card, **facts: str) -> Judgement:
    said = {**GOOD, **facts}
    return judge_readings(VIBRATION, of, (), {key: Fact(text) for key, text in said.items() if text}, ())


def codes(found: Judgement) -> dict[str, str]:
    return {one.code.removeprefix("vibration."): one.severity for one in found.warnings}


def test_within_the_makers_limit_and_its_zone_is_said_with_row_and_source() -> None:
    """1.2 mm/s is below 1.4 (A/B of group 2, rigid)."""
    found = judge(card(housing(2.8e-3)))
    assert found.verdict == "within limits"
    said = [one for one in found.warnings if one.code == "vibration.zone_a"]
    assert len(said) == 2
    assert "group 2, rigid support" in said[0].text and "1.4 mm/s, 2.8 mm/s, 4.5 mm/s" in said[0].text
    assert "20816-3" in said[0].source


@pytest.mark.parametrize(
    ("text", "zone", "severity"),
    [
        ("1.3 mm/s", "a", "note"),
        ("2.0 mm/s", "b", "note"),
        ("3.5 mm/s", "c", "hold"),
        ("5.0 mm/s", "d", "fault"),
    ],
)
def test_the_zone_without_a_limit_on_the_card(text: str, zone: str, severity: str) -> None:
    """Group 2, rigid: 1.4, 2.8, 4.5 mm/s."""
    found = judge(card(), housing_across=text)
    assert codes(found)[f"zone_{zone}"] == severity
    assert found.verdict == ("outside limits" if zone == "d" else "not proven")


def test_the_makers_figure_for_the_machine_governs_and_zone_d_beside_it_is_asked_about() -> None:
    """The maker allows 6 mm/s: 3.5 in zone C is within it. 5.0 is in zone D of group 2, rigid (above 4.5): no
    zone overrides the maker, so it is not outside, and not within before somebody has answered. 7.0 is beyond
    the maker too. A figure of a general chart or a rule does not lift zone D."""
    assert judge(card(housing(6e-3)), housing_across="3.5 mm/s").verdict == "within limits"
    found = judge(card(housing(6e-3)), housing_across="5.0 mm/s")
    assert (codes(found)["zone_d"], found.verdict) == ("question", "not proven")
    beyond = judge(card(housing(6e-3)), housing_across="7.0 mm/s")
    assert (codes(beyond)["zone_d"], beyond.verdict) == ("fault", "outside limits")
    for rung in ("maker's general chart", "owner's standard"):
        assert judge(card(housing(6e-3, rung)), housing_across="5.0 mm/s").verdict == "outside limits"
    assert judge(card(housing(1e-3)), housing_across="1.2 mm/s").verdict == "outside limits"


def test_a_general_rule_that_nobody_signed_leaves_zone_c_a_hold() -> None:
    """3.5 mm/s is in zone C of group 2, rigid (2.8 to 4.5)."""
    rule = housing(6e-3, "general rule")
    assert codes(judge(card(rule), housing_across="3.5 mm/s"))["zone_c"] == "hold"
    signed = replace(rule, signed_by="Engineer B (invented)")
    assert codes(judge(card(signed), housing_across="3.5 mm/s"))["zone_c"] == "warning"


@pytest.mark.parametrize(
    ("kind", "power", "group", "asked"),
    [
        ("fan", 110e3, "group 1, rigid support", "other_power"),
        ("fan", 310e3, "group 2, rigid support", "other_power"),
        ("fan", 310e3, "group 1, rigid support", ""),
        ("fan", 110e3, "pump category I, to 200 kW", "other_kind"),
        ("pump", 110e3, "group 2, rigid support", "other_kind"),
        ("pump", 110e3, "pump category I, above 200 kW", "other_power"),
        ("pump", 250e3, "pump category II, above 200 kW", ""),
        ("fan", None, "group 2, rigid support", "no_power"),
    ],
)
def test_a_row_that_does_not_fit_the_machine_is_asked_about(
    kind: str, power: float | None, group: str, asked: str
) -> None:
    found = judge(card(housing(2.8e-3), kind=kind, power=power), machine_group=group)
    doubts = {code for code in codes(found) if code in ("other_power", "other_kind", "no_power")}
    assert doubts == ({asked} if asked else set())
    assert (found.verdict == "within limits") is (asked in ("", "no_power"))


def test_before_it_is_steady_it_proves_nothing() -> None:
    assert judge(card(housing(2.8e-3)), steady="no").verdict == "not proven"
    assert judge(card(housing(2.8e-3)), at_speed="no").verdict == "not proven"


def test_the_shaft_is_held_against_speed_and_clearance() -> None:
    """At 1800 rev/min zone B ends at 9000/sqrt(1800) = 212.1 µm; 60 % of 0.20 mm is 120 µm, which is less."""
    fact = {"clearance": Fact("0.20 mm")}
    shaft = next(one for one in rules_of_facts(card(), fact) if one.of == "shaft vibration")
    assert shaft.maximum == pytest.approx(120e-6, rel=1e-9)
    free = next(one for one in rules_of_facts(card(), {}) if one.of == "shaft vibration")
    assert free.maximum == pytest.approx(212.13e-6, rel=1e-4)


def test_a_shaft_that_fills_its_bearing_is_outside_whatever_the_speed_allows() -> None:
    """150 µm of 0.20 mm is 75 %, more than 70; at 1800 rev/min 150 µm alone would be zone B (113 to 212)."""
    found = judge(card(housing(2.8e-3)), shaft_x="150 µm", clearance="0.20 mm")
    assert codes(found)["of_clearance"] == "fault"
    assert found.verdict == "outside limits"
    alone = judge(card(housing(2.8e-3)), shaft_x="150 µm")
    assert codes(alone)["zone_b"] == "note" and codes(alone)["no_clearance"] == "warning"


def test_the_clearance_is_the_one_said_else_the_least_the_card_allows() -> None:
    clearance = Limit("oil clearance", 0.1e-3, 0.2e-3, MAKER, "book", "1", "radial")  # type: ignore[arg-type]
    assert clearance_of(card(clearance), {}) == pytest.approx(0.2e-3)
    assert clearance_of(card(clearance), {"clearance": Fact("0.25 mm")}) == pytest.approx(0.25e-3)
    assert clearance_of(card(), {}) is None
    owner = Limit("oil clearance", 0.15e-3, 0.4e-3, "owner's standard", "standard", "1")
    assert clearance_of(card(owner, clearance), {}) == pytest.approx(0.2e-3), "the maker's goes first"


def test_velocity_in_inches() -> None:
    """0.05 in/s is 1.27 mm/s: zone A of group 2, rigid."""
    assert codes(judge(card(housing(2.8e-3)), housing_across="0.05 in/s"))["zone_a"] == "note"
