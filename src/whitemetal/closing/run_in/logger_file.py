"""What a logger's file says of a run-in: every line accounted for, every value with the line it is from.

A file is first looked at (`logger_propose`): what can be told from it is proposed, what cannot is asked. It
is then read as a person has said (`read_log`). A line becomes a reading, or is named with the reason why it
is none; none is dropped, put in another order or rounded.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, tzinfo
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from whitemetal.closing.run_in.logger_read_as import Channel, ReadAs, check, refuse, refused, time_text
from whitemetal.closing.run_in.logger_table import NO_VALUE, Decimal, Table, known_unit, table_of
from whitemetal.closing.run_in.logger_time import Clock, Stamp, stamps
from whitemetal.units import find_unit
from whitemetal.words import say

Fate = Literal[
    "reading", "header", "units", "before the data", "blank or comment", "repeated", "refused", "no value",
    "struck",
]  # fmt: skip

MOST_BYTES = 8_000_000
"""A larger file is refused [bytes]: a reading a second for a day with five columns is about four million.
Our own."""

COLDEST, HOTTEST = 273.15 - 60.0, 273.15 + 400.0
"""A temperature beyond these [K] is a broken wire or a code for a fault, not a bearing: white metal is liquid
by 400 degC (ASTM B23 type 2: liquidus 354 degC). Our own."""

FASTEST_VIBRATION = 1.0
"""A vibration velocity beyond this [m/s] is a slip or a fault: ten times what breaks machines. Our own."""

GAP = 2.5
"""Two readings further apart than this many usual intervals have a gap between them. Our own."""


@dataclass(frozen=True)
class Line:
    """A line of the file, counted from 1, what became of it, and why where it is no reading."""

    number: int
    fate: Fate
    text: str
    why: str = ""


@dataclass(frozen=True)
class Value:
    """A value [SI] of a channel (its place in ``ReadAs.channels``) at a moment in UTC; text as it stands in
    the line."""

    at: datetime
    channel: int
    value: float
    text: str
    line: int


@dataclass(frozen=True)
class Cell:
    """A cell of a channel that gives no value, and why."""

    line: int
    column: int
    text: str
    why: str


@dataclass(frozen=True)
class Log:
    """values in the order of time, lines in the order of the file, one for every line. cells: without a
    value. notes: sentences on gaps, steps back and stamps that come again. interval [s]: the usual one, None
    with fewer than two moments."""

    values: tuple[Value, ...]
    lines: tuple[Line, ...]
    cells: tuple[Cell, ...]
    notes: tuple[str, ...]
    interval: float | None

    def count(self, fate: Fate) -> int:
        """How many lines came to this."""
        return sum(line.fate == fate for line in self.lines)


def decoded(data: bytes) -> tuple[str, str]:
    """The text of a file and the name of its code. Raises InputError for one that is no text, is empty or is
    too large."""
    if len(data) > MOST_BYTES:
        raise refused("file", f"{len(data)} bytes", say("run_in.log_too_large", most=MOST_BYTES // 1_000_000))
    code = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = data.decode(code)
    except UnicodeDecodeError:
        code, text = "windows-1252", data.decode("windows-1252", errors="replace")
    odd = sum(letter in "\ufffd\x00" or (letter < " " and letter not in "\t\r\n") for letter in text[:4000])
    if not text.strip():
        raise refused("file", "", say("run_in.log_empty"))
    if odd:
        raise refused("file", "", say("run_in.log_no_text"))
    return text, code.removesuffix("-sig")


@lru_cache(maxsize=8)  # the largest file takes some two hundred megabytes, and one that grows is read anew
def read_log(text: str, read_as: ReadAs, zone: tzinfo | None, start: datetime | None) -> Log:
    """A file read as was said. zone: of local times. start: the moment in UTC at which elapsed time is
    nothing. Raises InputError where it cannot be read that way, with every reason found."""
    table = table_of(text, read_as.separator, read_as.decimal)
    refuse(table)
    check(table, read_as, zone)
    day = date.fromisoformat(read_as.day) if read_as.day else None
    clock = Clock(read_as.form, zone, day, start, read_as.doubled)
    rows = [i for i in table.data if table.rows[i]]
    texts = [time_text(table.rows[i], read_as.time) for i in rows]
    moments = dict(zip(rows, stamps(texts, clock), strict=True))
    _refuse_hours(moments)
    lines, values, cells = _account(table, read_as, moments)
    if not values:
        raise refused("file", "", say("run_in.log_nothing"))
    ordered = tuple(sorted(values, key=lambda one: (one.at, one.line, one.channel)))
    interval, notes = _notes(ordered, lines, moments)
    return Log(ordered, tuple(lines), tuple(cells), tuple(notes), interval)


def without(log: Log, struck: Mapping[int, str]) -> Log:
    """The same file without what these lines say. struck: by line, who struck it and why. They stay among the
    lines; a line that gives no reading is left as it is."""
    gone = {line.number for line in log.lines if line.fate == "reading" and line.number in struck}
    return replace(
        log,
        values=tuple(one for one in log.values if one.line not in gone),
        cells=tuple(one for one in log.cells if one.line not in gone),
        lines=tuple(
            replace(line, fate="struck", why=struck[line.number]) if line.number in gone else line
            for line in log.lines
        ),
    )


def _refuse_hours(moments: dict[int, Stamp]) -> None:
    """A file with times that do not exist in its zone, or whose doubled hour nothing tells, was answered
    wrongly: none of it is taken in."""
    for why in (say("run_in.log_no_such_hour"), say("run_in.log_twice")):
        found = [i for i, stamp in moments.items() if stamp.why == why]
        if found:
            field = "zone" if why == say("run_in.log_no_such_hour") else "doubled"
            raise refused(field, "", why, found[0] + 1)


def _account(
    table: Table, read_as: ReadAs, moments: dict[int, Stamp]
) -> tuple[list[Line], list[Value], list[Cell]]:
    lines: list[Line] = []
    values: list[Value] = []
    cells: list[Cell] = []
    first: dict[tuple[datetime, tuple[str, ...]], int] = {}
    for index, text in enumerate(table.lines):
        if index not in moments:
            lines.append(Line(index + 1, _beside(table, index), text))
            continue
        line, row = index + 1, table.rows[index]
        stamp = moments[index]
        if row == table.names and any(row):
            lines.append(Line(line, "header", text, say("run_in.log_header_again")))
            continue
        if len(row) < table.width or (len(row) > table.width and any(row[table.width :])):
            why = say("run_in.log_width", found=len(row), usual=table.width)
            lines.append(Line(line, "refused", text, why))
            continue
        if stamp.at is None:
            lines.append(Line(line, "refused", text, stamp.why))
            continue
        told = tuple(row[one.column - 1] for one in read_as.channels)
        same = first.setdefault((stamp.at, told), line)
        if same != line:
            lines.append(Line(line, "repeated", text, say("run_in.log_same", line=same)))
            continue
        found, without = _cells(row, read_as, stamp.at, line)
        values += found
        cells += without
        lines.append(Line(line, "reading" if found else "no value", text, "" if found else without[0].why))
    return lines, values, cells


def _beside(table: Table, index: int) -> Fate:
    if not table.rows[index]:
        return "blank or comment"
    return "header" if index == table.header else "units" if index == table.units else "before the data"


def _cells(row: Sequence[str], read_as: ReadAs, at: datetime, line: int) -> tuple[list[Value], list[Cell]]:
    values, cells = [], []
    for place, channel in enumerate(read_as.channels):
        text = row[channel.column - 1]
        found = _value(text, channel, read_as.decimal)
        if isinstance(found, str):
            cells.append(Cell(line, channel.column, text, found))
        else:
            values.append(Value(at, place, found, text, line))
    return values, cells


def _value(text: str, channel: Channel, decimal: Decimal) -> float | str:
    """The value [SI] of a cell, or why it has none."""
    if text.casefold() in NO_VALUE:
        return say("run_in.log_no_value")
    number, unit_name = _parted(text)
    sign, other = (",", ".") if decimal == "comma" else (".", ",")
    if re.fullmatch(rf"[+-]?(\d+(\{sign}\d*)?|\{sign}\d+)([eE][+-]?\d+)?", number) is None:
        name = "run_in.log_other_sign" if other in number else "run_in.log_no_number"
        return say(name, sign=decimal)
    unit = find_unit(known_unit(unit_name) or channel.unit, channel.dimension)
    if unit is None or (unit_name and not known_unit(unit_name)):
        return say("run_in.log_unit", known=channel.unit)
    value = float(number.replace(",", ".")) * unit.scale + unit.offset
    if channel.dimension == "temperature" and not COLDEST <= value <= HOTTEST:
        return say("run_in.log_beyond")
    if channel.dimension == "velocity" and not 0.0 <= value <= FASTEST_VIBRATION:
        return say("run_in.log_beyond_vibration")
    return value


def _parted(text: str) -> tuple[str, str]:
    """A number and the unit behind it, "" when there is none."""
    found = re.match(r"([+-]?[\d.,]*\d[.,]?(?:[eE][+-]?\d+)?)\s*(.*)$", text)
    return (found[1], found[2].strip()) if found else (text, "")


def _notes(
    values: Sequence[Value], lines: Sequence[Line], moments: dict[int, Stamp]
) -> tuple[float | None, list[str]]:
    """The usual interval [s] and what is noticed of the times."""
    used = {line.number for line in lines if line.fate in ("reading", "repeated", "no value")}
    told = [(i + 1, stamp) for i, stamp in moments.items() if i + 1 in used and stamp.at is not None]
    notes = list(_steps_back(told))
    again = _again(values)
    if again:
        notes.append(say("run_in.log_other_values", count=len(again), first=again[0]))
    decided = {stamp.note for _, stamp in told if stamp.note}
    notes += sorted(decided)
    lines_at: dict[datetime, int] = {}
    for one in values:
        lines_at.setdefault(one.at, one.line)
    times = sorted(lines_at)
    apart = [(b - a).total_seconds() for a, b in pairwise(times)]
    if not apart:
        return None, notes
    usual = sorted(apart)[len(apart) // 2]
    for before, gap in zip(times, apart, strict=False):
        if gap > GAP * usual:
            said = {"seconds": f"{gap:.0f}", "usual": f"{usual:.0f}"}
            notes.append(say("run_in.log_gap", line=lines_at[before], **said))
    return usual, notes


def _steps_back(told: Sequence[tuple[int, Stamp]]) -> Iterator[str]:
    last: datetime | None = None
    for line, stamp in told:
        if last is not None and stamp.at is not None and stamp.at < last:
            yield say("run_in.log_back", line=line, seconds=f"{(last - stamp.at).total_seconds():.0f}")
        last = stamp.at


def _again(values: Sequence[Value]) -> list[int]:
    """Lines whose moment and channel an earlier line has with another value."""
    first: dict[tuple[datetime, int], int] = {}
    found = []
    for one in values:
        if first.setdefault((one.at, one.channel), one.line) != one.line:
            found.append(one.line)
    return sorted(set(found))
