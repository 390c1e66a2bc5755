"""How a logger's file is to be read: its columns, the way its times are written, their zone; and what no way
of reading can make a table of readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, tzinfo
from typing import Literal, get_args

from whitemetal.closing.run_in.logger_table import SEPARATORS, Decimal, Separator, Table
from whitemetal.closing.run_in.logger_time import (
    ABSOLUTE,
    EARLIEST,
    ELAPSED,
    FORMS,
    LATEST,
    Form,
    carries_zone,
)
from whitemetal.closing.run_in.watch import Where
from whitemetal.errors import InputError, Problem
from whitemetal.units import Dimension, find_unit
from whitemetal.words import say

What = Literal["metal", "oil drain", "oil sump", "surface", "air", "vibration"]
WHATS: tuple[What, ...] = get_args(What)

SAMPLE = 400
"""So many lines say how the times are written. Our own."""

MOST_LINES = 200_000
"""A longer file is refused: two days of a reading a second. Our own."""


@dataclass(frozen=True)
class Channel:
    """A column that is taken in. column: counted from 1. unit: as in the table of units. point: where
    exactly, of a vibration also which way; two probes of a kind have two points."""

    column: int
    what: What
    unit: str
    point: str = ""

    @property
    def dimension(self) -> Dimension:
        """Of its values."""
        return "velocity" if self.what == "vibration" else "temperature"

    @property
    def where(self) -> Where | None:
        """The place of a temperature of the bearing; None of the air and of a vibration."""
        return None if self.what == "air" or self.what == "vibration" else self.what


@dataclass(frozen=True)
class ReadAs:
    """How a file is to be read. time: the column of times, or those of date and time. zone: name of the zone
    of local times. day: of the first line, "2026-03-01", where the file has times of day only. doubled: see
    `Clock`."""

    separator: Separator
    decimal: Decimal
    time: tuple[int, ...]
    form: Form
    channels: tuple[Channel, ...]
    zone: str = ""
    day: str = ""
    doubled: Literal["", "first", "second"] = ""


def refused(field: str, typed: str, expected: str, line: int | None = None) -> InputError:
    """An error with one problem."""
    return InputError(Problem(field, typed, expected, line))


def refuse(table: Table) -> None:
    """What is no table of readings at all."""
    if len(table.lines) > MOST_LINES:
        raise refused("file", str(len(table.lines)), say("run_in.log_too_long", most=MOST_LINES))
    if table.first < 0:
        raise refused("file", table.lines[0][:80] if table.lines else "", say("run_in.log_no_table"))
    names = len(table.rows[table.header]) if table.header >= 0 else 0
    if table.separator == "comma" and 1 < names < table.width:
        first = table.lines[table.first]
        raise refused(
            "file", first[:80], say("run_in.log_commas", names=names, cells=table.width), table.first + 1
        )


def time_text(row: Sequence[str], time: Sequence[int]) -> str:
    """The text of a row's time: of its column, or of date and time with a blank between."""
    return " ".join(row[column - 1] for column in time if column <= len(row)).strip()


def needs_zone(form: Form, texts: Sequence[str]) -> bool:
    """Whether times are local to a zone that must be said."""
    return form not in (*ELAPSED, *ABSOLUTE) and not carries_zone(texts)


def check(table: Table, read_as: ReadAs, zone: tzinfo | None) -> None:
    """Every answer that does not fit the file."""
    problems = []
    if read_as.separator not in SEPARATORS or read_as.form not in FORMS:
        problems.append(Problem("form", read_as.form, say("run_in.log_form", forms="; ".join(FORMS))))
    if not read_as.time or not all(1 <= column <= table.width for column in read_as.time):
        typed = ", ".join(map(str, read_as.time))
        problems.append(Problem("time", typed, say("run_in.log_column", count=table.width)))
    if not read_as.channels:
        problems.append(Problem("columns", "", say("run_in.log_ask_columns")))
    for one in read_as.channels:
        if not 1 <= one.column <= table.width or one.column in read_as.time:
            problems.append(Problem("column", str(one.column), say("run_in.log_column", count=table.width)))
        elif find_unit(one.unit, one.dimension) is None:
            known = "°C, °F, K" if one.dimension == "temperature" else "mm/s, in/s, m/s"
            problems.append(Problem(f"column {one.column}", one.unit, say("run_in.log_unit", known=known)))
    twice = [one for one in read_as.channels if _like(one, read_as.channels) > 1 and one.what != "air"]
    if twice:
        columns = ", ".join(str(one.column) for one in twice)
        problems.append(Problem("point", columns, say("run_in.log_points")))
    texts = [time_text(table.rows[i], read_as.time) for i in table.data[:SAMPLE] if table.rows[i]]
    if needs_zone(read_as.form, texts) and zone is None:
        problems.append(Problem("zone", read_as.zone, say("run_in.log_ask_zone")))
    if (read_as.form == "time of day" and not _is_day(read_as.day)) or (
        read_as.day and not _is_day(read_as.day)
    ):
        problems.append(Problem("day", read_as.day, say("run_in.log_ask_day")))
    if problems:
        raise InputError(*problems)


def _like(channel: Channel, channels: Sequence[Channel]) -> int:
    """How many channels are taken at the same place and point."""
    return sum((one.what, one.point) == (channel.what, channel.point) for one in channels)


def _is_day(text: str) -> bool:
    try:
        return EARLIEST <= date.fromisoformat(text).year <= LATEST
    except ValueError:
        return False
