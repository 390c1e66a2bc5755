"""Quantities other than the oil clearance, each judged by its own limit from the card's ladder."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from whitemetal.card import Card, Limit
from whitemetal.card.limited import LIMITED
from whitemetal.fitting.ladder import climb, has_authority, provisional
from whitemetal.fitting.verdict import WITHIN, Band, Policy, Word, judge_all, judge_one
from whitemetal.gauging.contract import Assessed, GeneralRule, Method, Result
from whitemetal.job.judgement import AssessedLimit, AssessedShown, AssessedValue
from whitemetal.job.shown import source_line
from whitemetal.quantity import Quantity, covariance_matrix, coverage_factor
from whitemetal.words import say

RULE = Policy()
"""Quantities are judged by the conformity probability; no other rule may be chosen for them."""


def assess(card: Card, method: Method, result: Result) -> tuple[AssessedShown, ...]:
    """Every assessed quantity of a result with its limits and its word. Pure."""
    rules = method.rules(card)
    return tuple(
        _assess(card, one, [rule for rule in (*rules, *one.rules) if rule.of == one.of])
        for one in result.assessed
    )


def _assess(card: Card, one: Assessed, rules: Sequence[GeneralRule]) -> AssessedShown:
    quantity = LIMITED[one.of]
    ladder = climb(card, one.of)
    word: Word | None = None
    probability: float | None = None
    band = _band(ladder.chosen)
    if ladder.chosen is not None and one.values:
        word, probability = _all(one.values, band)
    judged = ladder.chosen is not None
    return AssessedShown(
        of=one.of,
        label=one.label,
        dimension=quantity.dimension,
        unit=card.bearing.unit if quantity.unit == "mm" else quantity.unit,
        basis=quantity.bases[0],
        values=tuple(_value(w, v, band, judged) for w, v in zip(one.where, one.values, strict=True)),
        limit=_limit(ladder.chosen, word, probability) if ladder.chosen is not None else None,
        ladder=tuple(_limit(limit) for limit in ladder.limits),
        rules=tuple(_rule(rule, one.values) for rule in rules),
        word=word,
        probability=probability,
        note=one.note,
        needed=one.needed,
    )


def _band(limit: Limit | None) -> Band:
    if limit is None:
        return Band(None, None)
    return Band(limit.in_main_basis("minimum"), limit.in_main_basis("maximum"))


def _all(values: Sequence[Quantity], band: Band) -> tuple[Word, float]:
    numbers = np.array([value.value for value in values])
    dof = min(value.dof for value in values)
    return judge_all(numbers, covariance_matrix(values), dof, band, RULE)


def _value(where: str, value: Quantity, band: Band, judged: bool) -> AssessedValue:
    k = coverage_factor(value.dof)
    word, probability = judge_one(value.value, value.u, value.dof, band, RULE) if judged else (None, None)
    return AssessedValue(where, value.value, value.u, value.dof, k, k * value.u, word, probability)


def _limit(limit: Limit, word: Word | None = None, probability: float | None = None) -> AssessedLimit:
    return AssessedLimit(
        limit.basis,
        limit.rung,
        source_line(limit),
        limit.in_main_basis("minimum"),
        limit.in_main_basis("maximum"),
        limit.in_main_basis("renewal"),
        provisional(limit),
        note="" if has_authority(limit) else say("verdict.not_adopted"),
        word=word,
        probability=probability,
    )


def _rule(rule: GeneralRule, values: Sequence[Quantity]) -> AssessedLimit:
    band = Band(rule.minimum, rule.maximum)
    word: Word | None = None
    probability: float | None = None
    if values and (rule.minimum is not None or rule.maximum is not None):
        word, probability = _all(values, band)
    return AssessedLimit(
        LIMITED[rule.of].bases[0],
        "general rule",
        rule.source,
        rule.minimum,
        rule.maximum,
        rule.renewal,
        True,
        title=rule.title,
        word=word,
        probability=probability,
    )


def together(words: Sequence[tuple[Word | None, float | None, bool]]) -> tuple[Word, float | None]:
    """The word of several quantities: (word, probability, needed) of each; a word of None has no limit.

    Outside when any one is. Within when the least probability that all hold together, 1 - sum(1 - p)
    (Boole's inequality, whatever their correlation), is still 95 %. A needed quantity without a limit, or
    no quantity at all, leaves it not proven.
    """
    judged = [(word, chance) for word, chance, _ in words if word is not None and chance is not None]
    if not judged:
        return "not proven", None
    least = max(0.0, 1.0 - sum(1.0 - chance for _, chance in judged))
    if any(word == "outside limits" for word, _ in judged):
        return "outside limits", min(chance for _, chance in judged)
    unjudged = any(word is None and needed for word, _, needed in words)
    if len(judged) == 1:
        return ("not proven" if unjudged else judged[0][0]), judged[0][1]
    within = not unjudged and all(word == "within limits" for word, _ in judged) and least >= WITHIN
    return ("within limits" if within else "not proven"), least
