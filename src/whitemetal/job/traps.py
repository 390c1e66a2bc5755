"""Traps of basis and unit: what looks like the other one is questioned before it is believed."""

from __future__ import annotations

from dataclasses import replace

from whitemetal.card import Card, Limit, card_warnings
from whitemetal.card.doubts import TWICE
from whitemetal.fitting.ladder import Ladder
from whitemetal.gauging.contract import Facts, Finding, Result
from whitemetal.words import say

HALF = (0.45, 0.55)
"""With `TWICE`: a clearance this share of the middle of its limits looks like the other basis (common
practice)."""


def of_limits(card: Card, ladder: Ladder, result: Result) -> list[Finding]:
    """Questions that the card raises by itself, and the chosen limit against the clearance."""
    asked = [
        Finding(f"{doubt.code}.{doubt.field}", "question", doubt.text, doubt.source)
        for doubt in card_warnings(card)
    ]
    return asked if ladder.chosen is None else [*asked, *_other_basis(ladder.chosen, result)]


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
