"""What can be told of a logger's file by looking at it, and what must be asked."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from whitemetal.closing.run_in.logger_read_as import (
    SAMPLE,
    Channel,
    ReadAs,
    What,
    needs_zone,
    refuse,
    time_text,
)
from whitemetal.closing.run_in.logger_table import NUMBER, Table, known_unit, table_of
from whitemetal.closing.run_in.logger_time import (
    ABSOLUTE,
    DATE_ALONE,
    Clock,
    Form,
    forms_of,
    looks_like_time,
    stamps,
)
from whitemetal.units import Dimension, find_unit
from whitemetal.words import say

_WORDS: tuple[tuple[What, str], ...] = (
    ("metal", r"metal|lining|babbitt|shell|pad|bearing temp|\bbrg\b"),
    ("oil drain", r"drain|outlet|return"),
    ("oil sump", r"sump|reservoir|pan\b"),
    ("surface", r"surface|housing|casing|skin|pedestal"),
    ("air", r"ambient|\bair\b|room|hall"),
    ("vibration", r"vib|velocity|mm/s"),
)


@dataclass(frozen=True)
class Asked:
    """What the file does not say by itself: separator, decimal, time, form, zone, day, or column N."""

    of: str
    text: str


@dataclass(frozen=True)
class Seen:
    """A column as it stands in the file: counted from 1, its name, the unit it says, what it may be, and its
    first cells."""

    column: int
    name: str
    unit: str
    what: What | Literal[""]
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Proposed:
    """How a file may be read. forms: the ways in which its times may be written. needs_zone: whether they
    are local. asked: what a person must say."""

    read_as: ReadAs
    columns: tuple[Seen, ...]
    forms: tuple[Form, ...]
    needs_zone: bool
    asked: tuple[Asked, ...]
    lines: int


@lru_cache(maxsize=64)
def propose(text: str) -> Proposed:
    """What can be told from a file, and what must be asked. Raises InputError where it is no table."""
    table = table_of(text)
    refuse(table)
    time = _time_columns(table)
    samples = _texts(table, time)[:SAMPLE]
    forms = _likely(forms_of(samples), table, time, samples)
    local = bool(forms) and needs_zone(forms[0], samples)
    columns = tuple(_seen(table, i) for i in range(table.width))
    channels = tuple(
        Channel(one.column, one.what, _usual_unit(one), _point(one, columns, time))
        for one in columns
        if one.what and one.column not in time
    )
    form: Form = forms[0] if forms else "year-month-day"
    read_as = ReadAs(table.separator, table.decimal or "point", time, form, channels)
    asked = tuple(_asked(table, columns, time, forms, local, read_as))
    return Proposed(read_as, columns, forms, local, asked, len(table.lines))


def _time_columns(table: Table) -> tuple[int, ...]:
    """The column of times, counted from 1; of date and time where they stand apart; () when none is found."""
    rows = [table.rows[i] for i in table.data[:SAMPLE] if len(table.rows[i]) == table.width]
    most = 0.8 * len(rows)
    dates = [
        c for c in range(table.width) if sum(DATE_ALONE.fullmatch(r[c]) is not None for r in rows) >= most
    ]
    times = [c for c in range(table.width) if sum(looks_like_time(r[c]) for r in rows) >= most]
    both = [c for c in times if c not in dates]
    if dates and both and both[0] in (dates[0] + 1, dates[0] - 1):
        return dates[0] + 1, both[0] + 1
    if times:
        return (times[0] + 1,)
    named = [
        c for c, name in enumerate(table.names) if re.search(r"time|elapsed|date|zeit|seconds", name, re.I)
    ]
    return (named[0] + 1,) if named else (1,)


def _texts(table: Table, time: Sequence[int]) -> list[str]:
    return [time_text(table.rows[i], time) for i in table.data if len(table.rows[i]) == table.width]


def _likely(
    forms: tuple[Form, ...], table: Table, time: Sequence[int], samples: Sequence[str]
) -> tuple[Form, ...]:
    """The forms with the likeliest first, by the order of the times and by what the column is called."""
    said = " ".join(
        f"{table.names[c - 1]} {table.unit_names[c - 1]} {_row_unit(table, c)}" for c in time
    ).casefold()
    hints: tuple[tuple[str, Form], ...] = (
        (r"\bmin", "elapsed minutes"), (r"\bh\b|hour", "elapsed hours"), (r"\bs\b|sec", "elapsed seconds"),
    )  # fmt: skip
    hinted = next((form for sign, form in hints if re.search(sign, said) and form in forms), None)
    if hinted is None:
        hinted = next((form for form in (*ABSOLUTE, "spreadsheet days") if form in forms), None)
    both = "day.month.year" in forms and "month/day/year" in forms
    if hinted is None and both and any("/" in text for text in samples):
        hinted = "month/day/year" if _runs_on(samples, "month/day/year") else None
        if hinted is not None and _runs_on(samples, "day.month.year"):
            hinted = None
    if hinted is None and {"time of day", "elapsed h:m:s"} <= set(forms):
        hinted = "elapsed h:m:s" if re.fullmatch(r"0{1,4}:00(:\d\d.*)?", samples[0]) else "time of day"
    return (hinted, *(one for one in forms if one != hinted)) if hinted else forms


def _runs_on(samples: Sequence[str], form: Form) -> bool:
    """Whether times read this way run on without a step of a day or more."""
    read = [one.at for one in stamps(list(samples), Clock(form, UTC)) if one.at is not None]
    return all(abs((b - a).total_seconds()) < 86400.0 for a, b in pairwise(read))


def _row_unit(table: Table, column: int) -> str:
    row = table.rows[table.units] if table.units >= 0 else ()
    return row[column - 1].strip("[]() ") if column <= len(row) else ""


def _seen(table: Table, index: int) -> Seen:
    name, unit = table.names[index], table.unit_names[index]
    cells = [table.rows[i][index] for i in table.data[:SAMPLE] if len(table.rows[i]) == table.width]
    numbers = sum(NUMBER.fullmatch(cell) is not None for cell in cells)
    what: What | Literal[""] = next(
        (kind for kind, sign in _WORDS if re.search(sign, f"{name} {unit}", re.I)), ""
    )
    known = known_unit(unit)
    if known and find_unit(known, "velocity") is not None:
        what = "vibration"
    if 2 * numbers < len(cells):
        what = ""
    return Seen(index + 1, name, known or unit, what, tuple(cells[:3]))


def _point(seen: Seen, columns: Sequence[Seen], time: Sequence[int]) -> str:
    """Its name, where several columns are of a kind; "" where it is the only one."""
    like = [one for one in columns if one.what == seen.what and one.column not in time]
    return seen.name if seen.what == "vibration" or len(like) > 1 else ""


def _usual_unit(seen: Seen) -> str:
    dimension: Dimension = "velocity" if seen.what == "vibration" else "temperature"
    return seen.unit if find_unit(seen.unit, dimension) is not None else ""


def _asked(
    table: Table, columns: Sequence[Seen], time: Sequence[int], forms: Sequence[Form], local: bool,
    read_as: ReadAs,
) -> Iterator[Asked]:  # fmt: skip
    if not table.decimal:
        yield Asked("decimal", say("run_in.log_ask_decimal"))
    if not forms:
        yield Asked("time", say("run_in.log_ask_time"))
    told = _told_apart(forms, table, time)
    if not told:
        yield Asked("form", say("run_in.log_ask_form", forms="; ".join(forms)))
    if local:
        yield Asked("zone", say("run_in.log_ask_zone"))
    if forms and forms[0] == "time of day":
        yield Asked("day", say("run_in.log_ask_day"))
    if not read_as.channels:
        yield Asked("columns", say("run_in.log_ask_columns"))
    for one in columns:
        if one.what and one.column not in time and not _usual_unit(one):
            yield Asked(f"column {one.column}", say("run_in.log_ask_unit", name=one.name or one.column))


def _told_apart(forms: Sequence[Form], table: Table, time: Sequence[int]) -> bool:
    """Whether the file itself says which of several forms it is."""
    if len(forms) < 2:
        return True
    if forms[0] in ("day.month.year", "month/day/year") and {"day.month.year", "month/day/year"} <= set(
        forms
    ):
        samples = _texts(table, time)[:SAMPLE]
        if any("." in text.split()[0] for text in samples if text):
            return True
        return _runs_on(samples, forms[0]) and not all(
            _runs_on(samples, form) for form in ("day.month.year", "month/day/year")
        )
    if forms[0] in ABSOLUTE or forms[0] == "spreadsheet days":
        return True
    said = f"{table.names[time[0] - 1]} {_row_unit(table, time[0])}".casefold()
    if forms[0] in ("time of day", "elapsed h:m:s"):
        return "elapsed" in said or forms[0] == "time of day"
    return bool(re.search(r"\bmin|\bh\b|hour|\bs\b|sec", said))
