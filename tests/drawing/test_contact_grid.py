"""The grid of the blue: cells large enough for a thumb, marks told apart without colour, ends and sides."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.drawing import build
from whitemetal.card import Card, Duty
from whitemetal.drawing import Spot, Turned, contact_grid_boxes, contact_grid_size, contact_grid_svg


def loaded(half: str, direction: str = "down") -> Card:
    return replace(build.card(), duty=Duty(direction=direction, loaded_half=half))  # type: ignore[arg-type]


@given(st.integers(1, 9), st.integers(1, 12), st.sampled_from([0, 180]))
def test_cells_never_overlap_and_suit_a_thumb(rows: int, columns: int, turned: Turned) -> None:
    spots = build.cells(rows, columns)
    found = contact_grid_boxes(build.card(), spots, turned=turned)
    wide, high = contact_grid_size(build.card(), spots, turned=turned)
    assert [(box.label, box.number) for box in found] == [(s.label, i) for i, s in enumerate(spots, start=1)]
    assert build.apart(found)
    assert wide == 360.0
    assert min(box.width * wide for box in found) >= 28 - 1e-9
    assert min(box.height * high for box in found) >= 44 - 1e-9


def test_boxes_are_where_the_picture_draws_the_cells() -> None:
    svg = contact_grid_svg(build.card(), build.cells(), box_height=56.0)
    wide, high = build.size(svg)
    told = sorted(
        (b.x * wide, b.y * high, b.width * wide, b.height * high)
        for b in contact_grid_boxes(build.card(), build.cells(), box_height=56.0)
    )
    for drawn, said in zip(build.drawn_boxes(svg), told, strict=True):
        assert drawn == pytest.approx(said, abs=0.01)


@pytest.mark.parametrize("half", ["lower", "upper"])
def test_left_is_left_on_either_half_and_turns_with_the_view(half: str) -> None:
    """135 degrees left of top centre lies on the left of the lower half, 45 degrees left on that of the upper."""
    left, right = {"lower": (-2.4, 2.4), "upper": (-0.8, 0.8)}[half]
    spots = [
        Spot("A1", 0.02, left, piece="A"),
        Spot("A2", 0.02, right, piece="A"),
        Spot("B1", 0.1, left, piece="B"),
    ]
    for turned, sign in ((0, 1), (180, -1)):
        found = {b.label: b for b in contact_grid_boxes(loaded(half), spots, turned=turned)}  # type: ignore[arg-type]
        assert sign * (found["A2"].x - found["A1"].x) > 0
        assert sign * (found["A1"].y - found["B1"].y) > 0
        svg = contact_grid_svg(loaded(half), spots, turned=turned)  # type: ignore[arg-type]
        assert sign * (build.text_at(svg, "right")[0] - build.text_at(svg, "left")[0]) > 0
        assert sign * (build.text_at(svg, "drive end")[1] - build.text_at(svg, "other end")[1]) > 0
        assert f"{half} half, unrolled" in svg
        assert [text for text, _, _ in build.texts(svg)].count("joint") == 2


def inside(svg: str, cell: tuple[float, ...]) -> list[str]:
    """Tags and classes of what is drawn inside a cell, the cell itself left out."""
    x, y, wide, high = cell
    found = []
    for node in build.root(svg).iter():
        if node.tag.endswith("rect"):
            continue
        spots = [tuple(float(v) for v in part.split(",")) for part in node.get("points", "").split()] or [
            (float(node.get("cx", "nan")), float(node.get("cy", "nan")))
        ]
        if all(x < px < x + wide and y < py < y + high for px, py in spots):
            found.append(f"{node.tag.rpartition('}')[2]} {node.get('class')}")
    return found


def test_heavy_light_and_none_are_told_apart_by_shape_in_black_and_white() -> None:
    seen = {}
    for word in ("heavy", "light", "none", ""):
        svg = contact_grid_svg(build.card(), [Spot("A1", 0.02, 3.0, word, piece="A")])
        [cell] = build.drawn_boxes(svg)
        seen[word] = inside(svg, cell)
        assert "accent" not in " ".join(seen[word])
    assert seen == {
        "heavy": ["polygon wm-solid"], "light": ["polygon wm-thin"], "none": ["circle wm-solid"], "": [],
    }  # fmt: skip
    light = contact_grid_svg(build.card(), [Spot("A1", 0.02, 3.0, "light", piece="A")])
    assert light.count("wm-hatch") == 1 + contact_grid_svg(build.card(), [Spot("A1", 0.02, 3.0)]).count(
        "wm-hatch"
    )


def load_lines(svg: str) -> list[float]:
    return [
        float(node.get("x1", "nan"))
        for node in build.root(svg).iter(f"{build.SVG}line")
        if "wm-centre" in node.get("class", "")
    ]


@pytest.mark.parametrize(
    ("half", "direction", "turned", "share"),
    [
        ("lower", "down", 0, [0.5]), ("lower", "left", 0, [0.0]), ("lower", "right", 0, [1.0]),
        ("lower", "left", 180, [1.0]), ("upper", "up", 0, [0.5]), ("upper", "right", 0, [1.0]),
        ("lower", "up", 0, []), ("upper", "down", 0, []),
    ],
)  # fmt: skip
def test_the_load_is_marked_where_it_points(
    half: str, direction: str, turned: Turned, share: list[float]
) -> None:
    """Between the joints at 17 and 353; nothing where the load points away from this half."""
    middle = 180.0 if half == "lower" else 0.0
    svg = contact_grid_svg(loaded(half, direction), build.cells(middle=middle), turned=turned)
    assert load_lines(svg) == pytest.approx([17 + 336 * s for s in share])
    assert ("load" in [text for text, _, _ in build.texts(svg)]) is bool(share)


def test_rows_and_columns_are_named_at_the_edge() -> None:
    svg = contact_grid_svg(build.card(), build.cells(3, 4))
    rows = [build.text_at(svg, name)[1] for name in "CBA"]
    columns = [build.text_at(svg, name)[0] for name in "1234"]
    assert rows == sorted(rows)
    assert columns == sorted(columns)
    assert len({*rows}) == 3
    assert len({*columns}) == 4


def test_what_was_seen_is_told_to_those_who_cannot_see() -> None:
    said = build.root(contact_grid_svg(build.card(), build.cells(1, 2, text="heavy")))[1].text or ""
    assert "A1: heavy; A2: heavy" in said
