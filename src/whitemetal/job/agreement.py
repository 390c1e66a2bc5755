"""Which checks of a job are put side by side, what comes of it, and the doubt it casts on a judgement.

Checks of one purpose ("as found", "as left") that still count for the fit as it is are compared; a journal's
survey belongs to every purpose while the journal is as surveyed. A check that something holds up is compared
but not pooled.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from whitemetal.card import Card
from whitemetal.gauging import METHODS
from whitemetal.gauging.agreement import Compared, Pair, Said, Tapers, compare, own_influences, tapers
from whitemetal.gauging.causes import Known, Suspect, next_to_measure, suspects
from whitemetal.gauging.contract import (
    BORE_CHANGE,
    CLEARANCE,
    GAP_CHANGE,
    JOURNAL_CHANGE,
    Finding,
    Result,
    Severity,
)
from whitemetal.gauging.needed import missing
from whitemetal.job.agreement_shown import (
    AGREEMENT,
    Agreement,
    AgreementWord,
    Change,
    LeftOut,
    Measured,
    PairShown,
    SideBySide,
    SuspectShown,
    TaperShown,
)
from whitemetal.job.judgement_json import plain
from whitemetal.job.shown import percent
from whitemetal.job.state import CheckState, JobState
from whitemetal.quantity import Quantity, coverage_factor
from whitemetal.units import clearance_step, show
from whitemetal.words import say

MEASURANDS = (CLEARANCE, GAP_CHANGE, BORE_CHANGE, JOURNAL_CHANGE)
SURVEY = "journal"
HOLDS = ("hold", "refused")


@dataclass(frozen=True)
class Read:
    """A check as its method reads it. why: what holds it up, "" when it counts."""

    check: CheckState
    said: Said
    result: Result
    why: str


@dataclass(frozen=True)
class Comparison:
    """The checks of one purpose and what they come to, before it is put in words."""

    purpose: str
    card: Card
    reads: tuple[Read, ...]
    compared: tuple[Compared, ...]
    known: Known

    @property
    def checks(self) -> tuple[Said, ...]:
        """What each check says."""
        return tuple(read.said for read in self.reads)

    @cached_property
    def taper(self) -> Tapers | None:
        """At whose door the change along the land lies. Nothing that a check is doubted for."""
        return tapers(self.checks)

    def title(self, name: str) -> str:
        """The title of a check."""
        return next(read.said.title for read in self.reads if read.said.name == name)

    def suspects(self, compared: Compared, pair: Pair) -> tuple[Suspect, ...]:
        """The usual causes; known for the clearance itself."""
        if compared.of != CLEARANCE:
            return ()
        return suspects(self.card, compared, self.checks, pair, self.known)


def evaluated(card: Card, check: CheckState) -> Result:
    """What a check's method makes of it."""
    return METHODS[check.method].evaluate(card, check.places, check.facts, check.readings)


def read_as(card: Card, check: CheckState, title: str) -> Read:
    """A check as its method reads it. title: what it is called beside the others."""
    return read_from(check, evaluated(card, check), title)


ReadAs = Callable[[Card, CheckState, str], Read]
"""`read_as`, or one that remembers."""


def comparisons(state: JobState, card: Card, read: ReadAs = read_as) -> tuple[Comparison, ...]:
    """One comparison for each purpose in which at least two checks can be put side by side. Pure."""
    return compare_checks(tuple(state.checks.values()), card, read)


def compare_checks(
    checks: Sequence[CheckState], card: Card, read: ReadAs = read_as
) -> tuple[Comparison, ...]:
    """The same of checks in the order in which they were begun."""
    every = _reads(checks, card, read)
    reads = [read for read in every if read.said.says]
    known = Known(_greatest(every, "journal out-of-round"), _greatest(every, "joint feeler"))
    found = []
    for purpose in dict.fromkeys(read.check.purpose for read in reads):
        own = [read for read in reads if read.check.purpose == purpose]
        if not any(read.check.method == SURVEY for read in own):
            own += [read for read in reads if read.check.method == SURVEY and read.check.purpose != purpose]
        comparison = _compared(purpose, card, own, known)
        if comparison.compared or (len(own) > 1 and comparison.taper is not None):
            found.append(comparison)
    return tuple(found)


def _compared(purpose: str, card: Card, reads: Sequence[Read], known: Known) -> Comparison:
    checks = [read.said for read in reads]
    made = tuple(one for of in MEASURANDS if (one := compare(of, checks)) is not None)
    return Comparison(purpose, card, tuple(reads), made, known)


def _greatest(reads: Sequence[Read], of: str) -> Quantity | None:
    """The greatest value of an assessed quantity that any of these checks found."""
    found = [value for read in reads for one in read.result.assessed if one.of == of for value in one.values]
    return max(found, key=lambda value: value.value, default=None)


def _reads(checks: Sequence[CheckState], card: Card, read: ReadAs) -> tuple[Read, ...]:
    """The live checks as their methods read them, in the order they were begun."""
    live = [check for check in checks if not check.stale and check.method in METHODS]
    titles = _titles(live)
    begun = [check for check in live if check.readings or check.facts]
    return tuple(read(card, check, titles[check.check]) for check in begun)


def _titles(checks: Sequence[CheckState]) -> dict[str, str]:
    """A title for each check, numbered where two are alike."""
    named: dict[str, str] = {}
    for check in checks:
        plain_title = METHODS[check.method].title
        count = sum(other.method == check.method for other in checks if other.check in named)
        named[check.check] = f"{plain_title} {count + 1}" if count else plain_title
    return named


def read_from(check: CheckState, result: Result, title: str) -> Read:
    """The same from what its method made of it."""
    method = METHODS[check.method]
    lacking = missing(method, check.facts, check.readings)
    held = [finding.text for finding in (*lacking, *result.findings) if finding.severity in HOLDS]
    held += [say("verdict.unreadable", place=place, typed=text) for _, place, text in check.unreadable]
    held += list(check.contradictions)
    instruments = sorted({reading.instrument for reading in check.readings})
    said = Said(
        check.check, title, check.method, own_influences(check.check, result.says, instruments), check.facts,
        frozenset(finding.code for finding in (*lacking, *result.findings)), not held,
    )  # fmt: skip
    return Read(check, said, result, held[0] if held else "")


def doubts_of(state: JobState, card: Card, read: ReadAs = read_as) -> dict[str, tuple[Finding, ...]]:
    """For each check of a job what the others say against it; checks without such a doubt are left out."""
    found = comparisons(state, card, read)
    said = {check: doubts(found, check) for check in state.checks}
    return {check: doubt for check, doubt in said.items() if doubt}


def doubts(found: Sequence[Comparison], check: str) -> tuple[Finding, ...]:
    """What the other checks of its purpose say against a check: a *question* where both count."""
    return tuple(
        _doubt(comparison, compared, pair, check, severity)
        for comparison in found
        for compared in comparison.compared
        for pair, severity in _against(compared, check)
    )


def _against(compared: Compared, check: str) -> Iterator[tuple[Pair, Severity]]:
    """The worst pair this check is in, for what counts; and what a held check has against it."""
    counts = {one.name: one.counts for one in compared.values}
    mine = [pair for pair in compared.pairs if check in (pair.high, pair.low)]
    both = [pair for pair in mine if counts[pair.high] and counts[pair.low]]
    if both and not compared.consistent and (both[0].normalized > 1.0 or both[0] == compared.worst):
        yield both[0], "question"
        return
    held = [pair for pair in mine if pair not in both and pair.normalized > 1.0]
    if held and counts[check]:
        yield held[0], "warning"


def _doubt(comparison: Comparison, compared: Compared, pair: Pair, check: str, severity: Severity) -> Finding:
    high = check == pair.high
    causes = comparison.suspects(compared, pair)
    name = "agreement.contradicts" if severity == "question" else "agreement.held_contradicts"
    likeliest = say("agreement.likeliest", cause=causes[0].title) if causes else ""
    other = comparison.title(pair.low if high else pair.high)
    text = say(
        name, what=say(f"agreement.of_{compared.of}"), other=other,
        difference=_length(comparison.card, pair.difference.value),
        word=say("agreement.less") if high else say("agreement.more"), times=f"{pair.normalized:.1f}",
        likeliest=likeliest,
    ).rstrip()  # fmt: skip
    return Finding(f"agreement.disagree.{compared.of}", severity, text, say("agreement.source"))


def agreements(found: Sequence[Comparison]) -> tuple[Agreement, ...]:
    """Every comparison in words and numbers, as faces show it."""
    return tuple(_shown(comparison) for comparison in found)


def agreement_json(found: Sequence[Agreement]) -> dict[str, Any]:
    """Agreements as plain JSON values: lengths in metres under keys ending in _m."""
    return {"format": AGREEMENT, "purposes": [plain(one) for one in found]}


def _shown(comparison: Comparison) -> Agreement:
    measured = tuple(_measured(comparison, compared) for compared in comparison.compared)
    words = {one.word for one in measured}
    word: AgreementWord = "disagree" if "disagree" in words else "agree" if "agree" in words else "one counts"
    left = tuple(LeftOut(r.said.name, r.said.title, r.why) for r in comparison.reads if r.why)
    unit = comparison.card.bearing.unit
    return Agreement(comparison.purpose, unit, word, measured, _taper(comparison), left)


def _measured(comparison: Comparison, compared: Compared) -> Measured:
    worst = compared.worst
    causes = comparison.suspects(compared, worst) if worst is not None else ()
    pooled = compared.pooled
    values = tuple(
        SideBySide(
            one.name, comparison.title(one.name), one.value.value, one.value.u, one.k, one.low, one.high,
            one.weight, one.counts,
        )
        for one in compared.values
    )  # fmt: skip
    return Measured(
        of=compared.of,
        label=say(f"agreement.of_{compared.of}"),
        values=values,
        word=_word(compared),
        chi_square=compared.chi_square,
        dof=compared.dof,
        probability=compared.probability,
        birge=compared.birge,
        pooled_m=pooled.value if pooled is not None else None,
        pooled_u_m=pooled.u if pooled is not None else None,
        pooled_expanded_m=coverage_factor(pooled.dof) * pooled.u if pooled is not None else None,
        text=_sentence(comparison, compared),
        pairs=tuple(_pair(comparison, pair) for pair in compared.pairs),
        suspects=tuple(_suspect(one) for one in causes),
        next=next_to_measure(causes),
    )


def _word(compared: Compared) -> AgreementWord:
    if not compared.consistent:
        return "disagree"
    return "agree" if compared.pooled is not None else "one counts"


def _sentence(comparison: Comparison, compared: Compared) -> str:
    numbers = {"chi": f"{compared.chi_square:.1f}", "dof": compared.dof, "birge": f"{compared.birge:.2f}",
               "chance": percent(compared.probability)}  # fmt: skip
    worst, pooled = compared.worst, compared.pooled
    if worst is not None:
        return say(
            "agreement.not_averaged", high=comparison.title(worst.high), low=comparison.title(worst.low),
            difference=_length(comparison.card, worst.difference.value), times=f"{worst.normalized:.1f}",
            **numbers,
        )  # fmt: skip
    if pooled is None:
        return say("agreement.one_counts")
    expanded = coverage_factor(pooled.dof) * pooled.u
    value, within = _length(comparison.card, pooled.value), _length(comparison.card, expanded)
    return say("agreement.pooled", value=value, expanded=within, **numbers)


def _pair(comparison: Comparison, pair: Pair) -> PairShown:
    high, low = comparison.title(pair.high), comparison.title(pair.low)
    difference = _length(comparison.card, pair.difference.value)
    text = say("agreement.pair", high=high, low=low, difference=difference, times=f"{pair.normalized:.2f}")
    apart = pair.normalized > 1.0
    return PairShown(high, low, pair.difference.value, pair.difference.u, pair.normalized, apart, text)


def _suspect(one: Suspect) -> SuspectShown:
    reasons = tuple((reason.points, reason.text) for reason in one.reasons)
    return SuspectShown(
        one.code, one.name, one.title, one.points, one.points > 0, reasons, one.looks, one.next
    )


def _taper(comparison: Comparison) -> TaperShown | None:
    found = comparison.taper
    if found is None:
        return None
    parts: Mapping[str, Quantity] = {
        GAP_CHANGE: found.gap, BORE_CHANGE: found.bore, JOURNAL_CHANGE: found.journal
    }  # fmt: skip
    changes = tuple(
        Change(say(f"agreement.of_{of}"), q.value, coverage_factor(q.dof) * q.u, of == found.inferred)
        for of, q in parts.items()
    )
    closure = found.closure
    name = "open" if not found.closes else found.door.replace(" ", "_")
    first, last = comparison.card.bearing.ends
    return TaperShown(
        changes,
        closure.value if closure is not None else None,
        coverage_factor(closure.dof) * closure.u if closure is not None else None,
        found.closes if closure is not None else None,
        found.door,
        say(f"agreement.taper_{name}", first=first, last=last),
    )


def _length(card: Card, value: float) -> str:
    unit = card.bearing.unit
    return show(value, unit, "length", step=clearance_step(unit))
