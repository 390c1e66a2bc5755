"""What a device carries along to judge a check of the clearance where there is no record to ask.

Once the places are known the estimate is linear in the readings: clearance = constant + weights x readings.
The weights depend on how finely the gauge was read, how often the whole squeeze was repeated and, a little,
on how large the gap is (`gap_fit.RUNGS`), so one set is carried for each. A place that is read twice in one
squeeze counts with the mean of both, as long as they differ by no more than the scale of the gauge explains.
The device multiplies and compares; it has no engine of its own. Where a short sum cannot tell (the readings
scatter, a reading is off the usual, the probability lies between) it says that the record must be asked: it
may say less than the record, never other.

How the device proves it: each place keeps a distance of k standard uncertainties from each limit. With
``near`` the chance that all places are inside is 95.1 % where only one limit is close, with ``far`` 99.9 %;
one limit at ``near`` and the other at ``far`` make 95 % in all (the sum of what may lie outside). Outside
limits: one place alone is beyond a limit by ``beyond`` standard uncertainties (95 % of one value). By simple
acceptance every place is inside or one is not; a value right at the edge is for the record.

Facts that are still open are presumed to have their usual answer (`carried_usual`); what a device is told is
held against that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.fitting.ladder import climb
from whitemetal.fitting.verdict import EDGE
from whitemetal.gauging import Method, method_named
from whitemetal.gauging.contract import Fact, Finding, Reading
from whitemetal.gauging.needed import missing
from whitemetal.job.advice import rule_in_words
from whitemetal.job.carried_kinds import DECIMALS, KINDS
from whitemetal.job.carried_ranges import Range, quiet_shares, ranges
from whitemetal.job.carried_sets import Case, Weights, sets
from whitemetal.job.carried_usual import Presumed, presumed, told_as_usual, zero_ways
from whitemetal.job.carried_zeros import noted, still_open
from whitemetal.job.judge import policy_of, rule_applied
from whitemetal.job.state import CheckState
from whitemetal.job.typed import INSTRUMENT, read_fact
from whitemetal.units import Unit, clearance_step, find_unit
from whitemetal.words import say

CARRIED = "whitemetal.carried/4"


@dataclass(frozen=True)
class Held:
    """A reading that the record holds. text: its digits in the bearing's unit, "" where it has others."""

    entry: str
    place: str
    squeeze: int
    text: str
    gauge: str


@dataclass(frozen=True)
class Carried:
    """why_not: a sentence where this check cannot be judged without the record, "" where it can. unit,
    scale [m], digits: of readings and of what is shown. gauge: readings must be taken with it, any where
    None. low, high: the limits [m]. against: why it is not proven whatever the readings say. presumed: the
    open facts with their usual answers. key: the fact on which the ranges rest; lacking: what is said while
    it is open. finer: more decimals than those of a set make no difference; twice: a place may be read
    twice. alike: counts that must be the same, as kept. zeros: keys of the zeros of the gauge that nobody
    has noted; zeros_kept: those that the record holds [m]. simple: the rule as a sentence where simple
    acceptance counts, "" where every place keeps its distance; edge: how little [m] beyond a limit is then
    at it. readings: of the record."""

    check: str
    method: str
    why_not: str = ""
    unit: str = ""
    scale: float = 1.0
    digits: int = 0
    places: tuple[str, ...] = ()
    gauge: str | None = ""
    low: float | None = None
    high: float | None = None
    ranges: tuple[Range, ...] = ()
    against: tuple[str, ...] = ()
    presumed: tuple[Presumed, ...] = ()
    key: str = ""
    lacking: str = ""
    finer: bool = False
    twice: bool = True
    alike: Mapping[str, str] = field(default_factory=dict)
    zeros: tuple[str, ...] = ()
    zeros_kept: tuple[float, ...] = ()
    simple: str = ""
    edge: float = EDGE
    sets: tuple[Weights, ...] = ()
    readings: tuple[Held, ...] = ()


def with_gauge(check: CheckState, gauge: str, told: Mapping[str, str]) -> CheckState:
    """The check with the standing facts of the gauge in hand, which come into it with its first reading."""
    found = {
        f"{INSTRUMENT}{gauge}.{key}": read_fact(
            method_named(check.method), f"{INSTRUMENT}{gauge}.{key}", text
        )
        for key, text in told.items()
        if text.strip()
    }
    facts = {key: fact for key, fact in found.items() if isinstance(fact, Fact)}
    return replace(check, facts={**facts, **check.facts})


def with_readings(found: Carried, check: CheckState) -> Carried:
    """The same with what the record holds of readings now."""
    unit = find_unit(found.unit, "length")
    if found.why_not or unit is None:
        return found
    return replace(found, readings=tuple(_held(one, unit) for one in check.readings))


def _held(one: Reading, unit: Unit) -> Held:
    decimals = round(-np.log10(one.resolution / unit.scale)) if one.resolution > 0.0 else -1
    step = 10.0**-decimals * unit.scale
    plain = 0 <= decimals <= 9 and np.isclose(step, one.resolution, rtol=1e-9)
    text = f"{one.value / unit.scale:.{decimals}f}" if plain else ""
    return Held(one.entry, one.place, one.squeeze, text, one.instrument)


def squeezes_of(check: CheckState) -> tuple[int, ...]:
    """For how many squeezes weights are carried: for those there are, and for one more once they are full."""
    most = max((one.squeeze for one in check.readings), default=0)
    full = len({one.place for one in check.readings if one.squeeze == most}) == len(check.places)
    return (max(1, most), most + 1) if most and full else (max(1, most),)


def carried(check: CheckState, card: Card, gauge: str = "", doubts: Sequence[Finding] = ()) -> Carried:
    """What a device needs to judge this check once every place of a squeeze is read with ``gauge``.

    doubts: what the rest of the job says against the check. Pure; takes tenths of a second to seconds.
    """
    method = method_named(check.method)
    why = _why_not(check, card, method)
    if why:
        return Carried(check.check, check.method, why)
    counts = squeezes_of(check)
    started = tuple(_started(Case(check, card, method, gauge, tuple(doubts), counts[-1])))
    if not started:
        return Carried(check.check, check.method, say("carried.not_linear"))
    open_ = presumed(started[0], _middle(started[0]), started[0].decimals[-1])
    cases = tuple(one.told(told_as_usual(one, open_), 1) for one in started)
    shares = [quiet_shares(one.zeroed(-one.zero), _middle(one)) for one in cases]
    spans = tuple(
        span for one, each in zip(cases, shares, strict=True) for span in ranges(one, _middle(one), each)
    )
    made = tuple(
        weights for one, each in zip(cases, shares, strict=True) for weights in _all_sets(one, counts, each)
    )
    if not made:
        return Carried(check.check, check.method, say("carried.not_linear"))
    return _put_together(check, cases[0], open_, spans, made)


def _put_together(
    check: CheckState, case: Case, open_: tuple[Presumed, ...], spans: tuple[Range, ...],
    made: tuple[Weights, ...],
) -> Carried:  # fmt: skip
    """check: as the record has it. case: the same with the usual answers."""
    facts = check.facts
    unit, kind = find_unit(case.card.bearing.unit, "length"), case.kind
    assert unit is not None
    base = case.readings(_middle(case), case.decimals[-1])
    missed = {f"needed.{kind.key}"} if kind.key not in facts else set()
    low, high = limits_of(case.card)
    return Carried(
        check.check, check.method, "", unit.name, unit.scale,
        max(0, round(-np.log10(clearance_step(unit.name) / unit.scale))),
        tuple(place.label for place in check.places), case.gauge if kind.gauge else None, low, high,
        spans, tuple(one.text for one in case.weighty(base) if one.code not in missed), open_, kind.key,
        next((one.text for one in missing(case.method, facts, base) if one.code in missed), ""),
        kind.finer, kind.twice, {key: facts[key].text.strip() if key in facts else "" for key in kind.alike},
        still_open(facts, case.gauge) if kind.zeros else (), tuple(noted(facts, case.gauge).values()),
        _simple(check, case.card), EDGE, made,
    )  # fmt: skip


def _started(bare: Case) -> Iterator[Case]:
    """The check as it is; or with each answer on which weights of its own rest, where nobody has given it."""
    told = bare.check.facts.get(bare.kind.key)
    options = bare.kind.options if told is None or not told.text.strip() else ()
    cases = [replace(bare.told({bare.kind.key: Fact(one)}, bare.squeezes), at=one) for one in options]
    for case in cases or [bare]:
        middle = _middle(case)
        if middle > 0.0 and case.result(case.readings(middle, case.decimals[-1])).overall is not None:
            yield case


def carried_json(found: Carried) -> dict[str, Any]:
    """As plain JSON values."""
    from whitemetal.job.judgement_json import plain

    return {"format": CARRIED, **plain(found)}


def limits_of(card: Card) -> tuple[float | None, float | None]:
    """The limits of the clearance, diametral [m]."""
    limit = climb(card, OIL_CLEARANCE).chosen
    assert limit is not None
    return limit.diametral("minimum"), limit.diametral("maximum")


def _middle(case: Case) -> float:
    """The middle between the limits [m], as far as it can be read; 0 where nothing between them can."""
    low, high = limits_of(case.card)
    least, most = case.kind.reach(case.check.facts)
    from_, to = (low or high or 0.0), (high or low or 0.0)
    read = [factor for factor in case.factors if factor > 0.0]
    from_, to = max(from_, least / min(read)), min(to, most / max(read))
    return 0.5 * (from_ + to) if from_ <= to else 0.0


def _simple(check: CheckState, card: Card) -> str:
    """The rule as a sentence where simple acceptance was chosen and may be."""
    applied, _ = rule_applied(policy_of(check), climb(card, OIL_CLEARANCE).chosen)
    return say("carried.rule", rule=rule_in_words(applied)) if applied.rule == "simple acceptance" else ""


def _why_not(check: CheckState, card: Card, method: Method) -> str:
    if method.key not in KINDS or card.bearing.unit not in DECIMALS:
        return say("carried.other_method", method=method.title)
    if climb(card, OIL_CLEARANCE).chosen is None:
        return say("carried.no_limit")
    if check.stale:
        return say("carried.stale")
    if check.unreadable or check.contradictions:
        return say("carried.ask")
    return ""


def _all_sets(case: Case, counts: Sequence[int], shares: tuple[float, float]) -> Iterator[Weights]:
    middle = _middle(case)
    reach = (shares[0] * middle * min(case.factors), shares[1] * middle * max(case.factors))
    for decimals in case.decimals:
        usual = case.weighty(case.readings(middle, decimals))
        for way in zero_ways(case, decimals, usual, middle):
            for count in counts:
                yield from sets(replace(way, squeezes=count), reach, decimals)
