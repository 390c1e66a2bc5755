"""What the run-in's forms send, as the desk takes it: times by the clock of the device, and how a logger's
file is to be read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime, timedelta
from typing import Any

from whitemetal.closing.run_in.logger_propose import Proposed
from whitemetal.errors import InputError, Problem
from whitemetal.job.run_state import read_as_of, said_of
from whitemetal.words import say

MOST_COLUMNS = 64
"""Columns of a file that a form can ask about. Our own."""


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
    if said is not None:
        with suppress(InputError):
            return _answers(said_of(read_as_of(said)))
    answers = _answers(said_of(proposed.read_as))
    return {**answers, **{one.of: "" for one in proposed.asked if one.of in ("decimal", "form")}}


def _answers(said: Mapping[str, Any]) -> dict[str, str]:
    names = ("separator", "decimal", "form", "zone", "day", "doubled")
    made = {name: str(said[name]) for name in names}
    made["time"] = ", ".join(map(str, said["time"]))
    for one in said["channels"]:
        made |= {f"{name}.{one['column']}": str(one[name]) for name in ("what", "unit", "point")}
    return made
