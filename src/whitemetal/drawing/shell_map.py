"""One half of a bearing unrolled, in nine cells: where on the shell something was seen.

As one stands over it: the far end at the top, the joints left and right, the crown of that half in the
middle. A marked cell is hatched and carries a cross, told apart in black and white.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.spot import Turned
from whitemetal.drawing.view import View, view_of
from whitemetal.words import say

WIDTH, HEIGHT = 360.0, 276.0
LEFT, RIGHT, TOP, BOTTOM = 18.0, 342.0, 66.0, 228.0
"""Edges of the land on the page: cells of 108 by 54, for a thumb."""

Half = Literal["upper", "lower"]
Along = Literal["first", "middle", "second"]
Across = Literal["left", "crown", "right"]


@dataclass(frozen=True)
class MapCell:
    """A cell as it lies on the page. key: "lower first crown". words: where it is, for people. row, column:
    from the far end and the page's left, counted from 0."""

    key: str
    words: str
    row: int
    column: int


def map_cells(card: Card, half: Half, turned: Turned = 0) -> tuple[MapCell, ...]:
    """The nine cells of a half, row by row from the far end, each from the page's left."""
    view = view_of(card, turned)
    rows: tuple[Along, ...] = ("second", "middle", "first") if view.first_is_near else _DOWN
    columns: tuple[Across, ...] = _ACROSS if view.sign > 0 else ("right", "crown", "left")
    return tuple(
        MapCell(f"{half} {along} {across}", cell_words(card, half, along, across), row, column)
        for row, along in enumerate(rows)
        for column, across in enumerate(columns)
    )


_DOWN: tuple[Along, ...] = ("first", "middle", "second")
_ACROSS: tuple[Across, ...] = ("left", "crown", "right")


def cell_words(card: Card, half: Half, along: Along, across: Across) -> str:
    """Where a cell is, in words: "lower half, drive end, at the left joint"."""
    first, second = card.bearing.ends
    end = {"first": first, "middle": say("inspect.middle"), "second": second}[along]
    return say("inspect.cell_words", half=_named(half), end=end, side=say(f"inspect.at_{across}"))


def _named(half: Half) -> str:
    return say("inspect.upper_half" if half == "upper" else "inspect.lower_half")


def shell_map_svg(card: Card, half: Half, marked: Collection[str] = (), *, turned: Turned = 0) -> str:
    """A half as SVG, 360 wide. marked: keys of cells in which something was seen."""
    view, cells = view_of(card, turned), map_cells(card, half, turned)
    loaded = half == card.duty.loaded_half
    parts = [
        *_land(view, half, loaded),
        *(part for cell in cells if cell.key in marked for part in _mark(cell)),
    ]
    here = [cell.words for cell in cells if cell.key in marked]
    said = say("inspect.map_said", cells="; ".join(here)) if here else say("inspect.map_empty")
    return pen.picture(WIDTH, HEIGHT, _title(half, loaded), said, parts, "shell-map")


def _title(half: Half, loaded: bool) -> str:
    return say("inspect.map_loaded" if loaded else "inspect.map_other", half=_named(half))


def _corner(cell: MapCell) -> tuple[float, float]:
    width, height = (RIGHT - LEFT) / 3, (BOTTOM - TOP) / 3
    return LEFT + cell.column * width, TOP + cell.row * height


def _mark(cell: MapCell) -> list[str]:
    x, y = _corner(cell)
    wide, deep = (RIGHT - LEFT) / 3, (BOTTOM - TOP) / 3
    corners = [(x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep)]
    middle_x, middle_y = x + wide / 2, y + deep / 2
    return [
        pen.hatch([corners]),
        pen.polyline(corners, "thick", closed=True),
        pen.line((middle_x - 9, middle_y - 9), (middle_x + 9, middle_y + 9), "thick"),
        pen.line((middle_x - 9, middle_y + 9), (middle_x + 9, middle_y - 9), "thick"),
    ]


def _land(view: View, half: Half, loaded: bool) -> list[str]:
    middle = 0.5 * (LEFT + RIGHT)
    wide, deep = (RIGHT - LEFT) / 3, (BOTTOM - TOP) / 3
    corners = [(LEFT, TOP), (RIGHT, TOP), (RIGHT, BOTTOM), (LEFT, BOTTOM)]
    rules = [pen.line((LEFT + n * wide, TOP), (LEFT + n * wide, BOTTOM)) for n in (1, 2)]
    rules += [pen.line((LEFT, TOP + n * deep), (RIGHT, TOP + n * deep)) for n in (1, 2)]
    return [
        pen.text((middle, 14), _title(half, loaded), anchor="middle", bold=True),
        pen.text((middle, 36), pen.cut(view.far, 34), anchor="middle", bold=True),
        pen.text((LEFT, 58), say("inspect.joint_side", side=view.page_left), size=pen.SMALL),
        pen.text((middle, 58), say("inspect.crown"), anchor="middle", size=pen.SMALL),
        pen.text((RIGHT, 58), say("inspect.joint_side", side=view.page_right), anchor="end", size=pen.SMALL),
        *rules,
        pen.polyline(corners, "thick", closed=True),
        pen.text((middle, BOTTOM + 20), pen.cut(view.near, 34), anchor="middle", bold=True),
        pen.text((middle, BOTTOM + 40), pen.cut(view.seen_from, 50), anchor="middle", size=pen.SMALL),
    ]
