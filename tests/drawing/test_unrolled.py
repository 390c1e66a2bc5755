"""The unrolled half: where the boxes lie, and that the names turn with the view."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.drawing import build
from whitemetal.drawing import PlaceBox, Spot, Turned, unrolled_boxes, unrolled_size, unrolled_svg


def boxes(spots: list[Spot], turned: Turned = 0) -> dict[str, PlaceBox]:
    return {box.label: box for box in unrolled_boxes(build.card(), spots, turned=turned)}


def test_left_is_left_and_the_near_end_is_at_the_bottom() -> None:
    found = boxes(build.spots())
    assert found["DE left"].x < found["DE top"].x < found["DE right"].x
    assert found["OE top"].y < found["DE top"].y
    svg = unrolled_svg(build.card(), build.spots())
    assert build.text_at(svg, "left")[0] < build.text_at(svg, "right")[0]
    assert build.text_at(svg, "other end")[1] < build.text_at(svg, "drive end")[1]
    assert build.text_at(svg, "seen from the drive end")


def test_turning_turns_the_names_with_the_places() -> None:
    straight, turned = boxes(build.spots()), boxes(build.spots(), 180)
    for label, box in straight.items():
        across = box.x + box.width / 2 + turned[label].x + turned[label].width / 2
        assert across == pytest.approx((34 + 338) / 360)
    assert turned["DE top"].y < turned["OE top"].y
    svg = unrolled_svg(build.card(), build.spots(), turned=180)
    assert build.text_at(svg, "right")[0] < build.text_at(svg, "left")[0]
    assert build.text_at(svg, "drive end")[1] < build.text_at(svg, "other end")[1]
    assert build.text_at(svg, "seen from the other end")


def test_a_machine_viewed_from_the_last_end_has_that_end_near() -> None:
    one = build.card(view_from="other end")
    found = {box.label: box for box in unrolled_boxes(one, build.spots())}
    assert found["DE top"].y < found["OE top"].y
    assert found["DE left"].x < found["DE right"].x


@pytest.mark.parametrize("turned", [0, 180])
def test_the_match_mark_stands_at_its_end_and_never_turns_the_view(turned: Turned) -> None:
    seen = {}
    for end in ("drive end", "other end"):
        svg = unrolled_svg(build.card(mark=end), build.spots(), turned=turned)
        diamonds = [
            [tuple(map(float, p.split(","))) for p in node.get("points", "").split()]
            for node in build.root(svg).iter(f"{build.SVG}polygon")
            if len(node.get("points", "").split()) == 4 and "wm-solid" in node.get("class", "")
        ]
        [corners] = diamonds
        assert sum(y for _, y in corners) / 4 == pytest.approx(build.text_at(svg, end)[1] - 4.5, abs=1)
        seen[end] = list(build.texts(svg))
    assert seen["drive end"] == seen["other end"]


def test_top_centre_lies_in_the_middle_and_sides_mirror_each_other() -> None:
    found = boxes(build.spots())
    middle = (34 + 338) / 2 / 360
    assert found["DE top"].x + found["DE top"].width / 2 == pytest.approx(middle)
    left = found["DE left"].x + found["DE left"].width / 2
    right = found["DE right"].x + found["DE right"].width / 2
    assert middle - left == pytest.approx(right - middle)


@pytest.mark.parametrize("height", [34.0, 44.0, 58.0])
def test_boxes_are_where_the_picture_draws_them(height: float) -> None:
    spots = build.spots(("DE", 0.016), ("M", 0.07), ("OE", 0.124))
    svg = unrolled_svg(build.card(), spots, box_height=height)
    wide, high = build.size(svg)
    assert (wide, high) == pytest.approx(unrolled_size(build.card(), spots, box_height=height))
    drawn = {
        tuple(float(node.get(key, "nan")) for key in ("x", "y", "width", "height"))
        for node in build.root(svg).iter(f"{build.SVG}rect")
    }
    told = {
        (b.x * wide, b.y * high, b.width * wide, b.height * high)
        for b in unrolled_boxes(build.card(), spots, box_height=height)
    }
    assert len(drawn) == len(told) == 9
    for one in told:
        assert min(max(abs(a - b) for a, b in zip(one, other, strict=True)) for other in drawn) < 0.01


def test_boxes_keep_the_order_and_the_numbers_of_the_places() -> None:
    spots = build.spots()
    assert [(b.label, b.number) for b in unrolled_boxes(build.card(), spots)] == [
        (spot.label, i) for i, spot in enumerate(spots, start=1)
    ]


def test_boxes_of_the_usual_layout_suit_a_thumb_on_a_phone() -> None:
    for box in unrolled_boxes(build.card(), build.spots()):
        high = unrolled_size(build.card(), build.spots())[1]
        assert box.width * 360 >= 80
        assert box.height * high >= 44


places = st.lists(
    st.tuples(st.floats(0.0, 0.14), st.floats(-math.pi / 6, math.pi / 6), st.booleans()),
    min_size=1,
    max_size=14,
)


@given(places, st.sampled_from([0, 180]))
def test_boxes_never_overlap_and_never_leave_the_picture(
    layout: list[tuple[float, float, bool]], turned: Turned
) -> None:
    spots = [
        Spot(f"P{i}", axial, angle, piece=str(i), lies="along" if along else "across")
        for i, (axial, angle, along) in enumerate(layout)
    ]
    found = unrolled_boxes(build.card(), spots, turned=turned)
    assert len(found) == len(spots)
    for i, a in enumerate(found):
        assert a.x >= 0
        assert a.y >= 0
        assert a.x + a.width <= 1
        assert a.y + a.height <= 1
        for b in found[i + 1 :]:
            apart_x = a.x + a.width <= b.x + 1e-9 or b.x + b.width <= a.x + 1e-9
            apart_y = a.y + a.height <= b.y + 1e-9 or b.y + b.height <= a.y + 1e-9
            assert apart_x or apart_y
    build.root(unrolled_svg(build.card(), spots, turned=turned))


def test_distances_are_from_the_edge_of_the_first_end() -> None:
    for turned in (0, 180):
        words = [text for text, _, _ in build.texts(unrolled_svg(build.card(), build.spots(), turned=turned))]
        assert "16 mm" in words
        assert "124 mm" in words
    inches = build.card(unit="in", length=0.127)
    words = [text for text, _, _ in build.texts(unrolled_svg(inches, build.spots(("DE", 0.0127))))]
    assert "0.5 in" in words


def test_angles_are_named_on_both_sides() -> None:
    words = [text for text, _, _ in build.texts(unrolled_svg(build.card(), build.spots()))]
    assert words.count("11.5°") == 2


@pytest.mark.parametrize("read", ["0.01234 in", "0.243 mm", "0.2431 mm (×3)", "1.2345678 thou"])
def test_what_was_read_keeps_clear_of_the_edges_of_its_box(read: str) -> None:
    """On a phone 360 wide a unit is a pixel: 4 px of room at least on either side."""
    svg = unrolled_svg(build.card(), [replace(spot, text=read) for spot in build.spots()])
    written = [span for span in build.spans(svg) if span[0] == read or span[0].endswith("…")]
    assert len(written) == 6
    for _, left, _, right, _ in written:
        assert any(x + 4 <= left and right <= x + wide - 4 for x, _, wide, _ in build.drawn_boxes(svg))
