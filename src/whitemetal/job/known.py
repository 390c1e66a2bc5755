"""What is known of a bearing from its own checks: the facts that speak for or against a cause of damage.

How the bearing was found is what its damage came from, so a check "as found" goes before any other, also one
that a change of the fit has since made stale. Every fact says which check it is from; one that no check and
no person tells stays open and then speaks neither way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields

from whitemetal.gauging import METHODS
from whitemetal.inspect.causes import Known
from whitemetal.job.damage import ASKED
from whitemetal.job.judgement import AssessedShown, Judgement, Word
from whitemetal.job.kinds import is_as_found
from whitemetal.job.state import Answer, CheckState, JobState
from whitemetal.units import clearance_step, show
from whitemetal.words import say

TAPER = 0.1
"""A clearance that changes by more than this share of itself from end to end is tapered. Our own."""

FACTS: tuple[str, ...] = tuple(field.name for field in fields(Known))

Judgements = Mapping[str, Judgement]
Told = tuple[bool | None, str]
"""A fact's value and what was seen, in words; "" where nothing was."""


@dataclass(frozen=True)
class KnownFact:
    """A fact of `causes.Known`. value: None where it is not known. said: where it is from, or why it is open.
    check: that tells it, "" where none does. methods: that would tell it; by_hand: a person may state it."""

    fact: str
    text: str
    value: bool | None
    said: str
    check: str = ""
    methods: tuple[str, ...] = ()
    by_hand: bool = False


@dataclass(frozen=True)
class _Source:
    """How a fact is told. methods: keys of methods that tell it, the better one first; proves: instead, any
    method that proves this point. tell: from the check and its judgement."""

    tell: Callable[[CheckState, Judgement], Told]
    methods: tuple[str, ...] = ()
    proves: str = ""

    @property
    def able(self) -> tuple[str, ...]:
        """Keys of the methods that tell it."""
        if self.proves:
            return tuple(key for key, method in METHODS.items() if method.proves == self.proves)
        return tuple(key for key in self.methods if key in METHODS)


def known_facts(state: JobState, judgements: Judgements, answers: Sequence[Answer]) -> tuple[KnownFact, ...]:
    """Every fact there is, in the order of `causes.Known`. judgements: of the checks that were measured."""
    return tuple(_fact(fact, state, judgements, answers) for fact in FACTS)


def known_of(facts: Sequence[KnownFact]) -> Known:
    """The facts as the ranking takes them."""
    return Known(**{one.fact: one.value for one in facts})


def _fact(fact: str, state: JobState, judgements: Judgements, answers: Sequence[Answer]) -> KnownFact:
    sources = SOURCES.get(fact, ())
    text = say(f"inspect.fact_{fact}")
    methods = tuple(dict.fromkeys(key for source in sources for key in source.able))
    by_hand = fact in ASKED
    said_by = [one for source in sources for one in _told_by(source, state, judgements)]
    sure = [one for one in said_by if one[1] is not None]
    if len({value for _, value, _ in sure}) > 1:
        both = "; ".join(said for _, _, said in sure)
        return KnownFact(fact, text, None, say("inspect.disagree", checks=both), sure[0][0], methods)
    if sure:
        check, known, said = sure[0]
        return KnownFact(fact, text, known, said, check, methods)
    seen = next((said for _, _, said in said_by if said), "")
    value, said = _answered([one for one in answers if one.fact == fact]) if by_hand else (None, "")
    return KnownFact(fact, text, value, said or seen or say("inspect.not_known"), "", methods, by_hand)


def _told_by(
    source: _Source, state: JobState, judgements: Judgements
) -> Iterator[tuple[str, bool | None, str]]:
    """What each check says of a fact: the check, the value, the sentence."""
    for check in _checks(state, source.able, judgements):
        value, what = source.tell(check, judgements[check.check])
        yield check.check, value, say("inspect.told", check=_named(check), what=what) if what else ""


def _checks(state: JobState, able: Sequence[str], judgements: Judgements) -> Iterator[CheckState]:
    """The checks that tell how the bearing was found, the newest of each method; where there is none, the
    newest of each that still counts."""
    here = [one for one in state.checks.values() if one.method in able and one.check in judgements]
    found = {one.method: one for one in here if is_as_found(one.purpose)}
    left = {one.method: one for one in here if not is_as_found(one.purpose) and not one.stale}
    chosen = found or left
    yield from (chosen[key] for key in able if key in chosen)


def _answered(answers: Sequence[Answer]) -> Told:
    """What people said; nothing where they said both unaware of each other."""
    said = {one.says for one in answers}
    if len(said) > 1:
        people = ", ".join(f"{one.by}: {one.says}" for one in answers)
        return None, say("inspect.both_ways", people=people)
    if not answers or "not known" in said:
        return None, ""
    one = answers[-1]
    how = f" ({one.text})" if one.text else ""
    return one.says == "yes", say("inspect.by_person", by=one.by, how=how)


def _named(check: CheckState) -> str:
    return f"{METHODS[check.method].title}, {check.purpose}"


def _together(words: Sequence[Word | None]) -> Word | None:
    """One word for several quantities: outside when any is, within when all are."""
    if "outside limits" in words:
        return "outside limits"
    return "within limits" if words and set(words) == {"within limits"} else None


def _of(judgement: Judgement, *names: str) -> list[AssessedShown]:
    return [one for one in judgement.assessed if one.of in names]


def _in_limits(*names: str) -> Callable[[CheckState, Judgement], Told]:
    """Whether these quantities are within their limits; a fault counts as outside."""

    def tell(check: CheckState, judgement: Judgement) -> Told:
        if any(one.severity == "fault" for one in judgement.warnings):
            return False, say("inspect.a_fault")
        word = _together([one.word for one in _of(judgement, *names) if one.needed or one.word is not None])
        return (None if word is None else word == "within limits"), word or say("inspect.no_word")

    return tell


def _clearance(low: bool) -> Callable[[CheckState, Judgement], Told]:
    def tell(check: CheckState, judgement: Judgement) -> Told:
        limits, clearance = judgement.limits, judgement.clearance
        if limits is None or clearance is None or not clearance.places:
            return None, say("inspect.no_word")
        values = [place.diametral_m for place in clearance.places]
        return _beyond(limits.word, values, limits.minimum_m, limits.maximum_m, low)

    return tell


def _crush(low: bool) -> Callable[[CheckState, Judgement], Told]:
    def tell(check: CheckState, judgement: Judgement) -> Told:
        loose = [one for one in judgement.warnings if one.code.startswith("crush.loose_")]
        if any(one.severity == "fault" for one in loose):
            return low, loose[0].text
        found = next((one for one in _of(judgement, "crush") if one.limit is not None), None)
        if found is None or found.limit is None:
            return None, say("inspect.no_word")
        values = [value.value for value in found.values]
        return _beyond(found.word, values, found.limit.minimum, found.limit.maximum, low)

    return tell


def _beyond(
    word: Word | None, values: Sequence[float], minimum: float | None, maximum: float | None, low: bool
) -> Told:
    """Whether a quantity that was judged lies beyond one of its limits."""
    if word == "within limits":
        return False, word
    if word != "outside limits":
        return None, say("inspect.not_proven")
    below = minimum is not None and min(values) < minimum
    above = maximum is not None and max(values) > maximum
    said = [say("inspect.below")] * below + [say("inspect.above")] * above
    return (below if low else above), ", ".join(said)


def _taper(check: CheckState, judgement: Judgement) -> Told:
    """Whether the clearance surely changes along the axis by more than a tenth of itself, or surely not."""
    found = judgement.clearance
    if found is None or found.end_to_end_m is None or found.diametral_m <= 0.0:
        return None, ""
    change, spread = abs(found.end_to_end_m), found.k * (found.end_to_end_u_m or 0.0)
    edge = TAPER * found.diametral_m
    unit = judgement.unit
    by = show(change, unit, "length", step=clearance_step(unit))
    value = True if change - spread > edge else False if change + spread < edge else None
    return value, say("inspect.changes_by", by=by)


def _tapered_journal(check: CheckState, judgement: Judgement) -> Told:
    """A journal with too much taper tells that the gap has one; one without leaves the bore."""
    word = _together([one.word for one in _of(judgement, "journal taper")])
    return (True, word) if word == "outside limits" else (None, "")


def _heavy_end(check: CheckState, judgement: Judgement) -> Told:
    codes = {one.code for one in judgement.warnings}
    if codes & {"contact.no_cells", "contact.not_all", "contact.no_blue"}:
        return None, ""
    heavy = [one.text for one in judgement.warnings if one.code in ("contact.heavy_end", "contact.uneven")]
    return bool(heavy), heavy[0] if heavy else say("inspect.even")


def _shaking(check: CheckState, judgement: Judgement) -> Told:
    """Whether it vibrates in zone C or D."""
    zones = {one.code: one.text for one in judgement.warnings if one.code.startswith("vibration.zone_")}
    bad = [text for code, text in zones.items() if code in ("vibration.zone_c", "vibration.zone_d")]
    return (bool(bad) if zones else None), bad[0] if bad else next(iter(zones.values()), "")


def _answer(key: str, yes: Sequence[str], no: Sequence[str]) -> Callable[[CheckState, Judgement], Told]:
    """A fact of a check that says it by itself."""

    def tell(check: CheckState, judgement: Judgement) -> Told:
        fact = check.facts.get(key)
        text = fact.text.strip() if fact is not None else ""
        return (True if text in yes else False if text in no else None), text

    return tell


def _oil_failed(check: CheckState, judgement: Judgement) -> Told:
    """Whether the level was low, the ring stood or the feed failed; not so only where all that was answered
    is as it should be."""
    bad = {"oil_level": ("low", "none"), "ring_seen": ("stood or jerked",), "feed_seen": ("low", "none")}
    good = {"oil_level": ("right",), "ring_seen": ("turning", "no ring"), "feed_seen": ("usual", "no feed")}
    told = {key: fact.text.strip() for key in bad if (fact := check.facts.get(key)) is not None}
    failed = [key for key, text in told.items() if text in bad[key]]
    if failed:
        return True, ", ".join(say(f"inspect.{key}", seen=told[key]) for key in failed)
    sure = all(told.get(key, "") in good[key] for key in good)
    return (False if sure else None), say("inspect.oil_right") if sure else ""


JOURNAL = ("journal out-of-round", "journal taper", "journal roughness", "journal scratch depth")

SOURCES: Mapping[str, tuple[_Source, ...]] = {
    "tapered": (_Source(_taper, proves="clearance"), _Source(_tapered_journal, ("journal",))),
    "contact_heavy_end": (_Source(_heavy_end, ("contact",)),),
    "aligned": (_Source(_in_limits("alignment offset", "alignment angle"), ("alignment",)),),
    "crush_tight": (_Source(_crush(low=False), proves="crush"),),
    "crush_loose": (_Source(_crush(low=True), proves="crush"),),
    "clearance_low": (_Source(_clearance(low=True), proves="clearance"),),
    "clearance_high": (_Source(_clearance(low=False), proves="clearance"),),
    "dirt": (_Source(_answer("oil_looks", ("grit or metal in it",), ()), ("condition",)),),
    "oil_bad": (
        _Source(_answer("oil_looks", ("cloudy or milky", "dark or burnt"), ("clear",)), ("condition",)),
    ),
    "oil_failed": (_Source(_oil_failed, ("condition",)),),
    "insulated_ok": (_Source(_in_limits("insulation resistance"), ("insulation",)),),
    "bond_ok": (_Source(_answer("result", ("passed",), ("failed",)), ("bond",)),),
    "shaking": (_Source(_shaking, ("vibration",)),),
    "journal_ok": (_Source(_in_limits(*JOURNAL), ("journal",)),),
}
"""By fact, who tells it; facts that stand in none are told by people alone."""
