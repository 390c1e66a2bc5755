"""The upper half unrolled, as one stands over it: ends at top and bottom, joints at left and right.

Every place has a box, so that the drawing is the form. Across the page the angles are drawn wide apart
(a break line says where something is left out); along the page the order of the stations is kept.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from whitemetal.card import Card
from whitemetal.drawing import grid, pen
from whitemetal.drawing.pen import Point
from whitemetal.drawing.spot import PlaceBox, Spot, Turned
from whitemetal.drawing.view import View, axial_words, view_of
from whitemetal.words import say

WIDTH = 360.0
LEFT, RIGHT = 34.0, 338.0
"""Joint edges of the land on the page; left of it stand the dimensions."""
TOP = 74.0
LABEL = 17.0
GAP = 12.0
INSET = 10.0
"""Room between a joint edge and the boxes, for the break line."""
DIMENSION = 62.0
"""Room between an edge and the middle of the station nearest to it, for the dimension's value and arrow."""


@dataclass(frozen=True)
class _Row:
    """A station: its spots from the page's left to its right, the middles of their boxes. Where boxes
    boxes stand off their places (then a number stands at each)."""

    axial: float
    spots: tuple[Spot, ...]
    places: tuple[Point, ...]
    boxes: tuple[Point, ...]


@dataclass(frozen=True)
class _Layout:
    view: View
    height: float
    bottom: float
    box_width: float
    box_height: float
    rows: tuple[_Row, ...]


def unrolled_svg(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0, title: str = ""
) -> str:
    """The unrolled upper half as SVG, 360 wide. box_height: 44 suits a thumb; more suits a pencil.

    ``text`` of a spot is written in its box; leave it empty where an input box is laid over it.
    """
    layout = _lay_out(card, spots, turned, box_height)
    numbers = _numbers(spots)
    parts = [
        *_land(card, layout),
        *_distances(card, layout),
        *_angles(spots, layout.view),
        *_wires(layout),
        *(part for row in layout.rows for part in _boxes(row, layout, numbers)),
    ]
    name = title or say("sheet.unrolled_title", seen=layout.view.seen_from)
    return pen.picture(WIDTH, layout.height, name, _describe(layout, spots), parts, "unrolled")


def unrolled_boxes(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0
) -> tuple[PlaceBox, ...]:
    """Where the boxes of `unrolled_svg` are, as fractions of the picture, in the order of ``spots``."""
    layout = _lay_out(card, spots, turned, box_height)
    numbers = _numbers(spots)
    found = {
        spot.label: (x - layout.box_width / 2, y - box_height / 2)
        for row in layout.rows
        for spot, (x, y) in zip(row.spots, row.boxes, strict=True)
    }
    size = layout.box_width / WIDTH, box_height / layout.height
    return tuple(
        PlaceBox(label, numbers[label], found[label][0] / WIDTH, found[label][1] / layout.height, *size)
        for label in (spot.label for spot in spots)
    )


def unrolled_size(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0
) -> tuple[float, float]:
    """Width and height of the picture of `unrolled_svg`."""
    return WIDTH, _lay_out(card, spots, turned, box_height).height


def _numbers(spots: Sequence[Spot]) -> dict[str, int]:
    return {spot.label: i for i, spot in enumerate(spots, start=1)}


def _lay_out(card: Card, spots: Sequence[Spot], turned: Turned, box_height: float) -> _Layout:
    view = view_of(card, turned)
    scale, step = grid.knots(spots, view.sign, LEFT + INSET, RIGHT - INSET)
    stations = grid.stations(spots)
    if view.first_is_near:
        stations.reverse()
    per_line = max(1, min(5, round((RIGHT - LEFT) / max(step, 60.0))))
    box_width = (RIGHT - LEFT - 2 * INSET) / per_line - 8.0
    line_height = LABEL + box_height
    foot = max(GAP, DIMENSION - box_height / 2)
    rows, y = [], TOP + (GAP if view.first_is_near else max(GAP, foot - LABEL))
    for axial, members in stations:
        members.sort(key=lambda s: (view.sign * s.angle, s.label))
        places = [grid.across(view.sign * s.angle, scale) for s in members]
        fits = all(b - a >= box_width for a, b in pairwise(places))
        lines = 1 if fits else math.ceil(len(members) / per_line)
        boxes, wire_y = _box_middles(places, fits, per_line, y, line_height, box_height)
        rows.append(_Row(axial, tuple(members), tuple((x, wire_y) for x in places), tuple(boxes)))
        y += lines * line_height + (0 if fits else 20) + GAP
    bottom = max(y + (foot - GAP if view.first_is_near else 0), TOP + 150)
    return _Layout(view, bottom + 50, bottom, box_width, box_height, tuple(rows))


def _box_middles(
    places: Sequence[float], fits: bool, per_line: int, y: float, line_height: float, box_height: float
) -> tuple[list[Point], float]:
    """Middles of a station's boxes and the height of its wire: on the places, or below them in lines."""
    if fits:
        middle = y + line_height - box_height / 2
        return [(x, middle) for x in places], middle
    slot = (RIGHT - LEFT - 2 * INSET) / per_line
    order = [(i % per_line, i // per_line) for i in range(len(places))]
    first = y + 20 + line_height - box_height / 2
    return [(LEFT + INSET + slot * (c + 0.5), first + r * line_height) for c, r in order], y + 12


def _land(card: Card, layout: _Layout) -> list[str]:
    """Joint edges, end edges, centre line, names of sides and ends, the match mark."""
    view, bottom = layout.view, layout.bottom
    middle = 0.5 * (LEFT + RIGHT)
    corners = [(LEFT, TOP), (RIGHT, TOP), (RIGHT, bottom), (LEFT, bottom)]
    far, near = pen.cut(view.far, 34), pen.cut(view.near, 34)
    return [
        pen.polyline(corners, "thick", closed=True),
        *_centre_line(layout),
        pen.break_line(LEFT + 5, TOP, bottom),
        pen.break_line(RIGHT - 5, TOP, bottom),
        pen.text((middle, 13), say("sheet.unrolled_name"), anchor="middle", size=pen.SMALL),
        pen.text((middle, 32), far, anchor="middle", bold=True),
        pen.text((LEFT, 50), view.page_left, bold=True),
        pen.text((RIGHT, 50), view.page_right, anchor="end", bold=True),
        pen.text((middle, 50), say("sheet.top_centre"), anchor="middle", size=pen.SMALL),
        pen.text((LEFT, bottom + 14), say("sheet.joint"), size=pen.SMALL),
        pen.text((RIGHT, bottom + 14), say("sheet.joint"), anchor="end", size=pen.SMALL),
        pen.text((middle, bottom + 24), near, anchor="middle", bold=True),
        pen.text((middle, bottom + 43), pen.cut(view.seen_from, 50), anchor="middle", size=pen.SMALL),
        *_match_mark(card, view, ((far, 27.5), (near, bottom + 19.5))),
    ]


def _centre_line(layout: _Layout) -> list[str]:
    """The line of top centre, left open where a box stands on it."""
    x = 0.5 * (LEFT + RIGHT)
    parts, start = [], TOP - 6
    boxes = [y for row in layout.rows for bx, y in row.boxes if abs(bx - x) <= layout.box_width / 2]
    for y in sorted(set(boxes)):
        top = y - layout.box_height / 2 - LABEL
        parts.append(pen.line((x, start), (x, max(top, start)), "centre"))
        start = y + layout.box_height / 2
    return [*parts, pen.line((x, start), (x, layout.bottom + 8), "centre")]


def _match_mark(card: Card, view: View, names: tuple[tuple[str, float], tuple[str, float]]) -> list[str]:
    """The match mark beside the name of the end that carries it. It never turns the view."""
    carries = card.bearing.match_mark_end
    if carries not in (view.far, view.near):
        return []
    name, y = names[0] if carries == view.far else names[1]
    half = pen.breadth(name, pen.PLAIN) / 2
    return [pen.match_mark((0.5 * (LEFT + RIGHT) - half - 12, y))]


def _distances(card: Card, layout: _Layout) -> list[str]:
    """Running dimensions: how far each station is from the edge of the land at the card's first end."""
    edge, x = (layout.bottom if layout.view.first_is_near else TOP), 18.0
    rows = sorted(layout.rows, key=lambda row: row.axial)
    towards = -math.pi / 2 if layout.view.first_is_near else math.pi / 2
    parts, last = [], edge
    for row in rows:
        y = row.places[0][1]
        words = axial_words(card, row.axial)
        parts += [pen.line((x, last), (x, y)), pen.arrow((x, y), towards)]
        parts.append(pen.line((x - 6, y), (LEFT - 2, y)))
        parts.append(pen.text((x - 4, 0.5 * (last + y)), words, anchor="middle", size=pen.SMALL, turn=-90))
        last = y
    return [pen.circle((x, edge), 3, "thin"), pen.line((x + 3, edge), (LEFT, edge)), *parts] if rows else []


def _angles(spots: Sequence[Spot], view: View) -> list[str]:
    """The angle of each column, from top centre."""
    scale, step = grid.knots(spots, view.sign, LEFT + INSET, RIGHT - INSET)
    if step < 50:
        return []
    columns = [view.sign * angle for angle in grid.distinct_angles(spots)]
    return [
        pen.text((grid.across(a, scale), TOP - 6), pen.degrees(a), anchor="middle", size=pen.SMALL)
        for a in columns
    ]


def _wires(layout: _Layout) -> list[str]:
    """The pieces of wire, left open where a box stands on them."""
    along: dict[str, list[Point]] = {}
    parts: list[str] = []
    for row in layout.rows:
        across: dict[str, list[tuple[Point, Point]]] = {}
        for spot, place, middle in zip(row.spots, row.places, row.boxes, strict=True):
            if spot.lies == "along":
                along.setdefault(spot.piece, []).append(place)
            else:
                across.setdefault(spot.piece, []).append((place, middle))
        for piece in across.values():
            parts += _piece_across(piece, layout)
    for places in along.values():
        parts += _piece_along(places, layout)
    return parts


def _piece_across(piece: Sequence[tuple[Point, Point]], layout: _Layout) -> list[str]:
    y = piece[0][0][1]
    half = layout.box_width / 2 if piece[0][0] == piece[0][1] else 0.0
    xs = [place[0] for place, _ in piece]
    starts, ends = [xs[0] - half - 5, *(x + half for x in xs)], [*(x - half for x in xs), xs[-1] + half + 5]
    spans = [(max(a, LEFT + 4), min(b, RIGHT - 4)) for a, b in zip(starts, ends, strict=True)]
    return [pen.line((a, y), (b, y), "wire") for a, b in spans if b - a > 0.5]


def _piece_along(places: Sequence[Point], layout: _Layout) -> list[str]:
    x, half = places[0][0], layout.box_height / 2
    ys = [y for _, y in places]
    starts = [ys[0] - half - LABEL - 7, *(y + half for y in ys)]
    ends = [*(y - half - LABEL for y in ys), ys[-1] + half + 9]
    spans = [(a + 2, b - 2) for a, b in zip(starts, ends, strict=True)]
    return [pen.line((x, a), (x, b), "wire") for a, b in spans if b - a > 0.5]


def _boxes(row: _Row, layout: _Layout, numbers: dict[str, int]) -> list[str]:
    """A station's boxes: number and label above, the mark of the state, what was read inside."""
    parts: list[str] = []
    width, height = layout.box_width, layout.box_height
    for spot, place, (x, y) in zip(row.spots, row.places, row.boxes, strict=True):
        top = y - height / 2
        if place != (x, y):
            over, number = (place[0], place[1] - 6), str(numbers[spot.label])
            parts += [pen.dot(place), pen.text(over, number, anchor="middle", size=pen.SMALL)]
        parts.append(pen.box((x - width / 2, top), width, height))
        room = int((width - (14 if spot.state else 0)) / (pen.SMALL * pen.ADVANCE))
        label = f"{numbers[spot.label]} {spot.label}"
        label = label if len(label) <= room else pen.cut(spot.label, room)
        parts.append(pen.text((x - width / 2, top - 4), label, size=pen.SMALL))
        parts += pen.mark((x + width / 2 - 6, top - 8), spot.state)
        parts += pen.written(spot.text, (x, y), width)
    return parts


def _describe(layout: _Layout, spots: Sequence[Spot]) -> str:
    view = layout.view
    where = say(
        "sheet.unrolled_said", left=view.page_left, right=view.page_right, near=view.near, far=view.far
    )
    places = [
        f"{i} {s.label}: {s.text or say('sheet.empty')}{', ' if s.state else ''}{s.state}"
        for i, s in enumerate(spots, start=1)
    ]
    return f"{where} {'; '.join(places)}"
