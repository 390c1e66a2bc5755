"""The loaded half unrolled in cells, as one stands over it: where the journal has left its blue.

Heavy is a filled square, light a hatched one, none a point: told apart by shape, in black and white. Which
places are cells of one row or column is told by their axial place and angle alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.pen import Point
from whitemetal.drawing.spot import PlaceBox, Spot, Turned
from whitemetal.drawing.view import View, view_of
from whitemetal.words import say

WIDTH = 360.0
LEFT, RIGHT = 17.0, 353.0
"""Joint edges of the land: twelve cells of 28 lie between them."""
TOP, FOOT = 82.0, 60.0
LOAD: dict[str, float] = {"down": math.pi, "left": -0.5 * math.pi, "right": 0.5 * math.pi, "up": 0.0}
"""Where the load points, from top centre [rad]."""

HEAVY, LIGHT, NONE = "heavy", "light", "none"


@dataclass(frozen=True)
class Grid:
    """The cells as one stands: rows from the far end to the near one, columns from the page's left.

    rows: of each cell the place's index in the order given, None where there is no place. columns: angle of
    each from the middle of the half [rad], positive to the page's right. load: where the load points, so
    too; None where it points away from this half or nowhere in particular.
    """

    view: View
    rows: tuple[tuple[int | None, ...], ...]
    columns: tuple[float, ...]
    load: float | None


@dataclass(frozen=True)
class _Layout:
    """height of the picture; size of a cell; by label the top left corner of each cell; names of rows and
    columns by where they begin on the page."""

    grid: Grid
    height: float
    cell: float
    cell_height: float
    corners: dict[str, tuple[float, float]]
    rows: dict[float, str]
    columns: dict[float, str]

    @property
    def bottom(self) -> float:
        return self.height - FOOT


def contact_grid_svg(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0, title: str = ""
) -> str:
    """The grid as SVG, 360 wide; the text of a spot is what was seen in its cell ("" draws an empty cell)."""
    layout = _lay_out(card, spots, turned, box_height)
    parts = [part for spot in spots for part in _cell(spot, layout)]
    parts += [*_land(card, layout), *_names(layout), *_load(layout), *_key(layout)]
    name = title or say("sheet.grid_title", half=card.duty.loaded_half, seen=layout.grid.view.seen_from)
    return pen.picture(WIDTH, layout.height, name, _describe(layout, spots), parts, "grid")


def contact_grid_boxes(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0
) -> tuple[PlaceBox, ...]:
    """Where the cells are, as fractions of the picture, in the order of ``spots``."""
    layout = _lay_out(card, spots, turned, box_height)
    size = layout.cell / WIDTH, layout.cell_height / layout.height
    return tuple(
        PlaceBox(
            s.label, i, layout.corners[s.label][0] / WIDTH, layout.corners[s.label][1] / layout.height, *size
        )
        for i, s in enumerate(spots, start=1)
    )


def contact_grid_size(
    card: Card, spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0
) -> tuple[float, float]:
    """Width and height of the picture of `contact_grid_svg`."""
    return WIDTH, _lay_out(card, spots, turned, box_height).height


def _across(card: Card, angle: float, sign: int) -> float:
    """Angle from the middle of the loaded half, positive to the page's right [rad]."""
    lower = card.duty.loaded_half == "lower"
    turned = math.remainder(angle - (math.pi if lower else 0.0), 2.0 * math.pi)
    return sign * (-turned if lower else turned)


def grid_of(card: Card, spots: Sequence[Spot], turned: Turned = 0) -> Grid:
    """Which place is in which cell as one stands."""
    view = view_of(card, turned)
    at = [(round(s.axial, 6), round(_across(card, s.angle, view.sign), 6)) for s in spots]
    columns = sorted({across for _, across in at})
    axials = sorted({axial for axial, _ in at}, reverse=view.first_is_near)
    rows = tuple(
        tuple(at.index((axial, across)) if (axial, across) in at else None for across in columns)
        for axial in axials
    )
    direction = LOAD.get(card.duty.direction)
    load = None if direction is None else _across(card, direction, view.sign)
    if load is not None and abs(load) > 0.5 * math.pi + 1e-6:
        load = None
    return Grid(view, rows, tuple(columns), load)


def _lay_out(card: Card, spots: Sequence[Spot], turned: Turned, box_height: float) -> _Layout:
    grid = grid_of(card, spots, turned)
    cell = (RIGHT - LEFT) / max(1, len(grid.columns))
    corners = {
        spots[at].label: (LEFT + j * cell, TOP + i * box_height)
        for i, row in enumerate(grid.rows)
        for j, at in enumerate(row)
        if at is not None
    }
    named = {s.label: _parted(s) for s in spots}
    return _Layout(
        grid, TOP + max(len(grid.rows), 1) * box_height + FOOT, cell, box_height, corners,
        {corners[s.label][1]: named[s.label][0] for s in reversed(spots)},
        {corners[s.label][0]: named[s.label][1] for s in reversed(spots)},
    )  # fmt: skip


def _parted(spot: Spot) -> tuple[str, str]:
    """A cell's row and its column, from a label that begins with its row: "A12" is row A, column 12."""
    if spot.piece and spot.label.startswith(spot.piece):
        return spot.piece, spot.label.removeprefix(spot.piece).strip()
    return spot.piece, ""


def _land(card: Card, layout: _Layout) -> list[str]:
    """Outline, joints, ends, which half it is and which end carries the match mark."""
    view, middle, bottom = layout.grid.view, 0.5 * (LEFT + RIGHT), layout.bottom
    half = say("sheet.grid_half", half=card.duty.loaded_half)
    parts = [
        pen.polyline([(LEFT, TOP), (RIGHT, TOP), (RIGHT, bottom), (LEFT, bottom)], "thick", closed=True),
        pen.text((middle, 13), half, anchor="middle", size=pen.SMALL),
        pen.text((middle, 30), pen.cut(view.far, 34), anchor="middle", bold=True),
        pen.text((LEFT, 48), view.page_left, bold=True),
        pen.text((RIGHT, 48), view.page_right, anchor="end", bold=True),
        pen.text((LEFT, bottom + 14), say("sheet.joint"), size=pen.SMALL),
        pen.text((RIGHT, bottom + 14), say("sheet.joint"), anchor="end", size=pen.SMALL),
        pen.text((middle, bottom + 20), pen.cut(view.near, 34), anchor="middle", bold=True),
        pen.text((middle, bottom + 36), pen.cut(view.seen_from, 50), anchor="middle", size=pen.SMALL),
    ]
    carries = card.bearing.match_mark_end
    for name, y in ((view.far, 25.5), (view.near, bottom + 15.5)):
        if name == carries:
            parts.append(pen.match_mark((middle - pen.breadth(pen.cut(name, 34), pen.PLAIN) / 2 - 12, y)))
    return parts


def _names(layout: _Layout) -> list[str]:
    """Names of rows and columns at the grid's edge, and the bottom or top of the half between them."""
    middle = 0.5 * layout.cell_height + 0.35 * pen.SMALL
    rows = [
        pen.text((LEFT - 4, y + middle), pen.cut(name, 2), anchor="end", size=pen.SMALL)
        for y, name in layout.rows.items()
    ]
    room = int(layout.cell / (pen.SMALL * pen.ADVANCE))
    columns = [
        pen.text((x + 0.5 * layout.cell, TOP - 5), pen.cut(name, room), anchor="middle", size=pen.SMALL)
        for x, name in layout.columns.items()
    ]
    return [*rows, *columns]


def _load(layout: _Layout) -> list[str]:
    """Where the load points: a line right along the land, an arrow head and a word above it."""
    load = layout.grid.load
    if load is None:
        return []
    x = 0.5 * (LEFT + RIGHT) + load / math.pi * (RIGHT - LEFT)
    half = pen.breadth(say("sheet.load_line"), pen.SMALL) / 2
    words_at = min(max(x, LEFT + half + 60), RIGHT - half - 60)
    return [
        pen.line((x, TOP - 18), (x, layout.bottom + 5), "centre"),
        pen.line((x, 52), (words_at, 52)) if words_at != x else "",
        pen.arrow((x, TOP - 17), 0.5 * math.pi),
        pen.line((x, 52), (x, TOP - 24)),
        pen.text((words_at, 48), say("sheet.load_line"), anchor="middle", size=pen.SMALL),
    ]


def _key(layout: _Layout) -> list[str]:
    """What the marks mean, below the picture."""
    y, parts = layout.height - 8.0, []
    words = [
        (HEAVY, say("sheet.grid_heavy")),
        (LIGHT, say("sheet.grid_light")),
        (NONE, say("sheet.grid_none")),
    ]
    x = LEFT
    for mark, said in words:
        parts += _mark(mark, (x + 5, y - 4), 4.5)
        parts.append(pen.text((x + 14, y), said, size=pen.SMALL))
        x += 14 + pen.breadth(said, pen.SMALL) + 14
    return parts


def _cell(spot: Spot, layout: _Layout) -> list[str]:
    """One cell with its mark."""
    x, y = layout.corners[spot.label]
    wide, high = layout.cell, layout.cell_height
    middle = (x + 0.5 * wide, y + 0.5 * high)
    return [pen.box((x, y), wide, high), *_mark(spot.text, middle, min(0.36 * min(wide, high), 14.0))]


def _mark(text: str, middle: Point, side: float) -> list[str]:
    """The mark of what was seen: a filled square, a hatched one, a point; any other word as it is."""
    x, y = middle
    square = [(x - side, y - side), (x + side, y - side), (x + side, y + side), (x - side, y + side)]
    if text == HEAVY:
        return [f'<polygon class="wm-solid" fill="currentColor" points="{_corners(square)}"/>']
    if text == LIGHT:
        return [pen.hatch([square], spacing=4.0), pen.polyline(square, "thin", closed=True)]
    if text == NONE:
        return [pen.dot(middle, 1.6, accent=False)]
    return pen.written(text, middle, 2.0 * side + 2.0 * pen.BOX_MARGIN)


def _corners(square: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{pen.number(x)},{pen.number(y)}" for x, y in square)


def _describe(layout: _Layout, spots: Sequence[Spot]) -> str:
    view = layout.grid.view
    where = say(
        "sheet.unrolled_said", left=view.page_left, right=view.page_right, near=view.near, far=view.far
    )
    seen = [f"{s.label}: {s.text}" for s in spots if s.text]
    return f"{where} {'; '.join(seen)}"
