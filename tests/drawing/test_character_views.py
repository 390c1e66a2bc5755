"""Rings and the grid of the blue in characters: every place shown, sides and ends named, nothing too wide."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drawing import build
from whitemetal.card import Duty
from whitemetal.drawing import Spot, Turned, bearing_text, places_text
from whitemetal.drawing.letters import cells

RINGS, GRID = ("round",), ("contact grid", "section")


def column(text: str, words: str) -> int:
    [line] = [one for one in text.splitlines() if words in one]
    return line.index(words)


def row(text: str, words: str) -> int:
    [at] = [i for i, one in enumerate(text.splitlines()) if words in one]
    return at


def test_a_place_stands_on_its_side_of_the_ring_and_turns_with_the_view() -> None:
    spots = build.ringed("DE", angles=(0, 90, 180, -90))
    straight, turned = (places_text(build.card(), RINGS, spots, turned=turn) for turn in (0, 180))
    for text, sign in ((straight, 1), (turned, -1)):
        assert sign * (column(text, "2 90°") - column(text, "4 -90")) > 0
        assert sign * (text.splitlines()[0].index("right") - text.splitlines()[0].index("left")) > 0
        assert row(text, "1 0°") < row(text, "2 90°") < row(text, "3 180°")
    assert "seen from the drive end" in straight
    assert "seen from the other end" in turned


@settings(max_examples=60)
@given(
    st.lists(st.lists(st.floats(-180, 180), min_size=1, max_size=8), min_size=1, max_size=6),
    st.sampled_from([0, 180]), st.booleans(),
)  # fmt: skip
def test_every_reading_of_every_ring_is_shown_once(
    layout: list[list[float]], turned: Turned, plain: bool
) -> None:
    spots = [
        Spot(f"R{ring} p{i}", 0.02, math.radians(angle), f"0.{ring}{i}7", "not proven", f"R{ring}")
        for ring, angles in enumerate(layout)
        for i, angle in enumerate(angles)
    ]
    text = places_text(build.card(), RINGS, spots, ring="journal", width=60, turned=turned, plain=plain)
    for spot in spots:
        assert text.count(f"[{spot.text}] ?") == 1
    assert text.isascii() or not plain


@pytest.mark.parametrize("views", [RINGS, GRID])
@pytest.mark.parametrize("width", [48, 78])
@pytest.mark.parametrize("words", ["0.243 mm", build.HOSTILE, "轴" * 60, "a\x1b[31mred\nline"])
@pytest.mark.parametrize("plain", [False, True])
def test_no_line_is_wider_than_asked_and_no_control_character_gets_out(
    views: tuple[str, ...], width: int, words: str, plain: bool
) -> None:
    one = build.card(ends=("drive end" + words, "other end"), view_from="drive end" + words)
    spots = build.ringed("DE", "OE") if views == RINGS else build.cells()
    spots = [replace(s, label=s.label + words, text=words, piece=s.piece + words) for s in spots]
    text = places_text(one, views, spots, width=width, plain=plain)
    assert max(cells(line) for line in text.splitlines()) <= width
    assert all(c.isprintable() or c == "\n" for c in text)
    assert text.isascii() or not plain


def test_a_sign_is_never_cut_off() -> None:
    spots = [Spot("DE 90", 0.02, math.pi / 2, "9" * 99, "outside limits", "DE")]
    text = places_text(build.card(), RINGS, spots, width=48)
    assert "...] X" in text


@pytest.mark.parametrize(("plain", "signs"), [(False, "■▒·_"), (True, "@+._")])
def test_cells_have_signs_and_the_near_end_is_below(plain: bool, signs: str) -> None:
    """Row A is at the drive end, from which the machine is seen: the lowest row; column 1 is at the left."""
    words = ("heavy", "light", "none", "")
    spots = [replace(s, text=words[i % 4]) for i, s in enumerate(build.cells(2, 4))]
    spots[4] = replace(spots[4], text="")
    text = places_text(build.card(), GRID, spots, plain=plain)
    upright = "|" if plain else "│"
    rows = [line.split(upright)[1].split() for line in text.splitlines() if line.count(upright) == 2]
    assert rows == [["_", *signs[1:]], [*signs]]
    turned = places_text(build.card(), GRID, spots, plain=plain, turned=180)
    rows = [line.split(upright)[1].split() for line in turned.splitlines() if line.count(upright) == 2]
    assert rows == [[*signs[::-1]], [*signs[:0:-1], "_"]]
    assert [line.rstrip()[-1] for line in text.splitlines() if line.count(upright) == 2] == ["B", "A"]


@pytest.mark.parametrize(
    ("direction", "turned", "share"),
    [("down", 0, 0.5), ("left", 0, 0.0), ("right", 0, 1.0), ("left", 180, 1.0)],
)
def test_the_load_is_marked_above_the_cell_it_points_at(direction: str, turned: Turned, share: float) -> None:
    one = replace(build.card(), duty=Duty(direction=direction))  # type: ignore[arg-type]
    text = places_text(one, GRID, build.cells(), turned=turned)
    [line] = [line for line in text.splitlines() if "load" in line]
    frame = next(line for line in text.splitlines() if "┌" in line)
    first, last = frame.index("┌") + 1, frame.index("┐") - 1
    assert line.index("v") - first == pytest.approx(share * (last - first), abs=1)
    assert "load" not in places_text(replace(one, duty=Duty(direction="up")), GRID, build.cells())


def test_the_match_mark_stands_at_its_end() -> None:
    for end, ring in (("drive end", "DE"), ("other end", "OE")):
        one = build.card(mark=end)
        assert f"◆ {ring} · " in places_text(one, RINGS, build.ringed("DE", "OE"))
        assert f"◆ {end}" in places_text(one, GRID, build.cells())


def test_the_carrier_of_the_wires_is_the_unrolled_half() -> None:
    spots = build.spots()
    assert places_text(build.card(), ("section", "unrolled half"), spots) == bearing_text(build.card(), spots)
    assert places_text(build.card(), ("section",), spots) == places_text(build.card(), RINGS, []) == ""
