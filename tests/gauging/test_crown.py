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


def evaluate(method: Method, readings: tuple[Reading, ...], of: Card | None = None, /, **more: str) -> Result:
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


def test_three_marks_tell_the_drop_and_its_direction() -> None:
    """A journal sunk by 0.060 mm, 20° to the right of the middle: A = 0.060 cos 20° = 0.05638, S = 0.060 sin 20° =
    0.02052. Worn left (-45°) 0.7071 (A - S) = 0.02536, middle 0.05638, right 0.7071 (A + S) = 0.05438 mm."""
    result = evaluate(CROWN, read(11.97464, 11.94362, 11.94562), anvil="ball anvil", **BORN)
    drop = result.assessed[1]
    assert (drop.of, drop.where, drop.needed) == ("shaft drop", ("DE",), False)
    assert drop.values[0].value == pytest.approx(0.05638e-3, abs=1e-8)
    (towards,) = [one for one in result.named if one.unit_kind == "angle"]
    assert math.degrees(towards.quantity.value) == pytest.approx(20.0, abs=0.05)
    (said,) = [one.text for one in result.findings if one.code == "crown.sank"]
    assert "sunk by 0.056 mm" in said and "20° off the middle, on the right" in said


def test_where_nothing_is_gone_there_is_no_direction() -> None:
    result = evaluate(CROWN, read(12.001, 11.999, 12.000), anvil="ball anvil", **BORN)
    assert [one for one in result.named if one.unit_kind == "angle"] == []
    two = evaluate(CROWN, read(11.95, 11.95), anvil="ball anvil", **BORN)
    assert [one.of for one in two.assessed] == ["crown wear"]


def test_budget_of_a_mark_by_hand() -> None:
    """Micrometer now and at birth 4/√3 each = 2.309 twice; feel 3; last digits 1/√12 = 0.289 twice:
    √(5.333 + 5.333 + 9 + 0.083 + 0.083) = 4.453 µm. Born to 0.01 mm only: 10/√12 = 2.887 instead, 5.301 µm.
    Taken three times, the feel is 3/√3: √(10.667 + 3 + 0.167) = 3.72 µm."""
    one = evaluate(CROWN, read(11.95), anvil="ball anvil", **BORN).assessed[0].values[0]
    assert one.u == pytest.approx(4.453e-6, abs=2e-9)
    coarse = BORN | {"birth_DE__left": "12.00 mm"}
    assert evaluate(CROWN, read(11.95), anvil="ball anvil", **coarse).assessed[0].values[
        0
    ].u == pytest.approx(5.301e-6, abs=2e-9)
    thrice = read(11.95) * 3
    assert evaluate(CROWN, thrice, anvil="ball anvil", **BORN).assessed[0].values[0].u == pytest.approx(
        3.72e-6, abs=5e-9
    )


def test_without_a_value_of_birth_the_thickness_is_recorded() -> None:
    result = evaluate(CROWN, read(11.95), anvil="ball anvil")
    assert result.assessed == ()
    assert "11.950 mm thick now" in next(f.text for f in result.findings if f.code == "crown.no_birth")
    (one,) = result.named
    assert one.key == "thickness.DE left"
    assert one.quantity.value == pytest.approx(11.95e-3)


@pytest.mark.parametrize("method", [CROWN, BRIDGE], ids=lambda one: one.key)
def test_order_and_unit_change_nothing(method: Method) -> None:
    """The same thickness in mm and in inches, born in the other unit, read in the other order."""
    labels = [place.label for place in method.default_places(card())]
    mm = read(*(12.7 - 0.0127 * i for i in range(len(labels))), labels=tuple(labels))
    inches = tuple(
        Reading(r.place, f"{r.value / 0.0254:.4f} in", r.value, r.resolution) for r in reversed(mm)
    )
    facts = {"anvil": "ball anvil", "same_marks": "yes"}
    born = {f"birth_{label.replace(' ', '__')}": "12.700 mm" for label in labels}
    born_in = dict.fromkeys(born, "0.50000 in")
    one, other = evaluate(method, mm, **facts, **born), evaluate(method, inches, **facts, **born_in)
    assert [v.value for a in one.assessed for v in a.values] == pytest.approx(
        [v.value for a in other.assessed for v in a.values], abs=1e-12
    )
    assert {f.code for f in one.findings} == {f.code for f in other.findings}


def test_a_constant_of_the_bridge_known_coarsely_widens_the_drop() -> None:
    """10 µm of the change, 1/√12 now, 100/√12 = 28.87 in the constant: √(100 + 0.083 + 833.3) = 30.55 µm; the
    gauge's own error is in the change already."""
    result = evaluate(BRIDGE, read(50.062, labels=DEPTHS), **INSTALLED | {"birth_DE__top": "50.0 mm"})
    assert result.assessed[0].values[0].u == pytest.approx(30.55e-6, abs=1e-8)


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
