"""Agreement with GTC (Measurement Standards Laboratory of New Zealand; MIT licence) on random budgets."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from typing import Any

import pytest

from whitemetal.quantity import Influence, Quantity, covariance, exact

from .case import Case

SEED = 20_100
BUDGETS = 300


@dataclass(frozen=True)
class Pair:
    """The same quantity in both algebras."""

    ours: Quantity
    theirs: Any


def inputs(draw: random.Random, budget: int) -> list[Pair]:
    from GTC import ureal

    made = []
    for i in range(draw.randint(2, 7)):
        value, u = draw.uniform(0.5, 5.0), 10.0 ** draw.uniform(-6, -1.3)
        dof = draw.choice([float(draw.randint(1, 60)), draw.uniform(1.5, 40.0)])
        influence = Influence(f"{budget}.{i}", f"x{i}", u, dof)
        made.append(Pair(Quantity.of(value, influence), ureal(value, u, dof)))
    return made


def combined(draw: random.Random, pool: list[Pair]) -> Pair:
    """One more operation on earlier results, the same in both; values stay away from zero and infinity."""
    from GTC import cos, sqrt

    a, b = draw.choice(pool), draw.choice(pool)
    number = draw.uniform(0.5, 3.0)
    options = {
        "a+b": lambda: Pair(a.ours + b.ours, a.theirs + b.theirs),
        "a-b": lambda: Pair(a.ours - b.ours, a.theirs - b.theirs),
        "a*b": lambda: Pair(a.ours * b.ours, a.theirs * b.theirs),
        "a/b": lambda: Pair(a.ours / b.ours, a.theirs / b.theirs),
        "n+a": lambda: Pair(number + a.ours, number + a.theirs),
        "n-a": lambda: Pair(number - a.ours, number - a.theirs),
        "a*n": lambda: Pair(a.ours * number, a.theirs * number),
        "n/a": lambda: Pair(number / a.ours, number / a.theirs),
        "-a": lambda: Pair(-a.ours, -a.theirs),
        "cos": lambda: Pair(a.ours.cos(), cos(a.theirs)),
        "sqrt": lambda: Pair(a.ours.sqrt(), sqrt(a.theirs)),
    }
    name = draw.choice(list(options))
    usable = abs(b.ours.value) > 0.1 and abs(a.ours.value) > 0.1
    if (name in ("a/b", "n/a") and not usable) or (name == "sqrt" and a.ours.value <= 0.1):
        name = "a+b"
    return options[name]()


def random_budget(budget: int) -> tuple[Pair, Pair]:
    """Two results that share inputs."""
    draw = random.Random(SEED + budget)
    pool = inputs(draw, budget)
    roots = len(pool)
    while len(pool) < roots + 10:
        made = combined(draw, pool)
        if 1e-3 < abs(made.ours.value) < 1e4 and made.ours.u > 1e-9:  # a/a has none
            pool.append(made)
    return pool[-1], pool[-2]


def off(ours: float, theirs: float, scale: float | None = None) -> float:
    return abs(ours - theirs) / (abs(theirs) if scale is None else scale)


def worst() -> dict[str, float]:
    """Largest relative differences over all budgets, of value, u, dof and covariance."""
    from GTC import dof, get_covariance, uncertainty, value

    found = {"value": 0.0, "u": 0.0, "dof": 0.0, "covariance": 0.0}
    for budget in range(BUDGETS):
        for pair in random_budget(budget):
            found["value"] = max(found["value"], off(pair.ours.value, value(pair.theirs)))
            found["u"] = max(found["u"], off(pair.ours.u, uncertainty(pair.theirs)))
            found["dof"] = max(found["dof"], off(pair.ours.dof, dof(pair.theirs)))
        a, b = random_budget(budget)
        theirs = get_covariance(a.theirs, b.theirs)
        found["covariance"] = max(
            found["covariance"], off(covariance(a.ours, b.ours), theirs, a.ours.u * b.ours.u)
        )
    return found


def worst_of_all() -> float:
    return max(worst().values())


CASES = (
    Case(
        f"{BUDGETS} random budgets: value, u, dof, covariance; largest relative difference",
        "GTC 1.5 (independent library)",
        "seen",
        "0",
        worst_of_all,
        tolerance=1e-9,
        why="both work in double precision",
    ),
)


def test_random_budgets_agree() -> None:
    found = worst()
    for name, difference in found.items():
        assert difference < 1e-9, name


def test_budgets_are_not_trivial() -> None:
    """The budgets exercise what they claim to: finite dof, and results that are correlated both ways."""
    pairs = [random_budget(budget) for budget in range(BUDGETS)]
    assert all(math.isfinite(pair.ours.dof) for both in pairs for pair in both)
    correlations = [covariance(a.ours, b.ours) / (a.ours.u * b.ours.u) for a, b in pairs]
    assert sum(c > 0.1 for c in correlations) > 50
    assert sum(c < -0.1 for c in correlations) > 50


def test_infinite_dof_and_exact_numbers() -> None:
    known = Quantity.of(2.0, Influence("a", "a", 0.1))
    assert (known * 3.0).dof == math.inf
    assert exact(3.0).u == 0.0
    assert covariance(known, exact(3.0)) == 0.0
    assert covariance(known, -known) == pytest.approx(-0.01, rel=1e-12)
