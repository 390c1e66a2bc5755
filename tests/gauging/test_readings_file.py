"""Readings from files: units as typed, every fault named with its line, nothing typed lost."""

from __future__ import annotations

import math
import tomllib
from importlib import resources

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whitemetal.card import Card, read_card
from whitemetal.errors import ReadingsError
from whitemetal.gauging import METHODS
from whitemetal.gauging.readings_file import ReadingsFile, read_csv, read_toml, readings_schema

WIRE = METHODS["wire"]
CARD: Card = read_card(resources.files("whitemetal.demo_mill").joinpath("fan_drive_end.toml").read_bytes())
STANDARD = ("DE left", "DE top", "DE right", "OE left", "OE top", "OE right")

TOML = """\
format = "whitemetal.readings/1"
method = "wire"

[facts]
purpose = "as found"
wire_diameter = "0.40 mm"
journal_down = true
wires_in = 6
date = 2026-03-14

[squeeze.1]
joint = "metal to metal"
tightened = "final value"

[squeeze.2]
joint = "metal to metal"
torque = "420 N m"

[instrument.M1]
anvil = "ball"
zero_before = "0.000 mm"

[[reading]]
place = "DE top"
text = "0.243 mm"

[[reading]]
place = "DE top"
text = "0.245 mm"
squeeze = 2
"""


def csv(text: str | bytes, **more: object) -> ReadingsFile:
    return read_csv(text, CARD, WIRE, **more)  # type: ignore[arg-type]


def toml(text: str | bytes, **more: object) -> ReadingsFile:
    return read_toml(text, CARD, WIRE, **more)  # type: ignore[arg-type]


def values(file: ReadingsFile) -> list[tuple[str, int]]:
    """Place and value in whole tenths of a micrometre."""
    assert file.problems == ()
    return [(reading.place, round(reading.value * 1e7)) for reading in file.readings]


def faults(file: ReadingsFile) -> list[tuple[int | None, str]]:
    return [(problem.line, problem.field) for problem in file.problems]


@pytest.mark.parametrize(
    "text",
    [
        "place,reading\nDE left,0.243 mm\nOE top,9.5 thou\n",
        "place;reading\nDE left;0,243 mm\nOE top;9,5 thou\n",
        "place\treading\nDE left\t0,243 mm\nOE top\t9.5 thou\n",
        "sep=;\nplace;reading\nDE left;0,243 mm\nOE top;9,5 thou\n",
        'place,reading\n"DE left","0,243 mm"\nOE top,"9,5 thou"\n',
        "place;reading;unit\nDE left;0,243;mm\nOE top;9,5;thou\n",
        "Place;Reading [mm];unit\nde LEFT;0,243;\nOE top;9,5;thou\n",
        "# taken at the machine\nreading (mm),place\n0.243,DE left\n,DE right\n0.2413,OE top\n",
        "place;reading;;\r\nDE left;0,243 mm;;\r\n;;;\r\nOE top;9,5 thou;;\r\n",
    ],
)
def test_the_same_readings_however_written(text: str) -> None:
    expected = [("DE left", 2430), ("OE top", 2413)]
    assert values(csv(text)) == expected
    assert values(csv(text.encode())) == expected
    assert values(csv(text.encode("utf-8-sig"))) == expected
    assert values(csv(text.encode("utf-16"))) == expected
    assert values(csv(text.encode("utf-16-le"))) == expected


def test_text_and_resolution_are_as_typed() -> None:
    (reading,) = csv("place;reading [mm]\nDE top;0,240\n").readings
    assert reading.text == "0,240"
    assert reading.resolution == pytest.approx(1e-6)


def test_windows_letters_are_read_and_said() -> None:
    file = csv("place;reading;remark\nDE top;243 µm;süd\n".encode("cp1252"))
    assert values(file) == [("DE top", 2430)]
    assert "Windows-1252" in file.notes[0]
    assert file.rows[0].text("remark") == "süd"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("1,234 mm", "comma can mean both"),
        ("0.243", "a unit with the number"),
        ("-0.243 mm", "above zero"),
        ("0 mm", "above zero"),
        ("NaN", "a number with its unit"),
        ("nan mm", "a number with its unit"),
        ("1e9 mm", "below 1e+08"),
        ("1000000000 mm", "below 1e+08"),
        ("0.41 mm", "below the wire's 0.40 mm"),
        ("0.243 mmm", "one of the units"),
        ("0.243 degC", "one of the units"),
        ("=1+1", "a number with its unit"),
    ],
)
def test_a_reading_that_cannot_be_is_named_with_its_line_and_kept(typed: str, says: str) -> None:
    file = csv(f'place;reading\nDE left;0.24 mm\nDE top;"{typed}"\n', facts={"wire_diameter": "0.40 mm"})
    (problem,) = file.problems
    assert (problem.line, problem.field, problem.typed) == (3, "reading DE top", typed)
    assert says in problem.expected
    assert [reading.place for reading in file.readings] == ["DE left"]
    assert [row.text("reading") for row in file.rows] == ["0.24 mm", typed]
    with pytest.raises(ReadingsError):
        file.sound()


def test_a_thickness_above_a_tenth_of_the_journal() -> None:
    (problem,) = csv("place;reading\nDE top;16.1 mm\n").problems
    assert "below 16.0 mm" in problem.expected


def test_all_problems_at_once() -> None:
    file = csv(
        "place;reading;instrument;squeeze\nDE top;0,24 mm;M2;1\nXX;0,24 mm;;1\nOE top;x;;0\n",
        facts={"instrument.M1.anvil": "ball", "wire_diametre": "0.4 mm", "joint@2": "shim"},
    )
    assert faults(file) == [
        (None, "wire_diametre"), (None, "joint@2"), (2, "instrument"), (3, "place"), (4, "squeeze"),
        (4, "reading OE top"),
    ]  # fmt: skip
    assert file.readings == ()
    assert len(file.rows) == 3


def test_a_place_read_twice_is_asked() -> None:
    head = "place;reading;squeeze;repeat\nDE top;0.240 mm;1;\n"
    file = csv(head + "DE top;0.241 mm;1;\n")
    assert faults(file) == [(3, "place DE top")]
    assert "line 2 already" in file.problems[0].expected
    assert values(csv(head + "DE top;0.241 mm;2;\n")) == [("DE top", 2400), ("DE top", 2410)]
    repeated = csv(head + "DE top;0.241 mm;1;yes\n")
    assert [reading.squeeze for reading in repeated.readings] == [1, 1]
    assert faults(csv(head + "DE top;0.241 mm;1;maybe\n")) == [(3, "repeat")]


def test_unit_given_twice_must_agree() -> None:
    assert faults(csv("place;reading;unit\nDE top;0.24 mm;in\n")) == [(2, "reading DE top")]
    assert values(csv("place;reading;unit\nDE top;240 um;microns\n")) == [("DE top", 2400)]


@pytest.mark.parametrize(
    ("text", "line", "field"),
    [
        ("", 1, "readings"),
        ("\n \n", 1, "readings"),
        ("DE top;0.24 mm\n", 1, "header"),
        ("place;thickness;colour\nDE top;0.24 mm;red\n", 1, "header"),
        ("place;place;reading\nDE top;;0.24 mm\n", 1, "header"),
        ("place;unit\nDE top;mm\n", 1, "header"),
        ("place;reading\n", 1, "readings"),
        ("place,reading\nDE top,0,243 mm\n", 2, "row"),
        ("place;reading\nDE top;0.24 mm;extra\n", 2, "row"),
    ],
)
def test_a_file_that_is_no_table(text: str, line: int, field: str) -> None:
    assert (line, field) in faults(csv(text))


def test_a_decimal_comma_between_commas_is_explained() -> None:
    (problem,) = csv("place,reading\nDE top,0,243 mm\n").problems
    assert "decimal comma needs quotation marks" in problem.expected
    assert problem.typed == "DE top,0,243 mm"


@pytest.mark.parametrize("data", [b"PK\x03\x04xl/workbook.xml", b"%PDF-1.7", b"\xff\xd8\xff\xe0"])
def test_other_kinds_of_file_are_refused(data: bytes) -> None:
    assert "a text file" in csv(data).problems[0].expected
    assert "a text file" in toml(data).problems[0].expected


def test_the_standard_layout_stands_whole() -> None:
    assert tuple(place.label for place in csv("place;reading [mm]\nDE top;0.24\n").places) == STANDARD


def test_places_of_ones_own() -> None:
    file = csv(
        "place;reading [mm];axial [mm];angle [deg];arc [mm];lies\n"
        "A;0.240;20;-5;;\nB;0.241;20;;8;\nA;0.242;20;-5;;\n;0.243;70,0;;;along\n"
    )
    assert faults(file) == [(4, "place A")]
    places = {place.label: place for place in file.places}
    assert list(places) == ["A", "B", "P3"]
    assert places["A"].angle == pytest.approx(math.radians(-5), rel=1e-12)
    assert places["B"].angle == pytest.approx(2 * 8 / 160, rel=1e-12)
    assert places["P3"].axial == pytest.approx(0.070)
    assert (places["P3"].angle, places["P3"].lies) == (0.0, "along")
    assert places["A"].piece == places["B"].piece != places["P3"].piece


@pytest.mark.parametrize(
    ("row", "field"),
    [
        ("A;0.240;150 mm;0 deg;", "axial"),
        ("A;0.240;-1 mm;0 deg;", "axial"),
        ("A;0.240;20 mm;200 deg;", "angle"),
        ("A;0.240;20 mm;5;", "angle"),
        ("A;0.240;20 mm;5 deg;8 mm", "arc"),
        ("A;0.240;;5 deg;", "axial"),
    ],
)
def test_a_place_that_cannot_be(row: str, field: str) -> None:
    file = csv(f"place;reading [mm];axial;angle;arc\n{row}\n")
    assert (2, field) in faults(file)
    assert file.readings == ()


def test_toml_facts_and_readings() -> None:
    file = toml(TOML)
    assert values(file) == [("DE top", 2430), ("DE top", 2450)]
    assert file.facts["wire_diameter"].value == pytest.approx(0.40e-3, rel=1e-12)
    assert (file.facts["journal_down"].text, file.facts["date"].text) == ("yes", "2026-03-14")
    assert (file.facts["joint"].text, file.facts["joint@2"].text) == ("metal to metal", "metal to metal")
    assert file.facts["torque@2"].value == pytest.approx(420.0)
    assert [reading.instrument for reading in file.readings] == ["M1", "M1"]
    assert "M1" in file.notes[0]


def test_csv_with_facts_beside_it_is_the_same_as_toml() -> None:
    beside = {
        "purpose": "as found", "wire_diameter": "0.40 mm", "journal_down": "yes", "wires_in": "6",
        "date": "2026-03-14", "joint@1": "metal to metal", "tightened": "final value",
        "joint@2": "metal to metal", "torque@2": "420 N m", "instrument.M1.anvil": "ball",
        "instrument.M1.zero_before": "0.000 mm",
    }  # fmt: skip
    same = csv("place;reading [mm];squeeze\nDE top;0.243;\nDE top;0.245;2\n", facts=beside)
    file = toml(TOML)
    assert dict(same.facts) == dict(file.facts)
    assert [(r.place, r.value, r.squeeze) for r in same.readings] == [
        (r.place, r.value, r.squeeze) for r in file.readings
    ]


@pytest.mark.parametrize(
    ("old", "new", "line", "field"),
    [
        ('"0.40 mm"', '"0.40"', 6, "wire_diameter"),
        ('"0.40 mm"', "0.40 mm", 6, "facts.wire_diameter"),
        ("journal_down = true", 'journal_down = "perhaps"', 7, "journal_down"),
        ("wires_in = 6", "wires_inn = 6", 8, "wires_inn"),
        ("wires_in = 6", "wires_in = -6", 8, "wires_in"),
        ("2026-03-14", '"14.3.2026"', 9, "date"),
        ('purpose = "as found"', 'purpose = "as fond"', 5, "purpose"),
        ("[squeeze.2]", "[squeeze.two]", 16, "joint@two"),
        ('torque = "420 N m"', 'wire_material = "other"', 17, "wire_material@2"),
        ('text = "0.243 mm"', 'text = "0.243"', 25, "reading DE top"),
        ('text = "0.243 mm"', 'txt = "0.243 mm"', 25, "reading.1.txt"),
        ("squeeze = 2\n", "", 29, "place DE top"),
        ('format = "whitemetal.readings/1"', "", 1, "format"),
        ('method = "wire"', 'method = "wires"', 2, "method"),
        ("[instrument.M1]", "[instrumant.M1]", 19, "instrumant"),
        ('anvil = "ball"', 'anvil = "round"', 20, "instrument.M1.anvil"),
    ],
)
def test_one_fault_of_a_toml_file(old: str, new: str, line: int, field: str) -> None:
    assert old in TOML
    assert (line, field) in faults(toml(TOML.replace(old, new)))


def test_a_default_unit_is_for_lengths_only() -> None:
    file = toml(
        TOML.replace('method = "wire"', 'unit = "mm"').replace("0.243 mm", "0.243").replace("0.40 mm", "0.40")
    )
    assert values(file)[0] == ("DE top", 2430)
    assert file.facts["wire_diameter"].value == pytest.approx(0.40e-3)
    assert (2, "torque@2") not in faults(toml(TOML.replace('"420 N m"', '"420"'), unit="mm"))
    assert (17, "torque@2") in faults(toml(TOML.replace('"420 N m"', '"420"'), unit="mm"))
    assert (None, "unit") in faults(csv("place;reading\nDE top;0.2 mm\n", unit="degC"))


def test_no_instrument_described() -> None:
    file = csv("place;reading;instrument\nDE top;0.24 mm;M1\n")
    assert faults(file) == [(2, "instrument")]


def test_the_schema_of_the_file() -> None:
    schema = readings_schema(WIRE)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    plain = TOML.replace("2026-03-14", '"2026-03-14"')
    validator.validate(tomllib.loads(plain))
    for old, new in [
        ('"ball"', '"round"'),
        ("place =", "plaec ="),
        ("wires_in", "wires_inn"),
        ("readings/1", "r/1"),
    ]:
        assert list(validator.iter_errors(tomllib.loads(plain.replace(old, new))))


@given(st.text(max_size=200) | st.binary(max_size=200))
def test_no_text_makes_it_fail(data: str | bytes) -> None:
    for read in (read_csv, read_toml):
        file = read(data, CARD, WIRE)
        assert file.problems or file.rows


@given(
    st.lists(
        st.sampled_from(["place", "reading", "DE top", "0,24", '"', ";", ",", "\t", "\n", "mm", "#"]),
        max_size=40,
    )
)
def test_no_table_makes_it_fail(parts: list[str]) -> None:
    file = read_csv("place;reading\n" + "".join(parts), CARD, WIRE)
    assert file.problems or file.rows
