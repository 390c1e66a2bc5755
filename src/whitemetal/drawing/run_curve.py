"""The temperatures of a run-in against time: as read, an earlier run, the limits of this place, and where it
is on its way to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from whitemetal.drawing import pen
from whitemetal.drawing.pen import Point
from whitemetal.drawing.running_window import Axis, round_marks
from whitemetal.units import show_number
from whitemetal.words import say

WIDTH, HEIGHT = 360.0, 234.0
LEFT, RIGHT, TOP, BOTTOM = 40.0, 300.0, 34.0, 196.0
"""Edges of the panel [1/96 in]; right of it stands where the temperature is on its way to."""

SHORTEST = 60.0 * 60.0
"""The picture shows an hour at least [s]: no run is settled before. Common practice."""

LONGEST = 6.0 * 3600.0
"""What is foreseen later than this [s] is not drawn. Our own."""

FEW = 40
"""So many readings are drawn each with a dot. Our own."""

Curve = Sequence[Point]
"""(time [s] since the start, temperature [K]), ascending in time."""


@dataclass(frozen=True)
class RunCurve:
    """A place of a run-in ready to draw. taken, earlier: curves. alarm, trip [K], None without one. ahead:
    where it settles, low and high end of the interval [K], and when [s]; None where nothing is foreseen.
    warned: times [s] at which something was noticed. gap [s]: readings further apart are not joined."""

    where: str
    taken: Curve
    earlier: Curve = ()
    alarm: float | None = None
    trip: float | None = None
    ahead: tuple[float, float, float, float] | None = None
    warned: tuple[float, ...] = ()
    gap: float = float("inf")


def run_curve_svg(shown: RunCurve, *, title: str = "") -> str:
    """The picture, 360 wide. Raises ValueError without a reading."""
    if not shown.taken:
        raise ValueError("a curve has one reading at least")
    across, up = _axes(shown)
    parts = [pen.box((LEFT, TOP), RIGHT - LEFT, BOTTOM - TOP), *_scales(across, up)]
    parts += _limits(shown, across, up)
    parts += [
        pen.polyline(run, "hidden") for run in _runs(shown.earlier, float("inf"), across, up) if len(run) > 1
    ]
    parts += _ahead(shown, across, up)
    for run in _runs(shown.taken, shown.gap, across, up):
        parts += [pen.polyline(run, "accent")] if len(run) > 1 else [pen.dot(run[0], 2.2)]
    if len(shown.taken) <= FEW:
        parts += [pen.dot((across.at(t), up.at(v)), 2.2) for t, v in shown.taken]
    parts += _warned(shown, across, up)
    name = title or say("run_in.curve_title", where=shown.where)
    head = [pen.text((LEFT, 14), name, bold=True), *_key(shown)]
    return pen.picture(WIDTH, HEIGHT, name, _describe(shown), [*head, *parts], "run-curve")


def _axes(shown: RunCurve) -> tuple[Axis, Axis]:
    last = shown.taken[-1][0]
    when = shown.ahead[3] if shown.ahead and shown.ahead[3] <= LONGEST else 0.0
    longest = max(last, SHORTEST, when, *(t for t, _ in shown.earlier if t <= 1.5 * max(last, SHORTEST)))
    values = [v for _, v in shown.taken] + [v for t, v in shown.earlier if t <= longest]
    values += [v for v in (shown.alarm, shown.trip) if v is not None] + list((shown.ahead or ())[:3])
    low, high = min(values), max(values)
    room = max(0.06 * (high - low), 1.0)
    return Axis(0.0, longest, LEFT, RIGHT), Axis(low - room, high + 2.0 * room, BOTTOM, TOP)


def _scales(across: Axis, up: Axis) -> list[str]:
    parts = []
    for minutes in round_marks(0.0, across.high / 60.0, 6):
        x = across.at(minutes * 60.0)
        parts.append(pen.line((x, BOTTOM), (x, BOTTOM + 5)))
        parts.append(pen.text((x, BOTTOM + 17), f"{minutes:g}", anchor="middle", size=pen.SMALL))
    for degrees in round_marks(up.low - 273.15, up.high - 273.15, 6):
        y = up.at(degrees + 273.15)
        parts.append(pen.line((LEFT - 4, y), (LEFT, y)))
        parts.append(pen.text((LEFT - 7, y + 4), f"{degrees:g}", anchor="end", size=pen.SMALL))
    words = say("run_in.curve_across")
    return [*parts, pen.text(((LEFT + RIGHT) / 2, BOTTOM + 32), words, anchor="middle", size=pen.SMALL)]


def _limits(shown: RunCurve, across: Axis, up: Axis) -> list[str]:
    """The limits of this place as dashed lines, each named just above it at the right."""
    parts = []
    for limit, name in ((shown.alarm, "run_in.curve_alarm"), (shown.trip, "run_in.curve_trip")):
        if limit is not None:
            y = up.at(limit)
            parts.append(pen.line((LEFT, y), (RIGHT, y), "edge"))
            words = say(name, limit=_degrees(limit))
            parts.append(pen.text((LEFT + 4, y - 3), words, size=pen.SMALL, bold=True))
    return parts


def _runs(curve: Curve, gap: float, across: Axis, up: Axis) -> list[list[Point]]:
    """The curve in pieces, cut where nothing was read and where it leaves the picture."""
    runs: list[list[Point]] = []
    last: Point | None = None
    for time, value in curve:
        if time > across.high:
            break
        if last is None or time - last[0] > gap:
            runs.append([])
        runs[-1].append((across.at(time), up.at(value)))
        last = (time, value)
    return runs


def _ahead(shown: RunCurve, across: Axis, up: Axis) -> list[str]:
    """A bar beside the panel from the low to the high end, with the value it is likeliest to settle at."""
    if shown.ahead is None:
        return []
    settles, low, high, when = shown.ahead
    x = RIGHT + 12
    parts = [
        pen.line((x, up.at(low)), (x, up.at(high)), "thick"),
        *(pen.line((x - 4, up.at(v)), (x + 4, up.at(v)), "thick") for v in (low, high)),
        pen.dot((x, up.at(settles)), 3.2),
    ]
    ends = [(high, -1.0), (settles, 0.0), (low, 1.0)]
    heights = [up.at(value) + 4 for value, _ in ends]
    heights[0] = min(heights[0], heights[1] - 13)
    heights[2] = max(heights[2], heights[1] + 13)
    for (value, _), y in zip(ends, heights, strict=True):
        parts.append(pen.text((x + 7, y), _degrees(value), size=pen.SMALL))
    last = shown.taken[-1]
    if when > last[0] and when <= across.high:
        tail = [(across.at(last[0]), up.at(last[1])), (across.at(when), up.at(settles)), (x, up.at(settles))]
        parts += [pen.line(a, b, "hidden") for a, b in pairwise(tail)]
    return parts


def _warned(shown: RunCurve, across: Axis, up: Axis) -> list[str]:
    """A mark under the curve wherever something was noticed."""
    parts = []
    for time in sorted(set(shown.warned)):
        if time <= across.high:
            x = across.at(time)
            parts.append(pen.line((x, BOTTOM), (x, BOTTOM - 14), "thick"))
            parts.append(pen.text((x, BOTTOM - 17), "!", anchor="middle", bold=True))
    return parts


def _key(shown: RunCurve) -> list[str]:
    if not shown.earlier:
        return []
    words = say("run_in.curve_earlier")
    wide = pen.breadth(words, pen.SMALL)
    return [
        pen.line((RIGHT - wide - 30, 24), (RIGHT - wide - 6, 24), "hidden"),
        pen.text((RIGHT - wide, 28), words, size=pen.SMALL),
    ]


def _degrees(value: float) -> str:
    return show_number(value, "degC", "temperature", step=0.1)


def _describe(shown: RunCurve) -> str:
    """The picture in words."""
    time, value = shown.taken[-1]
    parts = [say("run_in.curve_last", value=_degrees(value), minutes=f"{time / 60.0:.0f}")]
    if shown.ahead is not None:
        settles, low, high, _ = shown.ahead
        parts.append(
            say("run_in.curve_ahead", value=_degrees(settles), low=_degrees(low), high=_degrees(high))
        )
    for limit, name in ((shown.alarm, "run_in.curve_alarm"), (shown.trip, "run_in.curve_trip")):
        if limit is not None:
            parts.append(say(name, limit=_degrees(limit)))
    return "; ".join(parts)
