"""Reasons and next steps from quantities other than the oil clearance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Protocol

from whitemetal.gauging.contract import Finding
from whitemetal.job import shown
from whitemetal.job.judgement import AssessedShown
from whitemetal.units import Dimension, clearance_step, show
from whitemetal.words import say


class Quantities(Protocol):
    """What is needed of a case."""

    @property
    def assessed(self) -> tuple[AssessedShown, ...]:
        """The quantities as judged."""

    def of(self, *severities: str) -> list[Finding]:
        """The findings of these severities."""


def in_words(one: AssessedShown, value: float | None) -> str:
    """A value of an assessed quantity [SI] in the unit it is shown in."""
    if value is None:
        return "–"
    dimension: Dimension = one.dimension  # type: ignore[assignment]
    if dimension == "length" and one.unit in ("mm", "in", "thou"):
        return show(value, one.unit, dimension, step=clearance_step(one.unit))
    return show(value, one.unit, dimension)


def reasons(case: Quantities) -> Iterator[str]:
    """What was found of each quantity, and what its limit says of it."""
    for one in case.assessed:
        for value in one.values:
            where = say("verdict.at", place=value.where) if value.where else ""
            found, spread = in_words(one, value.value), in_words(one, value.expanded)
            yield say("verdict.quantity", label=one.label, value=found, expanded=spread, where=where)
        yield from _against_limit(one)
        yield from _against_renewal(one)


def _against_limit(one: AssessedShown) -> Iterator[str]:
    limit = one.limit
    if limit is None:
        if one.needed:
            yield say("verdict.quantity_no_limit", label=one.label)
        judged = [rule for rule in one.rules if rule.word is not None]
        if judged:
            agree = sum(rule.word == "within limits" for rule in judged)
            yield say("verdict.quantity_rules", label=one.label, agree=agree, count=len(judged))
        return
    low = in_words(one, limit.minimum) if limit.minimum is not None else say("verdict.no_low")
    high = in_words(one, limit.maximum) if limit.maximum is not None else say("verdict.no_high")
    name = {"within limits": "within", "outside limits": "outside"}.get(one.word or "", "between")
    percent = shown.percent(one.probability if one.probability is not None else float("nan"))
    said = {"label": one.label, "low": low, "high": high, "rung": limit.rung, "percent": percent}
    yield say(f"verdict.quantity_{name}", **said)


def _against_renewal(one: AssessedShown) -> Iterator[str]:
    renewal = one.limit.renewal if one.limit is not None else None
    if renewal is not None and any(value.value >= renewal for value in one.values):
        yield say("verdict.quantity_renewal", label=one.label, limit=in_words(one, renewal))


def settle(case: Quantities) -> Sequence[str]:
    """What would settle a quantity that is not proven."""
    return [
        say("verdict.next_quantity_limit", label=one.label)
        for one in case.assessed
        if one.needed and one.limit is None
    ]


def next_steps(case: Quantities) -> Sequence[str]:
    """Faults first, then quantities outside their limits, then limits that are missing."""
    said = [say("verdict.next_fault")] if case.of("fault") else []
    said += [
        say("verdict.next_quantity", label=one.label) for one in case.assessed if one.word == "outside limits"
    ]
    return [*said, *settle(case)]
