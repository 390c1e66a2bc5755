"""Rings seen along the shaft, one a piece, with a box at each place: bore, journal, shell back, seal, rotor.

Boxes stand in a column on either side of their ring (those at top and bottom in the middle), each tied to its
place by a thin line, so that no two overlap however many there are. A place of a bore or a journal is a
diameter: it is drawn right across the ring.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.pen import Point
from whitemetal.drawing.ring_kinds import RADIUS, Kind, Ring, has_joint, is_diameter, kind_of, outline
from whitemetal.drawing.spot import PlaceBox, Spot, Turned
from whitemetal.drawing.view import View, axial_words, view_of
from whitemetal.words import say

WIDTH = 360.0
BOX_WIDTH = 104.0
EDGE = 4.0
"""Boxes keep so far from the picture's sides."""
LABEL, GAP, TOP = 16.0, 6.0, 30.0
HEAD = 24.0
"""Room above a ring for its name."""
AROUND = RADIUS + 16.0
"""Room that a ring needs about its centre."""
FOOT = 40.0
GUTTER = 24.0
"""Between columns of rings on paper."""
MIDDLE = 0.12
"""Sine below which a place counts as being at top or bottom."""


@dataclass(frozen=True)
class _Drawn:
    """A ring on the page: what it is, its centre, its spots with the corner of each box, its lower edge."""

    name: str
    kind: Kind
    axial: float
    left: float
    top: float
    centre: Point
    corners: tuple[tuple[Spot, Point], ...]
    bottom: float


@dataclass(frozen=True)
class _Layout:
    view: View
    width: float
    height: float
    box_height: float
    rings: tuple[_Drawn, ...]


def round_svg(
    card: Card, spots: Sequence[Spot], ring: Ring, *, turned: Turned = 0, box_height: float = 44.0,
    title: str = "", columns: int = 1,
) -> str:  # fmt: skip
    """The rings as SVG, in the order of ``spots``: below each other and 360 wide, or on paper in
    ``columns`` of 360 with a gutter between.

    A ring is what the last word of its piece says (bore, journal, pads), or else ``ring``.
    """
    layout = _lay_out(card, spots, ring, turned, box_height, columns)
    numbers = _numbers(spots)
    parts = [*_heads(layout), *_foot(card, layout)]
    for one in layout.rings:
        parts += _name(card, one, layout)
        parts += outline(one.kind, one.centre)
        parts += _ties(one, layout)
        parts += _boxes(one, layout, numbers)
    name = title or say("sheet.round_title", ring=ring, seen=layout.view.seen_from)
    return pen.picture(layout.width, layout.height, name, _describe(layout, spots), parts, "round")


def round_boxes(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0, columns: int = 1
) -> tuple[PlaceBox, ...]:
    """Where the boxes of `round_svg` are, as fractions of the picture, in the order of ``spots``."""
    layout = _lay_out(card, spots, "bore", turned, box_height, columns)
    found = {spot.label: corner for one in layout.rings for spot, corner in one.corners}
    wide, high = layout.width, layout.height
    return tuple(
        PlaceBox(
            label, number, found[label][0] / wide, found[label][1] / high, BOX_WIDTH / wide, box_height / high
        )
        for label, number in _numbers(spots).items()
    )


def round_size(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0, columns: int = 1
) -> tuple[float, float]:
    """Width and height of the picture of `round_svg`."""
    layout = _lay_out(card, spots, "bore", turned, box_height, columns)
    return layout.width, layout.height


def short_label(spot: Spot) -> str:
    """A label without its ring's name, a bare number as an angle: "DE bore 45 left" is "45° left"."""
    short = spot.label.removeprefix(f"{spot.piece} ") if spot.piece else spot.label
    return re.sub(r"^(\d{1,3})(?= |$)", r"\1°", short)


def _numbers(spots: Sequence[Spot]) -> dict[str, int]:
    return {spot.label: i for i, spot in enumerate(spots, start=1)}


def rings_of(spots: Sequence[Spot]) -> dict[str, list[Spot]]:
    """Spots by their piece, in order of first appearance."""
    pieces: dict[str, list[Spot]] = {}
    for spot in spots:
        pieces.setdefault(spot.piece, []).append(spot)
    return pieces


def _lay_out(
    card: Card, spots: Sequence[Spot], ring: Ring, turned: Turned, box_height: float, columns: int
) -> _Layout:
    view = view_of(card, turned)
    pieces = list(rings_of(spots).items())
    columns = max(1, min(columns, len(pieces)))
    rings: list[_Drawn] = []
    y = TOP
    for first in range(0, len(pieces), columns):
        row = [
            _ring(name, kind_of(name, ring), members, view.sign, (i * (WIDTH + GUTTER), y), box_height)
            for i, (name, members) in enumerate(pieces[first : first + columns])
        ]
        y = max(one.bottom for one in row)
        rings += [replace(one, bottom=y) for one in row]
    width = columns * (WIDTH + GUTTER) - GUTTER
    return _Layout(view, width, y + FOOT, box_height, tuple(rings))


def _ring(
    name: str, kind: Kind, spots: Sequence[Spot], sign: int, corner: Point, box_height: float
) -> _Drawn:
    """One ring with its boxes, its name's corner given."""
    left, top = corner
    columns: dict[str, list[Spot]] = {"left": [], "top": [], "right": [], "bottom": []}
    for spot in sorted(spots, key=lambda one: -math.cos(one.angle)):
        columns[side_of(sign * spot.angle)].append(spot)
    step = LABEL + box_height + GAP
    y = top + HEAD
    upper = step * len(columns["top"])
    middle = max(2 * AROUND, step * max(len(columns["left"]), len(columns["right"])))
    centre = (left + 0.5 * WIDTH, y + upper + 0.5 * middle)
    starts = {
        "top": (centre[0] - 0.5 * BOX_WIDTH, y),
        "bottom": (centre[0] - 0.5 * BOX_WIDTH, y + upper + middle),
        "left": (left + EDGE, centre[1] - 0.5 * step * len(columns["left"])),
        "right": (left + WIDTH - EDGE - BOX_WIDTH, centre[1] - 0.5 * step * len(columns["right"])),
    }
    corners = [
        (spot, (starts[side][0], starts[side][1] + i * step + LABEL))
        for side, members in columns.items()
        for i, spot in enumerate(members)
    ]
    end = y + upper + middle + step * len(columns["bottom"]) + GAP
    return _Drawn(name, kind, spots[0].axial, left, top, centre, tuple(corners), end)


def side_of(angle: float) -> str:
    """Where the box of a place at this angle (as on the page) stands."""
    if abs(math.sin(angle)) < MIDDLE:
        return "top" if math.cos(angle) > 0.0 else "bottom"
    return "right" if math.sin(angle) > 0.0 else "left"


def _heads(layout: _Layout) -> list[str]:
    view, wide = layout.view, layout.width
    return [
        pen.text((EDGE, 16), view.page_left, bold=True),
        pen.text((wide - EDGE, 16), view.page_right, anchor="end", bold=True),
        pen.text((0.5 * wide, 16), pen.cut(view.seen_from, 34), anchor="middle", size=pen.SMALL),
    ]


def _foot(card: Card, layout: _Layout) -> list[str]:
    """From where distances count, where the joint is, what the diamond means."""
    y, wide = layout.height - FOOT, layout.width
    first = card.bearing.ends[0]
    notes = [
        say("sheet.round_from", end=pen.cut(first, 26))
        if any(is_distant(one.kind, one.axial) for one in layout.rings)
        else "",
        say("sheet.round_joint") if any(has_joint(one.kind) for one in layout.rings) else "",
    ]
    lines = [
        note for note in (notes[0], " · ".join(n for n in (notes[1], say("sheet.round_foot")) if n)) if note
    ]
    return [
        pen.line((EDGE, y), (wide - EDGE, y)),
        *(
            pen.text((0.5 * wide, y + 15 + 15 * i), line, anchor="middle", size=pen.SMALL)
            for i, line in enumerate(lines)
        ),
    ]


def is_distant(kind: Kind, axial: float) -> bool:
    """Whether a ring's distance from the edge of the land says something."""
    return kind not in ("seal", "rotor") and axial > 0.0


def ring_words(card: Card, piece: str, kind: Kind, axial: float) -> str:
    """A ring's name and how far in it lies: "DE · 16 mm"."""
    words = piece or say("sheet.round_ring")
    return f"{words} · {axial_words(card, axial)}" if is_distant(kind, axial) else words


def carries_mark(card: Card, axial: float, axials: Sequence[float]) -> bool:
    """Whether a ring is the one nearest to the end with the match mark; never where all lie together."""
    first, last = card.bearing.ends
    if min(axials) == max(axials):
        return False
    nearest = {first: min(axials), last: max(axials)}.get(card.bearing.match_mark_end)
    return axial == nearest


def _name(card: Card, one: _Drawn, layout: _Layout) -> list[str]:
    """The ring's name, and the match mark where it is nearest to the end that has it."""
    words = pen.cut(ring_words(card, one.name, one.kind, one.axial), 40)
    x, y = one.centre[0], one.top + 16
    parts = [
        pen.line((one.left + EDGE, one.top), (one.left + WIDTH - EDGE, one.top)),
        pen.text((x, y), words, anchor="middle", bold=True),
    ]
    if carries_mark(card, one.axial, [ring.axial for ring in layout.rings]):
        parts.append(pen.match_mark((x - 0.5 * pen.breadth(words, pen.PLAIN) - 12, y - 4.5)))
    return parts


def _ties(one: _Drawn, layout: _Layout) -> Iterator[str]:
    """A thin line from each place to its box; right across the ring where the place is a diameter."""
    for spot, corner in one.corners:
        angle = layout.view.sign * spot.angle
        at = _on(one.centre, angle)
        if is_diameter(one.kind):
            yield pen.line(_on(one.centre, angle + math.pi), at, "centre")
        yield pen.dot(at, 2.6)
        yield pen.line(at, _edge_of(corner, layout.box_height, at))


def _on(centre: Point, angle: float) -> Point:
    return centre[0] + RADIUS * math.sin(angle), centre[1] - RADIUS * math.cos(angle)


def _edge_of(corner: Point, box_height: float, at: Point) -> Point:
    """The middle of the box's side that faces a point; a box below it is met left of its label."""
    x, y = corner
    if x <= at[0] <= x + BOX_WIDTH:
        return (at[0], y + box_height) if y < at[1] else (at[0], y - LABEL + 2)
    return (x + BOX_WIDTH if x + BOX_WIDTH < at[0] else x), y + 0.5 * box_height


def _boxes(one: _Drawn, layout: _Layout, numbers: dict[str, int]) -> Iterator[str]:
    """Number and label above each box, the mark of the state, what was read inside."""
    for spot, (x, y) in one.corners:
        yield pen.box((x, y), BOX_WIDTH, layout.box_height)
        number = str(numbers[spot.label])
        room = int((BOX_WIDTH - (14 if spot.state else 0)) / (pen.SMALL * pen.ADVANCE)) - len(number) - 1
        yield pen.text((x, y - 4), number, size=pen.SMALL, bold=True)
        after = x + pen.breadth(f"{number} ", pen.SMALL)
        yield pen.text((after, y - 4), pen.cut(short_label(spot), room), size=pen.SMALL)
        yield from pen.mark((x + BOX_WIDTH - 7, y - 8), spot.state)
        yield from pen.written(spot.text, (x + 0.5 * BOX_WIDTH, y + 0.5 * layout.box_height), BOX_WIDTH)


def _describe(layout: _Layout, spots: Sequence[Spot]) -> str:
    view = layout.view
    where = say("sheet.round_said", left=view.page_left, right=view.page_right)
    places = [
        f"{i} {s.label}: {s.text or say('sheet.empty')}{', ' if s.state else ''}{s.state}"
        for i, s in enumerate(spots, start=1)
    ]
    return f"{where} {'; '.join(places)}"
