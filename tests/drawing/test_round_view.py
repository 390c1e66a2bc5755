"""Rings with boxes: where boxes and places lie, what a ring is drawn as, that sides turn with the view."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.drawing import build
from whitemetal.drawing import Spot, Turned, round_boxes, round_size, round_svg

Angles = list[list[float]]
layouts: st.SearchStrategy[Angles] = st.lists(
    st.lists(st.floats(-180.0, 180.0), min_size=2, max_size=8), min_size=1, max_size=6
)


def spots_of(layout: Angles) -> list[Spot]:
    return [
        Spot(f"R{ring} {i}", 0.02 * ring, math.radians(angle), "0.243 mm", "within limits", f"R{ring}")
        for ring, angles in enumerate(layout)
        for i, angle in enumerate(angles)
    ]


@settings(max_examples=60)
@given(layouts, st.sampled_from([0, 180]), st.sampled_from([44.0, 56.0]), st.sampled_from([1, 2]))
def test_boxes_never_overlap_and_never_leave_the_picture(
    layout: Angles, turned: Turned, height: float, columns: int
) -> None:
    spots = spots_of(layout)
    found = round_boxes(build.card(), spots, turned=turned, box_height=height, columns=columns)
    assert [(box.label, box.number) for box in found] == [(s.label, i) for i, s in enumerate(spots, start=1)]
    assert build.apart(found)


@settings(max_examples=40)
@given(layouts, st.sampled_from([0, 180]))
def test_no_text_lies_on_another_or_in_another_place_s_box(layout: Angles, turned: Turned) -> None:
    svg = round_svg(build.card(), spots_of(layout), "bore", turned=turned, box_height=56.0)
    assert build.overlapping(svg) == []
    names = [s for s in build.spans(svg) if s[0] != "0.243 mm"]
    for x, y, wide, high in build.drawn_boxes(svg):
        for words, left, top, right, bottom in names:
            clear = right < x or left > x + wide or bottom < y or top > y + high
            assert clear, words


@settings(max_examples=40)
@given(layouts, st.sampled_from([0, 180]))
def test_no_ring_reaches_into_a_box(layout: Angles, turned: Turned) -> None:
    svg = round_svg(build.card(), spots_of(layout), "shell back", turned=turned)
    circles = [
        tuple(float(node.get(key, "nan")) for key in ("cx", "cy", "r"))
        for node in build.root(svg).iter(f"{build.SVG}circle")
    ]
    for cx, cy, r in circles:
        for x, y, wide, high in build.drawn_boxes(svg):
            nearest = (min(max(cx, x), x + wide), min(max(cy, y), y + high))
            assert math.dist(nearest, (cx, cy)) > r


@pytest.mark.parametrize("columns", [1, 2])
def test_boxes_are_where_the_picture_draws_them(columns: int) -> None:
    spots = build.ringed("DE", "M", "OE")
    svg = round_svg(build.card(), spots, "seal", columns=columns)
    wide, high = build.size(svg)
    assert (wide, high) == pytest.approx(round_size(build.card(), spots, columns=columns))
    assert wide == {1: 360.0, 2: 744.0}[columns]
    told = sorted(
        (b.x * wide, b.y * high, b.width * wide, b.height * high)
        for b in round_boxes(build.card(), spots, columns=columns)
    )
    for drawn, said in zip(build.drawn_boxes(svg), told, strict=True):
        assert drawn == pytest.approx(said, abs=0.01)


def test_boxes_suit_a_thumb_on_a_phone_360_wide() -> None:
    """A box 56 high of a picture 360 wide stays above 48 px when a page takes 20 px of margin each side."""
    spots = build.ringed("DE", "OE")
    high = round_size(build.card(), spots, box_height=56.0)[1]
    for box in round_boxes(build.card(), spots, box_height=56.0):
        assert box.height * high * 320 / 360 >= 48
        assert box.width * 320 >= 90


@pytest.mark.parametrize("turned", [0, 180])
def test_a_place_lies_at_its_angle(turned: Turned) -> None:
    sign = 1 if turned == 0 else -1
    spots = build.ringed("DE", angles=(0, 45, 90, 180, -60))
    svg = round_svg(build.card(), spots, "shell back", turned=turned)
    circles = list(build.root(svg).iter(f"{build.SVG}circle"))
    at = [(float(n.get("cx", "nan")), float(n.get("cy", "nan"))) for n in circles]
    dots = [where for where, node in zip(at, circles, strict=True) if "solid" in node.get("class", "")]
    [(cx, cy)] = {
        where for where, node in zip(at, circles, strict=True) if "solid" not in node.get("class", "")
    }
    for spot in spots:
        where = cx + sign * 50 * math.sin(spot.angle), cy - 50 * math.cos(spot.angle)
        assert min(math.dist(where, dot) for dot in dots) < 0.02


def test_a_box_stands_on_the_side_of_its_place() -> None:
    spots = build.ringed("DE")
    found = {box.label: box for box in round_boxes(build.card(), spots)}
    assert found["DE -90"].x < found["DE 0"].x < found["DE 90"].x
    assert found["DE 0"].y < found["DE 90"].y < found["DE 180"].y
    assert found["DE 45"].y < found["DE 90"].y


def test_turning_swaps_left_and_right_and_nothing_else() -> None:
    spots = build.ringed("DE", "OE")
    straight, turned = (
        {b.label: b for b in round_boxes(build.card(), spots, turned=turn)} for turn in (0, 180)
    )
    for label, box in straight.items():
        assert box.x + box.width + turned[label].x == pytest.approx(1.0)
        assert box.y == pytest.approx(turned[label].y)
    svg = round_svg(build.card(), spots, "bore", turned=180)
    assert build.text_at(svg, "right")[0] < build.text_at(svg, "left")[0]
    assert build.text_at(svg, "seen from the other end")


@pytest.mark.parametrize(("mark", "ring"), [("drive end", "DE · 16 mm"), ("other end", "OE · 116 mm")])
@pytest.mark.parametrize("turned", [0, 180])
def test_the_match_mark_stands_at_the_ring_nearest_its_end(mark: str, ring: str, turned: Turned) -> None:
    svg = round_svg(build.card(mark=mark), build.ringed("DE", "OE"), "journal", turned=turned)
    [corners] = [
        [float(part.split(",")[1]) for part in node.get("points", "").split()]
        for node in build.root(svg).iter(f"{build.SVG}polygon")
        if "wm-solid" in node.get("class", "")
    ]
    assert sum(corners) / 4 == pytest.approx(build.text_at(svg, ring)[1] - 4.5, abs=0.1)


def test_rings_follow_the_order_of_their_first_place() -> None:
    spots = [
        Spot("B a", 0.1, 0.0, piece="B"),
        Spot("A a", 0.0, 0.0, piece="A"),
        Spot("B b", 0.1, 1.0, piece="B"),
    ]
    boxes = {b.label: b for b in round_boxes(build.card(), spots)}
    assert boxes["B a"].y < boxes["B b"].y < boxes["A a"].y


def test_labels_lose_their_ring_and_bare_numbers_become_angles() -> None:
    spots = [
        Spot("DE bore 45 left", 0.016, -0.8, piece="DE bore"),
        Spot("DE bore 0", 0.016, 0.0, piece="DE bore"),
        Spot("pad 2", 0.016, 1.57, piece="pads"),
    ]
    words = [text for text, _, _ in build.texts(round_svg(build.card(), spots, "bore"))]
    assert {"45° left", "0°", "pad 2", "1", "2", "3"} <= set(words)
    assert "distances from the edge of the land, drive end" in words


def through(svg: str) -> int:
    """How many chain lines of a ring's diameter there are: 100 long."""
    lines = [
        [float(node.get(key, "nan")) for key in ("x1", "y1", "x2", "y2")]
        for node in build.root(svg).iter(f"{build.SVG}line")
        if "wm-centre" in node.get("class", "")
    ]
    return sum(math.isclose(math.dist(one[:2], one[2:]), 100.0, abs_tol=0.05) for one in lines)


def test_a_place_of_bore_and_journal_is_drawn_as_a_diameter_and_no_other_is() -> None:
    spots = build.ringed("DE", angles=(0, 45, 90))
    counts = {ring: through(round_svg(build.card(), spots, ring)) for ring in ("bore", "journal", "seal")}
    assert counts == {"bore": 3, "journal": 3, "seal": 0}
    assert through(round_svg(build.card(), spots, "shell back")) == 0
    assert through(round_svg(build.card(), build.ringed("pads", angles=(0, 45, 90)), "bore")) == 0


def test_every_kind_of_ring_looks_different_and_only_shells_have_a_joint() -> None:
    spots = build.ringed("DE", angles=(0, 90))
    pictures = {ring: round_svg(build.card(), spots, ring) for ring in ("bore", "journal", "shell back")}
    pictures |= {ring: round_svg(build.card(), spots, ring) for ring in ("seal", "rotor")}
    bodies = {re.sub(r"<title>.*?</title>", "", svg) for svg in pictures.values()}
    assert len(bodies) == 5
    jointed = {ring for ring, svg in pictures.items() if "joint at left and right" in svg}
    assert jointed == {"bore", "shell back"}


def test_the_last_word_of_a_piece_says_what_its_ring_is() -> None:
    bore, journal = (
        round_svg(build.card(), build.ringed(f"DE {part}", angles=(0, 90)), "bore")
        for part in ("bore", "journal")
    )
    assert bore.count("wm-hatch") == 2
    assert journal.count("wm-hatch") == 0


def test_a_shaft_at_rest_lies_low_in_its_shells_and_no_reading_runs_through_it() -> None:
    svg = round_svg(build.card(), build.ringed("indicators", angles=(0, 60)), "bore")
    assert through(svg) == 0
    assert "joint at left and right" in svg
    circles = [
        [float(node.get(key, "nan")) for key in ("cx", "cy", "r")]
        for node in build.root(svg).iter(f"{build.SVG}circle")
        if "solid" not in node.get("class", "")
    ]
    [(cx, cy, r)] = circles
    [dot] = [
        d for d in build.root(svg).iter(f"{build.SVG}circle") if d.get("cx") == "180" and d.get("r") == "2.6"
    ]
    middle = float(dot.get("cy", "nan")) + 50.0
    assert cx == 180.0
    assert cy - middle > 0 and (cy - middle) + r < 50.0
    assert 50.0 + (cy - middle) - r > 3 * (50.0 - (cy - middle) - r)
