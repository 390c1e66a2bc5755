"""A logger's column of times: which way they are written, and which moment each one is.

Times that carry no zone are local to the zone that was asked. Where clocks go back, an hour comes twice;
which of the two a line belongs to follows from the lines about it, and is asked where they do not say. Where
clocks go forward an hour does not exist: a line in it was not written by a clock of that zone.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from typing import Literal

from whitemetal.words import say

Form = Literal[
    "year-month-day", "day.month.year", "month/day/year", "day month-name year", "time of day",
    "elapsed h:m:s", "elapsed seconds", "elapsed minutes", "elapsed hours", "seconds since 1970",
    "milliseconds since 1970", "spreadsheet days",
]  # fmt: skip
FORMS: tuple[Form, ...] = (
    "year-month-day", "day.month.year", "month/day/year", "day month-name year", "time of day",
    "elapsed h:m:s", "elapsed seconds", "elapsed minutes", "elapsed hours", "seconds since 1970",
    "milliseconds since 1970", "spreadsheet days",
)  # fmt: skip
ELAPSED: tuple[Form, ...] = ("elapsed h:m:s", "elapsed seconds", "elapsed minutes", "elapsed hours")
ABSOLUTE: tuple[Form, ...] = ("seconds since 1970", "milliseconds since 1970")
NUMBERS: dict[Form, float] = {"elapsed seconds": 1.0, "elapsed minutes": 60.0, "elapsed hours": 3600.0}
"""Seconds in one of each: exact, by definition."""

EARLIEST, LATEST = 1970, 2200
"""A logger that writes another year has lost its clock. Our own."""

SPREADSHEET_DAY_0 = datetime(1899, 12, 30)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_CLOCK = (
    r"(?P<h>\d{1,2}):(?P<m>\d{2})(?::(?P<s>\d{2})(?:[.,](?P<f>\d{1,9}))?)?\s*(?P<half>[AaPp]\.?[Mm]\.?)?"
    r"\s*(?P<zone>Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?"
)
_YMD = r"(?P<y>\d{4})[-/.](?P<mo>\d{1,2})[-/.](?P<d>\d{1,2})"
_NUMERIC = r"(?P<a>\d{1,2})[-/.](?P<b>\d{1,2})[-/.](?P<y>\d{4}|\d{2})"
_NAMED = r"(?P<d>\d{1,2})[-. ]\s?(?P<name>[A-Za-z]{3,9})[-. ,]\s?(?P<y>\d{4}|\d{2})"
_BETWEEN = r"(?:[T ,;]|\s)\s*"
_PATTERNS: dict[str, re.Pattern[str]] = {
    "year-month-day": re.compile(f"{_YMD}(?:{_BETWEEN}{_CLOCK})?"),
    "day.month.year": re.compile(f"{_NUMERIC}(?:{_BETWEEN}{_CLOCK})?"),
    "day month-name year": re.compile(f"{_NAMED}(?:{_BETWEEN}{_CLOCK})?"),
}
_OF_DAY = re.compile(_CLOCK)
_LONG = re.compile(r"(?P<h>\d{1,4}):(?P<m>[0-5]\d)(?::(?P<s>[0-5]\d)(?:[.,](?P<f>\d{1,9}))?)?")
DATE_ALONE = re.compile(
    rf"(?:\d{{4}}[-/.]\d{{1,2}}[-/.]\d{{1,2}}|{_NUMERIC}|{_NAMED.replace('?P<y>', '?:')})"
)
_PLAIN = re.compile(r"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?")


def looks_like_time(cell: str) -> bool:
    """Whether a cell is a date, a time of day or both."""
    return _LONG.fullmatch(cell) is not None or _OF_DAY.fullmatch(cell) is not None or any(
        pattern.fullmatch(cell) for pattern in _PATTERNS.values()
    )  # fmt: skip


@dataclass(frozen=True)
class Clock:
    """How the times of a file are to be taken. zone: of local times, None where they carry their own. day: of
    the first line, of times of day. start: the moment at which elapsed time is nothing. doubled: "first" or
    "second" where an hour that comes twice is not told by the lines about it."""

    form: Form
    zone: tzinfo | None = None
    day: date | None = None
    start: datetime | None = None
    doubled: Literal["", "first", "second"] = ""


@dataclass(frozen=True)
class Stamp:
    """at: the moment in UTC, None when there is none; why not, or "". note: what had to be decided."""

    at: datetime | None
    why: str = ""
    note: str = ""


def stamps(texts: Sequence[str], clock: Clock) -> tuple[Stamp, ...]:
    """The moment of each text, in the order of the file."""
    if clock.form in (*ELAPSED, *ABSOLUTE):
        return tuple(_counted(text, clock) for text in texts)
    naive = _with_days([_naive(text, clock.form) for text in texts], clock)
    found: list[Stamp | None] = [
        None if isinstance(one, datetime) and one.tzinfo is None else _own_zone(one) for one in naive
    ]
    local = [(i, one) for i, one in enumerate(naive) if isinstance(one, datetime) and one.tzinfo is None]
    for (index, _), stamp in zip(local, _in_zone([one for _, one in local], clock), strict=True):
        found[index] = stamp
    return tuple(one for one in found if one is not None)


def seconds_of(text: str, form: Form) -> float | None:
    """Elapsed seconds of a text; None when it is no number of that form."""
    if form == "elapsed h:m:s":
        found = _LONG.fullmatch(text.strip())
        if found is None:
            return None
        return (
            int(found["h"]) * 3600.0 + int(found["m"]) * 60.0 + float(f"{found['s'] or 0}.{found['f'] or 0}")
        )
    if _PLAIN.fullmatch(text.strip()) is None:
        return None
    return float(text.strip().replace(",", ".")) * NUMBERS[form]


def forms_of(texts: Sequence[str]) -> tuple[Form, ...]:
    """The ways in which a column may be written: those that read most of its texts. Likeliest first."""
    held = [text for text in texts if text.strip()]
    read = {form: sum(_reads(text, form) for text in held) for form in FORMS}
    enough = [form for form in FORMS if held and read[form] >= 0.6 * len(held)]
    return tuple(sorted(enough, key=lambda form: -read[form]))


def carries_zone(texts: Sequence[str]) -> bool:
    """Whether every text that is a time carries its own zone."""
    read = [_naive(text, form) for text in texts for form in ("year-month-day", "day month-name year")]
    found = [one for one in read if isinstance(one, datetime)]
    return bool(found) and all(one.tzinfo is not None for one in found)


def _reads(text: str, form: Form) -> bool:
    if form in NUMBERS or form == "elapsed h:m:s":
        return seconds_of(text, form) is not None
    if form in ABSOLUTE:
        return _since_1970(text, form) is not None
    return not isinstance(_naive(text, form), str)


def _counted(text: str, clock: Clock) -> Stamp:
    if clock.form in ABSOLUTE:
        at = _since_1970(text, clock.form)
        return Stamp(at, "" if at else say("run_in.log_no_time", form=clock.form))
    seconds = seconds_of(text, clock.form)
    if seconds is None or clock.start is None:
        return Stamp(None, say("run_in.log_no_time", form=clock.form))
    try:
        return Stamp(clock.start + timedelta(seconds=seconds))
    except OverflowError:
        return Stamp(None, say("run_in.log_no_time", form=clock.form))


def _since_1970(text: str, form: Form) -> datetime | None:
    if _PLAIN.fullmatch(text.strip()) is None:
        return None
    seconds = float(text.strip().replace(",", ".")) / (1000.0 if form == "milliseconds since 1970" else 1.0)
    if not 2e8 <= seconds <= 2e10:
        return None
    return datetime.fromtimestamp(seconds, UTC)


def _naive(text: str, form: str) -> datetime | timedelta | str:
    """A moment (with its zone where the text has one), a time of day, or why it is neither."""
    bare = text.strip()
    wrong = say("run_in.log_no_time", form=form)
    if form == "time of day":
        clock = _OF_DAY.fullmatch(bare)
        told = None if clock is None else _of_day(clock)
        return wrong if told is None else told
    if form == "spreadsheet days":
        return _spreadsheet(bare) or wrong
    found = _PATTERNS["day.month.year" if form == "month/day/year" else form].fullmatch(bare)
    if found is None:
        return wrong
    try:
        day = datetime(*_date(found, form))
    except ValueError:
        return say("run_in.log_no_date")
    if found["h"] is None:
        return day
    clock_time = _of_day(found)
    return wrong if clock_time is None else _zoned(day + clock_time, found["zone"])


def _date(found: re.Match[str], form: str) -> tuple[int, int, int]:
    year = int(found["y"]) + (2000 if len(found["y"]) == 2 else 0)
    if not EARLIEST <= year <= LATEST:
        raise ValueError(year)
    if form == "year-month-day":
        return year, int(found["mo"]), int(found["d"])
    if form == "day month-name year":
        name = found["name"][:3].lower()
        return year, _MONTHS.index(name) + 1, int(found["d"])
    day, month = (found["b"], found["a"]) if form == "month/day/year" else (found["a"], found["b"])
    return year, int(month), int(day)


def _of_day(found: re.Match[str]) -> timedelta | None:
    hours, minutes, seconds = int(found["h"]), int(found["m"]), int(found["s"] or 0)
    if found["half"]:
        if not 1 <= hours <= 12:
            return None
        hours = hours % 12 + (12 if found["half"][0] in "pP" else 0)
    if hours > 23 or minutes > 59 or seconds > 59:
        return None
    micro = int((found["f"] or "0").ljust(6, "0")[:6])
    return timedelta(hours=hours, minutes=minutes, seconds=seconds, microseconds=micro)


def _zoned(moment: datetime, zone: str | None) -> datetime:
    if not zone:
        return moment
    if zone in ("Z", "UTC", "GMT"):
        return moment.replace(tzinfo=UTC)
    digits = zone[1:].replace(":", "").ljust(4, "0")
    ahead = timedelta(hours=int(digits[:2]), minutes=int(digits[2:]))
    if ahead >= timedelta(hours=24):
        return moment
    return moment.replace(tzinfo=timezone(-ahead if zone[0] == "-" else ahead))


def _spreadsheet(text: str) -> datetime | None:
    if _PLAIN.fullmatch(text) is None:
        return None
    days = float(text.replace(",", "."))
    if not 20000.0 <= days <= 80000.0:
        return None
    return SPREADSHEET_DAY_0 + timedelta(seconds=round(days * 86400.0, 3))


def _with_days(read: Sequence[datetime | timedelta | str], clock: Clock) -> list[datetime | str]:
    """Times of day on their days: one that is half a day and more before the last is of the next day."""
    made: list[datetime | str] = []
    day, last = clock.day, None
    for one in read:
        if not isinstance(one, timedelta):
            made.append(one)
            continue
        if day is None:
            made.append(say("run_in.log_no_day"))
            continue
        if last is not None and last - one > timedelta(hours=12):
            day = day + timedelta(days=1)
        last = one
        made.append(datetime(day.year, day.month, day.day) + one)
    return made


def _own_zone(one: datetime | str) -> Stamp:
    return Stamp(None, one) if isinstance(one, str) else Stamp(one.astimezone(UTC))


def _in_zone(local: Sequence[datetime], clock: Clock) -> list[Stamp]:
    """Local times in their zone, the hour that comes twice by the lines about it."""
    zone = clock.zone
    if zone is None:
        return [Stamp(None, say("run_in.log_no_zone"))] * len(local)
    both = [_moments(one, zone) for one in local]
    folds = _folds(local, both, clock.doubled)
    made = []
    for two, fold in zip(both, folds, strict=True):
        if not two:
            made.append(Stamp(None, say("run_in.log_no_such_hour")))
        elif fold < 0:
            made.append(Stamp(None, say("run_in.log_twice")))
        else:
            note = say("run_in.log_taken_as", which=("first", "second")[fold]) if len(two) == 2 else ""
            made.append(Stamp(two[fold if len(two) == 2 else 0], note=note))
    return made


def _moments(local: datetime, zone: tzinfo) -> tuple[datetime, ...]:
    """The moments in UTC at which clocks of the zone show a local time: none, one or two."""
    found = []
    for fold in (0, 1):
        at = local.replace(tzinfo=zone, fold=fold).astimezone(UTC)
        if at.astimezone(zone).replace(tzinfo=None, fold=0) == local.replace(fold=0) and at not in found:
            found.append(at)
    return tuple(sorted(found))


def _folds(local: Sequence[datetime], both: Sequence[tuple[datetime, ...]], doubled: str) -> list[int]:
    """Which of two moments each line is: 0 the first, 1 the second, -1 where nothing tells."""
    folds = [0] * len(local)
    start = 0
    while start < len(local):
        if len(both[start]) != 2:
            start += 1
            continue
        end = start
        while end < len(local) and len(both[end]) == 2:
            end += 1
        folds[start:end] = _run_of_twice(local, both, start, end, doubled)
        start = end
    return folds


def _run_of_twice(
    local: Sequence[datetime], both: Sequence[tuple[datetime, ...]], start: int, end: int, doubled: str
) -> list[int]:
    """A run of lines in the hour that comes twice. A step back of half an hour and more parts the two."""
    back = next(
        (i for i in range(start + 1, end) if local[i - 1] - local[i] > timedelta(minutes=30)), None
    )  # fmt: skip
    if back is not None:
        return [0] * (back - start) + [1] * (end - back)
    if doubled:
        return [0 if doubled == "first" else 1] * (end - start)
    before = both[start - 1] if start and both[start - 1] else ()
    after = both[end] if end < len(both) and both[end] else ()
    if not before and not after:
        return [-1] * (end - start)

    def apart(fold: int) -> timedelta:
        gaps = [abs(both[start][fold] - before[-1])] if before else []
        gaps += [abs(after[0] - both[end - 1][fold])] if after else []
        return sum(gaps, timedelta())

    return [0 if apart(0) <= apart(1) else 1] * (end - start)


Zones = Callable[[str], "tzinfo | None"]
"""Gives the zone of a name ("Europe/Berlin", "+02:00"), None when there is none of that name."""
