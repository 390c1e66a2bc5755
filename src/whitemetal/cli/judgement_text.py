"""A judgement as text for the terminal. Nothing is compared or decided here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.cli.quantities_text import quantity_lines
from whitemetal.cli.screen import Screen
from whitemetal.drawing import places_text
from whitemetal.gauging import METHODS
from whitemetal.gauging.contract import Place, Reading
from whitemetal.job.judgement import BudgetShown, Judgement, LimitShown, PlaceJudgement
from whitemetal.job.judgement_json import as_json
from whitemetal.quantity import coverage_factor
from whitemetal.sheets.pictures import spots_of
from whitemetal.sheets.text import dof, length, percent, uncertainty
from whitemetal.words import say

HOW = {
    "within limits": "good",
    "outside limits": "bad",
    "not proven": "open",
    "fit": "good",
    "not fit": "open",
}
SEVERITY_HOW = {
    "fault": "bad", "refused": "bad", "question": "open", "hold": "bad", "warning": "open", "note": "faint",
}  # fmt: skip
"""How each severity is painted, in the order in which findings are shown."""


def judgement_lines(
    judgement: Judgement, card: Card, places: Sequence[Place], readings: Sequence[Reading], screen: Screen
) -> Iterator[str]:
    """Head, drawing, result, limits, verdict, reasons, what to look at, what next, places, budget."""
    yield from head(card, screen)
    method = METHODS[judgement.method]
    spots = spots_of(places, readings, as_json(judgement), card, {}, method)
    drawn = places_text(
        card, method.views, spots, ring=method.ring, width=screen.width, plain=screen.plain
    )  # fmt: skip
    yield from drawn.splitlines()
    yield ""
    if method.measures == OIL_CLEARANCE:
        yield from _result(judgement, screen)
        yield from _limits(judgement, screen)
    yield from quantity_lines(judgement, HOW, screen)
    yield from _verdict(judgement, screen)
    yield from listed(say("terminal.why"), judgement.reasons, screen)
    yield from _warnings(judgement, screen)
    yield from listed(say("terminal.settle"), judgement.settle, screen)
    yield from listed(say("terminal.next"), judgement.next, screen, numbered=True)
    yield from _places(judgement, screen)
    yield from _budget(judgement, screen)
    assumed = [f"{label}: {text} ({source})" for label, text, source in judgement.assumed]
    yield from listed(say("terminal.assumed"), assumed, screen)
    yield from listed(say("terminal.unknown"), judgement.unknown, screen)


def head(card: Card, screen: Screen) -> Iterator[str]:
    """The machine and the bearing."""
    bearing = card.bearing
    sizes = [
        card.typed.get(f"bearing.{key}") or length(value, bearing.unit)
        for key, value in (("journal_diameter", bearing.journal_diameter), ("length", bearing.length))
    ]
    yield from (screen.heading(line) for line in screen.wrapped(f"{card.machine.tag}  {card.machine.name}"))
    about = say(
        "terminal.journal", diameter=sizes[0], length=sizes[1], profile=bearing.profile,
        lubrication=bearing.lubrication,
    )  # fmt: skip
    yield from screen.wrapped(f"{bearing.position}: {about}")
    yield ""


def listed(title: str, items: Sequence[str], screen: Screen, *, numbered: bool = False) -> Iterator[str]:
    """A heading and its items; nothing at all without items."""
    if not items:
        return
    yield screen.heading(title)
    for number, item in enumerate(items, start=1):
        mark = f"  {number}. " if numbered else "  - "
        yield from screen.wrapped(item, mark, " " * len(mark))
    yield ""


def _result(judgement: Judgement, screen: Screen) -> Iterator[str]:
    found, unit = judgement.clearance, judgement.unit
    yield screen.heading(say("terminal.clearance"))
    if found is None:
        refused = [found.text for found in judgement.warnings if found.severity == "refused"]
        for text in refused:
            yield from screen.wrapped(f"{say('terminal.severity_refused')}: {text}", "  ", "    ")
        if not refused:
            yield f"  {say('terminal.no_clearance')}"
        yield ""
        return
    both = say(
        "terminal.both",
        diametral=length(found.diametral_m, unit),
        radial=length(found.radial_m, unit, finer=True),
    )
    yield f"  {screen.heading(both)}"
    sure = say(
        "terminal.expanded", expanded=uncertainty(found.expanded_m, unit), u=uncertainty(found.u_m, unit),
        dof=dof(found.dof), k=f"{found.k:.2f}",
    )  # fmt: skip
    yield from screen.wrapped(sure, "  ", "    ")
    for named in found.named:
        yield from screen.wrapped(
            _named(named.label, named.value, named.u, named.unit, unit, named.note), "  ", "    "
        )
    yield ""


def _named(label: str, value: float, u: float, kind: str, unit: str, note: str) -> str:
    if kind == "m":
        shown = f"{length(value, unit)} (u {uncertainty(u, unit)})"
    elif kind == "m/m":
        shown = f"{1e3 * value:.3f} mm/m (u {1e3 * u:.3f})"
    else:
        shown = f"{value:.4f} {kind} (u {u:.4f})"
    return f"{label}: {shown}{'; ' + note if note else ''}"


def _limits(judgement: Judgement, screen: Screen) -> Iterator[str]:
    yield screen.heading(say("terminal.limits"))
    chosen = judgement.limits
    if chosen is None:
        yield f"  {say('terminal.none_given')}"
    else:
        yield from _limit(chosen, judgement.unit, screen)
        yield from _guard(chosen, judgement.unit, screen)
    shown = None if chosen is None else (chosen.source, chosen.rung, chosen.minimum_m, chosen.maximum_m)
    for other in judgement.ladder:
        if (other.source, other.rung, other.minimum_m, other.maximum_m) != shown:
            yield f"  {say('terminal.also')}:"
            yield from _limit(other, judgement.unit, screen)
    if judgement.rules:
        yield from screen.wrapped(say("terminal.rules"), "  ", "  ")
        for rule in judgement.rules:
            word = f": {rule.word} {percent(rule.probability)}".rstrip() if rule.word else ""
            note = f"; {rule.note}" if rule.note else ""
            figures = f"{_figures(rule, judgement.unit)}{word}. {rule.source}{note}"
            yield from screen.wrapped(figures, "  - ", "    ")
    yield ""


def _figures(limit: LimitShown, unit: str) -> str:
    halves = [None if figure is None else 0.5 * figure for figure in (limit.minimum_m, limit.maximum_m)]
    return say(
        "terminal.from_to", low=length(limit.minimum_m, unit), high=length(limit.maximum_m, unit),
        low_radial=length(halves[0], unit, finer=True), high_radial=length(halves[1], unit, finer=True),
    )  # fmt: skip


def _limit(limit: LimitShown, unit: str, screen: Screen) -> Iterator[str]:
    yield from screen.wrapped(_figures(limit, unit), "  ", "    ")
    stands = say("terminal.stands_on", rung=limit.rung, source=limit.source, basis=limit.basis)
    yield from screen.wrapped(stands, "    ", "    ")
    if limit.renewal_m is not None:
        yield from screen.wrapped(
            say("terminal.renewal", renewal=length(limit.renewal_m, unit)), "    ", "    "
        )
    if limit.provisional:
        yield from (
            screen.paint(line, "open") for line in screen.wrapped(say("terminal.provisional"), "    ", "    ")
        )
    if limit.note:
        yield from screen.wrapped(limit.note, "    ", "    ")


def _guard(limit: LimitShown, unit: str, screen: Screen) -> Iterator[str]:
    if limit.accept_from_m is None and limit.accept_to_m is None:
        yield from screen.wrapped(say("terminal.never_proven"), "    ", "    ")
        return
    edges = [length(edge, unit) for edge in (limit.accept_from_m, limit.accept_to_m)]
    yield from screen.wrapped(say("terminal.proven_between", low=edges[0], high=edges[1]), "    ", "    ")


def _verdict(judgement: Judgement, screen: Screen) -> Iterator[str]:
    word = judgement.verdict.upper()
    yield screen.paint(say("terminal.the_check", word=word), "bold", HOW[judgement.verdict])
    chance = percent(judgement.probability)
    if chance:
        yield f"  {say('terminal.chance', probability=chance)}"
    if judgement.stale:
        yield from screen.wrapped(say("terminal.stale", why=judgement.stale), "  ", "  ")
    yield from screen.wrapped(say("terminal.the_bearing", word=judgement.bearing), "  ", "  ")
    still_open = [hold.text for hold in judgement.holds if not hold.closed]
    if still_open:
        yield from screen.wrapped(say("terminal.holds_open", names="; ".join(still_open)), "  ", "    ")
    yield from screen.wrapped(say("terminal.rule", rule=judgement.decision_rule), "  ", "  ")
    yield ""


def _warnings(judgement: Judgement, screen: Screen) -> Iterator[str]:
    if not (judgement.warnings or judgement.struck or judgement.chi_dof):
        return
    yield screen.heading(say("terminal.look"))
    order = list(SEVERITY_HOW)
    for found in sorted(judgement.warnings, key=lambda found: order.index(found.severity)):
        kind = say(f"terminal.severity_{found.severity}")
        lines = screen.wrapped(f"{kind}: {found.text}", "  - ", "    ")
        lines[0] = lines[0].replace(kind, screen.paint(kind, SEVERITY_HOW[found.severity]), 1)
        yield from lines
    for one in judgement.struck:
        text = say("terminal.struck", place=one.place, text=one.text, by=one.by, why=one.why)
        yield from screen.wrapped(text, "  - ", "    ")
    if judgement.chi_dof and judgement.chi_square is not None:
        text = say(
            "terminal.fit", chi=f"{judgement.chi_square:.2f}", dof=judgement.chi_dof,
            probability=percent(judgement.chi_probability), worst=judgement.disagrees_most,
        )  # fmt: skip
        yield from screen.wrapped(text, "  - ", "    ")
    yield ""


def _places(judgement: Judgement, screen: Screen) -> Iterator[str]:
    if judgement.clearance is None or not judgement.clearance.places:
        return
    yield from (screen.heading(line) for line in screen.wrapped(say("terminal.places")))
    rows = [_place(place, judgement.unit) for place in judgement.clearance.places]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row, place in zip(rows, judgement.clearance.places, strict=True):
        cells = "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True))
        yield f"  {cells}  {screen.paint(place.verdict, HOW[place.verdict])}"
    yield ""


def _place(place: PlaceJudgement, unit: str) -> list[str]:
    half = coverage_factor(place.dof) * place.u_m
    return [
        place.label,
        length(place.diametral_m, unit),
        length(place.radial_m, unit, finer=True),
        f"± {uncertainty(half, unit)}",
        percent(place.probability),
    ]


def _budget(judgement: Judgement, screen: Screen) -> Iterator[str]:
    if not judgement.budget:
        return
    yield screen.heading(say("terminal.budget"))
    for line in judgement.budget:
        yield from screen.wrapped(_budget_row(line, judgement.unit), "  ", " " * 22)
    yield ""


def _budget_row(line: BudgetShown, unit: str) -> str:
    share = say("terminal.share", share=f"{100 * line.share:.0f}")
    u = say("terminal.budget_row", u=uncertainty(line.u_m, unit))
    return f"{share:>5}  {u:<14} {line.label} ({line.source})"
