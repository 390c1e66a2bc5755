"""What a bearing's own book keeps of its life: counters, shells put in, and figures from old paper.

"hours/1" {date, hours, starts, anew, source}: what the counters showed on a day; anew "yes" where they were
set to nothing or exchanged since the day before. "renewed/1" {date, shells, why, job}: other shells or a new
lining went in. "transcribed/1" {date, number, of, purpose, place, text, unit, basis, method, plus_minus,
joint, torque, source}: one figure from an old sheet. A "strike/1" in the same book strikes one, with a
reason, and it stays visible. A later entry never takes the place of an earlier one: two that say different
things of the same are a contradiction, and neither counts until a person has struck one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from whitemetal.card import Card
from whitemetal.errors import InputError, Problem, UnitError
from whitemetal.job.entry import Entry
from whitemetal.job.sight import stamped
from whitemetal.units import Dimension, Typed, read, show
from whitemetal.words import say

HOURS, SHELLS, PAPER, STRIKE = "hours/1", "renewed/1", "transcribed/1", "strike/1"
KINDS = (HOURS, SHELLS, PAPER, STRIKE)

NEEDS: Mapping[str, tuple[str, ...]] = {
    HOURS: ("date", "hours", "starts", "anew", "source"),
    SHELLS: ("date", "shells", "why", "job"),
    PAPER: (
        "date", "number", "of", "purpose", "place", "text", "unit", "basis", "method", "plus_minus", "joint",
        "torque", "source",
    ),
}  # fmt: skip
"""Words of a body, all of them texts."""

CLEARANCE, CROWN, TEMPERATURE = "oil clearance", "crown thickness", "temperature"
OF: Mapping[str, Dimension] = {CLEARANCE: "length", CROWN: "length", TEMPERATURE: "temperature"}
"""What may be brought in from paper."""

BASES = ("diametral", "radial")
PURPOSES = ("as found", "as left")

PAPER_GIVE = 0.03e-3
"""95 % interval to each side of a clearance from old paper [m], where its sheet says nothing of how it was
taken: lead wires in a usual hand. Our own; say better where better is known."""

WIDEST = 0.01
"""A clearance above this part of the journal's diameter is a slip of unit or sign: five times the usual. Our
own."""

EARLIEST = date(1900, 1, 1)
"""No sheet is older than this; an earlier year is a slip. Our own."""


@dataclass(frozen=True)
class Struck:
    """Whether something counts. struck, struck_by: why and by whom, "" while it does. disputed: another that
    counts says something else."""

    struck: str = ""
    struck_by: str = ""
    disputed: bool = False

    @property
    def counts(self) -> bool:
        return not self.struck and not self.disputed


@dataclass(frozen=True)
class Counter:
    """What the counters showed on a day. hours [s], starts: None where not said. anew: those said counted
    from nothing since the reading before."""

    entry: str
    day: date
    hours: float | None
    starts: float | None
    anew: bool
    source: str
    by: str
    at: str
    standing: Struck = Struck()


@dataclass(frozen=True)
class Shells:
    """Other shells, or a new lining, put in on a day. name: of the pair. job: in which job, "" where none."""

    entry: str
    day: date
    name: str
    why: str
    job: str
    by: str
    at: str
    standing: Struck = Struck()


@dataclass(frozen=True)
class Paper:
    """One figure from old paper. value [SI], a clearance diametral; u: its standard uncertainty [SI]. text:
    with its unit, as on the paper; basis: as it stood there."""

    entry: str
    day: date
    number: str
    of: str
    purpose: str
    place: str
    text: str
    basis: str
    value: float
    u: float
    method: str
    joint: str
    torque: str
    source: str
    by: str
    at: str
    standing: Struck = Struck()


@dataclass(frozen=True)
class LifeBook:
    """Everything of a bearing's life in its own book, struck things too, by day. unread: how many entries
    of these kinds could not be read."""

    counters: tuple[Counter, ...] = ()
    shells: tuple[Shells, ...] = ()
    papers: tuple[Paper, ...] = ()
    unread: int = 0


def life_book(entries: Iterable[Entry]) -> LifeBook:
    """The book from its entries, in whatever order they come."""
    ordered = [entry for entry, _ in stamped(entry for entry in entries if entry.kind in KINDS)]
    strikes: dict[str, Entry] = {}
    for entry in ordered:
        if entry.kind == STRIKE:
            strikes.setdefault(str(entry.body.get("entry", "")), entry)
    read_ = [(entry, _read(entry, strikes.get(entry.id))) for entry in ordered if entry.kind != STRIKE]
    found = [one for _, one in read_ if one is not None]
    counters = [one for one in found if isinstance(one, Counter)]
    shells = [one for one in found if isinstance(one, Shells)]
    papers = [one for one in found if isinstance(one, Paper)]
    return LifeBook(
        _by_day(counters, _counted),
        _by_day(shells, lambda one: {(one.day,): one.name}),
        _by_day(papers, lambda one: {_sheet_of(one): (one.value, one.u)}),
        len(read_) - len(found),
    )


def _sheet_of(one: Paper) -> tuple[Any, ...]:
    return one.day, one.number, one.of, one.purpose, one.method, one.place


def _counted(one: Counter) -> dict[tuple[Any, ...], Any]:
    """Hours in one entry and starts in another of the same day say nothing against each other, nor the last
    of an old counter and the first of a new one."""
    read_ = {"hours": one.hours, "starts": one.starts}
    return {(one.day, one.anew, what): value for what, value in read_.items() if value is not None}


def _by_day(found: Sequence[Any], says: Callable[[Any], Mapping[tuple[Any, ...], Any]]) -> tuple[Any, ...]:
    """In order of days, each marked where another that counts says something else of the same. says: what one
    says, by what it is of."""
    told: dict[tuple[Any, ...], set[Any]] = {}
    for one in found:
        for about, said in says(one).items() if not one.standing.struck else ():
            told.setdefault(about, set()).add(said)
    marked = [
        replace(one, standing=replace(one.standing, disputed=True))
        if not one.standing.struck and any(len(told[about]) > 1 for about in says(one))
        else one
        for one in found
    ]
    return tuple(sorted(marked, key=lambda one: one.day))


def _read(entry: Entry, strike: Entry | None) -> Counter | Shells | Paper | None:
    body = {key: entry.body.get(key) for key in NEEDS[entry.kind]}
    if not all(isinstance(text, str) for text in body.values()):
        return None
    texts = {key: str(text) for key, text in body.items()}
    found = {HOURS: counter_of, SHELLS: shells_of, PAPER: paper_of}[entry.kind](texts)
    if isinstance(found, InputError):
        return None
    by = str(entry.by.get("name", ""))
    standing = Struck(
        (str(strike.body.get("why", "")) or "-") if strike is not None else "",
        str(strike.by.get("name", "")) if strike is not None else "",
    )
    return replace(found, entry=entry.id, by=by, at=entry.at, standing=standing)


def counter_of(texts: Mapping[str, str]) -> Counter | InputError:
    """What the counters showed, from texts; or everything that is wrong with them."""
    problems: list[Problem] = []
    day = _day(texts, problems)
    hours = _quantity(texts, "hours", "time", "h", problems)
    starts = _starts(texts, problems)
    if hours is None and starts is None and not problems:
        problems.append(Problem(say("life.hours"), "", say("life.hours_or_starts")))
    if hours is not None and hours.value < 0.0:
        problems.append(Problem(say("life.hours"), texts["hours"], say("life.not_negative")))
    if problems or day is None:
        return InputError(*problems)
    anew = texts.get("anew", "") == "yes"
    return Counter("", day, hours.value if hours else None, starts, anew, texts.get("source", ""), "", "")


def shells_of(texts: Mapping[str, str]) -> Shells | InputError:
    """Shells put in, from texts; or everything that is wrong with them."""
    problems: list[Problem] = []
    day = _day(texts, problems)
    name = texts.get("shells", "").strip()
    if not name:
        problems.append(Problem(say("life.shells"), "", say("life.shells_expected")))
    if problems or day is None:
        return InputError(*problems)
    return Shells("", day, name, texts.get("why", ""), texts.get("job", ""), "", "")


def paper_of(texts: Mapping[str, str]) -> Paper | InputError:
    """A figure from old paper, from texts; or everything that is wrong with it."""
    problems: list[Problem] = []
    day, of = _day(texts, problems), texts.get("of", "")
    for name, allowed in (("of", tuple(OF)), ("purpose", PURPOSES)):
        if texts.get(name, "") not in allowed:
            problems.append(_one_of(say(f"life.{name}"), texts.get(name, ""), allowed))
    if of == CLEARANCE and texts.get("basis", "") not in BASES:
        problems.append(_one_of(say("life.basis"), texts.get("basis", ""), BASES))
    typed = _quantity(texts, "text", OF.get(of, "length"), texts.get("unit", ""), problems)
    give = _quantity(texts, "plus_minus", _difference(of), _give_unit(of, texts), problems)
    torque = _quantity(texts, "torque", "torque", "N m", problems)
    if typed is None and not problems:
        problems.append(Problem(say("life.text"), "", say("life.text_expected")))
    if problems or day is None or typed is None:
        return InputError(*problems)
    torque_text = show(torque.value, "N m", "torque") if torque else ""
    double = 2.0 if of == CLEARANCE and texts["basis"] == "radial" else 1.0
    return Paper(
        "", day, texts.get("number", "").strip(), of, texts["purpose"], texts.get("place", "").strip(),
        with_unit(typed), texts.get("basis", ""), double * typed.value, _u(of, typed, give, double),
        texts.get("method", "").strip(), texts.get("joint", "").strip(), torque_text,
        texts.get("source", "").strip(), "", "",
    )  # fmt: skip


def with_unit(typed: Typed) -> str:
    """A text with the unit that was taken for granted."""
    return typed.text.strip() if typed.unit_given else f"{typed.text.strip()} {typed.unit}"


def _difference(of: str) -> Dimension:
    return "temperature difference" if of == TEMPERATURE else "length"


def _give_unit(of: str, texts: Mapping[str, str]) -> str:
    return "K" if of == TEMPERATURE else texts.get("unit", "")


def _u(of: str, typed: Typed, give: Typed | None, double: float) -> float:
    """Standard uncertainty: half of what is said to each side (95 %), else the usual one, and the last
    digit; a radial figure's doubled with it."""
    usual = 0.5 * PAPER_GIVE / double if of != TEMPERATURE else 1.0
    said = 0.5 * give.value if give is not None else usual
    return double * math.hypot(said, typed.resolution / math.sqrt(12.0))


def unlikely(one: Paper, card: Card) -> list[Problem]:
    """What a figure cannot be of this bearing: the unit, the basis or the decimal sign is another."""
    if one.of == CLEARANCE and not 0.0 < one.value <= WIDEST * card.bearing.journal_diameter:
        most = show(WIDEST * card.bearing.journal_diameter, card.bearing.unit, "length", digits=2)
        return [
            Problem(say(f"life.{one.purpose.replace(' ', '_')}"), one.text, say("life.unlikely", most=most))
        ]
    if one.of == CROWN and one.value <= 0.0:
        return [Problem(one.place, one.text, say("birth.above_nothing"))]
    return []


def may_strike(book: LifeBook, entry: str, why: str) -> None:
    """Raises InputError unless there is such a thing, not struck yet, and a reason."""
    held: tuple[Counter | Shells | Paper, ...] = (*book.counters, *book.shells, *book.papers)
    if entry not in {one.entry for one in held if not one.standing.struck}:
        raise InputError(Problem("entry", entry, say("life.strikeable")))
    if not why.strip():
        raise InputError(Problem(say("life.why"), why, say("birth.a_reason")))


def _day(texts: Mapping[str, str], problems: list[Problem]) -> date | None:
    text = texts.get("date", "").strip()
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or day < EARLIEST or len(text) != 10:
        problems.append(Problem(say("life.date"), text, say("ledger.date")))
        return None
    return day


def _quantity(
    texts: Mapping[str, str], key: str, dimension: Dimension, unit: str, problems: list[Problem]
) -> Typed | None:
    text = texts.get(key, "").strip()
    if not text:
        return None
    try:
        return read(text, dimension, field=say(f"life.{key}"), default_unit=unit or None)
    except UnitError as bad:
        problems += bad.problems
        return None


def _starts(texts: Mapping[str, str], problems: list[Problem]) -> float | None:
    text = texts.get("starts", "").strip()
    if not text:
        return None
    if not text.isdecimal() or len(text) > 7:
        problems.append(Problem(say("life.starts"), text, say("ledger.whole_number")))
        return None
    return float(text)


def _one_of(label: str, text: str, allowed: Sequence[str]) -> Problem:
    return Problem(label, text, say("ledger.one_of", choices=", ".join(allowed)))
