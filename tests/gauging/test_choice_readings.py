"""Readings that are words: read whatever their capitals, refused with the place, the text and the words."""

from __future__ import annotations

from importlib import resources

import jsonschema
import pytest

from tests.gauging.made_up import COLOURS, DAB, SHOVE
from whitemetal.card import Card, read_card
from whitemetal.errors import Problem
from whitemetal.gauging import METHODS
from whitemetal.gauging.contract import Fact, Reading
from whitemetal.gauging.readings_file import ReadingsFile, read_csv, read_toml, readings_schema
from whitemetal.job.judge import judge_readings
from whitemetal.job.typed import read_fact, read_reading

CARD: Card = read_card(resources.files("whitemetal.demo_mill").joinpath("fan_drive_end.toml").read_bytes())
TOML = """\
format = "whitemetal.readings/1"
method = "dab"

[[reading]]
place = "1a"
text = "Heavy"

[[reading]]
place = "1b"
text = "  none "
"""


def values(file: ReadingsFile) -> list[tuple[str, str, float]]:
    assert file.problems == ()
    return [(reading.place, reading.text, reading.value) for reading in file.readings]


@pytest.mark.parametrize(("text", "value"), [("heavy", 0.0), ("LIGHT", 1.0), (" none", 2.0)])
def test_the_value_of_a_choice_is_its_place_in_the_list(text: str, value: float) -> None:
    found = read_reading(DAB, "1a", text, "mm")
    assert isinstance(found, Reading)
    assert (found.text, found.value, found.resolution) == (text, value, 0.0)


def test_an_unknown_choice_names_the_place_the_text_and_the_choices() -> None:
    found = read_reading(DAB, "2c", "blue", "")
    assert isinstance(found, Problem)
    assert (found.field, found.typed) == ("2c", "blue")
    assert all(choice in found.expected for choice in COLOURS)


def test_words_from_csv_and_toml_are_the_same() -> None:
    csv = read_csv("place;reading\n1a;Heavy\n1b; none \n", CARD, DAB)
    assert values(csv) == [("1a", "Heavy", 0.0), ("1b", "none", 2.0)]
    assert values(read_toml(TOML, CARD, DAB)) == values(csv)


def test_an_unknown_word_of_a_file_is_told_with_its_line_and_the_near_one() -> None:
    file = read_csv("place;reading\n1a;heavy\n2c;lihgt\n3d;purple\n", CARD, DAB)
    assert [(p.line, p.field, p.typed) for p in file.problems] == [
        (3, "reading 2c", "lihgt"),
        (4, "reading 3d", "purple"),
    ]
    assert '"light"?' in file.problems[0].expected
    assert all(choice in file.problems[1].expected for choice in COLOURS)


def test_a_word_has_no_unit() -> None:
    file = read_csv("place;reading [mm]\n1a;heavy\n", CARD, DAB)
    assert [problem.field for problem in file.problems] == ["unit"]


def test_the_schema_knows_the_words() -> None:
    import tomllib

    schema = readings_schema(DAB)
    document = tomllib.loads(TOML.replace("Heavy", "heavy").replace("  none ", "none"))
    jsonschema.validate(document, schema)
    document["reading"][0]["text"] = "blue"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document, schema)


def test_a_method_without_places_needs_no_readings() -> None:
    file = read_toml(
        'format = "whitemetal.readings/1"\n[facts]\nbar = "jack"\nshove = "0.30 mm"\n', CARD, SHOVE
    )
    assert file.problems == ()
    judged = judge_readings(SHOVE, CARD, file.places, file.facts, file.readings)
    assert [value.value for value in judged.assessed[0].values] == [pytest.approx(0.30e-3)]


def test_a_grid_of_words_is_judged_as_a_share() -> None:
    """Nine of twelve cells: three quarters."""
    rows = "".join(
        f"{row}{column};{'none' if column == 'd' else 'light'}\n" for row in (1, 2, 3) for column in "abcd"
    )
    file = read_csv("place;reading\n" + rows, CARD, DAB)
    judged = judge_readings(DAB, CARD, file.places, file.facts, file.readings)
    assert [value.value for value in judged.assessed[0].values] == [pytest.approx(0.75)]


def test_a_share_without_its_unit_is_asked_in_a_file_and_taken_from_the_box() -> None:
    """85 in a box marked % is 85 %; in a file it might be 85 times."""
    seat = METHODS["seat"]
    head = 'format = "whitemetal.readings/1"\n[facts]\n'
    asked = read_toml(head + 'contact = "85"\n', CARD, seat).problems
    assert [(p.line, p.field, p.typed) for p in asked] == [(3, "contact", "85")]
    assert '"85 %"' in asked[0].expected
    for text in ("85 %", "0.85 -"):
        fact = read_toml(head + f'contact = "{text}"\n', CARD, seat).facts["contact"]
        assert fact.value == pytest.approx(0.85)
    boxed = read_fact(seat, "contact", "85", "%")
    assert isinstance(boxed, Fact)
    assert boxed.value == pytest.approx(0.85)
    assert isinstance(read_fact(seat, "contact", "85"), Problem)
