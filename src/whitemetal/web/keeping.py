"""What a bench sends is kept: readings, facts, hold points. The same for a script's JSON and a plain form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from whitemetal.desk import Desk, Writer
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

Mode = Literal["", "again", "strike"]


@dataclass(frozen=True)
class Sent:
    """A reading as it was sent. entry: the reading its box showed ("" when it was empty). mode: what a
    further reading at the place is: measured again, or the old one struck out (with why)."""

    id: str
    place: str
    text: str
    unit: str = ""
    squeeze: int = 1
    instrument: str = ""
    entry: str = ""
    mode: str = ""
    why: str = ""


@dataclass(frozen=True)
class Outcome:
    """kept: whether an entry stands (an unreadable text is kept, with its problem). ask: the place has a
    reading, and it was not said whether this one is a repeat or replaces it."""

    kept: bool
    problem: Problem | None = None
    ask: bool = False


def keep_sent(desk: Desk, job: str, check: str, sent: Sent, writer: Writer) -> Outcome:
    """Keep one reading. Sending the same id twice changes nothing."""
    if sent.mode == "strike" and not sent.why.strip():
        return Outcome(False, Problem(sent.place, sent.text, say("web.why_expected")), ask=True)
    if sent.mode == "strike" and _stands(desk, job, check, sent.entry):
        desk.strike(job, sent.entry, sent.why.strip(), writer)
    kept = desk.keep_reading(
        job, check, sent.place, sent.text, writer, unit=sent.unit, squeeze=sent.squeeze,
        instrument=sent.instrument, repeat=sent.mode == "again", id=sent.id or None,
    )  # fmt: skip
    return Outcome(kept.entry is not None, kept.problem, kept.ask == "repeat")


def _stands(desk: Desk, job: str, check: str, entry: str) -> bool:
    return any(reading.entry == entry for reading in desk.job(job).state.checks[check].readings)


def keep_facts(
    desk: Desk, job: str, check: str, typed: Mapping[str, str], shown_units: Mapping[str, str],
    writer: Writer, id: str | None = None,
) -> dict[str, Problem]:  # fmt: skip
    """Keep the facts whose text differs from what is kept. Returns the problems by key: a text that cannot
    be read is kept as typed, and said."""
    found = desk.job(job).state.checks[check]
    unread = {key: text for _, key, text in found.unreadable}
    problems: dict[str, Problem] = {}
    for key, text in typed.items():
        fact = found.facts.get(key)
        if text.strip() == unread.get(key, fact.text if fact else "").strip():
            continue
        kept = desk.keep_fact(job, check, key, text, writer, id=id, unit=shown_units.get(key, ""))
        if kept.problem is not None:
            problems[key] = kept.problem
    return problems


def sent_from(body: Mapping[str, Any]) -> Sent:
    """A reading from a JSON object. Raises InputError on fields of the wrong kind."""
    texts = {}
    for name in ("id", "place", "text", "unit", "instrument", "entry", "mode", "why"):
        value = body.get(name, "")
        if not isinstance(value, str):
            raise InputError(Problem(name, repr(value), say("web.text_expected")))
        texts[name] = value
    squeeze = body.get("squeeze", 1)
    if isinstance(squeeze, bool) or not isinstance(squeeze, int) or not 1 <= squeeze <= 99:
        raise InputError(Problem("squeeze", repr(squeeze), say("web.squeeze_expected")))
    if texts["mode"] not in ("", "again", "strike"):
        raise InputError(Problem("mode", texts["mode"], "again, strike"))
    return Sent(squeeze=squeeze, **texts)
