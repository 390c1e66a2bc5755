"""Where a device may trust its sum: between which readings the engine raises no doubt of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from whitemetal.fitting.wire_choice import INCH_WIRES, METRIC_WIRES
from whitemetal.gauging.wire.squeeze import WARN
from whitemetal.job.carried_sets import Case
from whitemetal.units import find_unit

SMALLEST, LARGEST = 0.25, 4.0
"""Share of the middle of the limits between which sets are carried. Our own."""

LEAST_TRAVEL = 1e-6
"""A shaft that rose less [m] was not lifted; the record asks about it. Our own."""

WIRE = "wire_diameter"


@dataclass(frozen=True)
class Range:
    """at: the wire's diameter as it stands on its box, or the strip's range as on its packet; "" where that
    is kept or nobody has said it. least, most: readings [m], as read and with the zero taken off, beyond
    which something else must be asked, by place; mean_least, mean_most: of the mean."""

    at: str
    least: tuple[float, ...]
    most: tuple[float, ...]
    mean_least: float
    mean_most: float


def ranges(case: Case, middle: float, shares: tuple[float, float]) -> Iterator[Range]:
    """As it is; and where nobody has said the wire's diameter, for each that is sold and fits. middle [m]
    between the limits; shares: of it, between which it is quiet."""
    calm, unit = case.zeroed(-case.zero), find_unit(case.card.bearing.unit, "length")
    assert unit is not None
    base = calm.readings(middle, case.decimals[-1])
    least = tuple(shares[0] * one.value for one in base)
    most = tuple(shares[1] * one.value for one in base)
    if case.kind.observe is None:  # only what is left of it all is asked about
        least = tuple(LEAST_TRAVEL if factor > 0.0 else 0.0 for factor in case.factors)
        most = (case.kind.reach(case.check.facts)[1],) * len(case.factors)
    means = tuple(_mean(calm, share * middle) for share in shares)
    yield Range(case.at, least, most, *means)
    if case.kind.key != WIRE or WIRE in case.check.facts:
        return
    for wire in METRIC_WIRES if unit.name == "mm" else INCH_WIRES:
        thin, thick = WARN[0] * wire * (1 + 1e-9), WARN[1] * wire * (1 - 1e-9)
        if all(thin <= one.value <= thick for one in base):
            yield Range(
                f"{wire / unit.scale:.6g}", tuple(max(one, thin) for one in least),
                tuple(min(one, thick) for one in most), *means,
            )  # fmt: skip


def _mean(case: Case, clearance: float) -> float:
    """The mean [m] that the engine makes of a plain bore of this clearance [m]."""
    made = case.result(case.readings(clearance, case.decimals[-1])).overall
    assert made is not None
    return made.value


def quiet_shares(case: Case, middle: float) -> tuple[float, float]:
    """Shares of the middle of the limits between which no reading raises a doubt of its own."""
    decimals = case.decimals[-1]
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
