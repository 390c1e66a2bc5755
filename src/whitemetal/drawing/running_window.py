"""The running window: how the film fares at each clearance, with the limits and what was measured."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.pen import Point
from whitemetal.units import clearance_step, find_unit, show_number
from whitemetal.words import say

WIDTH = 360.0
LEFT, RIGHT = 52.0, 348.0
FIRST, HEIGHT, BETWEEN = 62.0, 84.0, 26.0
"""Top of the first panel, height of one, and the room for a name between two [1/96 in]."""

WORDS = 14.0
"""Room above a criterion's line for its words, where a falling curve ends above it."""
FARTHEST = 16.0
"""A curve that must be at least its criterion leaves the picture at so many times that. Our own."""

Interval = tuple[float, float]


@dataclass(frozen=True)
class Panel:
    """One result against clearance. values: as shown (in ``unit``), one a clearance, infinite where off any
    scale, None where not calculated. wanted: the criterion in the same unit, None without one."""

    name: str
    unit: str
    values: tuple[float | None, ...]
    wanted: float | None = None
    way: Literal["at least", "at most"] = "at least"


@dataclass(frozen=True)
class WindowShown:
    """A window ready to draw; clearances diametral, cold [m], rising.

    intervals: where all criteria are met. measured: value and ends of its 95 % interval. limits: of the card.
    tried: what is called measured is a clearance to try.
    """

    clearances: tuple[float, ...]
    panels: tuple[Panel, ...]
    intervals: tuple[Interval, ...] = ()
    measured: tuple[float, float, float] | None = None
    limits: tuple[float | None, float | None] = (None, None)
    tried: bool = False

    @property
    def mark(self) -> str:
        """What the clearance that is marked is called."""
        return say("film.mark_tried") if self.tried else say("film.mark_measured")


@dataclass(frozen=True)
class Axis:
    """A straight scale from a value to a page position."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Page position of a value."""
        return self.start + (self.end - self.start) * (value - self.low) / (self.high - self.low)


def running_window_svg(card: Card, shown: WindowShown, *, title: str = "") -> str:
    """Panels over one scale of clearance, 360 wide; where a criterion is not met, the ground is hatched.

    Raises ValueError for fewer than two clearances.
    """
    if len(shown.clearances) < 2:
        raise ValueError("a window has two clearances at least")
    across = Axis(*_span(shown), LEFT, RIGHT)
    bottom = FIRST + len(shown.panels) * (HEIGHT + BETWEEN) - BETWEEN
    parts: list[str] = []
    for low, high in _outside(shown, across):
        for row in range(len(shown.panels)):
            top = FIRST + row * (HEIGHT + BETWEEN)
            parts.append(pen.hatch([_corners(across.at(low), across.at(high), top)], spacing=9))
    busy = _busy(shown, across)
    for row, panel in enumerate(shown.panels):
        parts += _panel(panel, shown.clearances, across, FIRST + row * (HEIGHT + BETWEEN), busy)
    parts += _limits(card, shown, across, bottom)
    parts += _measured(card, shown, across, bottom)
    parts += _clearances(card, across, bottom)
    name = title or say("film.window_title")
    return pen.picture(WIDTH, bottom + 62, name, _describe(card, shown), parts, "running-window")


def _span(shown: WindowShown) -> Interval:
    """Clearances on the picture: all that were swept, and whatever else must be seen."""
    others = [value for value in (*shown.limits, *(shown.measured or ())) if value is not None]
    return max(min(*shown.clearances, *others), 0.0), max(*shown.clearances, *others)


def _outside(shown: WindowShown, across: Axis) -> list[Interval]:
    """What lies between and beside the intervals."""
    ends = [across.low, *(end for interval in shown.intervals for end in interval), across.high]
    return [(a, b) for a, b in zip(ends[::2], ends[1::2], strict=True) if b - a > 1e-9]


def _corners(left: float, right: float, top: float) -> list[Point]:
    return [(left, top), (right, top), (right, top + HEIGHT), (left, top + HEIGHT)]


def _busy(shown: WindowShown, across: Axis) -> list[Interval]:
    """Where upright lines and hatching run through all panels, as page positions."""
    lines = [v for v in (*shown.limits, *(shown.measured or ())[:1]) if v is not None]
    uprights = [(across.at(v) - 3, across.at(v) + 3) for v in lines]
    return [*uprights, *((across.at(low), across.at(high)) for low, high in _outside(shown, across))]


def _panel(
    panel: Panel, clearances: Sequence[float], across: Axis, top: float, busy: Sequence[Interval]
) -> list[str]:
    """A frame, its scale, the curve, and the criterion as a dashed line."""
    least, most = _range(panel)
    up = Axis(least, most, top + HEIGHT, top)
    head = f"{panel.name}, {panel.unit}" if panel.unit else panel.name
    parts = [
        pen.text((LEFT, top - 6), pen.cut(head, 46), size=pen.SMALL, bold=True),
        pen.box((LEFT, top), RIGHT - LEFT, HEIGHT),
    ]
    for value in round_marks(least, most, 4):
        parts.append(pen.line((LEFT - 4, up.at(value)), (LEFT, up.at(value))))
        parts.append(pen.text((LEFT - 7, up.at(value) + 4), f"{value:g}", anchor="end", size=pen.SMALL))
    runs = _runs(panel.values, clearances, least, most)
    curve = [[(across.at(x), up.at(y)) for x, y in run] for run in runs]
    if panel.wanted is not None:
        y = up.at(panel.wanted)
        parts.append(pen.line((LEFT, y), (RIGHT, y), "hidden"))
        way = say("film.at_least") if panel.way == "at least" else say("film.at_most")
        words = f"{way} {panel.wanted:.3g}"
        where = _clear(words, y, top, curve, busy)
        parts.append(pen.text(where, words, anchor="end", size=pen.SMALL))
    return [*parts, *(pen.polyline(run, "accent") for run in curve)]


def _clear(
    words: str, y: float, top: float, curve: Sequence[Sequence[Point]], busy: Sequence[Interval]
) -> Point:
    """Where a criterion's words end, just above or below its line at ``y``: as far right as the curve leaves
    room, if it can be where no upright line or hatching runs either."""
    wide = pen.breadth(words, pen.SMALL)
    bases = [base for base in (y - 2.5, y + 12) if top + 11 <= base <= top + HEIGHT - 2] or [y - 2.5]
    ends = [RIGHT - 4 - 4 * i for i in range(int((RIGHT - LEFT - wide - 8) / 4) + 1)]
    spots = [(end, base) for end in ends for base in bases]
    free = {
        room: [spot for spot in spots if not _touches(curve, spot[0] - wide, *spot, room)]
        for room in (3.0, 1.0)
    }  # fmt: skip
    quiet = [
        spot
        for some in free.values()
        for spot in some
        if all(high < spot[0] - wide or low > spot[0] for low, high in busy)
    ]
    return [*quiet, *free[3.0], *free[1.0], spots[0]][0]


def _touches(curve: Sequence[Sequence[Point]], left: float, right: float, base: float, room: float) -> bool:
    """Whether a curve comes nearer than ``room`` to words from left to right on a base line."""
    above, below = base - 0.74 * pen.SMALL - room, base + 0.2 * pen.SMALL + room
    for run in curve:
        for a, b in pairwise(run):
            enter, leave = max(a[0], left - room), min(b[0], right + room)
            if enter > leave:
                continue
            slope = (b[1] - a[1]) / (b[0] - a[0]) if b[0] > a[0] else 0.0
            heights = [a[1] + slope * (x - a[0]) for x in (enter, leave)] if slope else [a[1], b[1]]
            if min(heights) < below and max(heights) > above:
                return True
    return False


def _range(panel: Panel) -> Interval:
    """Values on the scale; a curve that runs far away from its criterion leaves the picture."""
    finite = [value for value in panel.values if value is not None and math.isfinite(value)]
    low, high = min(finite, default=0.0), max(finite, default=1.0)
    wanted = panel.wanted
    if wanted is None:
        return (min(low, 0.0), 1.08 * high or 1.0)
    if panel.way == "at least":
        top = min(1.08 * high, FARTHEST * wanted)
        if finite and finite[-1] == low > wanted:
            top = min(top, (low - wanted) * HEIGHT / WORDS)
        return 0.0, max(1.6 * wanted, top)
    near = min(low, wanted)
    room = 0.2 * abs(wanted)
    return near - max(0.08 * (wanted - near), room / 4), wanted + max(0.35 * (wanted - near), room)


def _runs(
    values: Sequence[float | None], clearances: Sequence[float], least: float, most: float
) -> list[list[Point]]:
    """The curve in pieces, cut where it leaves the scale; an infinite value counts as far above it."""
    far = most + 20 * (most - least)
    points = [
        (x, min(y, far) if math.isfinite(y) else far) if y is not None else None
        for x, y in zip(clearances, values, strict=True)
    ]
    runs: list[list[Point]] = []
    for a, b in pairwise(points):
        piece = None if a is None or b is None else _cut(a, b, least, most)
        if piece is None:
            continue
        if runs and math.dist(runs[-1][-1], piece[0]) < 1e-12:
            runs[-1].append(piece[1])
        else:
            runs.append(list(piece))
    return runs


def _cut(a: Point, b: Point, least: float, most: float) -> tuple[Point, Point] | None:
    """The part of a straight piece between two heights."""
    if a[1] == b[1]:
        return (a, b) if least <= a[1] <= most else None
    parts = sorted((height - a[1]) / (b[1] - a[1]) for height in (least, most))
    enter, leave = max(parts[0], 0.0), min(parts[1], 1.0)
    if enter >= leave:
        return None

    def at(part: float) -> Point:
        return a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])

    return at(enter) if enter > 0.0 else a, at(leave) if leave < 1.0 else b


def round_marks(low: float, high: float, most: int) -> list[float]:
    """At most about so many round values (1, 2, 5 times a power of ten apart) from low to high."""
    rough = (high - low) / most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough * (1 - 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(i * step, 12) for i in range(first, last + 1)]


def _limits(card: Card, shown: WindowShown, across: Axis, bottom: float) -> list[str]:
    """The card's limits: dashed lines through all panels, named above them."""
    parts: list[str] = []
    names = (say("film.mark_minimum"), "end"), (say("film.mark_maximum"), "start")
    for value, (name, side) in zip(shown.limits, names, strict=True):
        if value is None:
            continue
        x = across.at(value)
        parts.append(pen.line((x, FIRST - 30), (x, FIRST - 20), "edge"))
        parts += [pen.line(a, b, "edge") for a, b in _through(x, bottom)]
        room = 8 + pen.breadth(name, pen.SMALL)
        turn_in = x - room < 0 if side == "end" else x + room > WIDTH
        at_end = (side == "end") != turn_in
        anchor: pen.Anchor = "end" if at_end else "start"
        parts.append(pen.text((x + (-4 if at_end else 4), FIRST - 24), name, anchor=anchor, size=pen.SMALL))
    return parts


def _through(x: float, bottom: float) -> list[tuple[Point, Point]]:
    """An upright line through every panel, broken where their names stand."""
    count = round((bottom - FIRST + BETWEEN) / (HEIGHT + BETWEEN))
    tops = [FIRST + row * (HEIGHT + BETWEEN) for row in range(count)]
    return [((x, top), (x, top + HEIGHT)) for top in tops]


def _measured(card: Card, shown: WindowShown, across: Axis, bottom: float) -> list[str]:
    """What was measured: a dot with its 95 % bar on top, and a line through all panels."""
    if shown.measured is None:
        return []
    value, low, high = (across.at(min(max(v, across.low), across.high)) for v in shown.measured)
    words = f"{shown.mark} {_figure(shown.measured[0], card)} {card.bearing.unit}"
    half = pen.breadth(words, pen.SMALL) / 2
    middle = min(max(value, half + 2), WIDTH - half - 2)
    y = FIRST - 40
    return [
        pen.text((middle, 12), words, anchor="middle", size=pen.SMALL, bold=True),
        pen.line((value, y), (value, FIRST - 20)),
        *(pen.line(a, b) for a, b in _through(value, bottom)),
        pen.line((low, y), (high, y), "thick"),
        *(pen.line((x, y - 4), (x, y + 4)) for x in (low, high)),
        pen.dot((value, y), 3),
    ]


def _clearances(card: Card, across: Axis, bottom: float) -> list[str]:
    """The scale of clearances and what the hatching means."""
    unit = card.bearing.unit
    found = find_unit(unit, "length")
    size = found.scale if found is not None else 1e-3
    parts = []
    for mark in round_marks(across.low / size, across.high / size, 6):
        x = across.at(mark * size)
        parts.append(pen.line((x, bottom), (x, bottom + 5)))
        parts.append(pen.text((x, bottom + 18), f"{mark:g}", anchor="middle", size=pen.SMALL))
    name = say("film.across", unit=unit)
    return [
        *parts,
        pen.text(((LEFT + RIGHT) / 2, bottom + 35), name, anchor="middle", size=pen.SMALL, bold=True),
        pen.text((4, bottom + 54), say("film.hatched"), size=pen.SMALL),
    ]


def _figure(value: float, card: Card) -> str:
    return show_number(value, card.bearing.unit, "length", step=clearance_step(card.bearing.unit))


def _describe(card: Card, shown: WindowShown) -> str:
    """The picture in words."""
    unit = card.bearing.unit
    spans = "; ".join(f"{_figure(a, card)} … {_figure(b, card)} {unit}" for a, b in shown.intervals)
    parts = [say("film.window_said", spans=spans or "–")]
    if shown.measured is not None:
        value, low, high = (_figure(v, card) for v in shown.measured)
        parts.append(f"{shown.mark} {value} ({low} … {high}) {unit}")
    for limit, name in zip(shown.limits, ("film.mark_minimum", "film.mark_maximum"), strict=True):
        if limit is not None:
            parts.append(f"{say(name)} {_figure(limit, card)} {unit}")
    return "; ".join(parts)
