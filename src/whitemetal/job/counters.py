"""Counters of hours and starts: what they had reached by a day, and readings that run backwards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from itertools import pairwise
from typing import Literal

from whitemetal.errors import Problem
from whitemetal.job.life_book import Counter
from whitemetal.units import show
from whitemetal.words import say

What = Literal["hours", "starts"]
WHATS: tuple[What, ...] = ("hours", "starts")
Reached = tuple[float | None, Literal["read", "between", ""]]


def reached(counters: Sequence[Counter], day: date, what: What) -> Reached:
    """What had been counted by a day since the first reading of this counter, in hours [s] or starts; between
    two readings in proportion to the days. None before the first and after the last."""
    line = counted(counters, what)
    for one, value in line:
        if one == day:
            return value, "read"
    for (a, low), (b, high) in pairwise(line):
        if a < day < b:
            return low + (high - low) * (day - a).days / (b - a).days, "between"
    return None, ""


def counted(counters: Sequence[Counter], what: What) -> list[tuple[date, float]]:
    """A counter's readings that count, by day, with what came before it was set anew added. Where one is set
    anew, the other whose figure was not given stays where it was."""
    found: list[tuple[date, float]] = []
    before, last = 0.0, 0.0
    for one in sorted((one for one in counters if one.standing.counts), key=lambda one: (one.day, one.anew)):
        value = getattr(one, what)
        if value is None:
            continue
        if one.anew:
            before += last
        last = value
        found.append((one.day, before + value))
    return found


def backwards(counters: Sequence[Counter], new: Counter, texts: Mapping[str, str]) -> list[Problem]:
    """What is wrong with a reading that lies below an earlier or above a later one of the same counter, where
    it is not said that it counts anew."""
    problems: list[Problem] = []
    if new.anew:
        return problems
    held = [one for one in counters if one.standing.counts]
    for what in WHATS:
        value = getattr(new, what)
        if value is None:
            continue
        before = [one for one in held if one.day <= new.day and getattr(one, what) is not None]
        after = [one for one in held if one.day > new.day and getattr(one, what) is not None]
        wrong = [one for one in (_last(before),) if one is not None and getattr(one, what) > value]
        wrong += [
            one for one in (_first(after),) if one is not None and not one.anew and getattr(one, what) < value
        ]
        for one in wrong:
            was = say("life.counter_was", day=one.day.isoformat(), value=_shown(getattr(one, what), what))
            problems.append(Problem(say(f"life.{what}"), texts.get(what, ""), was))
    return problems


def _last(held: Sequence[Counter]) -> Counter | None:
    return max(held, key=lambda one: (one.day, one.anew), default=None)


def _first(held: Sequence[Counter]) -> Counter | None:
    return min(held, key=lambda one: (one.day, not one.anew), default=None)


def _shown(value: float, what: str) -> str:
    return show(value, "h", "time", step=3600.0) if what == "hours" else f"{value:.0f}"
