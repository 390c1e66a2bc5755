"""A card as people write it: read with its units, or refused with every problem and its line."""

from __future__ import annotations

import math
from importlib import resources

import pytest

from whitemetal.card import read_card, write_card
from whitemetal.errors import CardError

GOOD = """\
format = "whitemetal.card/1"

[machine]
tag = "F-1"
name = "fan"
kind = "fan"
speed = "990 rpm"

[bearing]
position = "drive end"
journal_diameter = "160 mm"
length = "140 mm"

[[limit]]
minimum = "3.0 thou"
maximum = "4.5 thou"
basis = "radial"
rung = "owner's standard"
document = "W-17"
revision = "2"
"""


def problems(text: str | bytes) -> list[tuple[int | None, str, str, str]]:
    with pytest.raises(CardError) as caught:
        read_card(text)
    return [(found.line, found.field, found.typed, found.expected) for found in caught.value.problems]


def changed(old: str, new: str) -> str:
    assert old in GOOD
    return GOOD.replace(old, new)


def test_units_become_si() -> None:
    card = read_card(GOOD)
    assert card.bearing.journal_diameter == pytest.approx(0.160, rel=1e-12)
    assert card.machine.speed == pytest.approx(990 * 2 * math.pi / 60, rel=1e-12)
    assert card.limits[0].diametral("minimum") == pytest.approx(2 * 3.0 * 25.4e-6, rel=1e-12)
    assert card.limits[0].of == "oil clearance"


def test_inches_are_exact() -> None:
    card = read_card(changed('"160 mm"', '"6.2992 in"'))
    assert card.bearing.journal_diameter == pytest.approx(6.2992 * 0.0254, rel=1e-12)
    assert card.typed["bearing.journal_diameter"] == "6.2992 in"


@pytest.mark.parametrize("name", ["fan_drive_end", "gear_pinion_coupling_end", "motor_drive_end"])
def test_demo_cards_go_round(name: str) -> None:
    text = resources.files("whitemetal.demo_mill").joinpath(f"{name}.toml").read_text("utf-8")
    assert "INVENTED" in text
    card = read_card(text)
    assert read_card(write_card(card)) == card


def test_every_problem_at_once_in_order_of_lines() -> None:
    text = (
        changed('kind = "fan"', 'kind = "fann"')
        .replace('"160 mm"', '"160 lb"')
        .replace('length = "140 mm"\n', "")
    )
    text = text.replace('minimum = "3.0 thou"', 'minimum = "5.0 thou"').replace("position", "positon")
    found = problems(text)
    assert [(line, field, typed) for line, field, typed, _ in found] == [
        (6, "machine.kind", "fann"),
        (9, "bearing.position", ""),
        (9, "bearing.length", ""),
        (10, "bearing.positon", "drive end"),
        (11, "bearing.journal_diameter", "160 lb"),
        (14, "limit.1.minimum", "5.0 thou"),
    ]
    assert '"fan"?' in found[0][3]
    assert '"position"?' in found[3][3]
    assert "one of the units mm" in found[4][3]
    assert "below the maximum of 4.5 thou" in found[5][3]


def test_a_radius_is_caught_by_its_name() -> None:
    found = problems(changed("journal_diameter", "journal_radius"))
    assert any("twice the radius" in expected for *_, expected in found)


def test_a_value_without_quotation_marks_is_named_and_the_rest_still_read() -> None:
    text = (
        changed('"990 rpm"', "990 rpm").replace('"140 mm"', "0,14").replace('"fan"\nspeed', '"fann"\nspeed')
    )
    found = [(line, field) for line, field, *_ in problems(text)]
    assert found == [(6, "machine.kind"), (7, "machine.speed"), (12, "bearing.length")]
    assert '"990 rpm"' in problems(text)[1][3]


@pytest.mark.parametrize(
    ("old", "new", "line", "field"),
    [
        ('basis = "radial"\n', "", 14, "limit.1.basis"),
        ('"140 mm"', '"140"', 12, "bearing.length"),
        ('"140 mm"', '"-140 mm"', 12, "bearing.length"),
        ('"140 mm"', '"0 mm"', 12, "bearing.length"),
        ('"140 mm"', '"nan mm"', 12, "bearing.length"),
        ('"140 mm"', "nan", 12, "bearing.length"),
        ('"140 mm"', '"1e9 mm"', 12, "bearing.length"),
        ('"140 mm"', '"1,234 mm"', 12, "bearing.length"),
        ('"140 mm"', '["140 mm"]', 12, "bearing.length"),
        ('"140 mm"', '"140 mm', 12, "bearing.length"),
        ("[machine]", "[machnie]", 3, "machnie"),
        ('length = "140 mm"', 'length = "140 mm"\nlength = "140 mm"', 13, "bearing.length"),
        ('length = "140 mm"', 'length = "140 mm"\nends = ["drive end", "dead end"]', 13, "bearing.ends"),
        ('length = "140 mm"', 'length = "140 mm"\nends = ["fan", "motor", "x"]', 13, "bearing.ends"),
        ('length = "140 mm"', 'length = "140 mm"\nends = ["north", "south"]', 3, "machine.view_from"),
        ('length = "140 mm"', 'length = "140 mm"\nside_to_top = 2', 13, "bearing.side_to_top"),
        (
            'length = "140 mm"',
            'length = "140 mm"\nscraping_allowed = "perhaps"',
            13,
            "bearing.scraping_allowed",
        ),
        ('revision = "2"\n', 'revision = "2"\nrenewal = "4 thou"\n', 21, "limit.1.renewal"),
        ('format = "whitemetal.card/1"', 'format = "whitemetal.card/2"', 1, "format"),
        ('format = "whitemetal.card/1"', "", 1, "format"),
        ("[[limit]]", "[limit]", 14, "limit"),
    ],
)
def test_one_fault_is_named_with_its_line(old: str, new: str, line: int, field: str) -> None:
    assert (line, field) in [(at, name) for at, name, *_ in problems(changed(old, new))]


def test_a_joint_that_is_not_metal_to_metal_needs_thickness_and_place() -> None:
    found = {field for _, field, *_ in problems(GOOD + '\n[joint]\nfilling = "gasket"\n')}
    assert found == {"joint.left", "joint.right", "joint.shim_sits"}


def test_lines_are_right_behind_strings_and_lists_over_several_lines() -> None:
    text = changed('name = "fan"', 'name = """a\nfan # not a comment\n[bearing]\nlength = 3\n"""').replace(
        'length = "140 mm"', 'ends = [\n "drive end", # here\n "other end",\n]\nlength = "140"'
    )
    assert problems(text) == [(20, "bearing.length", "140", problems(text)[0][3])]


def test_encodings() -> None:
    assert read_card(GOOD.encode("utf-8-sig")) == read_card(GOOD)
    assert read_card(GOOD.encode("utf-16")) == read_card(GOOD)
    assert read_card(GOOD.replace("\n", "\r\n").encode()) == read_card(GOOD)
    western = changed('"fan"\nkind', '"Lüfter"\nkind').encode("latin-1")
    ((line, _, typed, expected),) = problems(western)
    assert (line, "Lüfter" in typed, "0xFC" in expected) == (5, True, True)
    assert "workbook" in problems(b"PK\x03\x04rest")[0][3]


@pytest.mark.parametrize("text", ["", "  \n\n", b""])
def test_an_empty_file_says_so(text: str | bytes) -> None:
    assert "empty" in problems(text)[0][3]


def test_digest_ignores_comments_and_order_but_no_character() -> None:
    card = read_card(GOOD)
    reordered = changed('tag = "F-1"\nname = "fan"', 'name = "fan" # big\ntag = "F-1"')
    assert read_card(reordered).digest == card.digest
    assert read_card(changed("160 mm", "160.0 mm")).digest != card.digest


def test_brackets_nested_beyond_reason_are_refused_and_no_more() -> None:
    with pytest.raises(CardError) as refused:
        read_card("a = " + "[" * 5000)
    assert refused.value.problems[0].line == 1
