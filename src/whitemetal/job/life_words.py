"""A bearing's life in sentences, the same for page, paper and list."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.drawing.wear_line import DAY, HOUR, Ahead, WearPoint, WearRun, WearShown
from whitemetal.history.wear import Against, Opening, Run
from whitemetal.job.life import MONTH, Life, Opened
from whitemetal.job.life_job import Figure, Reading
from whitemetal.quantity import coverage_factor
from whitemetal.units import Dimension, clearance_step, show
from whitemetal.words import say

PER: dict[Against, float] = {"hours": 8000.0 * HOUR, "starts": 100.0, "calendar": 12.0 * MONTH * DAY}
"""What a rate is told for: a year of running with its stops, a hundred starts, a year. Our own."""

COVERED = 1.96
"""Standard uncertainties to each side of a 95 % interval of a normal quantity: rounded quantile (derived)."""


@dataclass(frozen=True)
class RunTold:
    """A run in words. counts: whether it is in the rate."""

    text: str
    note: str
    counts: bool


def length(card: Card, value: float) -> str:
    """A length as the bearing's clearances are shown."""
    unit = card.bearing.unit
    return show(value, unit, "length", step=clearance_step(unit))


def over_words(against: Against, run: float) -> str:
    """A run in words, to three figures, since its interval is wide; "no end" where it has none."""
    if math.isinf(run):
        return say("life.never")
    value = {"hours": run / HOUR, "starts": run, "calendar": run / DAY / MONTH}[against]
    rounded = float(f"{value:.3g}")
    return say(f"life.run_{against}", value=f"{rounded:,.0f}".replace(",", " "))


def headline(life: Life) -> tuple[str, ...]:
    """When to open next and what decides it, in a sentence or two."""
    if not life.openings:
        return (say("life.no_openings"),)
    if life.due is None:
        return (say("life.no_due"), *([life.next.why] if life.next.why else []))
    said = [say("life.due", day=life.due.isoformat())]
    if life.due_by == "wear":
        said.append(say("life.due_by_wear", risk=percent(life.next.risk)))
    else:
        said.append(say("life.due_by_plant", months=life.rule.months))
        said += [life.next.why] if life.next.why else []
    return tuple(said)


def percent(risk: float) -> str:
    """A chance in percent."""
    return f"{100.0 * risk:g} %"


def sentences(card: Card, life: Life) -> Iterator[str]:
    """What stands behind the date."""
    wear = life.wear
    if life.limit is not None:
        yield say("life.limit_stands", limit=length(card, life.limit), source=life.limit_said)
    if wear.rate is not None:
        yield rate(life)
        if wear.birge > 1.0:
            yield say("life.scatter", ratio=f"{wear.birge:.1f}")
    if wear.since is not None and life.openings:
        name = "life.since_left" if wear.since.as_left else "life.since_found"
        yield say(name, value=length(card, wear.since.value), day=life.openings[-1].day.isoformat())
    if life.next.reached is not None and life.limit is not None:
        low, high, run = (over_words(life.against, one) for one in (
            life.next.low, life.next.high, life.next.reached
        ))  # fmt: skip
        yield say("life.reached", limit=length(card, life.limit), run=run, low=low, high=high)
    yield from life.said


def rate(life: Life) -> str:
    """The rate with its interval, "" where there is none."""
    wear, per = life.wear, PER[life.against]
    if wear.rate is None:
        return ""
    value = say(f"life.rate_{life.against}", value=length(life.card, wear.rate * per))
    return say("life.rate", rate=value, u=length(life.card, coverage_factor(wear.dof) * wear.rate_u * per))


def runs(card: Card, life: Life) -> tuple[RunTold, ...]:
    """Every run: as found against last as left."""
    return tuple(RunTold(_run(card, life.against, run), run.note, not run.note) for run in life.wear.runs)


def _run(card: Card, against: Against, run: Run) -> str:
    name = "life.found_against_left" if run.change >= 0.0 else "life.found_against_left_less"
    over = over_words(against, run.over) if run.over is not None else "–"
    change = f"{length(card, abs(run.change))} ± {length(card, COVERED * run.u)}"
    said = say(
        name, found=length(card, run.found.value), left=length(card, run.left.value), change=change, over=over
    )
    return f"{run.before} – {run.after}: {said}"


def drawn(life: Life, film: float | None = None) -> WearShown | None:
    """The wear line ready to draw, None where nothing can be put on it. film: the widest the film allows
    [m]."""
    points: list[WearPoint] = []
    where: dict[str, float] = {}
    for opened, one in zip(life.openings, life.line, strict=True):
        at = _at(life, one)
        if at is None:
            continue
        for left, figures in ((False, opened.found), (True, opened.left)):
            for figure in figures:
                where[f"{figure.key} {left}"] = at
                points.append(WearPoint(at, figure.value, figure.k * figure.u, left, not figure.doubt))
    if not points:
        return None
    made = []
    for run in life.wear.runs:
        came, went = where.get(f"{run.left.key} True"), where.get(f"{run.found.key} False")
        if came is not None and went is not None:
            kind = "step" if run.step else "out" if run.note else ""
            made.append(WearRun((came, run.left.value), (went, run.found.value), kind))
    renewed = tuple(
        at
        for opened, one in zip(life.openings, life.line, strict=True)
        if opened.renewed and (at := _at(life, one)) is not None
    )
    return WearShown(life.against, tuple(points), tuple(made), renewed, life.limit, film, _ahead(life))


def _at(life: Life, one: Opening) -> float | None:
    return {"hours": one.hours, "starts": one.starts, "calendar": one.at}[life.against]


def _ahead(life: Life) -> Ahead | None:
    since, rate = life.wear.since, life.wear.rate
    at = _at(life, life.line[-1])
    if since is None or rate is None or at is None:
        return None
    return Ahead((at, since.value), rate, life.next.low, life.next.high, life.next.open_by)


@dataclass(frozen=True)
class FigureTold:
    """A clearance in words. href: of its check, "" of paper. note: why no wear is made of it."""

    text: str
    title: str
    href: str
    note: str
    transcribed: str


@dataclass(frozen=True)
class OpenedTold:
    """An opening in words. href: of its job, "" of old paper."""

    name: str
    title: str
    href: str
    day: str
    counters: str
    found: tuple[FigureTold, ...]
    left: tuple[FigureTold, ...]
    same: bool
    others: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]


def openings(card: Card, life: Life) -> tuple[OpenedTold, ...]:
    """Every opening, the last one first."""
    return tuple(_told(card, one) for one in reversed(life.openings))


def _told(card: Card, one: Opened) -> OpenedTold:
    facts = [(say("life.shells_now"), one.shells)]
    facts += [(say("life.oil"), one.oil)] if one.oil else []
    facts += [(say("life.changed"), "; ".join(one.changed))] if one.changed else []
    found = {figure.key for figure in one.found}
    same = bool(one.left) and all(figure.key in found for figure in one.left)
    others = (f"{each.of} {each.where}, {each.purpose}: {_other(each)}".strip() for each in one.others)
    return OpenedTold(
        one.name, one.title, f"/jobs/{one.job}" if one.job else "", one.day.isoformat(), _counters(one),
        tuple(_figure(card, one, each) for each in one.found),
        tuple(_figure(card, one, each) for each in one.left), same, tuple(others), tuple(facts),
    )  # fmt: skip


def _figure(card: Card, opened: Opened, one: Figure) -> FigureTold:
    text = f"{length(card, one.value)} ± {length(card, one.k * one.u)}"
    href = f"/jobs/{opened.job}/checks/{one.key}/judgement" if opened.job else ""
    transcribed = f"{one.text}, {one.source}".strip(", ") if one.paper else ""
    return FigureTold(text, one.title, href, one.doubt, transcribed)


def _other(one: Reading) -> str:
    spread = f" ± {show(COVERED * one.u, *_unit(one, difference=True))}" if one.u else ""
    return show(one.value, *_unit(one)) + spread


def _unit(one: Reading, *, difference: bool = False) -> tuple[str, Dimension]:
    if one.dimension == "temperature" and difference:
        return "K", "temperature difference"
    return one.unit, one.dimension


def _counters(one: Opened) -> str:
    told = []
    if one.hours is not None:
        told.append(say("life.table_hours", hours=f"{one.hours / HOUR:,.0f}".replace(",", " ")))
    if one.starts is not None:
        told.append(say("life.starts_short", starts=f"{one.starts:.0f}"))
    if told and one.how == "between":
        told.append(say("life.between"))
    return ", ".join(told)
