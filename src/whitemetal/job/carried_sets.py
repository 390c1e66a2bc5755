"""The weights that a device carries along, asked of the engine itself one reading at a time."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.fitting.ladder import climb
from whitemetal.gauging import Method
from whitemetal.gauging.contract import Fact, Finding, Place, Reading, Result
from whitemetal.gauging.gap_fit import BETWEEN, RUNGS, SCATTER_CHANCE, solve
from whitemetal.gauging.gap_shape import design
from whitemetal.gauging.lift.evaluate import FEEL
from whitemetal.job.carried_kinds import KINDS, Kind
from whitemetal.job.carried_zeros import moved, noted, share, shown_at_nothing
from whitemetal.job.judge import common_dof, findings_of
from whitemetal.job.state import CheckState
from whitemetal.quantity import covariance_matrix, coverage_factor, probability_within_box
from whitemetal.units import clearance_step, find_unit, show

NEAR, FAR = 0.951, 0.999
"""Probabilities that add up to 95 %: 4.9 % and 0.1 % may lie outside (derived)."""

SPARE = 0.02
"""Added to a distance, in standard uncertainties, because correlations differ a little between rungs: ten
times what they were seen to differ by. Our own."""

MARGIN = 2e-3
"""Share of a gap that is kept from the ends of a rung and of a scale: readings are moved by half of it to see
what they do. Our own."""

MOST_LIFTS = 4
"""With more lifts the range of those that scatter no more than the feel may be one that the record asks
about: the greatest range of n values of standard deviation s is s √(2 (n - 1)), for 4 and 6 µm 14.7 µm, less
than 15 µm (derived)."""

MOVED = 1e-6
"""How far [m] one travel is moved to see what it does. Our own."""

FAR_AWAY = 1.0
"""No median reading is as large [m]: one set for all sizes. Our own."""

WEIGHTY = ("hold", "question", "refused", "fault")


@dataclass(frozen=True)
class Weights:
    """One set. decimals: of every reading. below: the median reading [m] up to which it counts. constant
    [m], weights: first row the mean, then a row a place, over the readings [m] squeeze by squeeze in the
    order of places, each the mean of what was read there. u: of each row [m]. shown_u: text of the expanded
    uncertainty of the mean. near, far, beyond: distances in u. chi: chi square = r' a r + b' r + c of
    readings r [m]; most: above it they scatter more than the budget explains, None where nothing is
    over-determined. squeezes: how many. zeros: how many zeros of the gauge are noted; drift: how far apart a
    device was told that they are, in steps of the last decimal, None where it was not told of two. zero: how
    much of their mean is taken off each reading before anything else. at: the answer on which the weights
    rest, "" where any has the same."""

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
    squeezes: int = 1
    zeros: int = 0
    drift: int | None = None
    zero: tuple[float, ...] = ()
    at: str = ""


@dataclass(frozen=True)
class Case:
    """A check whose every place is read once a squeeze. Its readings are made up, the rest is its own."""

    check: CheckState
    card: Card
    method: Method
    gauge: str
    doubts: tuple[Finding, ...]
    squeezes: int = 1
    drift: int | None = None
    at: str = ""

    @property
    def kind(self) -> Kind:
        """How its method is carried."""
        return KINDS[self.method.key]

    @property
    def factors(self) -> list[float]:
        """What each place shows over the clearance."""
        return self.kind.factors(self.card, self.check.places, self.check.facts)

    @property
    def decimals(self) -> tuple[int, ...]:
        """Decimals of readings that have weights of their own."""
        return self.kind.decimals(self.card, self.check.facts)

    def told(self, facts: Mapping[str, Fact], squeezes: int = 1) -> Case:
        """The same where these facts are known besides."""
        return replace(
            self, check=replace(self.check, facts={**self.check.facts, **facts}), squeezes=squeezes
        )

    def zeroed(self, by: float) -> Case:
        """The same where every noted zero of the gauge was read higher by this [m]."""
        return replace(self, check=replace(self.check, facts=moved(self.check.facts, self.gauge, by)))

    @property
    def zero(self) -> float:
        """What the gauge shows at nothing [m]."""
        return shown_at_nothing(self.check.facts, self.gauge)

    def readings(self, clearance: float, decimals: int) -> tuple[Reading, ...]:
        """What a plain bore of this clearance [m] gives at each place."""
        return tuple(
            self.reading(place, clearance * factor, decimals, squeeze)
            for squeeze in range(1, self.squeezes + 1)
            for place, factor in zip(self.check.places, self.factors, strict=True)
        )

    def reading(self, place: Place, value: float, decimals: int, squeeze: int = 1) -> Reading:
        """One reading of this value [m], read to so many decimals."""
        unit = find_unit(self.card.bearing.unit, "length")
        assert unit is not None
        return Reading(place.label, "", value, 10.0**-decimals * unit.scale, squeeze, self.gauge)

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


def sets(case: Case, reach: tuple[float, float], decimals: int) -> Iterator[Weights]:
    """A set for each rung that readings in this reach [m] of so many decimals come to; fewer where the
    estimate is found not to be linear."""
    if case.kind.observe is None:
        lifted = lifts(case, 0.5 * sum(reach) / max(case.factors), decimals)
        if lifted is not None:
            yield _set(case, lifted, decimals, FAR_AWAY, _distances(lifted.covariance, lifted.dof))
        return
    distances: tuple[float, float, float] | None = None
    for rung, gap in enumerate(RUNGS):
        below = BETWEEN[rung] if rung < len(BETWEEN) else float("inf")
        above = BETWEEN[rung - 1] if rung else 0.0
        inside = _inside(case, gap, above, below)
        if below < reach[0] or above > reach[1] or inside is None:
            continue
        made = _linear(case, inside, decimals)
        if made is None:
            return
        distances = distances or _distances(made.covariance, made.dof)
        yield _set(case, made, decimals, below, distances)


def _inside(case: Case, gap: float, above: float, below: float) -> float | None:
    """The gap [m] nearest to a rung's that the method can read at every place, with room to move it a little
    and stay on the rung; None where there is none."""
    middle = float(np.median(case.factors))
    least, most = case.kind.reach(case.check.facts)
    from_ = max(above, least * middle / min(case.factors)) * (1 + MARGIN)
    to = min(below, most * middle / max(case.factors)) * (1 - MARGIN)
    return min(max(gap, from_), to) if from_ <= to else None


@dataclass(frozen=True)
class Linear:
    """The estimate at one rung: constant and weights [m, -] of readings with so much of the zero taken off,
    covariance of the places [m²]."""

    constant: NDArray[np.float64]
    weights: NDArray[np.float64]
    zero: NDArray[np.float64]
    overall_u: float
    overall_dof: float
    covariance: NDArray[np.float64]
    dof: float
    chi: tuple[NDArray[np.float64], NDArray[np.float64], float]
    most: float | None


def _linear(case: Case, gap: float, decimals: int) -> Linear | None:
    """The weights at a rung, from the engine's own fit of made-up readings. None where a last question with
    all of them moved, and the zero too, shows that it is not so there."""
    from scipy.special import chdtri

    factors = case.factors
    start = case.readings(gap / float(np.median(factors)), decimals)
    n, step = len(start), 1e-3 * gap
    rows, _, result = _asked(case, start, np.zeros(n))
    if len(rows) != len(case.check.places) + 1 or result.overall is None or result.covariance is None:
        return None
    fit = _fit(case, start)
    each = np.diag(1.0 / np.array(factors)) / case.squeezes
    weights = np.vstack([fit.operator, np.tile(each, case.squeezes)])
    zero = share(case.card, case.check.places, case.check.facts, case.gauge, start)
    at = np.array([one.value for one in start])
    constant = rows - weights @ (at - zero * case.zero)
    d = fit.taken_off + zero * case.zero
    a = fit.chi if result.fit else np.zeros((n, n))
    b, c = 2.0 * a @ d, float(d @ a @ d)
    check = step * np.where(np.arange(n) % 2, -0.7, 0.4)
    then, chi, _ = _asked(case.zeroed(3.0 * step), start, check)
    r = at + check - zero * case.zeroed(3.0 * step).zero
    if not np.allclose(then, constant + weights @ r, rtol=1e-9, atol=1e-14):
        return None
    if not np.isclose(chi, r @ a @ r + b @ r + c, rtol=1e-6, atol=1e-9):
        return None
    return Linear(
        constant, weights, zero, result.overall.u, result.overall.dof, result.covariance, common_dof(result),
        (a, b, c), float(chdtri(result.fit.dof, SCATTER_CHANCE)) if result.fit else None,
    )  # fmt: skip


def lifts(case: Case, clearance: float, decimals: int) -> Linear | None:
    """The same of a shaft that is lifted, so many times: one value, the mean of what is left of each lift.

    Lifts that differ by no more than the feel for the stop explains (`gauging.lift`) add nothing to the
    uncertainty; that is the form of chi square here. None where the engine, asked with lifts that differ as
    much and travels that are others, shows that the value is not linear or its uncertainty not the same.
    """
    start = case.readings(clearance, decimals)
    n, count = len(start), case.squeezes
    if count > MOST_LIFTS:
        return None
    rows, _, result = _asked(case, start, np.zeros(n))
    if len(rows) != 2 or result.overall is None:
        return None
    weights = np.column_stack([(_asked(case, start, MOVED * one)[0] - rows) / MOVED for one in np.eye(n)])
    at = np.array([one.value for one in start])
    constant = rows - weights @ at
    rise = np.kron(np.eye(count), np.array([[1.0, -1.0]]))
    left = (np.eye(count) - 1.0 / count) @ rise
    a = left.T @ left / (max(1, count - 1) * FEEL**2)
    spread = rise.T @ np.arange(count)
    most = 0.99 / math.sqrt(float(spread @ a @ spread)) if count > 1 else 0.0
    check = most * spread + np.tile([0.1 * clearance, 0.04 * clearance], count)
    then, _, other = _asked(case, start, check)
    assert other.overall is not None
    if not math.isclose(other.overall.u, result.overall.u, rel_tol=1e-12) or not np.allclose(
        then, constant + weights @ (at + check), rtol=1e-9, atol=1e-14
    ):
        return None
    return Linear(
        constant, weights, np.zeros(n), result.overall.u, result.overall.dof, result.covariance,
        common_dof(result), (a, np.zeros(n), 0.0), 1.0 if count > 1 else None,
    )  # fmt: skip


def _asked(
    case: Case, start: Sequence[Reading], by: NDArray[np.float64]
) -> tuple[NDArray[np.float64], float, Result]:
    """What the engine makes of these readings moved [m]: mean and places [m], chi square, and all of it."""
    result = case.result(
        tuple(replace(one, value=one.value + float(d)) for one, d in zip(start, by, strict=True))
    )
    assert result.overall is not None
    rows = np.array([result.overall.value, *(place.value.value for place in result.places)])
    return rows, (result.fit.chi_square if result.fit else 0.0), result


@dataclass(frozen=True)
class _Fit:
    """operator: of the mean. chi: the form A of chi square, e' V^-1 e = (r + d)' A (r + d), as the residuals
    are linear in the readings, e = M (r + d), and V is the covariance of what was observed. taken_off: d [m].
    """

    operator: NDArray[np.float64]
    chi: NDArray[np.float64]
    taken_off: NDArray[np.float64]


def _fit(case: Case, readings: Sequence[Reading]) -> _Fit:
    assert case.kind.observe is not None
    observed = case.kind.observe(case.card, case.check.places, case.check.facts, readings)
    fit = solve(case.card, observed)
    names = tuple(fit.unknown)
    axial = np.array([one.place.axial for one in observed])
    angle = np.array([one.place.angle for one in observed])
    left = np.eye(len(observed)) - design(case.card, names, axial, angle) @ fit.fit.operator
    chi = left.T @ np.linalg.solve(covariance_matrix([one.corrected for one in observed]), left)
    d = np.array([one.corrected.value - one.reading for one in observed])
    return _Fit(np.asarray(fit.fit.operator[names.index("mean")]), chi, d)


def _distances(covariance: NDArray[np.float64], dof: float) -> tuple[float, float, float]:
    """near, far and beyond, in standard uncertainties."""
    u = np.sqrt(np.diag(covariance))
    alike = covariance / np.outer(u, u)
    near, far = (_distance(alike, dof, chance) + SPARE for chance in (NEAR, FAR))
    return near, far, coverage_factor(dof, 0.9) + SPARE


def _distance(alike: NDArray[np.float64], dof: float, chance: float) -> float:
    """How many u every place must be from a limit for all to be inside it with this chance: no less than for
    one place alone, no more than where each may be outside by its part of what is left."""
    lower = coverage_factor(dof, 2.0 * chance - 1.0)
    upper = coverage_factor(dof, 1.0 - 2.0 * (1.0 - chance) / len(alike))
    while upper - lower > 1e-3:
        half = 0.5 * (lower + upper)
        inside = probability_within_box(np.zeros(len(alike)), alike, dof, -half, None)
        lower, upper = (lower, half) if inside >= chance else (half, upper)
    return upper


def _set(
    case: Case, made: Linear, decimals: int, below: float, distances: tuple[float, float, float]
) -> Weights:
    unit = case.card.bearing.unit
    expanded = coverage_factor(made.overall_dof) * made.overall_u
    a, b, c = made.chi
    return Weights(
        decimals, below, tuple(made.constant.tolist()), tuple(map(tuple, made.weights.tolist())),
        (made.overall_u, *np.sqrt(np.diag(made.covariance)).tolist()),
        show(expanded, unit, "length", step=clearance_step(unit)), *distances,
        tuple(map(tuple, a.tolist())), tuple(b.tolist()), c, made.most, case.squeezes,
        len(noted(case.check.facts, case.gauge)), case.drift, tuple(made.zero.tolist()), case.at,
    )  # fmt: skip
