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

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.fitting.ladder import climb
from whitemetal.fitting.verdict import EDGE
from whitemetal.fitting.wire_choice import INCH_WIRES, METRIC_WIRES
from whitemetal.gauging import Method, method_named
from whitemetal.gauging.contract import Fact, Finding, Reading
from whitemetal.gauging.gap_shape import shape_factor
from whitemetal.gauging.needed import missing
from whitemetal.gauging.wire.squeeze import WARN
from whitemetal.job.advice import rule_in_words
from whitemetal.job.carried_sets import DECIMALS, Case, Weights, sets
from whitemetal.job.carried_usual import ALIKE, Presumed, presumed, told_as_usual, zero_ways
from whitemetal.job.carried_zeros import noted, still_open
from whitemetal.job.judge import policy_of, rule_applied
from whitemetal.job.state import CheckState
from whitemetal.job.typed import INSTRUMENT, read_fact
from whitemetal.units import Unit, clearance_step, find_unit
from whitemetal.words import say

CARRIED = "whitemetal.carried/3"
METHODS_CARRIED = ("wire",)
"""Methods whose estimate is linear in readings of a squeeze. The test of that is in `carried_sets`."""

SMALLEST, LARGEST = 0.25, 4.0
"""Share of the middle of the limits between which sets are carried. Our own."""

WIRE = "wire_diameter"


@dataclass(frozen=True)
class Range:
    """wire: as it stands on its box, "" where it is kept or nobody has said it. least, most: readings [m], as
    read and with the zero taken off, beyond which something else must be asked, by place; mean_least,
    mean_most: of the mean."""

    wire: str
    least: tuple[float, ...]
    most: tuple[float, ...]
    mean_least: float
    mean_most: float


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
    """why_not: a sentence where this check cannot be judged without the record, "" where it can. unit, scale
    [m], digits: of readings and of what is shown. low, high: the limits [m]. against: why it is not proven
    whatever the readings say. presumed: the open facts with their usual answers; no_wire: what is said while
    the wire's diameter is open; alike: counts that must be the same, as kept. zeros: keys of the zeros of the
    gauge that nobody has noted; zeros_kept: those that the record holds [m]. simple: the rule as a sentence
    where simple acceptance counts, "" where every place keeps its distance; edge: how little [m] beyond a
    limit is then at it. readings: of the record."""

    check: str
    method: str
    why_not: str = ""
    unit: str = ""
    scale: float = 1.0
    digits: int = 0
    places: tuple[str, ...] = ()
    gauge: str = ""
    low: float | None = None
    high: float | None = None
    ranges: tuple[Range, ...] = ()
    against: tuple[str, ...] = ()
    presumed: tuple[Presumed, ...] = ()
    no_wire: str = ""
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
    unit = find_unit(card.bearing.unit, "length")
    assert unit is not None
    low, high, middle = _limits(card)
    finest = DECIMALS[unit.name][-1]
    counts = squeezes_of(check)
    bare = Case(check, card, method, gauge, tuple(doubts), counts[-1])
    if bare.result(bare.readings(middle, finest)).overall is None:
        return Carried(check.check, check.method, say("carried.not_linear"))
    open_ = presumed(bare, middle, finest)
    case = bare.told(told_as_usual(bare, open_), 1)
    calm = case.zeroed(-case.zero)
    shares = _quiet(calm, middle)
    made = tuple(_all_sets(case, counts, middle, shares))
    if not made:
        return Carried(check.check, check.method, say("carried.not_linear"))
    base, facts = case.readings(middle, finest), check.facts
    needed = {f"needed.{WIRE}": ""} if WIRE not in facts else {}
    against = [one.text for one in case.weighty(base) if one.code not in needed]
    return Carried(
        check.check, check.method, "", unit.name, unit.scale,
        max(0, round(-np.log10(clearance_step(unit.name) / unit.scale))),
        tuple(place.label for place in check.places), gauge, low, high,
        tuple(_ranges(calm, middle, shares, base, unit)), tuple(against), open_,
        next((one.text for one in missing(method, facts, base) if one.code in needed), ""),
        {key: facts[key].text.strip() if key in facts else "" for key in ALIKE},
        still_open(facts, gauge), tuple(noted(facts, gauge).values()),
        _simple(check, card), EDGE, made,
    )  # fmt: skip


def carried_json(found: Carried) -> dict[str, Any]:
    """As plain JSON values."""
    from whitemetal.job.judgement_json import plain

    return {"format": CARRIED, **plain(found)}


def _limits(card: Card) -> tuple[float | None, float | None, float]:
    """The limits and the middle between them [m]."""
    limit = climb(card, OIL_CLEARANCE).chosen
    assert limit is not None
    low, high = limit.diametral("minimum"), limit.diametral("maximum")
    return low, high, 0.5 * (low + high) if low is not None and high is not None else (low or high or 0.0)


def _simple(check: CheckState, card: Card) -> str:
    """The rule as a sentence where simple acceptance was chosen and may be."""
    applied, _ = rule_applied(policy_of(check), climb(card, OIL_CLEARANCE).chosen)
    return say("carried.rule", rule=rule_in_words(applied)) if applied.rule == "simple acceptance" else ""


def _why_not(check: CheckState, card: Card, method: Method) -> str:
    if method.key not in METHODS_CARRIED or card.bearing.unit not in DECIMALS:
        return say("carried.other_method", method=method.title)
    if climb(card, OIL_CLEARANCE).chosen is None:
        return say("carried.no_limit")
    if check.stale:
        return say("carried.stale")
    if check.unreadable or check.contradictions:
        return say("carried.ask")
    return ""


def _all_sets(
    case: Case, counts: Sequence[int], middle: float, shares: tuple[float, float]
) -> Iterator[Weights]:
    factors = [shape_factor(case.card.bearing, place.angle) for place in case.check.places]
    reach = (shares[0] * middle * min(factors), shares[1] * middle * max(factors))
    for decimals in DECIMALS[case.card.bearing.unit]:
        usual = case.weighty(case.readings(middle, decimals))
        for way in zero_ways(case, decimals, usual, middle):
            for count in counts:
                yield from sets(replace(way, squeezes=count), reach, decimals)


def _ranges(
    case: Case, middle: float, shares: tuple[float, float], base: Sequence[Reading], unit: Unit
) -> Iterator[Range]:
    """As it is; and where nobody has said the wire's diameter, for each that is sold and fits."""
    least = tuple(shares[0] * one.value for one in base)
    most = tuple(shares[1] * one.value for one in base)
    means = tuple(_mean(case, share * middle) for share in shares)
    yield Range("", least, most, *means)
    for wire in METRIC_WIRES if unit.name == "mm" else INCH_WIRES:
        thin, thick = WARN[0] * wire * (1 + 1e-9), WARN[1] * wire * (1 - 1e-9)
        fits = all(thin <= one.value <= thick for one in base)
        if WIRE not in case.check.facts and fits:
            yield Range(
                f"{wire / unit.scale:.6g}", tuple(max(one, thin) for one in least),
                tuple(min(one, thick) for one in most), *means,
            )  # fmt: skip


def _mean(case: Case, clearance: float) -> float:
    """The mean [m] that the engine makes of a plain bore of this clearance [m]."""
    made = case.result(case.readings(clearance, DECIMALS[case.card.bearing.unit][-1])).overall
    assert made is not None
    return made.value


def _quiet(case: Case, middle: float) -> tuple[float, float]:
    """Shares of the middle of the limits between which no reading raises a doubt of its own."""
    decimals = DECIMALS[case.card.bearing.unit][-1]
    usual = {(one.code, one.place) for one in case.weighty(case.readings(middle, decimals))}

    def quiet(share: float) -> bool:
        found = case.weighty(case.readings(share * middle, decimals))
        return {(one.code, one.place) for one in found} == usual

    return _last(quiet, SMALLEST), _last(quiet, LARGEST)


def _last(quiet: Callable[[float], bool], end: float) -> float:
    """The share nearest to ``end`` up to which it stays quiet: out from 1 step by step, then halving."""
    good = 1.0
    for share in map(float, np.geomspace(1.0, end, 16)[1:]):
        if not quiet(share):
            bad = share
            break
        good = share
    else:
        return end
    for _ in range(14):
        half = 0.5 * (good + bad)
        good, bad = (half, bad) if quiet(half) else (good, half)
    return good
