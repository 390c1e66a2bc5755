"""When to open next: the run after which the clearance reaches its renewal limit, with an interval and a
risk.

The run left is (limit - clearance)/rate, a ratio of two uncertain numbers: its interval is Fieller's, and
where the rate is not known to differ from nothing there is none, which is said instead of a date.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from whitemetal.errors import InputError, Problem
from whitemetal.history.ratio import ratio
from whitemetal.history.wear import Since, Wear
from whitemetal.quantity import coverage_factor
from whitemetal.words import say

RISK = 0.05
"""Chance that the limit is passed before the opening, where nobody chose another. Our own."""


@dataclass(frozen=True)
class NextOpening:
    """Runs left from the last closing, in hours [s], starts or calendar [s], as the wear is counted.

    reached: best estimate of the run to the limit; low, high: 95 % interval (inf where it has no end).
    open_by: the run at which the chance of having passed the limit is ``risk``; None when nothing can be
    said, with ``why``. by_plant: the plant's own longest run was shorter and decides.
    """

    reached: float | None
    low: float
    high: float
    open_by: float | None
    risk: float
    why: str
    by_plant: bool = False


def next_opening(
    found: Wear, limit: float | None, risk: float = RISK, longest: float | None = None
) -> NextOpening:
    """limit: diametral clearance at which the shells are renewed [m]; longest: the plant's rule, in the
    wear's own count. Raises InputError for a risk that is no chance below one half."""
    if not 0.0 < risk < 0.5:
        raise InputError(Problem(say("history.risk_label"), f"{risk:g}", say("history.risk")))
    why = _why_not(found, limit)
    if why or limit is None or found.rate is None or found.since is None:
        return NextOpening(None, 0.0, math.inf, longest, risk, why, by_plant=longest is not None)
    since, rate_u = found.since, found.rate_u
    left, k = limit - since.value, coverage_factor(found.dof)
    both = ratio(left, found.rate, since.u**2, rate_u**2, -since.covariance, k) if found.rate else None
    open_by = _at_risk(left, found.rate, since, rate_u, coverage_factor(found.dof, 1.0 - 2.0 * risk))
    shorter = longest is not None and (open_by is None or longest < open_by)
    low, high, reached = 0.0, math.inf, None
    if both is not None and found.rate > 0.0:
        reached = max(0.0, both.value)
        if both.bounded:
            low, high = max(0.0, both.low), max(0.0, both.high)
    said = "" if open_by is not None else say("history.no_end")
    return NextOpening(reached, low, high, longest if shorter else open_by, risk, said, by_plant=shorter)


def _why_not(found: Wear, limit: float | None) -> str:
    if limit is None:
        return say("history.no_limit")
    if found.rate is None:
        return found.why
    return say("history.not_left") if found.since is None else ""


def _at_risk(left: float, rate: float, since: Since, rate_u: float, z: float) -> float | None:
    """The first run t at which left - rate t = z sqrt(u² + 2 t cov + t² rate_u²): there the chance of having
    passed the limit is the one whose quantile is z.

    0 when the chance is already larger; None when it is never reached.
    """
    if left <= z * since.u:
        return 0.0
    square = rate * rate - z * z * rate_u * rate_u
    middle = left * rate + z * z * since.covariance
    below = left * left - z * z * since.u * since.u
    root = middle * middle - square * below
    if root < 0.0:
        return None
    candidates = [below / (middle + math.sqrt(root))] if middle + math.sqrt(root) != 0.0 else []
    if square != 0.0:
        candidates += [(middle + math.sqrt(root)) / square]
    good = [t for t in candidates if t > 0.0 and math.isfinite(t) and left - rate * t >= -1e-9 * left]
    return min(good, default=None)
