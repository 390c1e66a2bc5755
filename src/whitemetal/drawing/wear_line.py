"""The wear line: the clearance as found and as left over hours, starts or the calendar, and where it
leads."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.running_window import Axis, round_marks
from whitemetal.units import clearance_step, find_unit, show
from whitemetal.words import say

WIDTH = 360.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 348.0, 34.0, 234.0
AHEAD = 1.15
"""The picture goes so far beyond the run to the limit, or beyond the last opening where none is known. Our
own."""

FIRST_DAY = date(1900, 1, 1)
"""Where the calendar is counted from [s]."""
DAY = 86400.0
"""Seconds in a day; exact."""
HOUR = 3600.0
"""Seconds in an hour; exact."""


@dataclass(frozen=True)
class WearPoint:
    """A clearance [m] with its 95 % interval to each side. at: hours [s], starts, or seconds of the calendar
    since 1900. left: as left, else as found. counts: whether wear is made of it."""

    at: float
    value: float
    plus_minus: float
    left: bool
    counts: bool = True


@dataclass(frozen=True)
class WearRun:
    """From as left to as found: two corners (at, clearance). kind: "" where it counts in the rate, "step", or
    "out" of it."""

    start: tuple[float, float]
    end: tuple[float, float]
    kind: str = ""


@dataclass(frozen=True)
class Ahead:
    """Where it leads: from a corner (at, clearance [m]) at a rate; low, high: ends of the 95 % interval at
    which the limit is reached, infinite where it has none; open_by: the run that was chosen, None without."""

    start: tuple[float, float]
    rate: float
    low: float
    high: float
    open_by: float | None


@dataclass(frozen=True)
class WearShown:
    """A wear line ready to draw. against: "hours", "starts" or "calendar". renewed: where other shells
    went in. limit: the renewal limit [m], film: the widest clearance that the film allows [m]."""

    against: str
    points: tuple[WearPoint, ...]
    runs: tuple[WearRun, ...]
    renewed: tuple[float, ...] = ()
    limit: float | None = None
    film: float | None = None
    ahead: Ahead | None = None


def wear_line_svg(card: Card, shown: WearShown) -> str:
    """Clearance, diametral, over what the wear is taken against, 360 wide. Open circles as found, full
    ones as left. Raises ValueError without a point."""
    if not shown.points:
        raise ValueError("a wear line has a point at least")
    across, up = _across(shown), _up(shown)
    parts = [pen.box((LEFT, TOP), RIGHT - LEFT, BOTTOM - TOP)]
    parts += [*_scales(card, shown, across, up), *_limits(card, shown, up)]
    for at in shown.renewed:
        parts.append(pen.line((across.at(at), TOP), (across.at(at), BOTTOM), "hidden"))
    parts += [*_ahead(shown, across, up)]
    for run in shown.runs:
        ends = [(across.at(x), up.at(y)) for x, y in (run.start, run.end)]
        parts += _run(ends[0], ends[1], run.kind)
    for point in shown.points:
        parts += _point(point, across, up)
    parts += _key()
    return pen.picture(WIDTH, BOTTOM + 76, say("life.picture"), _described(card, shown), parts, "wear-line")


def _across(shown: WearShown) -> Axis:
    first, last = min(p.at for p in shown.points), max(p.at for p in shown.points)
    ends = [last]
    if shown.ahead is not None:
        start = shown.ahead.start[0]
        ends += [start + run for run in (shown.ahead.open_by, shown.ahead.high) if run and math.isfinite(run)]
    span = max(max(ends) - first, 1.0 if shown.against == "starts" else HOUR)
    farthest = min(first + AHEAD * span, first + 4.0 * max(last - first, span / 4.0))
    return Axis(first - 0.03 * span, farthest, LEFT, RIGHT)


def _up(shown: WearShown) -> Axis:
    values = [p.value + s * p.plus_minus for p in shown.points for s in (-1, 1)]
    values += [value for value in (shown.limit, shown.film) if value is not None]
    low, high = min(values), max(values)
    room = 0.08 * (high - low) or 0.1 * high or 1e-6
    return Axis(max(0.0, low - room), high + room, BOTTOM, TOP)


def _scales(card: Card, shown: WearShown, across: Axis, up: Axis) -> list[str]:
    unit = card.bearing.unit
    found = find_unit(unit, "length")
    size = found.scale if found is not None else 1e-3
    parts = [pen.text((2, 14), f"{say('sheet.diametral')}, {unit}", size=pen.SMALL, bold=True)]
    for mark in round_marks(up.low / size, up.high / size, 5):
        y = up.at(mark * size)
        parts.append(pen.line((LEFT - 4, y), (LEFT, y)))
        parts.append(pen.text((LEFT - 7, y + 4), f"{mark:g}", anchor="end", size=pen.SMALL))
    for at, words in _marks(shown.against, across):
        x = across.at(at)
        parts.append(pen.line((x, BOTTOM), (x, BOTTOM + 4)))
        parts.append(pen.text((x, BOTTOM + 17), words, anchor="middle", size=pen.SMALL))
    middle = ((LEFT + RIGHT) / 2, BOTTOM + 34)
    name = say(f"life.across_{shown.against}")
    return [*parts, pen.text(middle, name, anchor="middle", size=pen.SMALL, bold=True)]


def _marks(against: str, across: Axis) -> list[tuple[float, str]]:
    """Where the scale across has marks, and what stands at them."""
    if against == "calendar":
        first, last = (FIRST_DAY + timedelta(seconds=end) for end in (across.low, across.high))
        years = range(first.year + 1, last.year + 1)
        step = max(1, math.ceil(len(years) / 6))
        return [((date(y, 1, 1) - FIRST_DAY).days * DAY, f"{y}") for y in years if y % step == 0]
    size = HOUR if against == "hours" else 1.0
    return [(mark * size, f"{mark:g}") for mark in round_marks(across.low / size, across.high / size, 4)]


def _limits(card: Card, shown: WearShown, up: Axis) -> list[str]:
    parts: list[str] = []
    if shown.limit is not None:
        y = up.at(shown.limit)
        parts.append(pen.hatch([[(LEFT, y), (RIGHT, y), (RIGHT, y - 7), (LEFT, y - 7)]], spacing=5))
        parts.append(pen.line((LEFT, y), (RIGHT, y), "thick"))
        parts.append(pen.text((LEFT + 4, y + 13), say("life.renewal"), size=pen.SMALL))
    if shown.film is not None:
        y = up.at(shown.film)
        parts.append(pen.line((LEFT, y), (RIGHT, y), "edge"))
        words = say("life.film_limit_short")
        parts.append(pen.text((RIGHT - 4, y - 4), words, anchor="end", size=pen.SMALL))
    return parts


def _ahead(shown: WearShown, across: Axis, up: Axis) -> list[str]:
    """The line on to the limit, the 95 % interval on the limit, and the run that was chosen."""
    ahead = shown.ahead
    if ahead is None:
        return []
    parts: list[str] = []
    x0, y0 = ahead.start
    end = across.high
    if shown.limit is not None and ahead.rate > 0.0:
        end = min(end, x0 + max(0.0, (shown.limit - y0) / ahead.rate))
    if end > x0:
        last = y0 + ahead.rate * (end - x0)
        parts.append(
            pen.line((across.at(x0), up.at(y0)), (across.at(end), up.at(max(last, up.low))), "hidden")
        )
    if (
        shown.limit is not None
        and math.isfinite(ahead.low)
        and (ahead.low > 0.0 or math.isfinite(ahead.high))
    ):
        y = up.at(shown.limit)
        ends = [
            min(across.at(x0 + run) if math.isfinite(run) else RIGHT, RIGHT)
            for run in (ahead.low, ahead.high)
        ]
        parts.append(pen.line((ends[0], y), (ends[1], y), "accent"))
        parts += [pen.line((x, y - 5), (x, y + 5), "accent") for x in ends if x < RIGHT]
    if ahead.open_by is not None and x0 + ahead.open_by <= across.high:
        x = across.at(x0 + ahead.open_by)
        parts.append(pen.line((x, TOP), (x, BOTTOM), "accent"))
        at_end = x > (LEFT + RIGHT) / 2
        anchor: pen.Anchor = "end" if at_end else "start"
        words = say("life.open_by_short")
        parts.append(pen.text((x, TOP - 6), words, anchor=anchor, size=pen.SMALL, bold=True))
    return parts


def _run(a: pen.Point, b: pen.Point, kind: str) -> list[str]:
    """A run that counts is a line; a step is upright and thick at its end; one left out is thin and
    dashed."""
    if kind == "step":
        corner = (b[0], a[1])
        return [pen.line(a, corner, "hidden"), pen.line(corner, b, "thick")]
    return [pen.line(a, b, "accent" if not kind else "hidden")]


def _point(point: WearPoint, across: Axis, up: Axis) -> list[str]:
    x = across.at(point.at)
    low, high = up.at(point.value - point.plus_minus), up.at(point.value + point.plus_minus)
    middle = (x, up.at(point.value))
    parts = [pen.line((x, low), (x, high))]
    if not point.counts:
        parts += pen.mark(middle, "not proven")
    elif point.left:
        parts.append(pen.dot(middle, 3.5))
    else:
        parts.append(pen.circle(middle, 4.0, "thin"))
    return parts


def _key() -> list[str]:
    y = BOTTOM + 52
    return [
        pen.circle((LEFT + 4, y - 4), 4.0, "thin"),
        pen.text((LEFT + 14, y), say("life.found"), size=pen.SMALL),
        pen.dot((LEFT + 90, y - 4), 3.5),
        pen.text((LEFT + 100, y), say("life.left"), size=pen.SMALL),
        pen.line((LEFT + 170, y - 10), (LEFT + 170, y + 3), "thick"),
        pen.text((LEFT + 180, y), say("life.key_step"), size=pen.SMALL),
        pen.line((LEFT, y + 14), (LEFT + 22, y + 14), "accent"),
        pen.text((LEFT + 28, y + 18), say("life.key_counts"), size=pen.SMALL),
        pen.line((LEFT + 150, y + 14), (LEFT + 172, y + 14), "hidden"),
        pen.text((LEFT + 180, y + 18), say("life.key_out"), size=pen.SMALL),
    ]


def _described(card: Card, shown: WearShown) -> str:
    """The picture in words."""

    def words(value: float) -> str:
        return show(value, card.bearing.unit, "length", step=clearance_step(card.bearing.unit))

    said: Sequence[str] = [
        f"{_where(point.at, shown.against)}: {_named(point)} {words(point.value)}" for point in shown.points
    ]
    limit = [f"{say('life.renewal')} {words(shown.limit)}"] if shown.limit is not None else []
    return "; ".join([*said, *limit])


def _named(point: WearPoint) -> str:
    return say("life.left") if point.left else say("life.found")


def _where(at: float, against: str) -> str:
    if against == "calendar":
        return (FIRST_DAY + timedelta(seconds=at)).isoformat()
    return f"{at / HOUR:.0f} h" if against == "hours" else f"{at:.0f}"
