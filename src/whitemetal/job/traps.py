"""Traps of basis and unit: what looks like the other one is questioned before it is believed."""

from __future__ import annotations

from dataclasses import replace

from whitemetal.card import Card, Limit
from whitemetal.fitting.ladder import Ladder
from whitemetal.gauging.contract import Facts, Finding, Result
from whitemetal.units import clearance_step, show
from whitemetal.words import say

RELATIVE = (0.3e-3, 4e-3)
"""Relative clearance between which bearings run (common practice)."""

TWICE = (1.8, 2.2)
HALF = (0.45, 0.55)
"""A clearance near twice or half the middle of its limits looks like the other basis (common practice)."""


def of_limits(card: Card, ladder: Ladder, result: Result) -> list[Finding]:
    """Questions that the chosen limit raises, by itself and against the clearance."""
    if ladder.chosen is None:
        return []
    return [*_limit_relative(card, ladder.chosen), *_other_basis(ladder.chosen, result)]


def _limit_relative(card: Card, limit: Limit) -> list[Finding]:
    figures = [f for f in (limit.diametral("minimum"), limit.diametral("maximum")) if f is not None]
    diameter = card.bearing.journal_diameter
    if limit.confirmed_by or all(RELATIVE[0] <= figure / diameter <= RELATIVE[1] for figure in figures):
        return []
    unit = card.bearing.unit
    low, high = (
        show(figure, unit, "length", step=clearance_step(unit)) for figure in (min(figures), max(figures))
    )
    journal = show(diameter, unit, "length", step=clearance_step(unit))
    text = say("verdict.limit_relative", low=low, high=high, journal=journal)
    return [Finding("verdict.limit_relative", "question", text, "common practice")]


def _other_basis(limit: Limit, result: Result) -> list[Finding]:
    low, high = limit.diametral("minimum"), limit.diametral("maximum")
    if result.overall is None or low is None or high is None:
        return []
    ratio = result.overall.value / (0.5 * (low + high))
    outside = not low <= result.overall.value <= high
    if not outside or not (TWICE[0] <= ratio <= TWICE[1] or HALF[0] <= ratio <= HALF[1]):
        return []
    text = say("verdict.basis_twice", ratio=ratio, basis=limit.basis)
    return [Finding("verdict.basis_twice", "question", text, "common practice")]


def answered(finding: Finding, facts: Facts) -> Finding:
    """A question that a person has answered becomes a note with the answer in it."""
    if finding.severity != "question":
        return finding
    for key in (f"answer.{finding.code}.{finding.place}", f"answer.{finding.code}"):
        fact = facts.get(key)
        if fact is not None and fact.text.strip():
            text = say("verdict.answered", text=finding.text, answer=fact.text.strip())
            return replace(finding, severity="note", text=text)
    return finding
