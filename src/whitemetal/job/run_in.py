"""A run-in as it is shown: every reading in time, what is watched for at each place, and what is still to be
seen. Typed readings and those of a logger count alike; each says where it was taken, and only like is
compared with like.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import lru_cache
from typing import Literal, cast

from whitemetal.card import Card, Limit
from whitemetal.closing.run_in.logger_file import COLDEST, FASTEST_VIBRATION, HOTTEST, Log, read_log, without
from whitemetal.closing.run_in.logger_read_as import Channel, What
from whitemetal.closing.run_in.logger_time import Zones
from whitemetal.closing.run_in.watch import MINUTE, Taken, Warned, Watched, Watching, Where, watch
from whitemetal.errors import InputError, Problem
from whitemetal.fitting.ladder import climb
from whitemetal.job.run_state import LogState, RunReading, RunState, moment, read_as_of
from whitemetal.job.shown import stands_on
from whitemetal.units import read, show
from whitemetal.words import say

WHERES: tuple[Where, ...] = ("metal", "oil drain", "oil sump", "surface")
_ANY = "2026-01-01T00:00:00Z"
_EPOCH = datetime.fromtimestamp(0, UTC)
Standing = Literal["nothing yet", "running", "settled", "stale", "stop"]
Curve = tuple[tuple[float, float], ...]
Earlier = Mapping[tuple[Where, str], Curve]
"""Curves of an earlier run-in of the bearing: (time [s], temperature [K]), by where and at which point they
were taken."""

TO_SEE = ("oil_level", "ring_turning", "no_leaks", "hot_alignment", "hot_torque")
"""What is looked at on a run: before it, during it, and hot after it. Common practice."""


@dataclass(frozen=True)
class RunValue:
    """A value in time. at: UTC. time [s] since the start of the run. value [SI]. text: as typed or logged.
    source: "typed", or the file and line. entry: that keeps it."""

    what: What
    at: datetime
    time: float
    value: float
    text: str
    source: str
    entry: str
    point: str = ""


@dataclass(frozen=True)
class LogShown:
    """A logger's file. read: as was said, None while nobody said or where it cannot be; problems: why not."""

    log: LogState
    read: Log | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class PlaceShown:
    """The temperatures at one place: one probe, so that no two are ever joined. alarm, trip: limits of this
    place on the card, None where it has none. taken: from the start of the run on. earlier: the curve it is
    compared with, () without one."""

    where: Where
    taken: tuple[Taken, ...]
    watched: Watched
    alarm: Limit | None
    trip: Limit | None
    earlier: Curve
    point: str = ""

    @property
    def name(self) -> str:
        """Where, and at which point where that was said."""
        return f"{self.where}, {self.point}" if self.point else self.where

    @property
    def last(self) -> Taken:
        """The newest reading."""
        return self.taken[-1]


@dataclass(frozen=True)
class PointOfRun:
    """Something to be seen on a run. key: one of `TO_SEE`. hold: a hold point. closed: seen as it should be.
    said: how it stands, in a sentence."""

    key: str
    text: str
    why: str
    closed: bool
    hold: bool
    said: str


@dataclass(frozen=True)
class Unread:
    """A typed reading that cannot be used, and why."""

    reading: RunReading
    problem: Problem


@dataclass(frozen=True)
class RunShown:
    """A run-in. start: UTC, None when it cannot be read. values: all, in time, also those before the start.
    places: with temperatures. warned: of all places, weightiest first. vibration: the last at each point.
    standing: "stop" when something says so, "stale" when the fit was changed since, "settled" or "running".
    before: values before the start."""

    run: RunState
    start: datetime | None
    ambient: float | None
    values: tuple[RunValue, ...]
    unread: tuple[Unread, ...]
    logs: tuple[LogShown, ...]
    places: tuple[PlaceShown, ...]
    warned: tuple[tuple[str, Warned], ...]
    points: tuple[PointOfRun, ...]
    standing: Standing
    before: int

    @property
    def vibration(self) -> tuple[RunValue, ...]:
        """The newest vibration at each point."""
        return tuple({one.point: one for one in self.values if one.what == "vibration"}.values())

    @property
    def done(self) -> bool:
        """Settled, with every hold point closed and nothing that says stop."""
        return self.standing == "settled" and all(one.closed for one in self.points if one.hold)


def limit_of(card: Card, where: Where, what: Literal["alarm", "trip"]) -> Limit | None:
    """The limit on temperatures taken at a place, from the highest rung that has one; None without one."""
    return climb(card, f"{where} temperature {what}").chosen


def run_shown(run: RunState, card: Card, zones: Zones, earlier: Earlier | None = None) -> RunShown:
    """A run-in as the entries and the card have it. earlier: of the same bearing, see `Earlier`."""
    start = moment(run.start)
    logs = tuple(_log(one, zones, start) for one in run.logs)
    values, unread = _values(run, start, logs)
    ambient = _ambient(run, values)
    places = tuple(_places(values, card, ambient, earlier or {}))
    warned = tuple(
        sorted(
            ((place.name, one) for place in places for one in place.watched.warned),
            key=lambda two: (("stop", "warning", "note").index(two[1].weight), two[1].time),
        )
    )
    points = tuple(_points(run, card, places))
    before = sum(one.time < 0.0 for one in values)
    return RunShown(
        run, start, ambient, values, unread, logs, places, warned, points,
        _standing(run, places, warned), before,
    )  # fmt: skip


def curves_of(run: RunState, zones: Zones) -> dict[tuple[Where, str], Curve]:
    """The temperatures of a run-in as an earlier one of a later one."""
    start = moment(run.start)
    values, _ = _values(run, start, tuple(_log(one, zones, start) for one in run.logs))
    return {
        at: tuple((one.time, one.temperature) for one in taken) for at, taken in _by_place(values).items()
    }


def readable(what: str, text: str, unit: str) -> Problem | None:
    """What is wrong with a text typed as a reading; None when it can be read."""
    found = typed_value(RunReading("", what, "", _ANY, text, unit, ""), _EPOCH)
    return found if isinstance(found, Problem) else None


def _log(log: LogState, zones: Zones, start: datetime | None) -> LogShown:
    if log.said is None or log.struck:
        return LogShown(log, None)
    if log.missing:
        parts = ", ".join(map(str, log.missing))
        return LogShown(log, None, (Problem(log.file, parts, say("run_in.parts_missing")),))
    try:
        said = read_as_of(log.said)
        whole = read_log(log.text, said, zones(said.zone) if said.zone else None, start)
        struck = _struck(log, whole)
        lost = [one for one in log.lines if one.line not in struck]
        notes = [say("run_in.strike_lost", line=one.line, text=one.text, said=one.said) for one in lost]
        return LogShown(log, replace(without(whole, struck), notes=(*whole.notes, *notes)))
    except InputError as bad:
        return LogShown(log, None, bad.problems)


def _struck(log: LogState, whole: Log) -> dict[int, str]:
    """The lines of a file that were struck, by number. One that read otherwise when it was struck stands."""
    there = {line.number: line.text for line in whole.lines}
    return {one.line: one.said for one in log.lines if there.get(one.line) == one.text}


def _values(
    run: RunState, start: datetime | None, logs: Sequence[LogShown]
) -> tuple[tuple[RunValue, ...], tuple[Unread, ...]]:
    if start is None:
        return (), ()
    values: list[RunValue] = []
    unread = []
    for one in run.readings:
        if one.struck:
            continue
        found = typed_value(one, start)
        if isinstance(found, Problem):
            unread.append(Unread(one, found))
        else:
            values.append(found)
    for log in logs:
        values += _logged(log, start)
    return tuple(sorted(values, key=lambda one: (one.at, one.entry))), tuple(unread)


def typed_value(one: RunReading, start: datetime) -> RunValue | Problem:
    """A typed reading as a value; the problem where it cannot be read."""
    at = moment(one.at)
    if at is None:
        return Problem(say("run_in.time"), one.at, say("run_in.a_moment"))
    vibration = one.what == "vibration"
    try:
        typed = read(
            one.text, "velocity" if vibration else "temperature", field=one.point or one.what,
            default_unit=one.unit or None,
        )  # fmt: skip
    except InputError as bad:
        return bad.problems[0]
    low, high = (0.0, FASTEST_VIBRATION) if vibration else (COLDEST, HOTTEST)
    if not low <= typed.value <= high:
        expected = say("run_in.a_vibration" if vibration else "run_in.a_temperature")
        return Problem(one.point or one.what, one.text, expected)
    time = (at - start).total_seconds()
    return RunValue(
        cast(What, one.what), at, time, typed.value, one.text, say("run_in.typed"), one.entry, one.point
    )


def _logged(log: LogShown, start: datetime) -> Iterator[RunValue]:
    if log.read is None or log.log.said is None:
        return
    channels = read_as_of(log.log.said).channels
    for one in log.read.values:
        channel: Channel = channels[one.channel]
        source = say("run_in.line_of", file=log.log.file, line=one.line)
        time = (one.at - start).total_seconds()
        yield RunValue(channel.what, one.at, time, one.value, one.text, source, log.log.entry, channel.point)


def _ambient(run: RunState, values: Sequence[RunValue]) -> float | None:
    """Of the surroundings [K]: as read nearest to the start, else as typed with the run."""
    air = [one for one in values if one.what == "air"]
    if air:
        return min(air, key=lambda one: abs(one.time)).value
    if not run.ambient.strip():
        return None
    try:
        return read(run.ambient, "temperature", field="ambient", default_unit="degC").value
    except InputError:
        return None


def _places(
    values: Sequence[RunValue], card: Card, ambient: float | None, earlier: Earlier
) -> Iterator[PlaceShown]:
    for (where, point), taken in _by_place(values).items():
        alarm, trip = limit_of(card, where, "alarm"), limit_of(card, where, "trip")
        source = "; ".join(dict.fromkeys(stands_on(one) for one in (trip, alarm) if one is not None))
        ringed = card.bearing.lubrication == "ring-oiled" and where == "metal"
        watching = Watching(
            where,
            _maximum(alarm),
            _maximum(trip),
            source,
            ringed,
            ambient,
            earlier.get((where, point), ()),
        )
        yield PlaceShown(where, taken, _watched(taken, watching), alarm, trip, watching.earlier, point)


@lru_cache(maxsize=32)
def _watched(taken: tuple[Taken, ...], watching: Watching) -> Watched:
    """As of `watch`; the same readings are not reckoned twice."""
    return watch(taken, watching)


def _by_place(values: Sequence[RunValue]) -> dict[tuple[Where, str], tuple[Taken, ...]]:
    """Temperatures from the start of the run on, by where and at which point, in the order of `WHERES`."""
    held: dict[tuple[Where, str], list[Taken]] = {}
    for where in WHERES:
        for one in values:
            if one.what == where and one.time >= 0.0:
                held.setdefault((where, one.point), []).append(Taken(one.time, one.value, where))
    return {at: tuple(taken) for at, taken in held.items()}


def _maximum(limit: Limit | None) -> float | None:
    return None if limit is None else limit.maximum


def _points(run: RunState, card: Card, places: Sequence[PlaceShown]) -> Iterator[PointOfRun]:
    """What has to be seen: the ring turning only where there is one; hot re-checks once it has run warm."""
    ringed = card.bearing.lubrication == "ring-oiled"
    packed = card.joint.filling in ("gasket", "sealant")
    for key in TO_SEE:
        if key == "ring_turning" and not ringed:
            continue
        hold = key in ("oil_level", "ring_turning") or (key == "hot_torque" and packed)
        seen = run.seen.get(key)
        closed = seen is not None and seen.state == "yes" and not seen.doubt
        text, why = say(f"run_in.see_{key}"), say(f"run_in.why_{key}")
        if seen is None:
            said = say("run_in.not_seen")
        elif seen.doubt:
            said = seen.doubt
        else:
            said = say("run_in.seen_by", state=seen.state, by=seen.by, text=seen.text).rstrip(" :")
            closed = closed or (seen.state == "does not apply" and not hold)
        yield PointOfRun(key, text, why, closed, hold, said)


def _standing(run: RunState, places: Sequence[PlaceShown], warned: Sequence[tuple[str, Warned]]) -> Standing:
    if not places:
        return "nothing yet"
    if any(one.weight == "stop" for _, one in warned):
        return "stop"
    if run.stale:
        return "stale"
    return "settled" if all(place.watched.settled for place in places) else "running"


def said_of_run(shown: RunShown) -> str:
    """How a run stands, in a sentence."""
    if shown.run.stale:
        stale = say("run_in.says_stale", why=" ".join(shown.run.stale))
        return f"{say('run_in.says_stop')} {stale}" if shown.standing == "stop" else stale
    still = [one.text for one in shown.points if one.hold and not one.closed]
    if shown.standing == "settled" and still:
        return say("run_in.says_unseen", still="; ".join(still))
    if shown.standing == "running":
        slowest = max(shown.places, key=lambda place: abs(place.watched.slope or math.inf))
        return _not_settled(slowest)
    return say(f"run_in.says_{shown.standing.replace(' ', '_')}")


def run_in_lines(ran: Sequence[RunShown]) -> tuple[str, ...]:
    """Whether a job's run-in is recorded, running or settled, a line a run: for who signs, and for the
    report. It is no point of the order of trust."""
    if not ran:
        return (say("run_in.stands_none"),)
    return tuple(_line(one) for one in ran)


def _line(shown: RunShown) -> str:
    if shown.done:
        return say("run_in.stands_settled", what=shown.run.what)
    return say("run_in.how_it_stands", what=shown.run.what, standing=shown.standing, said=said_of_run(shown))


def _not_settled(place: PlaceShown) -> str:
    minutes = f"{place.last.time / MINUTE:.0f}"
    slope = place.watched.slope
    if slope is None:
        return say("run_in.says_running", minutes=minutes)
    return say("run_in.says_rising", minutes=minutes, where=place.name, rise=f"{slope * 30.0 * MINUTE:.1f}")


def degrees(value: float) -> str:
    """A temperature [K] for people, to a tenth."""
    return show(value, "degC", "temperature", step=0.1)
