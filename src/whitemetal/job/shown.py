"""Results and limits in the shape a face may show."""

from __future__ import annotations

import math

import numpy as np

from whitemetal.card import Limit
from whitemetal.fitting.ladder import Ladder, has_authority, provisional
from whitemetal.fitting.rules import RuleFigures
from whitemetal.fitting.verdict import Band, Policy, Word, acceptance_edges, judge_all
from whitemetal.gauging.contract import Finding, Named, Result
from whitemetal.job.judgement import BudgetShown, LimitShown, NamedValue, Warned
from whitemetal.quantity import BudgetLine
from whitemetal.words import say


def chosen(
    limit_judged: Limit | None, result: Result, band: Band, probability: float | None, word: Word
) -> LimitShown | None:
    """The limit judged by, with the guarded edges that follow from the widest place."""
    if limit_judged is None:
        return None
    edges: tuple[float | None, float | None] | None = (None, None)
    if result.places:
        widest = max((place.value for place in result.places), key=lambda value: value.u)
        edges = acceptance_edges(widest.u, widest.dof, band)
    low, high = edges if edges is not None else (None, None)
    return LimitShown(
        limit_judged.basis,
        limit_judged.rung,
        source_line(limit_judged),
        band.low,
        band.high,
        limit_judged.diametral("renewal"),
        provisional(limit_judged),
        low,
        high,
        probability,
        word,
    )


def limit(one: Limit) -> LimitShown:
    """A limit as it stands on the card, figures diametral."""
    note = "" if has_authority(one) else say("verdict.not_adopted")
    return LimitShown(
        one.basis,
        one.rung,
        source_line(one),
        one.diametral("minimum"),
        one.diametral("maximum"),
        one.diametral("renewal"),
        provisional(one),
        note=note,
    )


def source_line(one: Limit) -> str:
    """Document and revision in one line."""
    return f"{one.document}, revision {one.revision}" if one.revision else one.document


def stands_on(one: Limit) -> str:
    """Where a limit stands, in one line: its rung, document and revision."""
    return f"{one.rung}: {source_line(one)}"


def rules(ladder: Ladder, result: Result) -> tuple[LimitShown, ...]:
    """The general rules that apply, each judged by itself; never mixed."""
    return tuple(_rule(figures, result) for figures in ladder.rules)


def _rule(figures: RuleFigures, result: Result) -> LimitShown:
    band = Band(figures.minimum, figures.maximum)
    probability: float | None = None
    word: Word | None = None
    if result.places and (band.low is not None or band.high is not None):
        values = np.array([place.value.value for place in result.places])
        dof = min(place.value.dof for place in result.places)
        word, probability = judge_all(values, result.covariance, dof, band, Policy())
    kind = "limits" if band.low is not None or band.high is not None else "typical"
    note = figures.rule.title
    low = band.low if kind == "limits" else figures.typical
    high = band.high if kind == "limits" else figures.typical
    return LimitShown(
        "diametral",
        "general rule",
        figures.rule.source,
        low,
        high,
        figures.renewal,
        True,
        probability=probability,
        word=word,
        note=note,
        kind=kind,
    )


def warned(finding: Finding) -> Warned:
    """A finding as shown."""
    return Warned(finding.code, finding.severity, finding.text, finding.source, finding.place)


def line(one: BudgetLine) -> BudgetShown:
    """A line of the budget as shown; lengths [m]."""
    return BudgetShown(one.label, one.shape, one.u_input, one.u, one.share, one.dof, one.count, one.source)


def named(one: Named) -> NamedValue:
    """A further result as shown, its unit told."""
    unit = {"length": "m", "slope": "m/m", "angle": "rad"}[one.unit_kind]
    return NamedValue(one.key, one.label, one.quantity.value, one.quantity.u, unit, one.note)


def percent(probability: float) -> str:
    """A probability for people: never rounded to a certainty it is not."""
    if probability > 0.999:
        return "more than 99.9 %"
    if probability < 0.001:
        return "less than 0.1 %"
    return f"{100 * probability:.1f} %" if math.isfinite(probability) else "–"
