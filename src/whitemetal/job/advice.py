"""Reasons, what would settle a doubt, and what to do next, in order: dirt and seating, shims, metal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.fitting.ladder import Ladder, provisional
from whitemetal.fitting.rules import SMALL
from whitemetal.fitting.verdict import TOO_COARSE, Band, Policy, Word, squeezes_to_settle
from whitemetal.gauging.contract import Finding, Method, PlaceResult, Result
from whitemetal.job import by_quantity, shown
from whitemetal.job.judgement import AssessedShown, HoldShown
from whitemetal.quantity import budget, coverage_factor
from whitemetal.units import clearance_step, show
from whitemetal.words import say

DOES_NOT_REPEAT = ("mpe", "zero", "spring_back", "curl", "temperature", "gasket_share", "shim")
"""Families of the budget that repeating the squeeze does not shrink."""


@dataclass(frozen=True)
class Case:
    """What the words are made from. word: the verdict; numbers: what the numbers alone would say."""

    card: Card
    result: Result
    ladder: Ladder
    band: Band
    word: Word
    numbers: Word
    probability: float | None
    findings: tuple[Finding, ...]
    stale: str
    holds: tuple[HoldShown, ...]
    method: Method
    assessed: tuple[AssessedShown, ...] = ()

    @property
    def of_clearance(self) -> bool:
        """Whether the method measures the oil clearance."""
        return self.method.measures == OIL_CLEARANCE

    def length(self, value: float) -> str:
        """A length [m] in the card's unit, to the step clearances are shown in."""
        unit = self.card.bearing.unit
        return show(value, unit, "length", step=clearance_step(unit))

    @cached_property
    def squeezes_left(self) -> int | None:
        """How many more squeezes that agree would settle it; None when repeating does not."""
        places = self.result.places
        values = np.array([place.value.value for place in places])
        dof = min(place.value.dof for place in places)
        done = max(place.squeezes for place in places)
        total = squeezes_to_settle(
            values, self.result.covariance, dof, self.result.shrinking, done, self.band
        )
        return None if total is None else total - done

    def of(self, *severities: str) -> list[Finding]:
        """The findings of these severities."""
        return [finding for finding in self.findings if finding.severity in severities]


def _root(family: str) -> str:
    """A family without the instrument it is of."""
    return family.split(".", 1)[0]


def rule_in_words(policy: Policy) -> str:
    """The decision rule as a sentence, with who chose it where it is not the default."""
    if policy.rule == "simple acceptance":
        return say("verdict.rule_simple", by=policy.by, why=policy.why)
    return say("verdict.rule_conformity")


def reasons(case: Case, policy: Policy) -> tuple[str, ...]:
    """Why the verdict is what it is, weightiest first."""
    said = []
    if case.stale:
        said.append(say("verdict.stale", why=case.stale))
    said += [finding.text for finding in case.of("refused")]
    said += [say("verdict.fault", text=finding.text) for finding in case.of("fault")]
    held, asked = len(case.of("hold")), len(case.of("question"))
    if held:
        said.append(say("verdict.held", count=held))
    if asked:
        said.append(say("verdict.asked", count=asked))
    nothing = () if case.of("refused") else (say("verdict.no_result"),)
    if not case.result.places and not case.assessed and case.method.assesses:
        return (*said, *nothing)
    said += list(by_quantity.reasons(case))
    limited = case.of_clearance and case.ladder.chosen is not None
    if sum(one.word is not None for one in case.assessed) + limited > 1:
        said.append(say("verdict.together", percent=shown.percent(case.probability or 0.0)))
    if not case.of_clearance:
        return tuple(said)
    if not case.result.places:
        return (*said, *nothing)
    said += list(_by_rules(case)) if case.ladder.chosen is None else list(_by_limit(case, policy))
    if case.ladder.rules and case.card.bearing.journal_diameter < SMALL:
        said.append(say("verdict.rules_collide"))
    said.append(_extremes(case))
    return tuple(said)


def _by_limit(case: Case, policy: Policy) -> Iterator[str]:
    limit = case.ladder.chosen
    assert limit is not None
    low = case.length(case.band.low) if case.band.low is not None else say("verdict.no_low")
    high = case.length(case.band.high) if case.band.high is not None else say("verdict.no_high")
    if policy.rule == "simple acceptance":
        name = "simple_within" if case.numbers == "within limits" else "simple_outside"
        yield say(f"verdict.{name}", low=low, high=high, rung=limit.rung, by=policy.by, why=policy.why)
    else:
        name = {"within limits": "within", "outside limits": "outside", "not proven": "between"}[case.numbers]
        percent = shown.percent(case.probability if case.probability is not None else float("nan"))
        yield say(f"verdict.{name}", low=low, high=high, rung=limit.rung, percent=percent)
    if provisional(limit):
        yield say("verdict.provisional", by=limit.signed_by)
    renewal = limit.diametral("renewal")
    greatest = max(case.result.places, key=lambda place: place.value.value)
    if renewal is not None and greatest.value.value >= renewal:
        yield say("verdict.renewal_reached", place=greatest.place.label, limit=case.length(renewal))
    expanded = coverage_factor(greatest.value.dof) * greatest.value.u
    if expanded > TOO_COARSE * case.band.width:
        yield say("verdict.coarse", expanded=case.length(expanded), width=case.length(case.band.width))


def _by_rules(case: Case) -> Iterator[str]:
    yield say("verdict.no_limit")
    judged = [one for one in shown.rules(case.ladder, case.result) if one.word is not None]
    agree = sum(one.word == "within limits" for one in judged)
    if judged and case.numbers == "outside limits":
        yield say("verdict.rules_against", count=len(judged))
    elif judged:
        yield say("verdict.rules_spread", agree=agree, count=len(judged))


def _extremes(case: Case) -> str:
    def expanded(place: PlaceResult) -> str:
        return case.length(coverage_factor(place.value.dof) * place.value.u)

    least = min(case.result.places, key=lambda place: place.value.value)
    greatest = max(case.result.places, key=lambda place: place.value.value)
    return say(
        "verdict.least",
        place=least.place.label,
        value=case.length(least.value.value),
        expanded=expanded(least),
        other=greatest.place.label,
        highest=case.length(greatest.value.value),
        widest=expanded(greatest),
    )


def settle(case: Case) -> tuple[str, ...]:
    """What would settle a *not proven*; empty for the other verdicts."""
    if case.word != "not proven":
        return ()
    said = [
        say("verdict.settle_hold", text=finding.text) for finding in case.of("refused", "hold", "question")
    ]
    if case.stale:
        said.append(say("verdict.next_stale"))
    said += by_quantity.settle(case)
    if not case.of_clearance:
        return tuple(said)
    if case.ladder.chosen is None:
        return (*said, say("verdict.next_authority"))
    if case.numbers != "not proven" or not case.result.places:
        return tuple(said)
    more = case.squeezes_left
    if more is not None:
        again = say("verdict.settle_repeats", count=more, again=case.method.again)
        return (*said, again, say("verdict.engineer"))
    return (*said, *_not_by_repeats(case), *_finer(case), say("verdict.engineer"))


def _finer(case: Case) -> tuple[str, ...]:
    return (case.method.finer,) if case.method.finer else ()


def _not_by_repeats(case: Case) -> Iterator[str]:
    widest = max((place.value for place in case.result.places), key=lambda value: value.u)
    families = {influence.label: influence.family for influence in widest.parts}
    staying = [one for one in budget(widest) if _root(families.get(one.label, "")) in DOES_NOT_REPEAT]
    if not staying or case.result.shrinking > 0.5:
        yield say("verdict.settle_edge")
        return
    family = _root(families[staying[0].label])
    how = say({"mpe": "verdict.how_mpe", "curl": "verdict.how_curl"}.get(family, "verdict.how_other"))
    yield say("verdict.settle_share", label=staying[0].label, u=case.length(staying[0].u), how=how)


def next_steps(case: Case) -> tuple[str, ...]:
    """What to do next, in order."""
    if case.of("refused"):
        return (say("verdict.next_method"),)
    if case.stale:
        return (say("verdict.next_stale"),)
    said = []
    if case.of("question"):
        said.append(say("verdict.next_answer"))
    if case.of("hold"):
        said.append(say("verdict.next_clear"))
    said += by_quantity.next_steps(case)
    if not case.of_clearance:
        return (*said, *_when_within(case))
    if not case.result.places:
        return (*said, say("verdict.next_read"))
    said += list(_by_word(case))
    return tuple(said)


def _by_word(case: Case) -> Iterator[str]:
    if case.numbers == "outside limits":
        yield from _outside(case)
    elif case.ladder.chosen is None:
        yield say("verdict.next_authority")
    elif case.numbers == "not proven":
        yield say("verdict.next_dirt")
        more = case.squeezes_left
        if more is not None:
            yield say("verdict.next_repeat", count=more, again=case.method.again)
        else:
            yield from _finer(case)
    else:
        yield from _when_within(case)


def _when_within(case: Case) -> Iterator[str]:
    if case.word != "within limits":
        return
    if case.method.finish:
        yield case.method.finish
    if case.of_clearance:
        yield say("verdict.next_close")
    open_holds = [hold.text for hold in case.holds if not hold.closed]
    if open_holds:
        yield say("verdict.next_holds", holds="; ".join(open_holds))


def _outside(case: Case) -> Iterator[str]:
    """Dirt and seating first, then shims, then metal."""
    yield say("verdict.next_dirt")
    yield say("verdict.next_torque", again=case.method.again)
    mean = case.result.overall.value if case.result.overall else 0.0
    low = case.band.low if case.band.low is not None else 0.0
    small = any(place.value.value < low for place in case.result.places) and mean < _middle(case)
    if case.card.joint.opens_bore:
        yield say("verdict.next_shims_small" if small else "verdict.next_shims_large")
    else:
        yield say("verdict.next_no_shims")
    if small:
        forbidden = case.card.bearing.scraping_allowed is False
        yield say("verdict.next_no_scraping" if forbidden else "verdict.next_metal_small")
    else:
        renewal = case.ladder.chosen.diametral("renewal") if case.ladder.chosen else None
        yield say(
            "verdict.next_renew" if renewal is not None and mean >= renewal else "verdict.next_metal_large"
        )
    yield say("verdict.next_again")


def _middle(case: Case) -> float:
    figures = [figure for figure in (case.band.low, case.band.high) if figure is not None]
    return sum(figures) / len(figures) if figures else float("inf")
