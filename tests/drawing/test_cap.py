"""The cap from above: every nut drawn and numbered, boxes beside each other, nothing on top of anything."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from tests.gauging.build import card as plain_card
from whitemetal.card import Card, Fasteners
from whitemetal.drawing import PlaceBox, Spot, cap_boxes, cap_size, cap_svg, places_svg, places_text
from whitemetal.gauging.tightening.layout import nuts

COUNTS = (2, 3, 4, 6, 7, 8, 12, 16, 31, 32)


def card(count: int, layout: str = "two rows") -> Card:
    return replace(plain_card(), fasteners=Fasteners(count, layout=layout))  # type: ignore[arg-type]


def spots(of: Card) -> tuple[Spot, ...]:
    return tuple(Spot(one.label, one.axial, one.angle, piece=one.piece) for one in nuts(of))


def apart(one: PlaceBox, other: PlaceBox) -> bool:
    beside = one.x + one.width <= other.x + 1e-9 or other.x + other.width <= one.x + 1e-9
    above = one.y + one.height <= other.y + 1e-9 or other.y + other.height <= one.y + 1e-9
    return beside or above


@pytest.mark.parametrize("layout", ["two rows", "circle"])
@pytest.mark.parametrize("count", COUNTS)
def test_every_nut_has_a_box_of_its_own_inside_the_picture(count: int, layout: str) -> None:
    of = card(count, layout)
    boxes = cap_boxes(of, spots(of))
    assert [one.number for one in boxes] == list(range(1, count + 1))
    for one in boxes:
        assert one.x >= 0.0 and one.x + one.width <= 1.0 and one.y > 0.0 and one.y + one.height < 1.0
    assert all(apart(one, other) for one, other in itertools.combinations(boxes, 2))


@pytest.mark.parametrize("layout", ["two rows", "circle"])
@pytest.mark.parametrize("count", COUNTS)
def test_no_nut_lies_on_another(count: int, layout: str) -> None:
    """Hexagons of 15 to their corners (13 on a large circle) stand on their flats' sides 26 apart and more."""
    of = card(count, layout)
    drawn = hexagons(cap_svg(of, spots(of)))
    assert len(drawn) == count
    least = min((math.dist(a, b) for a, b in itertools.combinations(drawn, 2)), default=99.0)
    assert least >= 26.0


def hexagons(svg: str) -> list[tuple[float, float]]:
    """Centres of the drawn hexagons."""
    found = []
    for one in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}polygon"):
        corners = [tuple(map(float, pair.split(","))) for pair in one.attrib["points"].split()]
        if len(corners) == 6:
            found.append((sum(x for x, _ in corners) / 6, sum(y for _, y in corners) / 6))
    return found


def test_the_left_row_is_on_the_left_with_the_near_end_at_the_bottom() -> None:
    """Six nuts: 1 at the near end left, so at the page's lower left, 3 at its upper left, 4 upper right."""
    of = card(6)
    at = {one.number: (one.x < 0.5, one.y) for one in cap_boxes(of, spots(of))}
    assert [at[n][0] for n in range(1, 7)] == [True, True, True, False, False, False]
    assert at[1][1] > at[2][1] > at[3][1] and at[4][1] < at[5][1] < at[6][1]


def test_one_who_stands_at_the_other_end_sees_it_turned() -> None:
    of = card(6)
    here, there = cap_boxes(of, spots(of)), cap_boxes(of, spots(of), turned=180)
    assert [one.x < 0.5 for one in here] == [one.x >= 0.5 for one in there]
    assert there[0].y < there[1].y < there[2].y


def test_a_circle_is_numbered_clockwise_from_the_top() -> None:
    """Of eight nuts 1 is at the top, 3 at the right, 5 at the bottom, 7 at the left."""
    of = card(8, "circle")
    drawn = hexagons(cap_svg(of, spots(of)))
    top, right, bottom, left = (drawn[i] for i in (0, 2, 4, 6))
    assert top[1] == min(y for _, y in drawn) and bottom[1] == max(y for _, y in drawn)
    assert right[0] == max(x for x, _ in drawn) and left[0] == min(x for x, _ in drawn)


def test_the_turn_of_each_nut_is_written_and_the_next_one_ringed() -> None:
    of = card(4)
    svg = cap_svg(of, spots(of), order={"nut 1": 1, "nut 3": 2, "nut 2": 3, "nut 4": 4}, next="nut 3")
    assert re.findall(r">turn (\d)<", svg) == ["1", "3", "2", "4"]
    assert svg.count("<circle") == 1
    assert "3 (turn 2): empty" in svg
    assert "<circle" not in cap_svg(of, spots(of))


def test_it_is_carried_for_page_terminal_and_paper_by_the_view_named_cap() -> None:
    of = card(4)
    read = tuple(replace(one, text="420", state="within limits") for one in spots(of)[:2]) + spots(of)[2:]
    assert places_svg(of, ("cap",), read) == cap_svg(of, read)
    text = places_text(of, ("cap",), read, width=60)
    assert max(map(len, text.splitlines())) <= 60
    first = next(line for line in text.splitlines() if "(2)" in line)
    assert first.startswith("(2) [420] ok") and first.endswith("(3) [....]")


def test_its_size_is_that_of_the_picture() -> None:
    of = card(12, "circle")
    width, height = cap_size(of, spots(of))
    assert f'viewBox="0 0 {width:g} {height:g}"' in cap_svg(of, spots(of))
