"""How several checks agree, as text for the terminal. Nothing is compared or decided here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from whitemetal.cli.judgement_text import listed
from whitemetal.cli.screen import Screen
from whitemetal.job.agreement_shown import Agreement, Measured, SuspectShown, TaperShown
from whitemetal.sheets.text import length, percent
from whitemetal.words import say

HOW = {"agree": "good", "disagree": "bad", "one counts": "open"}
MOST = 5
"""Causes shown on the terminal. Our own."""


def agreement_lines(found: Sequence[Agreement], screen: Screen) -> Iterator[str]:
    """Every purpose with its measurands, the usual causes of a contradiction, and whose taper it is."""
    if not found:
        yield from screen.wrapped(say("agreement.nothing"))
    for one in found:
        word = say(f"agreement.word_{one.word.replace(' ', '_')}")
        yield screen.heading(f"{one.purpose}: ") + screen.paint(word, HOW[one.word])
        for measured in one.measured:
            yield from _measured(measured, one.unit, screen)
        if one.taper is not None:
            yield from _taper(one.taper, one.unit, screen)
        left = [f"{check.title}: {check.why}" for check in one.left_out]
        yield from listed(say("agreement.left_out"), left, screen)


def _measured(measured: Measured, unit: str, screen: Screen) -> Iterator[str]:
    yield ""
    yield screen.heading(measured.label)
    width = max(len(value.title) for value in measured.values)
    for value in measured.values:
        low, high = length(value.low_m, unit), length(value.high_m, unit)
        share = percent(value.weight) if measured.pooled_m is not None and value.counts else ""
        share = share if value.counts else say("agreement.not_counted")
        yield f"  {value.title:<{width}}  {length(value.value_m, unit)}  ({low} ... {high})  {share}".rstrip()
    yield from screen.wrapped(measured.text, "  ", "  ")
    apart = [pair.text for pair in measured.pairs if pair.apart]
    yield from listed(say("agreement.pairs"), apart, screen)
    causes = [_cause(one) for one in measured.suspects if one.likely][:MOST]
    yield from listed(say("agreement.causes"), causes, screen, numbered=True)
    yield from listed(say("agreement.measure_next"), measured.next, screen, numbered=True)


def _cause(one: SuspectShown) -> str:
    reasons = "; ".join(f"{points:+d} {why}" for points, why in one.reasons)
    return f"{one.title} ({say('agreement.points', points=one.points)}: {reasons}). {one.looks}"


def _taper(taper: TaperShown, unit: str, screen: Screen) -> Iterator[str]:
    yield ""
    yield screen.heading(say("agreement.taper"))
    for change in taper.changes:
        inferred = f"  {say('agreement.inferred')}" if change.inferred else ""
        value, within = length(change.value_m, unit), length(change.expanded_m, unit)
        yield f"  {change.label}: {value} ± {within}{inferred}"
    yield from screen.wrapped(taper.text, "  ", "  ")
