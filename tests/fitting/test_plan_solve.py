"""Plans against trying everything, and what collides against leaving each constraint out."""

from __future__ import annotations

import numpy as np
import pytest

from tests.fitting.brute_plan import UM, Case, best, random_case
from whitemetal.fitting.plan_model import Allowed, Measured, Pack, Present, Spot
from whitemetal.fitting.plan_solve import solve, works_with
from whitemetal.fitting.shim_effect import EFFECTS
from whitemetal.fitting.verdict import Band

DECIDED = 1.5e-3
"""The lattice's error in a probability is below 1e-3: so near to 95 % either answer is right."""


def present_of(case: Case) -> Present:
    """The case as the program takes it."""
    joint = next(name for name, one in EFFECTS.items() if (one.clearance, one.crush) == case.joint)
    spots = tuple(
        Spot(f"place {i}", f"station {s}", 0.01 * s, 0.0, a, b)
        for i, (s, a, b) in enumerate(zip(case.station, case.by_shim, case.by_metal, strict=True))
    )
    n = len(spots)
    clearance = Measured(
        tuple(spot.label for spot in spots),
        np.array(case.values) * UM,
        np.eye(n) * (case.u * UM) ** 2,
        np.inf,
    )
    crush = None
    if case.crush is not None:
        crush = Measured(
            ("shell",), np.array([case.crush]) * UM, np.array([[(case.crush_u * UM) ** 2]]), np.inf
        )
    return Present(
        spots=spots,
        clearance=clearance,
        band=Band(_si(case.low), _si(case.high)),
        crush=crush,
        crush_band=Band(case.crush_low * UM, case.crush_high * UM),
        has_crush=case.joint[1] is not None,
        packs=(Pack(joint, tuple(size * UM for size in case.pack)),),
        allowed=Allowed(
            stock=tuple(size * UM for size in case.stock), rounds=case.rounds, lining=_si(case.lining)
        ),
    )


def _si(value: float | None) -> float | None:
    return None if value is None else value * UM


def check(seed: int) -> str:
    """Compare one case with trying everything. Returns "works", "nothing works" or "too close to call"."""
    case = random_case(seed)
    present = present_of(case)
    solution = solve(present)
    strict, loose = best(case, 0.95 + DECIDED), best(case, 0.95 - DECIDED)
    if strict is None:
        if loose is not None:
            return "too close to call"
        assert solution.work is None, seed
        assert solution.colliding, seed
        assert not works_with(present, solution.colliding), seed
        for one in solution.colliding:
            rest = [other for other in solution.colliding if other != one]
            assert works_with(present, rest), (seed, one)
        return "nothing works"
    assert solution.work is not None and loose is not None, seed
    found = tuple(round(value, 3) for value in solution.reached)
    assert _rounded(loose) <= found <= _rounded(strict) or np.allclose(found, strict, atol=2e-3), (
        seed,
        found,
    )
    return "works" if loose == strict else "too close to call"


def _rounded(key: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(round(value, 3) for value in key)


def tally(seeds: range) -> dict[str, int]:
    """How many cases came out which way."""
    words = [check(seed) for seed in seeds]
    return {word: words.count(word) for word in set(words)}


def test_forty_plans_equal_trying_everything() -> None:
    found = tally(range(40))
    assert found.get("too close to call", 0) <= 2
    assert found["works"] >= 12 and found["nothing works"] >= 5


@pytest.mark.soak
def test_five_hundred_plans_equal_trying_everything() -> None:
    found = tally(range(500))
    assert found.get("too close to call", 0) <= 25
    assert found["works"] >= 150 and found["nothing works"] >= 60
