"""What a bench sends is kept: readings, facts, hold points. The same for a script's JSON and a plain form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from whitemetal.desk import Desk, Writer
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.gauging import method_named
from whitemetal.job.state import CheckState
from whitemetal.web.holding import same_question
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


def check_of(desk: Desk, job: str, check: str) -> CheckState:
    """A check of a job as it stands. Raises UnknownBook."""
    checks = desk.job(job).state.checks
    if check not in checks:
        raise UnknownBook(check)
    return checks[check]


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
    return any(reading.entry == entry for reading in check_of(desk, job, check).readings)


def keep_cells(
    desk: Desk, job: str, check: str, cells: Sequence[Sent], writer: Writer
) -> tuple[dict[str, Problem], tuple[str, ...]]:
    """Keep the cells of a grid, each as one reading. A cell that was marked before is struck out and marked
    anew; one that is emptied is struck out. Returns the problems by place, and the places not kept."""
    problems: dict[str, Problem] = {}
    refused = []
    for cell in cells:
        if not cell.text.strip():
            if cell.entry and _stands(desk, job, check, cell.entry):
                desk.strike(job, cell.entry, say("web.grid_again"), writer)
            continue
        if cell.entry:
            cell = replace(cell, mode="strike", why=say("web.grid_again"))
        outcome = keep_sent(desk, job, check, cell, writer)
        if outcome.problem is not None:
            problems[cell.place] = outcome.problem
        if not outcome.kept:
            refused.append(cell.place)
    return problems, tuple(refused)


def set_hold(
    desk: Desk, job: str, check: str, hold: str, state: str, text: str, writer: Writer
) -> Problem | None:
    """Close or open a hold point of a check's method; a fact that asks the same is written with it."""
    kept = desk.set_hold(job, hold, state, text, writer, check=check)
    if kept.problem is not None:
        return kept.problem
    method = method_named(check_of(desk, job, check).method)
    if same_question(method, hold) is None:
        return None
    return desk.keep_fact(job, check, hold, "yes" if state == "closed" else "", writer).problem


def keep_facts(
    desk: Desk, job: str, check: str, typed: Mapping[str, str], shown_units: Mapping[str, str],
    writer: Writer, id: str | None = None,
) -> dict[str, Problem]:  # fmt: skip
    """Keep the facts whose text differs from what is kept. Returns the problems by key: a text that cannot
    be read is kept as typed, and said."""
    found = check_of(desk, job, check)
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


def cells_from(body: Mapping[str, Any]) -> tuple[Sent, ...]:
    """The cells of a grid from a JSON object. Raises InputError on anything else."""
    cells = body.get("cells")
    if not isinstance(cells, list) or not all(isinstance(cell, dict) for cell in cells):
        raise InputError(Problem("cells", repr(cells)[:80], say("web.cells_expected")))
    shared = {name: body[name] for name in ("squeeze", "instrument") if name in body}
    return tuple(sent_from({**shared, **cell}) for cell in cells)


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
