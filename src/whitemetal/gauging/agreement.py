"""Do methods that measure the same thing agree? Side by side, pooled where they do, never averaged where not.

Weighted mean with the full covariance (generalized least squares), chi-square of the values about it, Birge
ratio ``R = sqrt(chi-square / dof)``. Values agree while chance makes so large a chi-square at least once in
twenty: M. G. Cox, Metrologia 39 (2002) 589, procedure A, from memory. Pairs are ranked by their normalized
error ``|a - b| / U(a - b)`` at 95 %, ISO/IEC 17043, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import Literal

import numpy as np

from whitemetal.gauging.contract import BORE_CHANGE, GAP_CHANGE, JOURNAL_CHANGE, Facts
from whitemetal.gauging.instruments import SHARED
from whitemetal.quantity import (
    Influence,
    Quantity,
    combine,
    covariance_matrix,
    coverage_factor,
    exact,
    fit_general,
)

CONSISTENT = 0.05
"""Values are consistent while chance alone gives so large a chi-square at least this often: Cox, Metrologia
39 (2002) 589, from memory."""

Door = Literal["bore", "journal", "both", "neither", "not known"]
"""Whose taper it is: the shell's bore, the journal's, both, neither as far as can be proven."""


@dataclass(frozen=True)
class Said:
    """What one check says. name: unique, e.g. the check's id. title: for people. says: by measurand.

    counts: whether nothing holds the check up; one that does not count is compared but never pooled.
    findings: codes of what the method found odd. facts: as recorded.
    """

    name: str
    title: str
    method: str
    says: Mapping[str, Quantity]
    facts: Facts = field(default_factory=dict)
    findings: frozenset[str] = frozenset()
    counts: bool = True


@dataclass(frozen=True)
class Valued:
    """One check's value of a measurand. k: coverage factor for 95 %; weight: in the pooled value, 0 where it
    is not in it."""

    name: str
    value: Quantity
    k: float
    weight: float = 0.0
    counts: bool = True

    @property
    def low(self) -> float:
        """Lower end of the 95 % interval [SI]."""
        return self.value.value - self.k * self.value.u

    @property
    def high(self) -> float:
        """Upper end of the 95 % interval [SI]."""
        return self.value.value + self.k * self.value.u


@dataclass(frozen=True)
class Pair:
    """Two checks: ``high`` reads more than ``low`` by difference [SI]. normalized: that over its expanded
    uncertainty at 95 %; above 1 they disagree."""

    high: str
    low: str
    difference: Quantity
    normalized: float


@dataclass(frozen=True)
class Compared:
    """One measurand as several checks have it.

    chi_square, dof, probability, birge: of the values that count about their weighted mean (of all where
    fewer than two count). consistent: whether they may be pooled. pooled: None where they may not. pairs:
    all, the worst first.
    """

    of: str
    values: tuple[Valued, ...]
    chi_square: float
    dof: int
    probability: float
    birge: float
    consistent: bool
    pooled: Quantity | None
    pairs: tuple[Pair, ...]

    @property
    def worst(self) -> Pair | None:
        """The pair that disagrees most; None where all is consistent."""
        return None if self.consistent or not self.pairs else self._judged()[0]

    def _judged(self) -> tuple[Pair, ...]:
        counting = {one.name for one in self.values if one.counts}
        both = tuple(pair for pair in self.pairs if {pair.high, pair.low} <= counting)
        return both or self.pairs

    @property
    def apart(self) -> tuple[Pair, ...]:
        """The pairs that disagree, the worst first; of two checks that count, or with one that does not."""
        return tuple(pair for pair in self.pairs if pair.normalized > 1.0)


def compare(of: str, checks: Sequence[Said]) -> Compared | None:
    """One measurand of several checks, whatever their order; None when fewer than two say anything of it."""
    having = sorted((one for one in checks if of in one.says), key=lambda one: one.name)
    if len(having) < 2:
        return None
    counting = [one for one in having if one.counts]
    judged = counting if len(counting) > 1 else having
    values = [one.says[of] for one in judged]
    covariance = covariance_matrix(values)
    fit = fit_general(np.ones((len(values), 1)), np.array([v.value for v in values]), covariance)
    consistent = fit.chi_probability >= CONSISTENT
    shares = fit.operator[0].tolist()
    weights = dict(zip((one.name for one in judged), shares, strict=True))
    pooled = combine(shares, values) if consistent and len(counting) > 1 else None
    return Compared(
        of,
        tuple(_valued(one, of, weights.get(one.name, 0.0) if pooled else 0.0) for one in having),
        fit.chi_square,
        fit.dof,
        fit.chi_probability,
        fit.residual_sd,
        consistent,
        pooled,
        _pairs(of, having),
    )


def _valued(one: Said, of: str, weight: float) -> Valued:
    value = one.says[of]
    return Valued(one.name, value, coverage_factor(value.dof), weight, one.counts)


def _pairs(of: str, having: Sequence[Said]) -> tuple[Pair, ...]:
    found = []
    for one, other in combinations(having, 2):
        high, low = (one, other) if one.says[of].value >= other.says[of].value else (other, one)
        difference = high.says[of] - low.says[of]
        found.append(Pair(high.name, low.name, difference, normalized(difference)))
    return tuple(sorted(found, key=lambda pair: (-pair.normalized, pair.high, pair.low)))


def normalized(difference: Quantity) -> float:
    """A difference over its expanded uncertainty at 95 %; infinite for a difference known exactly."""
    if difference.u == 0.0:
        return math.inf if difference.value else 0.0
    return abs(difference.value) / (coverage_factor(difference.dof) * difference.u)


def own_influences(
    name: str, said: Mapping[str, Quantity], instruments: Sequence[str]
) -> dict[str, Quantity]:
    """What a check says, its influences made its own, so that two checks of one method share nothing by name.

    The permissible error of an instrument that has a name stays shared: it is the same instrument.
    """
    named = tuple(f".{each}" for each in instruments if each)

    def own(influence: Influence) -> Influence:
        shared = influence.family.startswith("mpe") and named and influence.key.endswith(named)
        if shared or influence.key.startswith(f"{SHARED}."):
            return influence
        return replace(influence, key=f"{name}:{influence.key}")

    return {
        key: Quantity(value.value, {own(influence): part for influence, part in value.parts.items()})
        for key, value in said.items()
    }


@dataclass(frozen=True)
class Tapers:
    """The change along the land laid at somebody's door; lengths [m], from the first end to the last.

    gap, bore, journal: as measured or, where one is missing, from the other two (its key in ``inferred``).
    closure: gap - (bore - journal), None where one of them is inferred; closes: whether it is zero as far as
    can be proven.
    """

    gap: Quantity
    bore: Quantity
    journal: Quantity
    inferred: str
    closure: Quantity | None
    closes: bool
    door: Door


def tapers(checks: Sequence[Said]) -> Tapers | None:
    """Whether the clearance's change along the axis is the shell's or the journal's; None when fewer than two
    of gap, bore and journal are known, or when the methods contradict each other on one.

    The gap is taken from the methods that squeeze or lift: a bore less journal closes with itself.
    """
    squeezed = [one for one in checks if BORE_CHANGE not in one.says]
    sources = ((GAP_CHANGE, squeezed), (BORE_CHANGE, checks), (JOURNAL_CHANGE, checks))
    if any(_contradicted(of, having) for of, having in sources):
        return None
    gap, bore, journal = (_one_value(of, having) for of, having in sources)
    known = {key: value for key, value in ((GAP_CHANGE, gap), (BORE_CHANGE, bore), (JOURNAL_CHANGE, journal))
             if value is not None}  # fmt: skip
    if len(known) < 2:
        return None
    inferred = next((key for key in (GAP_CHANGE, BORE_CHANGE, JOURNAL_CHANGE) if key not in known), "")
    zero = exact(0.0)
    bore = bore or (gap or zero) + (journal or zero)
    journal = journal or bore - (gap or zero)
    gap = gap or bore - journal
    closure = None if inferred else gap - (bore - journal)
    closes = closure is None or normalized(closure) <= 1.0
    return Tapers(
        gap, bore, journal, inferred, closure, closes, _door(bore, journal) if closes else "not known"
    )


def _contradicted(of: str, checks: Sequence[Said]) -> bool:
    compared = compare(of, [one for one in checks if one.counts])
    return compared is not None and not compared.consistent


def _one_value(of: str, checks: Sequence[Said]) -> Quantity | None:
    """The pooled value where several checks agree, the value of the only one, or None."""
    having = [one for one in checks if of in one.says and one.counts]
    if len(having) == 1:
        return having[0].says[of]
    compared = compare(of, having)
    return compared.pooled if compared is not None else None


def _door(bore: Quantity, journal: Quantity) -> Door:
    tapered = [name for name, value in (("bore", bore), ("journal", journal)) if normalized(value) > 1.0]
    if len(tapered) == 2:
        return "both"
    return ("bore" if tapered == ["bore"] else "journal") if tapered else "neither"
