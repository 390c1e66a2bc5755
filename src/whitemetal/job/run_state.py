"""The run-ins of a job as their entries leave them: what was typed, what a logger wrote, what was seen."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import islice
from typing import Any

from whitemetal.closing.run_in.logger_read_as import WHATS, Channel, ReadAs
from whitemetal.closing.run_in.logger_table import SEPARATORS
from whitemetal.closing.run_in.logger_time import FORMS
from whitemetal.errors import InputError, Problem
from whitemetal.job.account import Account, Written
from whitemetal.job.stale import changes_against, sentence, unaware_sentence
from whitemetal.words import say

RUN, READING, LOG, LOG_AS, SEEN = "run/1", "run_reading/1", "log/1", "log_as/1", "run_seen/1"
LOG_STRUCK = "log_struck/1"
MOST_MISSING = 9
"""So many missing parts of a file are named. Our own."""

KINDS_OF_RUN = (RUN, READING, LOG, LOG_AS, LOG_STRUCK, SEEN)
MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,6})?Z")
"""A moment as entries keep it: UTC, RFC 3339."""


@dataclass(frozen=True)
class RunReading:
    """A reading as typed: what it is of, of a vibration where (point), when [UTC, RFC 3339], text, unit of
    the box. struck: who struck it and why."""

    entry: str
    what: str
    point: str
    at: str
    text: str
    unit: str
    by: str
    struck: str = ""


@dataclass(frozen=True)
class StruckLine:
    """A line of a file that somebody struck. text: as it stood there; said: who and why, in words."""

    entry: str
    line: int
    text: str
    said: str


@dataclass(frozen=True)
class LogState:
    """A logger's file: name, code of its letters, text as it came, how many parts; missing: parts that have
    not arrived. said: how it is to be read, None while nobody said; by whom. struck: why it no longer counts.
    contradictions: sentences on what two people said unaware of each other. lines: struck one by one."""

    log: str
    file: str
    text: str
    parts: int
    missing: tuple[int, ...]
    said: Mapping[str, Any] | None
    by: str
    entry: str = ""
    struck: str = ""
    contradictions: tuple[str, ...] = ()
    lines: tuple[StruckLine, ...] = ()


@dataclass(frozen=True)
class Seen:
    """Something seen on a run: state "yes", "no" or "does not apply"; text; who and when, all of them where
    several said it unaware of each other. doubt: two people said different things so."""

    what: str
    state: str
    text: str
    by: str
    at: str
    doubt: str = ""


@dataclass(frozen=True)
class RunState:
    """A run-in. what: coupled, uncoupled, ... start [UTC, RFC 3339]; ambient: as typed, "" where unknown.
    stale: sentences, why it no longer counts; stale_by: entries of the changes of the fit that make it so."""

    run: str
    what: str
    start: str
    ambient: str
    by: str
    at: str
    readings: tuple[RunReading, ...] = ()
    logs: tuple[LogState, ...] = ()
    seen: Mapping[str, Seen] = field(default_factory=dict)
    contradictions: tuple[str, ...] = ()
    stale: tuple[str, ...] = ()
    stale_by: tuple[str, ...] = ()


def runs_of(account: Account) -> tuple[RunState, ...]:
    """The run-ins of a job in the order in which they were begun."""
    ids = dict.fromkeys(one.text("run") for one in account.all(RUN))
    return tuple(_run(account, run) for run in ids)


def moment(text: str) -> datetime | None:
    """A moment as entries keep it; None when it is none."""
    if MOMENT.fullmatch(text) is None:
        return None
    try:
        return datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(UTC)
    except ValueError:
        return None


def read_as_of(said: Mapping[str, Any]) -> ReadAs:
    """How a file is to be read, from an entry's body or a form. Raises InputError."""
    separator, decimal, form = (str(said.get(key, "")) for key in ("separator", "decimal", "form"))
    doubled = str(said.get("doubled", ""))
    for name, value, known in (
        ("separator", separator, tuple(SEPARATORS)), ("decimal", decimal, ("point", "comma")),
        ("form", form, FORMS), ("doubled", doubled, ("", "first", "second")),
    ):  # fmt: skip
        if value not in known:
            raise InputError(
                Problem(name, value, say("run_in.one_of", choices="; ".join(filter(None, known))))
            )
    channels = said.get("channels")
    if not isinstance(channels, list | tuple):
        raise InputError(Problem("columns", "", say("run_in.log_ask_columns")))
    time = said.get("time", [])
    whole = isinstance(time, list | tuple) and all(type(one) is int for one in time)
    if not whole:
        raise InputError(Problem("time", str(time), say("run_in.log_ask_time")))
    return ReadAs(
        separator, decimal, tuple(time), form, tuple(_channel(one) for one in channels),  # type: ignore[arg-type]
        str(said.get("zone", "")), str(said.get("day", "")), doubled,  # type: ignore[arg-type]
    )  # fmt: skip


def said_of(read_as: ReadAs) -> dict[str, Any]:
    """How a file is to be read, as an entry keeps it."""
    return {
        "separator": read_as.separator, "decimal": read_as.decimal, "time": list(read_as.time),
        "form": read_as.form, "zone": read_as.zone, "day": read_as.day, "doubled": read_as.doubled,
        "channels": [
            {"column": one.column, "what": one.what, "unit": one.unit, "point": one.point}
            for one in read_as.channels
        ],
    }  # fmt: skip


def _channel(body: Any) -> Channel:
    if not isinstance(body, Mapping) or type(body.get("column")) is not int or body.get("what") not in WHATS:
        raise InputError(Problem("column", str(body)[:80], say("run_in.one_of", choices="; ".join(WHATS))))
    return Channel(body["column"], body["what"], str(body.get("unit", "")), str(body.get("point", "")))


def _run(account: Account, run: str) -> RunState:
    last = sorted(account.at(RUN, run, ""), key=lambda one: one.stamp.rank)
    chosen = last[-1]
    said = {(one.text("what"), one.text("start"), one.text("ambient")) for one in last}
    doubt: tuple[str, ...] = ()
    if len(said) > 1:
        who = "; ".join(f"{one.by}: {one.text('what')}, {one.text('start')}" for one in last)
        doubt = (say("run_in.unaware_run", who=who),)
    stale, stale_by = _stale(account, run)
    return RunState(
        run, chosen.text("what"), chosen.text("start"), chosen.text("ambient"), chosen.by, chosen.at,
        tuple(_reading(account, one) for one in account.all(READING, run)),
        tuple(_logs(account, run)), _seen(account, run), doubt, stale, stale_by,
    )  # fmt: skip


def _stale(account: Account, run: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Why a run-in no longer counts, and the changes of the fit that make it so: every one that somebody who
    read or saw something of the run had not seen, whatever was changed. What ran is not what stands there."""
    taken = [*account.all(READING, run), *account.all(LOG, run)]
    counted = [one for one in taken if not account.strikes_of(one.id)]
    counted += [one for held in account.slots(SEEN, run).values() for one in held]
    changes = [one for one in account.all("fit/1") if not account.strikes_of(one.id)]
    against = tuple(changes_against(counted, changes, None))
    said = tuple(unaware_sentence(one) if apart else sentence(one) for one, apart in against)
    return said, tuple(one.id for one, _ in against)


def _reading(account: Account, one: Written) -> RunReading:
    return RunReading(
        one.id, one.text("what"), one.text("point"), one.text("at"), one.text("text"), one.text("unit"),
        one.by, account.struck_words(one.id),
    )  # fmt: skip


def _logs(account: Account, run: str) -> Iterator[LogState]:
    by_log: dict[str, dict[int, list[Written]]] = {}
    for one in account.all(LOG, run):
        by_log.setdefault(one.text("log"), {}).setdefault(one.body["part"], []).append(one)
    for log, parts in by_log.items():
        first = parts[min(parts)][0]
        said = sorted(account.at(LOG_AS, run, log), key=lambda one: one.stamp.rank)
        doubts = tuple(_doubts(parts, said))
        each = (account.struck_words(one.id) for held in parts.values() for one in held)
        struck = next(filter(None, each), "")
        told = first.body.get("parts", 0)
        whole = max(max(parts), told if type(told) is int else 0)
        missing = tuple(islice((part for part in range(1, whole + 1) if part not in parts), MOST_MISSING))
        text = "".join(parts[part][0].text("text") for part in sorted(parts))
        body = said[-1].body["read"] if said else None
        yield LogState(
            log, first.text("file"), text, max(parts), missing, body, first.by, first.id, struck, doubts,
            tuple(_struck_lines(account, run, log)),
        )  # fmt: skip


def _struck_lines(account: Account, run: str, log: str) -> Iterator[StruckLine]:
    """The lines struck of a file, without those whose strike was struck."""
    for one in account.at(LOG_STRUCK, run, log):
        if not account.struck_words(one.id):
            said = say("ledger.struck_by", by=one.by, why=one.text("why"))
            yield StruckLine(one.id, one.body["line"], one.text("text"), said)


def _doubts(parts: Mapping[int, Sequence[Written]], said: Sequence[Written]) -> Iterator[str]:
    twice = [part for part, held in parts.items() if len({one.text("text") for one in held}) > 1]
    if twice:
        yield say("run_in.unaware_part", part=twice[0])
    if len({str(sorted(one.body["read"].items())) for one in said}) > 1:
        yield say("run_in.unaware_read", who=", ".join(one.by for one in said))


def _seen(account: Account, run: str) -> dict[str, Seen]:
    found = {}
    for what, held in sorted(account.slots(SEEN, run).items()):
        ordered = sorted(held, key=lambda one: one.stamp.rank)
        if not ordered:
            continue
        last = ordered[-1]
        states = {one.text("state") for one in ordered}
        doubt = (
            say("ledger.unaware_hold", who=", ".join(one.by for one in ordered)) if len(states) > 1 else ""
        )
        by = ", ".join(dict.fromkeys(one.by for one in ordered))
        text = "; ".join(dict.fromkeys(one.text("text") for one in ordered if one.text("text")))
        found[what] = Seen(what, last.text("state"), text, by, last.at, doubt)
    return found
