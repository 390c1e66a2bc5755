"""The cap or round cover from above, its nuts drawn and numbered, with a box at each.

Two rows stand beside the shaft, the far end of the land at the top of the page; nuts on a circle are tied to
boxes in two columns. Which nut is which is told by the places alone: their axial place, angle and piece.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from whitemetal.card import Card
from whitemetal.drawing import letters as chars
from whitemetal.drawing import pen
from whitemetal.drawing.pen import Point
from whitemetal.drawing.spot import PlaceBox, Spot, Turned
from whitemetal.drawing.view import View, view_of
from whitemetal.words import say

WIDTH = 360.0
BOX_WIDTH = 104.0
EDGE = 4.0
"""Boxes keep so far from the picture's sides."""
LABEL, GAP, TOP, FOOT = 16.0, 8.0, 44.0, 30.0
NUT = 15.0
"""Radius of a nut, to its corners."""
CAP = (BOX_WIDTH + 14.0, WIDTH - BOX_WIDTH - 14.0)
"""Sides of the cap on the page."""
ROUND = 50.0
"""Radius of the circle of nuts between its boxes."""
FEW = 10
"""So many nuts on a circle fit between their boxes; more stand on a large one above them."""
LARGE, SMALL_NUT = 148.0, 13.0
"""Radius of the large circle and of its nuts."""
ON_CIRCLE = "circle"
"""The piece of a nut on a circle; any other stands in a row."""


@dataclass(frozen=True)
class _Drawn:
    """A nut on the page: its number as told by its place in the list, its centre, its box's corner."""

    number: int
    spot: Spot
    centre: Point
    corner: Point


@dataclass(frozen=True)
class _Layout:
    """middle: of the circle of nuts; radius: of it, 0 for rows; nut: radius of a nut."""

    view: View
    height: float
    box_height: float
    nuts: tuple[_Drawn, ...]
    middle: Point
    radius: float
    nut: float


def cap_svg(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0, title: str = "",
    order: Mapping[str, int] | None = None, next: str = "",
) -> str:  # fmt: skip
    """The cap as SVG, 360 wide. order: of each nut, by label, written above its box. next: the label of the
    nut whose turn it is, drawn with a ring round it."""
    layout = _lay_out(card, spots, turned, box_height)
    parts = [*_outline(layout), *_names(layout)]
    for one in layout.nuts:
        parts += _nut(one, layout.nut, one.spot.label == next)
        parts += _box(one, layout, (order or {}).get(one.spot.label))
    name = title or say("tightening.cap_title", seen=layout.view.seen_from)
    return pen.picture(WIDTH, layout.height, name, _describe(layout, order or {}), parts, "cap")


def cap_boxes(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0
) -> tuple[PlaceBox, ...]:
    """Where the boxes of `cap_svg` are, as fractions of the picture, in the order of ``spots``."""
    layout = _lay_out(card, spots, turned, box_height)
    size = BOX_WIDTH / WIDTH, box_height / layout.height
    return tuple(
        PlaceBox(one.spot.label, one.number, one.corner[0] / WIDTH, one.corner[1] / layout.height, *size)
        for one in layout.nuts
    )


def cap_size(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0
) -> tuple[float, float]:
    """Width and height of the picture of `cap_svg`."""
    return WIDTH, _lay_out(card, spots, turned, box_height).height


def _lay_out(card: Card, spots: Sequence[Spot], turned: Turned, box_height: float) -> _Layout:
    view, pitch = view_of(card, turned), LABEL + box_height + GAP
    on_circle = bool(spots) and spots[0].piece == ON_CIRCLE
    apart = on_circle and len(spots) > FEW
    radius, nut = (LARGE, SMALL_NUT) if apart else (ROUND if on_circle else 0.0, NUT)
    columns, around = _sides(spots, view), 2.0 * (radius + nut) + GAP
    rows = pitch * max((len(column) for column in columns), default=0)
    body = rows if apart or not on_circle else max(rows, around)
    top = TOP + (around if apart else 0.0)
    middle = (0.5 * WIDTH, TOP + 0.5 * (around if apart else body))
    found: dict[int, _Drawn] = {}
    for column, x in zip(columns, (EDGE, WIDTH - EDGE - BOX_WIDTH), strict=True):
        first = top + 0.5 * (body - len(column) * pitch) + LABEL
        for row, number in enumerate(column):
            spot, corner = spots[number], (x, first + row * pitch)
            centre = _on_circle(spot, view, middle, radius) if on_circle else _beside(corner, box_height)
            found[number] = _Drawn(number + 1, spot, centre, corner)
    nuts = tuple(found[i] for i in range(len(spots)))
    return _Layout(view, top + body + FOOT, box_height, nuts, middle, radius, nut)


def _sides(spots: Sequence[Spot], view: View) -> tuple[list[int], list[int]]:
    """Which spots have their box at the page's left and right, from the top of the page down."""
    right = [i for i, spot in enumerate(spots) if _rightwards(spot, view) > 0.0]
    left = [i for i in range(len(spots)) if i not in right]

    def down(i: int) -> tuple[float, int]:
        spot = spots[i]
        if spot.piece == ON_CIRCLE:
            return -round(math.cos(spot.angle), 9), i
        return (-spot.axial if view.first_is_near else spot.axial), i

    return sorted(left, key=down), sorted(right, key=down)


def _rightwards(spot: Spot, view: View) -> float:
    """Sine to the page's right; the nut at the very bottom of a circle has its box at the left."""
    sine = round(view.sign * math.sin(spot.angle), 9)
    return 1.0 if sine == 0.0 and math.cos(spot.angle) > 0.0 and spot.piece == ON_CIRCLE else sine


def _on_circle(spot: Spot, view: View, middle: Point, radius: float) -> Point:
    across = view.sign * radius * math.sin(spot.angle)
    return middle[0] + across, middle[1] - radius * math.cos(spot.angle)


def _beside(corner: Point, box_height: float) -> Point:
    """A nut of a row stands just inside the cap, beside its box."""
    inside = CAP[0] + NUT + 6.0 if corner[0] < 0.5 * WIDTH else CAP[1] - NUT - 6.0
    return inside, corner[1] + 0.5 * box_height


def _outline(layout: _Layout) -> Iterator[str]:
    if not layout.nuts:
        return
    if layout.radius:
        yield pen.circle(layout.middle, layout.radius + layout.nut + 4.0)
        if layout.radius < LARGE:
            yield from (_tie(one, layout) for one in layout.nuts)
        return
    top, bottom = TOP - 6.0, layout.height - FOOT
    yield pen.box((CAP[0], top), CAP[1] - CAP[0], bottom - top, "thick")
    yield pen.line((0.5 * WIDTH, top - 8.0), (0.5 * WIDTH, bottom + 8.0), "centre")


def _tie(one: _Drawn, layout: _Layout) -> str:
    """A thin line from a box to the rim of its nut."""
    left = one.corner[0] < 0.5 * WIDTH
    side = one.corner[0] + (BOX_WIDTH if left else 0.0), one.corner[1] + 0.5 * layout.box_height
    away = math.dist(side, one.centre)
    share = (away - layout.nut) / away
    rim = tuple(a + share * (b - a) for a, b in zip(side, one.centre, strict=True))
    return pen.line(side, (rim[0], rim[1]))


def _names(layout: _Layout) -> Iterator[str]:
    """The ends above and below a cap, and the sides of the page."""
    view = layout.view
    yield pen.text((EDGE, 14.0), view.page_left, size=pen.SMALL)
    yield pen.text((WIDTH - EDGE, 14.0), view.page_right, anchor="end", size=pen.SMALL)
    if layout.radius:
        yield pen.text((0.5 * WIDTH, layout.height - 8.0), view.seen_from, anchor="middle", size=pen.SMALL)
        return
    yield pen.text((0.5 * WIDTH, 26.0), view.far, anchor="middle", size=pen.SMALL, bold=True)
    near = (0.5 * WIDTH, layout.height - 8.0)
    yield pen.text(near, view.near, anchor="middle", size=pen.SMALL, bold=True)


def _nut(one: _Drawn, size: float, is_next: bool) -> Iterator[str]:
    """A nut from above, with its number."""
    x, y = one.centre
    turns = [math.radians(60.0 * i) for i in range(6)]
    corners = [(x + size * math.cos(a), y + size * math.sin(a)) for a in turns]
    yield pen.polyline(corners, "thick", closed=True)
    if is_next:
        yield pen.circle(one.centre, size + 4.0, "accent")
    yield pen.text((x, y + 4.6), str(one.number), anchor="middle", bold=True)


def _box(one: _Drawn, layout: _Layout, order: int | None) -> Iterator[str]:
    """The box with what was read, and above it the number and when its turn is."""
    x, y = one.corner
    yield pen.box((x, y), BOX_WIDTH, layout.box_height)
    yield pen.text((x, y - 4), str(one.number), size=pen.SMALL, bold=True)
    if order is not None:
        after = x + pen.breadth(f"{one.number}  ", pen.SMALL)
        yield pen.text((after, y - 4), say("tightening.cap_order", order=order), size=pen.SMALL)
    yield from pen.mark((x + BOX_WIDTH - 7, y - 8), one.spot.state)
    yield from pen.written(one.spot.text, (x + 0.5 * BOX_WIDTH, y + 0.5 * layout.box_height), BOX_WIDTH)


def _describe(layout: _Layout, order: Mapping[str, int]) -> str:
    nuts = []
    for one in layout.nuts:
        when = (
            f" ({say('tightening.cap_order', order=order[one.spot.label])})"
            if one.spot.label in order
            else ""
        )
        state = f", {one.spot.state}" if one.spot.state else ""
        nuts.append(f"{one.number}{when}: {one.spot.text or say('sheet.empty')}{state}")
    sides = say("tightening.cap_said", left=layout.view.page_left, right=layout.view.page_right)
    return f"{sides} {'; '.join(nuts)}"


def cap_text(
    card: Card, spots: Sequence[Spot], *, width: int = 78, turned: Turned = 0, plain: bool = False
) -> str:
    """The same in characters, no line longer than ``width`` (at least 48): each nut at its side of the cap
    with what was read and the sign of its state."""
    room = max(width, chars.LEAST_WIDTH)
    view, slot = view_of(card, turned), (room - 3) // 2
    left, right = ([_line(i + 1, spots[i], slot, plain) for i in side] for side in _sides(spots, view))
    on_circle = bool(spots) and spots[0].piece == ON_CIRCLE
    far, near = ("", view.seen_from) if on_circle else (view.far, view.near)
    lines = [chars.three(view.page_left, chars.printable(far, plain), view.page_right, room)]
    for one, other in zip_longest(left, right, fillvalue=""):
        lines.append(f"{one}{' ' * (slot - chars.cells(one))} | {other}")
    lines.append(chars.centred(chars.printable(near, plain), room))
    return "".join(line.rstrip() + "\n" for line in lines)


def _line(number: int, spot: Spot, room: int, plain: bool) -> str:
    sign = chars.SIGNS.get(spot.state, "")
    read = chars.fit(chars.printable(spot.text, plain).strip() or "....", room - 8 - len(sign))
    return f"({number}) [{read}] {sign}".rstrip()
