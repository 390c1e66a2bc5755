"""What the temperatures of a run-in say, reading by reading: limits and rules first, the forecast beside
them.

No fit overrides a rule: a wipe is a step within seconds, and a curve fitted through it says nothing. Metal,
oil drain, sump and surface differ by 10 to 20 K (common practice): a limit counts for readings of its own
place only, and the others are shown, not compared.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from whitemetal.closing.run_in.forecast import (
    FEWEST_POINTS,
    FIRST_MINUTES,
    SETTLED_RATE,
    Forecast,
    Vector,
    forecast,
)
from whitemetal.errors import InputError
from whitemetal.units import show
from whitemetal.words import say

Where = Literal["metal", "oil drain", "oil sump", "surface"]
Weight = Literal["stop", "warning", "note"]
MINUTE = 60.0
"""A minute [s]: exact, by definition."""

JUMP, JUMP_WITHIN = 3.0, 30.0
"""A step of so many kelvin within so many seconds is a wipe until proven otherwise. Our own, after the common
practice that a wipe shows within seconds."""

FASTEST, FASTEST_AFTER = 2.0 / MINUTE, 5.0 * MINUTE
"""A rise faster than 2 K a minute [K/s] after the first five minutes [s]. Common practice."""

FAST_OVER = MINUTE
"""A rise is taken over a minute [s] where readings lie closer. Our own: the rule is stated a minute."""

ABOVE_EARLIER = 5.0
"""So far above the curve of an earlier run-in at ten minutes [K] the run is stopped. Common practice."""

RISE_AT_TEN, RISE_AT_THIRTY = 14.0, 24.0
"""Rise [K] at ten minutes (11 to 14) and at thirty (about 22, and two more before it is a warning) of
self-lubricated sleeve bearings, from a motor maker's instruction manual."""

LIKELY = 1.0 / 3.0
"""A chance of one in three that it settles above the alarm is a warning: there is time to look. Our own."""

SHORTEST_RUN = 60.0 * MINUTE
"""No run is called settled before an hour [s]. Common practice: one to two hours to steady."""

MOST_FITTED = 240
"""The forecast is fitted to at most so many readings; more are averaged over equal times. Our own: what
matters is the run's length, and a reading a second says little more than one a minute."""

SLOPE_OVER = 30.0 * MINUTE
"""The slope is taken over the last half hour [s], as the rule of settling is stated. Common practice."""


@dataclass(frozen=True)
class Taken:
    """A reading: time [s] since the start of the run, temperature [K], where it was taken."""

    time: float
    temperature: float
    where: Where


@dataclass(frozen=True)
class Watching:
    """What is watched for. alarm, trip [K], None when not set; where they count. source: of these limits.

    self_lubricated: the rules of rise count. ambient [K]. earlier: (time [s], temperature [K]) of an earlier
    run-in of this bearing at the same place, () when there is none.
    """

    where: Where
    alarm: float | None = None
    trip: float | None = None
    source: str = ""
    self_lubricated: bool = True
    ambient: float | None = None
    earlier: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Warned:
    """code; weight; text; time [s] of the reading that raised it; source of the rule."""

    code: str
    weight: Weight
    text: str
    time: float
    source: str


@dataclass(frozen=True)
class Watched:
    """What was noticed, weightiest first; the forecast, None too early or after a jump; slope [K/s] over the
    last half hour, None before; settled: the slope and the shortest run are both reached."""

    warned: tuple[Warned, ...]
    forecast: Forecast | None
    slope: float | None
    settled: bool


def watch(readings: Sequence[Taken], watching: Watching) -> Watched:
    """Everything that the readings so far say. Readings may come in any order. Pure."""
    ordered = sorted(readings, key=lambda one: one.time)
    here = [one for one in ordered if one.where == watching.where]
    warned = [
        *_limits(here, watching),
        *_steps(ordered),
        *_rules(here, watching),
        *_unlike(ordered, watching),
    ]
    found = None if any(one.code == "jump" for one in warned) else _forecast(here, watching)
    if found is not None:
        warned += _ahead(here, watching, found)
    slope = _slope(here)
    run = here[-1].time if here else 0.0
    settled = slope is not None and abs(slope) < SETTLED_RATE and run >= SHORTEST_RUN
    order = ("stop", "warning", "note")
    return Watched(
        tuple(sorted(warned, key=lambda w: (order.index(w.weight), w.time))), found, slope, settled
    )


def degrees(temperature: float) -> str:
    """A temperature [K] for people."""
    return show(temperature, "degC", "temperature", step=0.1)


def _limits(here: Sequence[Taken], watching: Watching) -> Iterator[Warned]:
    for code, limit in (("trip", watching.trip), ("alarm", watching.alarm)):
        first = next((one for one in here if limit is not None and one.temperature >= limit), None)
        if first is not None and limit is not None:
            text = say(f"run_in.{code}", temperature=degrees(first.temperature), limit=degrees(limit))
            yield Warned(code, "stop", text, first.time, watching.source)


def _steps(ordered: Sequence[Taken]) -> Iterator[Warned]:
    """The first jump and the first rise that is too fast, place by place, however close the readings lie."""
    for where in dict.fromkeys(one.where for one in ordered):
        there = [one for one in ordered if one.where == where]
        jump = next(_jumps(there), None)
        fast = next((two for two in _fast(there) if not jump or two[1].time != jump[1].time), None)
        for code, two in (("jump", jump), ("fast", fast)):
            if two is not None:
                rise, apart = two[1].temperature - two[0].temperature, two[1].time - two[0].time
                text = say(f"run_in.{code}", rise=f"{rise:.1f}", seconds=f"{apart:.0f}", where=where)
                yield Warned(code, "stop", text, two[1].time, say(f"run_in.{code}_source"))


def _jumps(there: Sequence[Taken]) -> Iterator[tuple[Taken, Taken]]:
    """Readings that lie so far above one of the last half minute that it is a step."""
    low: deque[Taken] = deque()
    for now in there:
        while low and now.time - low[0].time > JUMP_WITHIN:
            low.popleft()
        if low and now.time > low[0].time and now.temperature - low[0].temperature >= JUMP:
            yield low[0], now
        while low and low[-1].temperature >= now.temperature:
            low.pop()
        low.append(now)


def _fast(there: Sequence[Taken]) -> Iterator[tuple[Taken, Taken]]:
    """Readings that rose too fast since the last one that lies a minute back, or since the last one where
    readings lie further apart."""
    start = 0
    for i, now in enumerate(there):
        while start + 1 < i and now.time - there[start + 1].time >= FAST_OVER:
            start += 1
        before = there[start]
        apart, rise = now.time - before.time, now.temperature - before.temperature
        if apart >= JUMP_WITHIN and before.time >= FASTEST_AFTER and rise > FASTEST * apart and rise >= 1.0:
            yield before, now


def _rules(here: Sequence[Taken], watching: Watching) -> Iterator[Warned]:
    if len(here) < 2:
        return
    start = watching.ambient if watching.ambient is not None else here[0].temperature
    for minutes, allowed in ((10.0, RISE_AT_TEN), (30.0, RISE_AT_THIRTY)):
        rise = _at(here, minutes * MINUTE)
        if watching.self_lubricated and rise is not None and rise - start > allowed:
            text = say(
                "run_in.rise", rise=f"{rise - start:.0f}", minutes=f"{minutes:.0f}", allowed=f"{allowed:.0f}"
            )
            yield Warned("rise", "warning", text, minutes * MINUTE, say("run_in.rise_source"))
    yield from _against_earlier(here, watching)


def _against_earlier(here: Sequence[Taken], watching: Watching) -> Iterator[Warned]:
    earlier = [Taken(time, temperature, watching.where) for time, temperature in watching.earlier]
    now, then = _at(here, 10.0 * MINUTE), _at(earlier, 10.0 * MINUTE)
    if (
        now is None
        or then is None
        or now - here[0].temperature - (then - earlier[0].temperature) <= ABOVE_EARLIER
    ):
        return
    over = now - here[0].temperature - (then - earlier[0].temperature)
    text = say("run_in.above_earlier", over=f"{over:.1f}")
    yield Warned("above_earlier", "stop", text, 10.0 * MINUTE, say("run_in.practice"))


def _at(readings: Sequence[Taken], time: float) -> float | None:
    """Temperature at a time, between the readings about it; None where they do not reach."""
    if not readings or readings[0].time > time or readings[-1].time < time:
        return None
    return float(np.interp(time, [one.time for one in readings], [one.temperature for one in readings]))


def _unlike(ordered: Sequence[Taken], watching: Watching) -> Iterator[Warned]:
    others = list(dict.fromkeys(one.where for one in ordered if one.where != watching.where))
    if others:
        text = say("run_in.unlike", others=", ".join(others), where=watching.where)
        yield Warned("unlike", "note", text, 0.0, say("run_in.practice"))


def _forecast(here: Sequence[Taken], watching: Watching) -> Forecast | None:
    time = np.array([one.time for one in here])
    temperature = np.array([one.temperature for one in here])
    if len(set(time.tolist())) < FEWEST_POINTS:
        return None
    try:
        return forecast(*thinned(time, temperature), watching.ambient)
    except InputError:
        return None


def thinned(time: Vector, temperature: Vector) -> tuple[Vector, Vector]:
    """Times [s] and temperatures [K], shape (n,), as at most `MOST_FITTED` means over equal times."""
    if len(time) <= MOST_FITTED or time[-1] == time[0]:
        return time, temperature
    block = np.minimum(
        ((time - time[0]) / (time[-1] - time[0]) * MOST_FITTED).astype(np.int64), MOST_FITTED - 1
    )
    count = np.bincount(block, minlength=MOST_FITTED)
    held = count > 0
    sums = [np.bincount(block, weights=values, minlength=MOST_FITTED)[held] for values in (time, temperature)]
    return sums[0] / count[held], sums[1] / count[held]


def _ahead(here: Sequence[Taken], watching: Watching, found: Forecast) -> Iterator[Warned]:
    if watching.alarm is None or any(one.temperature >= watching.alarm for one in here):
        return
    chance = found.chance_above(watching.alarm)
    if chance >= LIKELY:
        text = say(
            "run_in.ahead", settles=degrees(found.settles), low=degrees(found.low), high=degrees(found.high),
            alarm=degrees(watching.alarm), percent=f"{100 * chance:.0f} %",
        )  # fmt: skip
        yield Warned("ahead", "warning", text, here[-1].time, say("run_in.forecast_source"))


def _slope(here: Sequence[Taken]) -> float | None:
    """Slope [K/s] of the last half hour by least squares; None when the readings do not reach so far
    back, or too few lie in it."""
    if not here or here[-1].time - here[0].time < SLOPE_OVER:
        return None
    last = [one for one in here if one.time >= here[-1].time - SLOPE_OVER]
    if len(last) < 3 or last[-1].time - last[0].time < SLOPE_OVER / 3.0:
        return None
    slope, _ = np.polyfit([one.time for one in last], [one.temperature for one in last], 1)
    return float(slope)


__all__ = ["FIRST_MINUTES", "Taken", "Warned", "Watched", "Watching", "watch"]
