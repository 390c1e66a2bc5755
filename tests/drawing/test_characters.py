"""The drawing in characters: fits, names ends and sides, carries readings at their places, is safe."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.drawing import build
from whitemetal.drawing import Spot, State, bearing_text
from whitemetal.drawing.letters import cells

STATES: tuple[State, ...] = ("within limits", "not proven", "outside limits", "unreadable", "", "")
READ = [
    replace(spot, text=f"0.2{i}3 mm", state=state)
    for i, (spot, state) in enumerate(zip(build.spots(), STATES, strict=True))
]


def line_with(text: str, words: str) -> tuple[int, int]:
    """Line and column of words that stand once."""
    [(row, line)] = [(i, line) for i, line in enumerate(text.splitlines()) if words in line]
    return row, line.index(words)


def test_each_reading_stands_below_its_label_with_its_sign() -> None:
    text = bearing_text(build.card(), READ)
    for number, (spot, sign) in enumerate(zip(READ, ["ok", "?", "X", "!", "", ""], strict=True), start=1):
        label_row, label_column = line_with(text, f"{number} {spot.label}")
        row, column = line_with(text, spot.text)
        assert row == label_row + 1
        assert abs(column - label_column) < 6
        after = text.splitlines()[row][column + len(spot.text) :].split()
        assert (after[0] if sign else "") == sign


def test_ends_and_sides_are_named_where_they_are() -> None:
    text = bearing_text(build.card(), READ)
    top = text.splitlines()[0]
    assert top.index("left") < top.index("other end") < top.index("right")
    assert "drive end" in text.splitlines()[-3]
    assert "seen from the drive end" in text
    assert line_with(text, "4 OE left")[0] < line_with(text, "1 DE left")[0]
    turned = bearing_text(build.card(), READ, turned=180)
    top = turned.splitlines()[0]
    assert top.index("right") < top.index("drive end") < top.index("left")
    assert "seen from the other end" in turned
    row, column = line_with(turned, "1 DE left")
    assert column > line_with(turned, "3 DE right")[1]
    assert row < line_with(turned, "4 OE left")[0]


def test_the_match_mark_stands_at_its_end() -> None:
    for end in ("drive end", "other end"):
        text = bearing_text(build.card(mark=end), READ)
        assert f"◆ {end}" in text
        assert text.count("◆") == 2


@pytest.mark.parametrize("width", [48, 60, 78, 100])
@pytest.mark.parametrize("words", ["0.243 mm", build.HOSTILE, "轴" * 60, "a\x1b[31mred\nline"])
@pytest.mark.parametrize("plain", [False, True])
def test_no_line_is_wider_than_asked_and_no_control_character_gets_out(
    width: int, words: str, plain: bool
) -> None:
    one = build.card(ends=("drive end" + words, "other end"), view_from="drive end" + words)
    spots = [replace(spot, label=spot.label + words, text=words) for spot in build.spots()]
    text = bearing_text(one, spots, width=width, plain=plain)
    assert max(cells(line) for line in text.splitlines()) <= width
    assert all(c.isprintable() or c == "\n" for c in text)
    assert text.isascii() or not plain
    frames = [line for line in text.splitlines() if line[10:11] in ("│", "|")]
    assert len({cells(line) for line in frames}) == 1


@given(st.lists(st.tuples(st.floats(0, 0.14), st.floats(-0.52, 0.52), st.booleans()), max_size=14))
def test_every_place_is_shown_whatever_the_layout(layout: list[tuple[float, float, bool]]) -> None:
    spots = [
        Spot(f"P{i}", a, t, f"0.{i:03d}", piece="x", lies="along" if along else "across")
        for i, (a, t, along) in enumerate(layout)
    ]
    text = bearing_text(build.card(), spots)
    assert max(cells(line) for line in text.splitlines()) <= 78
    for spot in spots:
        assert text.count(f" {spot.text} ") == 1


def test_an_empty_place_shows_room_to_write() -> None:
    assert bearing_text(build.card(), build.spots()).count("....") == 6
