"""Where on the shell damage is: cells marked on the unrolled halves, and what their pattern is called.

Each half is divided into three by three: its two ends and the middle, its two joints and the crown. The names
that `causes` knows places by follow from which cells are marked; more than one may follow.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import product
from typing import Literal

from whitemetal.errors import InputError, Problem
from whitemetal.inspect.looks import Where
from whitemetal.words import say

Half = Literal["upper", "lower"]
Along = Literal["first", "middle", "second"]
Across = Literal["left", "crown", "right"]

HALVES: tuple[Half, ...] = ("upper", "lower")
ALONG: tuple[Along, ...] = ("first", "middle", "second")
ACROSS: tuple[Across, ...] = ("left", "crown", "right")

ALL_OVER = 6
"""Cells of a half that must be marked for damage to count as all over it: two thirds of nine. Our own."""


@dataclass(frozen=True)
class Cell:
    """A ninth of a half. along: at the card's first or second end, or between. across: at the joint left or
    right as seen from the machine's viewing end, or at the crown of that half."""

    half: Half
    along: Along
    across: Across

    @property
    def key(self) -> str:
        """Its name in entries, e.g. "lower first crown"."""
        return f"{self.half} {self.along} {self.across}"


CELLS: dict[str, Cell] = {
    cell.key: cell for cell in (Cell(half, end, side) for half, end, side in product(HALVES, ALONG, ACROSS))
}


def cells_of(keys: Collection[str]) -> tuple[Cell, ...]:
    """Cells by their names, in the order of the drawing. Raises InputError on a name that is none."""
    wrong = [key for key in keys if key not in CELLS]
    if wrong:
        raise InputError(
            *(Problem("where", key, say("inspect.cell", known=", ".join(CELLS))) for key in wrong)
        )
    return tuple(cell for key, cell in CELLS.items() if key in keys)


def where_of(cells: Collection[Cell], loaded: Half, *, at_feed: bool = False) -> tuple[Where, ...]:
    """What the pattern of marked cells is called; () when none is marked and it is at no feed.

    loaded: the half that carries the load. at_feed: whether it lies at a feed or groove, which no cell tells.
    """
    marked = frozenset(cells)
    found: list[Where] = ["at a feed or groove"] if at_feed else []
    if marked:
        found += [*_how_much(marked), *_which_half(marked, loaded), *_along(marked)]
        if all(cell.across != "crown" for cell in marked) and not _corners(marked):
            found.append("at the joint")
    return tuple(found)


def _how_much(marked: frozenset[Cell]) -> Iterator[Where]:
    if len(marked) == 1:
        yield "a spot"
    counts = [sum(cell.half == half for cell in marked) for half in HALVES]
    if all(count == 0 or count >= ALL_OVER for count in counts):
        yield "all over"


def _which_half(marked: frozenset[Cell], loaded: Half) -> Iterator[Where]:
    if all(cell.half == loaded for cell in marked):
        if any(cell.across == "crown" for cell in marked):
            yield "loaded sector"
    elif all(cell.half != loaded for cell in marked):
        yield "unloaded half"


def _along(marked: frozenset[Cell]) -> Iterator[Where]:
    ends = {cell.along for cell in marked}
    if _corners(marked):
        yield "opposite corners"
    elif ends == {"first", "second"}:
        yield "both ends"
    elif len(ends) == 1 and "middle" not in ends:
        yield "one end"


def _corners(marked: frozenset[Cell]) -> bool:
    """Whether in some half one corner at each end is marked, on opposite sides, and no other cell but those
    of the middle of the half."""
    for half in HALVES:
        here = {(cell.along, cell.across) for cell in marked if cell.half == half}
        here -= {("middle", "crown")}
        one, other = {("first", "left"), ("second", "right")}, {("first", "right"), ("second", "left")}
        if here in (one, other):
            return True
    return False
