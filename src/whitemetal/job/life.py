"""The life of a bearing over all its jobs and its old paper: openings in order, wear, and when to open next.

An opening is a job, or a sheet of old paper of the same day. As found and as left are set side by side, the
wear is reckoned from what was left then to what was found now (`history.wear`), and the run that is left from
the renewal limit on the card (`history.next_opening`). Days are what the clocks of the writers said: they
serve for rates and for the order of jobs, never to resolve what two people wrote unaware of each other.
"""

from __future__ import annotations

import math
from calendar import monthrange
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.drawing.wear_line import DAY, FIRST_DAY
from whitemetal.errors import InputError
from whitemetal.history.next_opening import NextOpening, next_opening
from whitemetal.history.wear import Against, Opening, Taken, Wear, wear
from whitemetal.job.counters import WHATS, reached
from whitemetal.job.life_book import Counter, LifeBook, Paper, Shells
from whitemetal.job.life_job import Figure, OfJob, Reading, figures_of, of_paper
from whitemetal.job.life_rule import NO_RULE, Rule
from whitemetal.job.shown import stands_on
from whitemetal.words import say

MONTH = 365.2425 / 12.0
"""Days in a month of the calendar, on average; exact."""


@dataclass(frozen=True)
class Opened:
    """An opening as it is told. job: its book, "" of old paper. day: of its last clearance.

    hours [s], starts: counted by then, None where not known; how: "read", "between" two readings, "". found,
    left: the clearances, all of them, also those that do not count. others: crown thickness, temperatures.
    changed: what was done to the fit. renewed: other shells or a new lining went in.
    """

    name: str
    job: str
    title: str
    day: date
    hours: float | None
    starts: float | None
    how: str
    found: tuple[Figure, ...]
    left: tuple[Figure, ...]
    others: tuple[Reading, ...]
    oil: str
    shells: str
    renewed: bool
    changed: tuple[str, ...]

    @property
    def paper(self) -> bool:
        """Whether it is known from old paper only."""
        return not self.job


@dataclass(frozen=True)
class Life:
    """A bearing's life. wear, next: by ``against``; due: the day by which it is to be opened, None where
    nothing can be said; due_by: what decides it ("wear", "plant" or "").

    limit [m], limit_said: the renewal limit and where it stands. use: hours [s] or starts in a second of the
    calendar, None where not known. said: what must be known beside it; problems: what contradicts itself,
    until a person puts it right. line: the openings as the wear takes them.
    """

    card: Card
    openings: tuple[Opened, ...]
    against: Against
    wear: Wear
    next: NextOpening
    due: date | None
    due_by: str
    limit: float | None
    limit_said: str
    use: float | None
    rule: Rule
    book: LifeBook
    said: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    line: tuple[Opening, ...] = field(default=(), repr=False)


def life(
    card: Card, jobs: Sequence[OfJob], book: LifeBook, rule: Rule = NO_RULE, against: Against | None = None,
    risk: float | None = None,
) -> Life:  # fmt: skip
    """The life of a bearing with this card. against: hours where they are known, else the calendar, unless
    chosen. risk: the plant's unless chosen. Pure. Raises InputError for a risk that is none."""
    openings = tuple(_openings(jobs, book))
    line = tuple(_counted(one) for one in openings)
    chosen = against or _usual(line)
    problems = tuple(_problems(book))
    try:
        found = wear(line, chosen)
    except InputError as bad:
        problems = (*problems, *(f"{one.field}: {one.typed}; {one.expected}" for one in bad.problems))
        found = wear((), chosen)
    limit, limit_said = _renewal(card)
    use = _use(line, chosen)
    longest = rule.months * MONTH * DAY * use if rule.months is not None and use else None
    ahead = next_opening(found, limit, rule.risk if risk is None else risk, longest)
    due, due_by = _due(openings, ahead, use, rule)
    said = (*found.said, *_said(openings, chosen, use, found))
    return Life(
        card,
        openings,
        chosen,
        found,
        ahead,
        due,
        due_by,
        limit,
        limit_said,
        use,
        rule,
        book,
        said,
        problems,
        line,
    )


def _openings(jobs: Sequence[OfJob], book: LifeBook) -> Iterator[Opened]:
    """In order of their days; the shells of each named from the last that went in."""
    raw = [_of_job(one, book) for one in jobs]
    raw += [_of_sheet(day, number, held, book) for (day, number), held in _sheets(book.papers).items()]
    shells, told = say("life.first_shells"), set[str]()
    put_in = [one for one in book.shells if one.standing.counts]
    for one in sorted(raw, key=lambda one: (one.day, one.name, one.job)):
        for new in put_in:
            if new.entry not in told and (new.job == one.job if new.job else new.day <= one.day):
                told.add(new.entry)
                shells = new.name
                at_it = bool(new.job) or new.day == one.day
                one = replace(one, shells=shells, renewed=True) if at_it else one
        if one.renewed and not one.shells:
            shells = say("life.shells_of", name=one.name)
        yield replace(one, shells=shells)


def _of_job(one: OfJob, book: LifeBook) -> Opened:
    found, left, others = figures_of(one)
    days = [figure.day for figure in (*left, *found) if figure.day is not None]
    day = max(days, default=None) or date.fromisoformat(one.state.opened_at[:10])
    (hours, how), (starts, _) = (reached(book.counters, day, what) for what in WHATS)
    live = [change for change in one.state.fit_changes if not change.struck]
    return Opened(
        one.state.number, one.state.book, one.state.title, day, hours, starts, how, found, left, others,
        one.card.oil.grade, "", any(change.what == "shell" for change in live),
        tuple(f"{change.what}: {change.text}" for change in live),
    )  # fmt: skip


def _sheets(papers: Sequence[Paper]) -> Mapping[tuple[date, str], list[Paper]]:
    """Figures that were not struck, by sheet; one that was brought in twice counts once."""
    sheets: dict[tuple[date, str], list[Paper]] = {}
    for one in papers:
        held = sheets.setdefault((one.day, one.number), [])
        if not one.standing.struck and not any(_same(one, other) for other in held):
            held.append(one)
    return {sheet: held for sheet, held in sheets.items() if held}


def _same(one: Paper, other: Paper) -> bool:
    about = ("of", "purpose", "method", "place", "value", "u")
    return all(getattr(one, name) == getattr(other, name) for name in about)


def _of_sheet(day: date, number: str, held: Sequence[Paper], book: LifeBook) -> Opened:
    found, left, others = of_paper(held)
    (hours, how), (starts, _) = (reached(book.counters, day, what) for what in WHATS)
    name = number or day.isoformat()
    return Opened(
        name, "", say("life.paper"), day, hours, starts, how, found, left, others, "", "", False, ()
    )


def _counted(one: Opened) -> Opening:
    """An opening as the wear takes it: only clearances that count."""

    def taken(figures: Sequence[Figure]) -> tuple[Taken, ...]:
        return tuple(
            Taken(figure.key, figure.value, figure.u, figure.how) for figure in figures if not figure.doubt
        )

    at = (one.day - FIRST_DAY).days * DAY
    found, left = taken(one.found), taken(one.left)
    return Opening(one.name, at, one.hours, one.starts, found, left, one.shells, one.renewed)


def _usual(line: Sequence[Opening]) -> Against:
    """Running hours where two openings of the shells that are in know them, else the calendar."""
    now = [one for one in line if one.shells == line[-1].shells]
    return "hours" if sum(one.hours is not None for one in now) >= 2 else "calendar"


def _use(line: Sequence[Opening], against: Against) -> float | None:
    """Hours [s] or starts in a second of the calendar, over the last two openings that know them."""
    if against == "calendar":
        return 1.0
    known = [(one.at, count) for one in line if (count := getattr(one, against)) is not None]
    if len(known) < 2 or known[-1][0] <= known[-2][0]:
        return None
    return float((known[-1][1] - known[-2][1]) / (known[-1][0] - known[-2][0]))


def _renewal(card: Card) -> tuple[float | None, str]:
    """The renewal limit of the highest rung that has one, diametral, and where it stands."""
    for limit in card.limits_on(OIL_CLEARANCE):
        renewal = limit.diametral("renewal")
        if renewal is not None and limit.adopted:
            return renewal, stands_on(limit)
    return None, ""


def _due(
    openings: Sequence[Opened], ahead: NextOpening, use: float | None, rule: Rule
) -> tuple[date | None, str]:
    """The day by which it is opened next: by the wear, or by the plant's rule where that comes first."""
    if not openings:
        return None, ""
    last = openings[-1].day
    by_wear = None
    if ahead.open_by is not None and not ahead.by_plant and use:
        by_wear = _after(last, ahead.open_by / use / DAY)
    by_plant = months_after(last, rule.months) if rule.months is not None else None
    if by_wear is not None and (by_plant is None or by_wear <= by_plant):
        return by_wear, "wear"
    return (by_plant, "plant") if by_plant is not None else (None, "")


def _after(day: date, days: float) -> date | None:
    """The day so many whole days later; None beyond the calendar."""
    whole = math.floor(days + 1e-6)
    return day + timedelta(days=whole) if whole < (date(9999, 12, 31) - day).days else None


def months_after(day: date, months: int) -> date | None:
    """The same day so many months later, the month's last where it has none; None beyond the calendar."""
    count = day.month - 1 + months
    year, month = day.year + count // 12, count % 12 + 1
    if year > date.max.year:
        return None
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def _said(openings: Sequence[Opened], against: Against, use: float | None, found: Wear) -> Iterator[str]:
    if against == "calendar" and found.rate is not None:
        yield say("life.by_calendar")
    if use is None and found.rate is not None:
        yield say("life.no_use")
    if openings and not any(one.renewed for one in openings) and found.rate is not None:
        yield say("life.age_unknown")
    if any(figure.paper for one in openings for figure in (*one.found, *one.left)):
        yield say("life.from_paper")
    for one in openings:
        for figure in (*one.found, *one.left):
            if figure.doubt:
                yield say("life.left_out", name=one.name, title=figure.title, why=figure.doubt)


def _problems(book: LifeBook) -> Iterator[str]:
    held: tuple[Counter | Shells | Paper, ...] = (*book.counters, *book.shells, *book.papers)
    for one in held:
        if one.standing.disputed:
            yield say("life.disputed", day=one.day.isoformat(), by=one.by)
    if book.unread:
        yield say("life.unread", count=book.unread)
