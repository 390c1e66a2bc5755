"""Crown thickness and bridge gauge: changes since birth by hand arithmetic, and every rejection."""

from __future__ import annotations

import math

import pytest

from whitemetal.card import Bearing, Card, Duty, Limit, Machine
from whitemetal.gauging.bridge import BRIDGE
from whitemetal.gauging.contract import Fact, Method, Reading, Result
from whitemetal.gauging.crown import CROWN
from whitemetal.job.judge import judge_readings

LABELS = ("DE left", "DE middle", "DE right", "OE left", "OE middle", "OE right")


def card(kind: str = "fan", half: str = "lower", *limits: Limit) -> Card:
    machine = Machine("T-1", "test", kind, 100.0)  # type: ignore[arg-type]
    duty = Duty(loaded_half=half)  # type: ignore[arg-type]
    return Card(machine, Bearing("1", 0.16, 0.14), duty=duty, limits=limits)


def read(*values: float, labels: tuple[str, ...] = LABELS) -> tuple[Reading, ...]:
    return tuple(Reading(p, f"{v:.3f}", v * 1e-3, 1e-6) for p, v in zip(labels, values, strict=False))


def evaluate(method: Method, readings: tuple[Reading, ...], of: Card | None = None, **more: str) -> Result:
    of = of or card()
    facts = {
        key.replace("birth_", f"birth.{method.key}.").replace("__", " "): Fact(v) for key, v in more.items()
    }
    return method.evaluate(of, method.default_places(of), facts, readings)


BORN = {f"birth_{label.replace(' ', '__')}": "12.000 mm" for label in LABELS}


def codes(result: Result, *severities: str) -> set[str]:
    return {one.code.partition(".")[2] for one in result.findings if one.severity in severities}


def test_wear_is_what_it_has_lost() -> None:
    """12.000 - 11.962 = 0.038 mm, and so on for each mark."""
    result = evaluate(CROWN, read(11.962, 11.950, 11.961, 11.990, 11.985, 11.991), anvil="ball anvil", **BORN)
    wear = [value.value for value in result.assessed[0].values]
    assert wear == pytest.approx([0.038e-3, 0.050e-3, 0.039e-3, 0.010e-3, 0.015e-3, 0.009e-3])
    assert result.assessed[0].where == LABELS
    assert codes(result, "hold", "question", "warning") == set()


def test_the_ball_is_taken_off() -> None:
    """Read over a ball of 5.000 mm: 16.962 - 5.000 = 11.962; 0.038 mm gone."""
    result = evaluate(CROWN, read(16.962), anvil="ball beside it", ball="5.000 mm", **BORN)
    assert result.assessed[0].values[0].value == pytest.approx(0.038e-3)


def test_wear_to_one_side_is_told() -> None:
    result = evaluate(CROWN, read(11.990, 11.960, 11.930), anvil="ball anvil", **BORN)
    (said,) = [one.text for one in result.findings if one.code == "crown.to_one_side"]
    assert "0.060 mm more on the right" in said


def test_marks_lie_on_the_loaded_half() -> None:
    lower = {place.label: math.degrees(place.angle) for place in CROWN.default_places(card())}
    upper = {place.label: math.degrees(place.angle) for place in CROWN.default_places(card(half="upper"))}
    assert (lower["DE left"], lower["DE middle"], lower["DE right"]) == pytest.approx((225.0, 180.0, 135.0))
    assert (upper["DE left"], upper["DE middle"], upper["DE right"]) == pytest.approx((-45.0, 0.0, 45.0))


@pytest.mark.parametrize(
    ("readings", "more", "severity", "code"),
    [
        ((), {"anvil": "ball anvil"}, "hold", "no_readings"),
        (read(11.96), {"anvil": "flat", **BORN}, "hold", "flat_anvil"),
        (read(16.96), {"anvil": "ball beside it", **BORN}, "hold", "no_ball"),
        (read(11.96), {"anvil": "ball anvil"}, "hold", "no_birth"),
        (read(12.05), {"anvil": "ball anvil", **BORN}, "question", "grown"),
    ],
)
def test_what_must_be_rejected(
    readings: tuple[Reading, ...], more: dict[str, str], severity: str, code: str
) -> None:
    assert code in codes(evaluate(CROWN, readings, **more), severity)


DEPTHS = ("DE top", "OE top")
INSTALLED = {"birth_DE__top": "50.000 mm", "birth_OE__top": "50.000 mm", "same_marks": "yes"}


def test_the_drop_of_the_shaft() -> None:
    """50.062 - 50.000 = 0.062 and 0.018 mm."""
    result = evaluate(BRIDGE, read(50.062, 50.018, labels=DEPTHS), **INSTALLED)
    assert [value.value for value in result.assessed[0].values] == pytest.approx([0.062e-3, 0.018e-3])
    assert 2.0 * result.assessed[0].values[0].u == pytest.approx(0.02e-3, rel=0.05)
    assert any("clearance" in text for text in result.unknown)


@pytest.mark.parametrize(
    ("kind", "more", "severity", "code"),
    [
        ("gear unit", INSTALLED, "warning", "gear_unit"),
        ("fan", INSTALLED | {"same_marks": "no"}, "hold", "other_marks"),
        ("fan", INSTALLED | {"seat_shimmed": "yes"}, "warning", "reshimmed"),
        ("fan", {"same_marks": "yes"}, "hold", "no_birth"),
    ],
)
def test_what_a_bridge_gauge_must_be_doubted_for(
    kind: str, more: dict[str, str], severity: str, code: str
) -> None:
    taken = read(50.06, 50.02, labels=DEPTHS)
    assert code in codes(evaluate(BRIDGE, taken, card(kind), **more), severity)
    assert code not in codes(evaluate(BRIDGE, taken, card(), **INSTALLED), severity)


@pytest.mark.parametrize("method", [CROWN, BRIDGE], ids=lambda one: one.key)
def test_every_rule_that_the_program_finds_is_tried_above(method: Method) -> None:
    tried = {
        "crown": {"flat_anvil", "no_ball", "no_birth", "grown"},
        "bridge": {"gear_unit", "other_marks", "reshimmed", "no_birth"},
    }[method.key]
    found = {rule.code for rule in method.rejection_rules if rule.found_by == "program"}
    assert found == {f"{method.key}.{code}" for code in tried}


def test_wear_beyond_its_limit() -> None:
    limit = Limit("crown wear", None, 0.03e-3, "owner's standard", "s", "1", "as it is")
    of = card("fan", "lower", limit)
    facts = {f"birth.crown.{label}": Fact("12.000 mm") for label in LABELS} | {"anvil": Fact("ball anvil")}
    worn = judge_readings(CROWN, of, CROWN.default_places(of), facts, read(11.93, 11.93, 11.93))
    good = judge_readings(CROWN, of, CROWN.default_places(of), facts, read(11.99, 11.99, 11.99))
    assert (worn.verdict, good.verdict) == ("outside limits", "within limits")
