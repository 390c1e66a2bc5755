"""Units at the door: exact definitions, decimal comma, trailing zeros, questions instead of guesses."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whitemetal.errors import UnitError
from whitemetal.units import UNITS, Dimension, find_unit, read, show, show_number, units_of

DIMENSIONS: tuple[Dimension, ...] = get_args(Dimension)

EXACT: tuple[tuple[str, Dimension, float, str], ...] = (
    ("1 in", "length", 0.0254, "international yard and pound agreement 1959: 25.4 mm exactly"),
    ("1 thou", "length", 25.4e-6, "a thousandth of it"),
    ("1 mil", "length", 25.4e-6, "another name of the thou"),
    ('6.2992 "', "length", 0.15999968, "6.2992 x 25.4 mm"),
    ("160 mm", "length", 0.16, "SI brochure, prefix"),
    ("5 µm", "length", 5e-6, "SI brochure, prefix"),
    ("5 um", "length", 5e-6, "typed without the Greek letter"),
    ("180 deg", "angle", math.pi, "SI brochure Table 8"),
    ("210 Nm", "torque", 210.0, "the SI unit"),
    (
        "1 lbf ft",
        "torque",
        0.45359237 * 9.80665 * 0.3048,
        "pound 0.45359237 kg, g_n 9.80665 m/s2, foot 0.3048 m",
    ),
    ("12 in lb", "torque", 0.45359237 * 9.80665 * 0.3048, "twelve inches a foot"),
    ("20 degC", "temperature", 293.15, "SI brochure 2.3.1"),
    ("68 °F", "temperature", 293.15, "t/degF = 9/5 t/degC + 32"),
    ("-40 degF", "temperature", 233.15, "where both scales meet"),
    ("9 degF", "temperature difference", 5.0, "no offset in a difference"),
    ("5 °C", "temperature difference", 5.0, "no offset in a difference"),
    ("60 rpm", "rotation", 2 * math.pi, "one turn a second"),
    ("1 lbf", "force", 0.45359237 * 9.80665, "pound and standard gravity, exact"),
    ("1 psi", "pressure", 0.45359237 * 9.80665 / 0.0254**2, "pound-force on a square inch"),
    ("1 bar", "pressure", 1e5, "SI brochure Table 8 (8th edition)"),
    ("1 cP", "dynamic viscosity", 1e-3, "centipoise"),
    ("46 cSt", "kinematic viscosity", 46e-6, "centistokes"),
    ("1 hp", "power", 550 * 0.45359237 * 9.80665 * 0.3048, "550 foot pounds-force a second"),
    ("1 lb", "mass", 0.45359237, "international yard and pound agreement 1959"),
    ("5 %", "ratio", 0.05, "a hundredth"),
    ("1.5 ‰", "ratio", 0.0015, "a thousandth"),
    ("0.3", "ratio", 0.3, "a bare number"),
    ("2 h", "time", 7200.0, "SI brochure Table 8"),
)


@pytest.mark.parametrize(
    ("text", "dimension", "si", "source"), EXACT, ids=[row[0] + " " + row[1] for row in EXACT]
)
def test_exact_definitions(text: str, dimension: Dimension, si: float, source: str) -> None:
    assert read(text, dimension, field="f").value == pytest.approx(si, rel=1e-13), source


def test_every_unit_is_found_by_each_of_its_names() -> None:
    for unit in UNITS:
        for name in (unit.name, *unit.also):
            assert find_unit(name, unit.dimension) == unit


@pytest.mark.parametrize(("text", "value"), [("0,243 mm", 0.243e-3), ("0.243 mm", 0.243e-3), (",5 mm", 0.5e-3),
                                             (".5mm", 0.5e-3), ("12,5mm", 12.5e-3), ("+3 mm", 3e-3),
                                             ("-0,5 mm", -0.5e-3), ("  0.243   mm ", 0.243e-3),
                                             ("2.43e-1 mm", 0.243e-3), ("0,1234 mm", 0.1234e-3),
                                             ("1,23 mm", 1.23e-3), ("0,123 mm", 0.123e-3)])  # fmt: skip
def test_decimal_comma_and_point(text: str, value: float) -> None:
    typed = read(text, "length", field="f")
    assert typed.value == pytest.approx(value, rel=1e-13)
    assert typed.text == text


@pytest.mark.parametrize("text", ["1,234 mm", "12,345 mm", "123,456", "1,234,567 mm", "-1,234 mm"])
def test_a_comma_that_can_mean_both_is_asked(text: str) -> None:
    with pytest.raises(UnitError) as caught:
        read(text, "length", field="reading", default_unit="mm")
    problem = caught.value.problems[0]
    assert problem.typed == text
    assert "comma can mean both" in problem.expected


def test_the_question_offers_both_readings() -> None:
    with pytest.raises(UnitError) as caught:
        read("1,234 mm", "length", field="reading")
    assert "1.234" in caught.value.problems[0].expected
    assert "1234" in caught.value.problems[0].expected


@pytest.mark.parametrize("text", ["1.234,5 mm", "1,234.5 mm", "1'234 mm", "1 234 mm", "1\u00a0234 mm", "1.2.3 mm",
                                  "0.243mm 0.1 mm", "--1 mm", "1..2 mm", "mm", "", "  ", "nan mm", "NaN", "inf mm",
                                  "0.243 furlong", "0.243 psi", "1e9 mm", "1e400 mm", "9999999999 mm", "1e-400 mm", "1e-400x mm",
                                  "0e999", "0e9 mm",
                                  "٣ mm", "1/2 mm", "0x10 mm", "1_000 mm", "0.243 mm mm"])  # fmt: skip
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(UnitError) as caught:
        read(text, "length", field="reading")
    problem = caught.value.problems[0]
    assert (problem.field, problem.typed) == ("reading", text)
    assert problem.expected


@pytest.mark.parametrize(("text", "step"), [("0.240 mm", 1e-6), ("0.24 mm", 1e-5), ("0,2400 mm", 1e-7),
                                            ("240 µm", 1e-6), ("240.0 µm", 1e-7), ("9.45 thou", 25.4e-8),
                                            ("0.00945 in", 25.4e-8), ("1 mm", 1e-3), ("2.40e-1 mm", 1e-6),
                                            ("0.240", 1e-6)])  # fmt: skip
def test_resolution_is_one_step_of_the_last_digit(text: str, step: float) -> None:
    assert read(text, "length", field="f", default_unit="mm").resolution == pytest.approx(step, rel=1e-12)


def test_a_missing_unit_needs_a_default_and_is_marked() -> None:
    with pytest.raises(UnitError, match="a unit with the number"):
        read("0.243", "length", field="f")
    typed = read("0.243", "length", field="f", default_unit="mm")
    assert (typed.unit, typed.unit_given) == ("mm", False)
    assert read("9.5 thou", "length", field="f", default_unit="mm").unit == "thou"


def test_capital_letters_that_change_the_unit() -> None:
    """MPa is not mPa s, and kN is not KN's loss: spelling in another case is taken only where it is clear."""
    assert read("1 MM", "length", field="f").value == pytest.approx(1e-3)
    assert read("1 MPa", "pressure", field="f").value == pytest.approx(1e6)
    assert read("1 IN", "length", field="f").value == pytest.approx(0.0254)


@given(
    st.floats(-9e5, 9e5, allow_nan=False).filter(lambda x: x == 0 or abs(x) > 1e-3), st.sampled_from(UNITS)
)
def test_shown_text_reads_back(number: float, unit: object) -> None:
    """What is shown is read back to within the digits shown."""
    assert isinstance(unit, type(UNITS[0]))
    value = number * unit.scale + unit.offset
    text = show(value, unit.name, unit.dimension, digits=9)
    back = read(text, unit.dimension, field="f").value
    assert back == pytest.approx(value, rel=1e-8, abs=1e-8 * abs(unit.offset) + 1e-12)


@given(st.decimals(-99999, 99999, places=4, allow_nan=False), st.sampled_from(["mm", "µm", "in", "thou"]))
def test_comma_and_point_mean_the_same(number: object, unit: str) -> None:
    point = f"{number} {unit}"
    assert read(point.replace(".", ","), "length", field="f").value == read(point, "length", field="f").value


def read_or_refused(text: str, dimension: Dimension, default: str | None) -> None:
    """Nothing but UnitError ever comes out, it carries what was typed, and what is read is finite."""
    refused: UnitError | None = None
    try:
        typed = read(text, dimension, field="f", default_unit=default)
        assert math.isfinite(typed.value)
        assert math.isfinite(typed.resolution)
        assert typed.resolution > 0
    except UnitError as error:
        refused = error
    if refused is not None:
        assert refused.problems[0].typed == text


@settings(max_examples=600)
@given(st.text(max_size=30), st.sampled_from(DIMENSIONS), st.sampled_from([None, "mm", "nonsense"]))
def test_any_text_is_read_or_refused(text: str, dimension: Dimension, default: str | None) -> None:
    read_or_refused(text, dimension, default)


PIECES = ["1", "0", "9", "23", ".", ",", "-", "+", "e", "E", " ", "\u00a0", "'", "mm", "in", '"', "N", "m", "µ", "%",
          "\n", "\x00", "٣", "²", "①", "Infinity", "NaN", "_", "e999", "e-999"]  # fmt: skip


@settings(max_examples=1500)
@given(st.lists(st.sampled_from(PIECES), max_size=9).map("".join), st.sampled_from(DIMENSIONS))
def test_near_numbers_are_read_or_refused(text: str, dimension: Dimension) -> None:
    read_or_refused(text, dimension, units_of(dimension)[0].name)


@pytest.mark.parametrize(("value", "unit", "step", "text"), [
    (0.24e-3, "mm", 1e-6, "0.240 mm"), (0.1999e-3, "mm", 1e-6, "0.200 mm"), (-1e-9, "mm", 1e-6, "0.000 mm"),
    (0.0094488 * 0.0254, "in", 0.00001 * 0.0254, "0.00945 in"), (9.4488 * 25.4e-6, "thou", 0.01 * 25.4e-6, "9.45 thou"),
    (0.3, "mm", 1e-3, "300 mm"), (0.3, "mm", 1e-2, "300 mm"),
])  # fmt: skip
def test_shown_to_a_step(value: float, unit: str, step: float, text: str) -> None:
    assert show(value, unit, "length", step=step) == text


def test_shown_to_significant_digits() -> None:
    assert show(0.0001234567, "mm", "length") == "0.123 mm"
    assert show(0.0, "mm", "length") == "0 mm"
    assert show(293.15, "degC", "temperature", digits=3) == "20.0 °C"
    assert show_number(math.nan, "mm", "length") == "–"
    assert show_number(math.inf, "mm", "length") == "–"
    with pytest.raises(UnitError):
        show(1.0, "furlong", "length")


@pytest.mark.parametrize(("name", "sign"), [("degC", "°C"), ("degF", "°F")])
def test_a_temperature_is_written_with_the_sign_and_read_either_way(name: str, sign: str) -> None:
    told = show(293.15, name, "temperature", step=0.1)
    assert told == {"degC": "20.0 °C", "degF": "68.0 °F"}[name]
    for text in (told, told.replace(sign, name)):
        typed = read(text, "temperature", field="t")
        assert typed.value == pytest.approx(293.15, abs=1e-9)
        assert typed.unit == name, "what is kept is the table's name, in ASCII"
    with pytest.raises(UnitError, match="one of °C, °F, K"):
        read("20", "temperature", field="t")
