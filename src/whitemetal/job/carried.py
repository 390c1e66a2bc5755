"""What a device carries along to judge a check of the clearance where there is no record to ask.

Once the places are known the estimate is linear in the readings: clearance = constant + weights x readings.
The weights depend on how finely the gauge was read and, a little, on how large the gap is (`gap_fit.RUNGS`),
so one set is carried for each. The device multiplies and compares; it has no engine of its own. Where a short
sum cannot tell (the readings scatter, a reading is off the usual, the probability lies between) it says that
the record must be asked: it may say less than the record, never other.

How the device proves it: each place keeps a distance of k standard uncertainties from each limit. With
``near`` the chance that all places are inside is 95.1 % where only one limit is close, with ``far`` 99.9 %;
one limit at ``near`` and the other at ``far`` make 95 % in all (the sum of what may lie outside). Outside
limits: one place alone is beyond a limit by ``beyond`` standard uncertainties (95 % of one value).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.fitting.ladder import climb
from whitemetal.gauging import Method, method_named
from whitemetal.gauging.contract import Fact, Finding, Place, Reading, Result
from whitemetal.gauging.gap_fit import BETWEEN, RUNGS, SCATTER_CHANCE
from whitemetal.gauging.gap_shape import shape_factor
from whitemetal.job.judge import common_dof, findings_of
from whitemetal.job.state import CheckState
from whitemetal.job.typed import INSTRUMENT, read_fact
from whitemetal.quantity import coverage_factor, probability_within_box
from whitemetal.units import clearance_step, find_unit, show
from whitemetal.words import say

CARRIED = "whitemetal.carried/1"
METHODS_CARRIED = ("wire",)
"""Methods whose estimate is linear in readings of one squeeze. The test of that is in `_linear`."""

NEAR, FAR = 0.951, 0.999
"""Probabilities that add up to 95 %: 4.9 % and 0.1 % may lie outside (derived)."""

SPARE = 0.02
"""Added to a distance, in standard uncertainties, because correlations differ a little between rungs: ten
times what they were seen to differ by. Our own."""

DECIMALS: Mapping[str, tuple[int, ...]] = {"mm": (2, 3), "in": (4, 5), "thou": (0, 1, 2)}
"""Decimals that gauges are read to, by unit. Common practice."""

SMALLEST, LARGEST = 0.25, 4.0
"""Share of the middle of the limits between which sets are carried. Our own."""

WEIGHTY = ("hold", "question", "refused", "fault")


@dataclass(frozen=True)
class Weights:
    """One set. decimals: of every reading. below: the median reading [m] up to which it counts. constant
    [m], weights: first row the mean, then a row a place, over the readings [m] in the order of places. u: of
    each row [m]. shown_u: text of the expanded uncertainty of the mean. near, far, beyond: distances in u.
    chi: chi square = r' a r + b' r + c of readings r [m]; most: above it they scatter more than the budget
    explains, None where nothing is over-determined."""

    decimals: int
    below: float
    constant: tuple[float, ...]
    weights: tuple[tuple[float, ...], ...]
    u: tuple[float, ...]
    shown_u: str
    near: float
    far: float
    beyond: float
    chi_a: tuple[tuple[float, ...], ...]
    chi_b: tuple[float, ...]
    chi_c: float
    most: float | None


@dataclass(frozen=True)
class Carried:
    """why_not: a sentence where this check cannot be judged without the record, "" where it can. unit, scale
    [m], digits: of readings and of what is shown. low, high: the limits [m]. least, most: readings [m] beyond
    which something else must be asked, by place; mean_least, mean_most: of the mean. against: why it is not
    proven whatever the readings say. heads: of the job as this was made."""

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
    least: tuple[float, ...] = ()
    most: tuple[float, ...] = ()
    mean_least: float = 0.0
    mean_most: float = 0.0
    against: tuple[str, ...] = ()
    sets: tuple[Weights, ...] = field(default=())


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


def carried(check: CheckState, card: Card, gauge: str = "", doubts: Sequence[Finding] = ()) -> Carried:
    """What a device needs to judge the first squeeze of this check once every place is read with ``gauge``.

    doubts: what the rest of the job says against the check. Pure; takes tens of milliseconds to a second.
    """
    method = method_named(check.method)
    why = _why_not(check, card, method)
    if why:
        return Carried(check.check, check.method, why)
    case = _Case(check, card, method, gauge, tuple(doubts))
    limit = climb(card, OIL_CLEARANCE).chosen
    assert limit is not None
    low, high = limit.diametral("minimum"), limit.diametral("maximum")
    middle = 0.5 * (low + high) if low is not None and high is not None else (low or high or 0.0)
    unit = find_unit(card.bearing.unit, "length")
    assert unit is not None
    shares = _quiet(case, middle)
    base = case.readings(middle, DECIMALS[unit.name][-1])
    sets = tuple(_sets(case, middle, shares, low, high))
    if not sets:
        return Carried(check.check, check.method, say("carried.not_linear"))
    step = clearance_step(unit.name) / unit.scale
    return Carried(
        check.check, check.method, "", unit.name, unit.scale, max(0, round(-np.log10(step))),
        tuple(place.label for place in check.places), gauge, low, high,
        tuple(shares[0] * one.value for one in base), tuple(shares[1] * one.value for one in base),
        shares[0] * middle, shares[1] * middle, tuple(one.text for one in case.weighty(base)), sets,
    )  # fmt: skip


def carried_json(found: Carried) -> dict[str, Any]:
    """As plain JSON values."""
    from whitemetal.job.judgement_json import plain

    return {"format": CARRIED, **plain(found)}


def _why_not(check: CheckState, card: Card, method: Method) -> str:
    if method.key not in METHODS_CARRIED or card.bearing.unit not in DECIMALS:
        return say("carried.other_method", method=method.title)
    if climb(card, OIL_CLEARANCE).chosen is None:
        return say("carried.no_limit")
    if check.stale:
        return say("carried.stale")
    if check.rule.startswith("simple") or check.unreadable or check.contradictions:
        return say("carried.ask")
    if any(one.squeeze != 1 for one in check.readings) or _twice(check.readings):
        return say("carried.repeats")
    return ""


def _twice(readings: Sequence[Reading]) -> bool:
    return len({one.place for one in readings}) < len(readings)


@dataclass(frozen=True)
class _Case:
    """A check whose every place is read once. Its readings are made up, the rest is its own."""

    check: CheckState
    card: Card
    method: Method
    gauge: str
    doubts: tuple[Finding, ...]

    def readings(self, clearance: float, decimals: int) -> tuple[Reading, ...]:
        """What a plain bore of this clearance [m] gives at each place."""
        return tuple(
            self.reading(place, clearance * shape_factor(self.card.bearing, place.angle), decimals)
            for place in self.check.places
        )

    def reading(self, place: Place, value: float, decimals: int) -> Reading:
        """One reading of this value [m], read to so many decimals."""
        unit = find_unit(self.card.bearing.unit, "length")
        assert unit is not None
        return Reading(place.label, "", value, 10.0**-decimals * unit.scale, 1, self.gauge)

    def result(self, readings: tuple[Reading, ...]) -> Result:
        """What the method makes of them."""
        return self.method.evaluate(self.card, self.check.places, self.check.facts, readings)

    def weighty(self, readings: tuple[Reading, ...]) -> list[Finding]:
        """What keeps it from being proven."""
        ladder = climb(self.card, OIL_CLEARANCE)
        found = findings_of(
            self.method, self.card, self.check.facts, readings, self.result(readings), ladder, self.doubts
        )
        return [one for one in found if one.severity in WEIGHTY]


def _quiet(case: _Case, middle: float) -> tuple[float, float]:
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
    for share in map(float, np.geomspace(1.0, end, 24)[1:]):
        if not quiet(share):
            bad = share
            break
        good = share
    else:
        return end
    for _ in range(20):
        half = 0.5 * (good + bad)
        good, bad = (half, bad) if quiet(half) else (good, half)
    return good


def _sets(
    case: _Case, middle: float, shares: tuple[float, float], low: float | None, high: float | None
) -> Iterator[Weights]:
    """A set for each number of decimals and each rung that readings between the shares can reach."""
    factors = [shape_factor(case.card.bearing, place.angle) for place in case.check.places]
    reach = (shares[0] * middle * min(factors), shares[1] * middle * max(factors))
    for decimals in DECIMALS[case.card.bearing.unit]:
        distances: tuple[float, float, float] | None = None
        for rung, gap in enumerate(RUNGS):
            below = BETWEEN[rung] if rung < len(BETWEEN) else float("inf")
            if below < reach[0] or (rung and BETWEEN[rung - 1] > reach[1]):
                continue
            made = _linear(case, gap, decimals)
            if made is None:
                return
            distances = distances or _distances(made.covariance, made.dof)
            yield _set(case, made, decimals, below, distances)


@dataclass(frozen=True)
class _Linear:
    """The estimate at one rung: constant and weights [m, -], covariance of the places [m²]."""

    constant: NDArray[np.float64]
    weights: NDArray[np.float64]
    overall_u: float
    overall_dof: float
    covariance: NDArray[np.float64]
    dof: float
    chi: tuple[NDArray[np.float64], NDArray[np.float64], float]
    chi_dof: int


def _linear(case: _Case, gap: float, decimals: int) -> _Linear | None:
    """The weights at a rung, from the engine itself: it is asked with one reading moved at a time. None where
    a last question with all of them moved shows that it is not linear there."""
    factors = [shape_factor(case.card.bearing, place.angle) for place in case.check.places]
    start = case.readings(gap / float(np.median(factors)), decimals)
    n, moved = len(start), 1e-3 * gap

    def asked(by: NDArray[np.float64]) -> tuple[NDArray[np.float64], float, Result]:
        readings = tuple(
            Reading(one.place, "", one.value + float(d), one.resolution, 1, one.instrument)
            for one, d in zip(start, by, strict=True)
        )
        result = case.result(readings)
        assert result.overall is not None
        rows = np.array([result.overall.value, *(place.value.value for place in result.places)])
        return rows, (result.fit.chi_square if result.fit else 0.0), result

    zero = np.zeros(n)
    rows, chi, result = asked(zero)
    if len(rows) != n + 1:
        return None
    single = [asked(moved * np.eye(n)[i]) for i in range(n)]
    weights = np.column_stack([(one[0] - rows) / moved for one in single])
    at = np.array([one.value for one in start])
    constant = rows - weights @ at
    check = moved * np.where(np.arange(n) % 2, -0.7, 0.4)
    if not np.allclose(asked(check)[0], constant + weights @ (at + check), rtol=1e-9, atol=1e-14):
        return None
    overall = result.overall
    assert overall is not None and result.covariance is not None
    return _Linear(
        constant, weights, overall.u, overall.dof, result.covariance, common_dof(result),
        _quadratic(asked, at, moved, chi, [one[1] for one in single]), result.fit.dof if result.fit else 0,
    )  # fmt: skip


def _quadratic(
    asked: Any, at: NDArray[np.float64], moved: float, chi: float, single: Sequence[float]
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Chi square as a form of the readings: exact, since residuals are linear in them."""
    n = len(at)
    a = np.zeros((n, n))
    for i in range(n):
        for j in range(i, n):
            both = asked(moved * (np.eye(n)[i] + np.eye(n)[j]))[1]
            a[i, j] = a[j, i] = (both - single[i] - single[j] + chi) / (2.0 * moved**2)
    slope = np.array([(one - chi) / moved - moved * a[i, i] for i, one in enumerate(single)])
    b = slope - 2.0 * a @ at
    return a, b, float(chi - at @ a @ at - b @ at)


def _distances(covariance: NDArray[np.float64], dof: float) -> tuple[float, float, float]:
    """near, far and beyond, in standard uncertainties."""
    u = np.sqrt(np.diag(covariance))
    alike = covariance / np.outer(u, u)
    near, far = (_distance(alike, dof, chance) + SPARE for chance in (NEAR, FAR))
    return near, far, coverage_factor(dof, 0.9) + SPARE


def _distance(alike: NDArray[np.float64], dof: float, chance: float) -> float:
    """How many u every place must be from a limit for all to be inside it with this chance."""
    lower, upper = 0.0, 60.0
    while upper - lower > 1e-3:
        half = 0.5 * (lower + upper)
        inside = probability_within_box(np.zeros(len(alike)), alike, dof, -half, None)
        lower, upper = (lower, half) if inside >= chance else (half, upper)
    return upper


def _set(
    case: _Case, made: _Linear, decimals: int, below: float, distances: tuple[float, float, float]
) -> Weights:
    from scipy.special import chdtri

    unit = case.card.bearing.unit
    expanded = coverage_factor(made.overall_dof) * made.overall_u
    a, b, c = made.chi
    return Weights(
        decimals, below, tuple(made.constant.tolist()), tuple(map(tuple, made.weights.tolist())),
        (made.overall_u, *np.sqrt(np.diag(made.covariance)).tolist()),
        show(expanded, unit, "length", step=clearance_step(unit)), *distances,
        tuple(map(tuple, a.tolist())), tuple(b.tolist()), c,
        float(chdtri(made.chi_dof, SCATTER_CHANCE)) if made.chi_dof else None,
    )  # fmt: skip
