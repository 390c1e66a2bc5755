"""What the run-in's forms send, as the desk takes it: times by the clock of the device, and how a logger's
file is to be read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from whitemetal.closing.run_in.logger_propose import Proposed
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

AHEAD = timedelta(minutes=10)
"""A time of day further ahead than this is of the day before. Our own: nobody reads ahead of the clock."""

MOST_COLUMNS = 64
"""Columns of a file that a form can ask about. Our own."""

_OF_DAY = re.compile(r"(\d{1,2})[:.](\d{2})(?:[:.](\d{2}))?")
_WHOLE = re.compile(r"(\d{4}-\d{2}-\d{2})[T ](\d{1,2}:\d{2}(?::\d{2})?)")


def moment_from(text: str, offset: int, now: datetime, field: str) -> str:
    """A typed time as entries keep it [UTC, RFC 3339]. "" is now; "14:05" the last such time; a date may
    stand before it. offset: minutes the device's clock is ahead of UTC. Raises InputError."""
    bare = text.strip()
    if not bare:
        return utc(now)
    zone = timedelta(minutes=offset)
    whole, of_day = _WHOLE.fullmatch(bare), _OF_DAY.fullmatch(bare)
    try:
        if whole is not None:
            day = datetime.fromisoformat(f"{whole[1]}T{whole[2].zfill(len(whole[2]) + (whole[2][1] == ':'))}")
            return utc(day.replace(tzinfo=UTC) - zone)
        if of_day is not None:
            local = (now + zone).replace(
                hour=int(of_day[1]), minute=int(of_day[2]), second=int(of_day[3] or 0), microsecond=0
            )
            found = local - zone
            return utc(found - timedelta(days=1) if found - now > AHEAD else found)
    except ValueError:
        pass
    raise InputError(Problem(field, text, say("run_in.a_time")))


def utc(at: datetime) -> str:
    """A moment as entries keep it."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def local(at: datetime, offset: int) -> datetime:
    """A moment on the clock of a device that is so many minutes ahead of UTC."""
    return at + timedelta(minutes=offset)


def said_from(form: Mapping[str, str]) -> dict[str, Any]:
    """How a file is to be read, from a form: separator, decimal, time ("1" or "1, 2"), form, zone, day,
    doubled, and for each column N what.N, unit.N and point.N. Raises InputError."""
    columns = []
    for text in re.split(r"[,+ ]+", form.get("time", "").strip()):
        if not text.isdecimal() or not 0 < int(text) <= MOST_COLUMNS:
            raise InputError(
                Problem(say("run_in.time_column"), form.get("time", ""), say("run_in.log_ask_time"))
            )
        columns.append(int(text))
    channels = [
        {
            "column": number, "what": form[f"what.{number}"], "unit": form.get(f"unit.{number}", "").strip(),
            "point": form.get(f"point.{number}", "").strip(),
        }
        for number in range(1, MOST_COLUMNS + 1)
        if form.get(f"what.{number}", "")
    ]  # fmt: skip
    names = ("separator", "decimal", "form", "zone", "day", "doubled")
    return {**{name: form.get(name, "").strip() for name in names}, "time": columns, "channels": channels}


def form_of(proposed: Proposed, said: Mapping[str, Any] | None) -> dict[str, str]:
    """The answers with which the form begins: as said before, else as proposed."""
    read_as = proposed.read_as
    if said is None:
        channels = [vars(one) for one in read_as.channels]
        asked = {one.of for one in proposed.asked}
        answers: dict[str, Any] = {
            "separator": read_as.separator, "decimal": "" if "decimal" in asked else read_as.decimal,
            "form": "" if "form" in asked else read_as.form, "time": read_as.time,
        }  # fmt: skip
    else:
        channels, answers = list(said["channels"]), dict(said)
    made = {
        name: str(answers.get(name, ""))
        for name in ("separator", "decimal", "form", "zone", "day", "doubled")
    }
    made["time"] = ", ".join(map(str, answers["time"]))
    for one in channels:
        made |= {f"{name}.{one['column']}": str(one[name]) for name in ("what", "unit", "point")}
    return made
