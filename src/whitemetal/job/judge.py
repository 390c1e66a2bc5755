"""From a check to its judgement: the method's result, the ladder's limits, the verdict, what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from whitemetal.card import Card, Limit
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.fitting.ladder import Ladder, climb
from whitemetal.fitting.verdict import Band, Policy, Word, judge_all, judge_one
from whitemetal.gauging import Method, method_named
from whitemetal.gauging.contract import Facts, Finding, Place, PlaceResult, Reading, Result
from whitemetal.gauging.needed import missing
from whitemetal.job import advice, shown, traps
from whitemetal.job.assessed import assess, together
from whitemetal.job.judgement import (
    AssessedShown,
    Clearance,
    HoldShown,
    Judgement,
    PlaceJudgement,
    Struck,
)
from whitemetal.job.state import CheckState
from whitemetal.quantity import budget, coverage_factor
from whitemetal.words import say

DEFAULT_POLICY = Policy()


def judge_check(
    check: CheckState, card: Card, holds: Sequence[HoldShown], doubts: Sequence[Finding] = (),
    result: Result | None = None,
) -> Judgement:  # fmt: skip
    """The judgement of a check in a job. doubts: what the rest of the job says against it. result: what the
    method makes of it, where that is known already."""
    struck = tuple(Struck(one.reading.place, one.reading.text, one.by, one.why) for one in check.struck)
    return judge_readings(
        method_named(check.method),
        card,
        check.places,
        check.facts,
        check.readings,
        policy=policy_of(check),
        struck=struck,
        holds=holds,
        stale=" ".join(check.stale),
        extra=[*_of_entries(check), *doubts],
        result=result,
    )


def word_of(check: CheckState, card: Card, doubts: Sequence[Finding], result: Result) -> Word:
    """The word of the judgement that `judge_check` gives, and nothing else of it: numbers are reckoned only
    where no finding says it already."""
    method = method_named(check.method)
    extra = [*_of_entries(check), *doubts]
    weighed = _weighed(method, card, check.facts, check.readings, policy_of(check), extra, result)
    said = _said(weighed.findings, " ".join(check.stale))
    return said or _by_numbers(method, weighed, assess(card, method, result))[0]


def _of_entries(check: CheckState) -> list[Finding]:
    """What could not be read, and what two people wrote against each other."""
    unreadable = [
        Finding("verdict.unreadable", "hold", say("verdict.unreadable", place=place, typed=text), "", place)
        for _, place, text in check.unreadable
    ]
    return unreadable + [
        Finding("verdict.contradiction", "hold", say("verdict.contradiction", what=what))
        for what in check.contradictions
    ]


def policy_of(check: CheckState) -> Policy:
    """The decision rule that was chosen for a check, and by whom."""
    simple = check.rule.startswith("simple")
    return Policy("simple acceptance", check.rule_by, check.rule_why) if simple else Policy()


def judge_readings(
    method: Method,
    card: Card,
    places: tuple[Place, ...],
    facts: Facts,
    readings: tuple[Reading, ...],
    *,
    policy: Policy = DEFAULT_POLICY,
    struck: tuple[Struck, ...] = (),
    holds: Sequence[HoldShown] = (),
    stale: str = "",
    extra: Sequence[Finding] = (),
    result: Result | None = None,
) -> Judgement:
    """Judge readings by the card's ladder of limits. Pure; raises UnitError on a fact that cannot be read."""
    result = result or method.evaluate(card, places, facts, readings)
    weighed = _weighed(method, card, facts, readings, policy, extra, result)
    ladder, applied, findings = weighed.ladder, weighed.applied, weighed.findings
    band = _band(ladder.chosen)
    assessed = assess(card, method, result)
    numbers, probability = _by_numbers(method, weighed, assessed)
    word = _said(findings, stale) or numbers
    if stale and (result.overall is not None or assessed):
        stale = f"{stale} {say('verdict.was', word=_said(findings, '') or numbers)}"
    clearance = _clearance(result, band, applied, ladder.chosen is not None)
    case = advice.Case(
        card, result, ladder, band, word, numbers, probability, tuple(findings), stale, tuple(holds), method,
        assessed,
    )  # fmt: skip
    return Judgement(
        method=method.key,
        title=method.title,
        card_digest=card.digest,
        machine=f"{card.machine.tag} {card.machine.name}",
        bearing_name=card.bearing.position,
        unit=card.bearing.unit,
        verdict=word,
        probability=probability,
        clearance=clearance,
        limits=shown.chosen(ladder.chosen, result, band, probability, numbers),
        ladder=tuple(shown.limit(one) for one in ladder.limits),
        rules=shown.rules(ladder, result),
        reasons=advice.reasons(case, applied),
        warnings=tuple(shown.warned(finding) for finding in findings),
        settle=advice.settle(case),
        next=advice.next_steps(case),
        budget=tuple(shown.line(one) for one in budget(result.overall)) if result.overall is not None else (),
        assumed=tuple((one.label, one.text, one.source) for one in result.assumed),
        unknown=result.unknown,
        struck=struck,
        holds=tuple(holds),
        bearing="fit" if word == "within limits" and holds and all(h.closed for h in holds) else "not fit",
        stale=stale,
        decision_rule=advice.rule_in_words(applied),
        chi_square=result.fit.chi_square if result.fit else None,
        chi_dof=result.fit.dof if result.fit else 0,
        chi_probability=result.fit.probability if result.fit else None,
        disagrees_most=result.fit.worst if result.fit else "",
        assessed=assessed,
        proves=method.proves,
    )


@dataclass(frozen=True)
class _Weighed:
    """What a result is judged by: the card's limits, the decision rule, and what speaks against it."""

    result: Result
    ladder: Ladder
    applied: Policy
    findings: list[Finding]


def _weighed(
    method: Method, card: Card, facts: Facts, readings: tuple[Reading, ...], policy: Policy,
    extra: Sequence[Finding], result: Result,
) -> _Weighed:  # fmt: skip
    ladder = climb(card, OIL_CLEARANCE) if method.measures == OIL_CLEARANCE else Ladder(None, (), ())
    applied, refused = rule_applied(policy, ladder.chosen)
    findings = findings_of(method, card, facts, readings, result, ladder, [*extra, *refused])
    return _Weighed(result, ladder, applied, findings)


def _by_numbers(
    method: Method, weighed: _Weighed, assessed: Sequence[AssessedShown]
) -> tuple[Word, float | None]:
    """What the numbers of everything that was measured say, and how probable it is."""
    result, ladder = weighed.result, weighed.ladder
    clearance = _numbers(result, ladder, _band(ladder.chosen), weighed.applied)
    return _together(method, result, assessed, clearance)


def findings_of(
    method: Method, card: Card, facts: Facts, readings: tuple[Reading, ...], result: Result, ladder: Ladder,
    extra: Sequence[Finding] = (),
) -> list[Finding]:  # fmt: skip
    """Everything that speaks against a result: what is missing, what the method found, what the card asks."""
    findings = [*extra, *missing(method, facts, readings), *result.findings]
    findings += traps.of_limits(card, ladder, result) if method.measures == OIL_CLEARANCE else []
    return [traps.answered(finding, facts) for finding in findings]


def _said(findings: Sequence[Finding], stale: str) -> Word | None:
    """What holds, questions, faults and a change of the fit say, whatever the numbers do; None where they
    leave it to the numbers."""
    said = {finding.severity for finding in findings}
    if stale or "refused" in said:
        return "not proven"
    if "fault" in said:
        return "outside limits"
    return "not proven" if said & {"hold", "question"} else None


def _together(
    method: Method,
    result: Result,
    shown: Sequence[AssessedShown],
    clearance: tuple[Word, float | None],
) -> tuple[Word, float | None]:
    """The word of the clearance, where the method measures it, and of every assessed quantity together.

    A method that neither measures the clearance nor assesses anything (all its answers are yes or no) is
    within limits while nothing is found at fault or open.
    """
    if method.measures == OIL_CLEARANCE:
        if not shown or clearance[1] is None:
            return clearance
        return together([(*clearance, True), *((one.word, one.probability, one.needed) for one in shown)])
    if not method.assesses:
        return "within limits", None
    return together([(one.word, one.probability, one.needed) for one in shown])


def rule_applied(policy: Policy, limit: Limit | None) -> tuple[Policy, list[Finding]]:
    """Simple acceptance counts only where the maker states limit and method together, chosen by name."""
    if policy.rule != "simple acceptance" or (limit is not None and limit.with_wire_method and policy.by):
        return policy, []
    return Policy(), [Finding("verdict.simple_refused", "warning", say("verdict.simple_refused"))]


def _band(limit: Limit | None) -> Band:
    return Band(None, None) if limit is None else Band(limit.diametral("minimum"), limit.diametral("maximum"))


def common_dof(result: Result) -> float:
    """The degrees of freedom of the joint probability: the least of any place."""
    return min((place.value.dof for place in result.places), default=float("inf"))


def _numbers(result: Result, ladder: Ladder, band: Band, policy: Policy) -> tuple[Word, float | None]:
    """What the numbers alone say, before holds and questions."""
    if not result.places:
        return "not proven", None
    if ladder.chosen is None:
        against = [one.word for one in shown.rules(ladder, result) if one.word is not None]
        unanimous = against and all(word == "outside limits" for word in against)
        return ("outside limits" if unanimous else "not proven"), None
    values = np.array([place.value.value for place in result.places])
    return judge_all(values, result.covariance, common_dof(result), band, policy)


def _clearance(result: Result, band: Band, policy: Policy, judged: bool) -> Clearance | None:
    if result.overall is None:
        return None
    overall = result.overall
    k = coverage_factor(overall.dof)
    change = next((named.quantity for named in result.named if named.key == "end_to_end"), None)
    return Clearance(
        overall.value,
        0.5 * overall.value,
        overall.u,
        overall.dof,
        k,
        k * overall.u,
        change.value if change else None,
        change.u if change else None,
        tuple(_place(one, band, policy, judged) for one in result.places),
        tuple(shown.named(one) for one in result.named),
    )


def _place(one: PlaceResult, band: Band, policy: Policy, judged: bool) -> PlaceJudgement:
    place, value = one.place, one.value
    word: Word = "not proven"
    probability: float | None = None
    if judged:
        word, probability = judge_one(value.value, value.u, value.dof, band, policy)
    return PlaceJudgement(
        place.label,
        place.title or place.label,
        place.axial,
        place.angle,
        place.lies,
        place.piece,
        one.squeezes,
        one.readings,
        one.reading,
        value.value,
        0.5 * value.value,
        value.u,
        value.dof,
        word,
        probability,
        one.residual,
        one.standardized,
    )
