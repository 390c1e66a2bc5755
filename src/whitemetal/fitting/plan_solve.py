"""Solves the plan's programme to proven optimality, and finds what collides where there is no solution.

Objectives one after the other: solve, hold what was reached, solve for the next. Where a solution does not
keep all places together inside the limits, a plane cuts it off and the same is solved again
(`plan_box`). Raises NotConverged when the solver does not prove its optimum.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from whitemetal.errors import NotConverged
from whitemetal.fitting import plan_rows
from whitemetal.fitting.plan_box import Box
from whitemetal.fitting.plan_model import Matrix, Present, Work
from whitemetal.fitting.plan_rows import MICRO, Columns, Constraint, Row, before_passes
from whitemetal.fitting.verdict import WITHIN

MOST_PLANES = 60
"""Planes for one quantity before the programme gives up. Our own; a few are usual."""

HELD = 1e-5
"""How far a later objective may leave what an earlier one reached [its own unit]. Our own."""

KEPT = 1e-3
"""A solution rounded to whole numbers keeps every row within this [µm]. Our own."""

OPTIMAL, INFEASIBLE, EITHER = 0, 2, 4
"""Status of `scipy.optimize.milp`: solved; has no solution; the solver could not say."""


@dataclass(frozen=True)
class Proof:
    """What the solver says of its work. status: its own words; gap: between the solution and the bound of
    the last objective [-]; nodes, programmes: how many were worked through; planes: how many were needed."""

    status: str
    gap: float
    nodes: int
    programmes: int
    planes: int


@dataclass(frozen=True)
class Solution:
    """work: None where nothing works. reached: the objectives in order. colliding: a minimal set of
    constraints that cannot all hold."""

    work: Work | None
    reached: tuple[float, ...]
    colliding: tuple[Constraint, ...]
    proof: Proof


@dataclass
class _Asked:
    """The programme and what has been learnt of it."""

    columns: Columns
    clearance: Box
    crush: Box | None
    rows: list[Row]
    planes: list[Row] = field(default_factory=list)
    nodes: int = 0
    programmes: int = 0
    gap: float = 0.0


def solve(present: Present) -> Solution:
    """The best work for a bearing, or what collides. Raises NotConverged."""
    asked = _asked(present)
    everything = {row.of for row in asked.rows if row.of is not None} | _together(asked)
    first = _best(asked, everything, ())
    if first is None:
        return Solution(None, (), _colliding(asked, everything), _proof(asked, "infeasible"))
    held: list[Row] = []
    reached: list[float] = []
    found = first
    for name, weights in plan_rows.objectives(asked.columns):
        better = _best(asked, everything, held, weights)
        if better is None:
            raise NotConverged(f"the plan ({name});", 0.0, asked.programmes)
        found = better
        reached.append(float(weights @ found))
        held.append(Row(weights, -np.inf, reached[-1] + HELD))
    return Solution(asked.columns.work(found), tuple(reached), (), _proof(asked, "optimal"))


def _asked(present: Present) -> _Asked:
    columns = Columns(present)
    clearance = Box(present.clearance, present.band)
    crush = None
    if present.has_crush and present.crush is not None and present.crush_band is not None:
        crush = Box(present.crush, present.crush_band)
    rows = [
        *plan_rows.always(columns),
        *plan_rows.allowed(columns),
        *plan_rows.half_of_what_is_left(columns),
        *plan_rows.within_crush(columns, crush),
        *plan_rows.within_clearance(columns, clearance),
        *plan_rows.off_middle(columns),
    ]
    return _Asked(columns, clearance, crush, rows)


TOGETHER, CRUSH_TOGETHER = Constraint("together"), Constraint("crush_together")


def _together(asked: _Asked) -> set[Constraint]:
    """Constraints on all places together; with one place there is nothing to put together."""
    found = {TOGETHER} if len(asked.columns.present.spots) > 1 else set()
    if asked.crush is not None and len(asked.crush.measured.where) > 1:
        found.add(CRUSH_TOGETHER)
    return found


def _proof(asked: _Asked, status: str) -> Proof:
    return Proof(status, asked.gap, asked.nodes, asked.programmes, len(asked.planes))


def _best(
    asked: _Asked, active: Collection[Constraint], held: Sequence[Row], weights: Matrix | None = None
) -> Matrix | None:
    """The best solution, shape (columns,), that keeps the active constraints; None where there is none."""
    if not _provable(asked, active):
        return None
    while True:
        found = _milp(asked, active, held, weights)
        if found is None:
            return None
        cuts = _cuts(asked, active, found)
        if not cuts:
            return found
        asked.planes += cuts
        if len(asked.planes) > MOST_PLANES:
            raise NotConverged("the plan (all places together);", 1.0, len(asked.planes))


def _provable(asked: _Asked, active: Collection[Constraint]) -> bool:
    """Whether the middle of the band itself can be proven for all places together."""
    for of, box in ((TOGETHER, asked.clearance), (CRUSH_TOGETHER, asked.crush)):
        if of in active and box is not None and box.chance(box.middle) < WITHIN:
            return False
    return True


def _milp(
    asked: _Asked, active: Collection[Constraint], held: Sequence[Row], weights: Matrix | None
) -> Matrix | None:
    rows = [row for row in (*asked.rows, *asked.planes) if row.of is None or row.of in active] + list(held)
    goal = np.zeros(len(asked.columns.names)) if weights is None else weights
    result = _run(asked.columns, rows, goal, presolve=True)
    if result.status == EITHER:
        result = _run(asked.columns, rows, goal, presolve=False)
    asked.programmes += 1
    if result.status == INFEASIBLE:
        return None
    if result.status != OPTIMAL or result.x is None:
        raise NotConverged(f"the plan ({result.message});", math.inf, asked.programmes)
    asked.nodes += int(result.mip_node_count or 0)
    asked.gap = float(result.mip_gap or 0.0)
    return _rounded(asked.columns, result.x, rows, asked.programmes)


def _run(columns: Columns, rows: Sequence[Row], goal: Matrix, *, presolve: bool) -> Any:
    from scipy.optimize import Bounds, LinearConstraint, milp

    limits = LinearConstraint(
        np.array([row.weights for row in rows]), [row.low for row in rows], [row.high for row in rows]
    )
    return milp(
        goal, integrality=columns.whole, bounds=Bounds(0.0, columns.upper), constraints=limits,
        options={"mip_rel_gap": 0.0, "presolve": presolve},
    )  # fmt: skip


def _rounded(columns: Columns, found: Matrix, rows: Sequence[Row], programmes: int) -> Matrix:
    """Whole numbers whole; raises NotConverged when that breaks a row."""
    whole = np.array(columns.whole, dtype=bool)
    kept = np.where(whole, np.round(found), found)
    off = max((max(row.low - row.weights @ kept, row.weights @ kept - row.high) for row in rows), default=0.0)
    if off > KEPT:
        raise NotConverged("the plan (whole numbers);", float(off), programmes)
    return kept


def _cuts(asked: _Asked, active: Collection[Constraint], found: Matrix) -> list[Row]:
    """Planes that cut off a solution which does not keep all places together inside the limits."""
    cuts = []
    if TOGETHER in active:
        for most in (False, True):
            start, gains = clearance_rows(asked.columns, most=most)
            cuts += _cut(asked.clearance, start, gains, found, TOGETHER)
    if CRUSH_TOGETHER in active and asked.crush is not None:
        start = asked.crush.measured.values
        gains = np.tile(asked.columns.crush(), (len(start), 1))
        cuts += _cut(asked.crush, start, gains, found, CRUSH_TOGETHER)
    return cuts


def clearance_rows(columns: Columns, *, most: bool) -> tuple[Matrix, Matrix]:
    """The clearance before shims and passes, shape (n,) [m], and what it gains, shape (n, columns) [µm].

    most: where every pass takes all it may; else as a plan reckons.
    """
    passes = columns.present.allowed
    rough, finishing = (
        (passes.rough.most, passes.finishing.most) if most else (passes.rough.middle, passes.finishing.middle)
    )
    spots = columns.present.spots
    start = np.array([before_passes(columns.present, spot, i, most=most) for i, spot in enumerate(spots)])
    return start, np.array([columns.clearance(spot, rough, finishing) for spot in spots])


def _cut(box: Box, start: Matrix, gains: Matrix, found: Matrix, of: Constraint) -> list[Row]:
    values = start + gains @ found / MICRO
    if box.inside(values):
        return []
    plane = box.plane(values)
    low = (plane.bound - float(plane.normal @ start)) * MICRO
    return [Row(plane.normal @ gains, low, np.inf, of)]


RANKED = (
    "half", "rounds", "together", "crush_together", "stock", "lining", "do_not_scrape", "no_joint",
    "shims_in", "crush_no_limit", "crush_unknown", "crush_gauge", "gauge", "crush_least", "crush_greatest",
    "greatest", "least",
)  # fmt: skip
"""In which order constraints are left out to see whether they are needed: what is left names the plainest
causes. Our own."""


def _colliding(asked: _Asked, everything: Collection[Constraint]) -> tuple[Constraint, ...]:
    """A minimal set of constraints that cannot all hold: each is left out in turn, and stays out while there
    still is no solution (deletion filter: Chinneck and Dravnieks, ORSA J. Computing 3, 1991, from memory)."""
    kept = sorted(everything, key=lambda one: (RANKED.index(one.code), one.where))
    for one in list(kept):
        without = [other for other in kept if other != one]
        if _best(asked, without, ()) is None:
            kept = without
    return tuple(kept)


def works_with(present: Present, constraints: Collection[Constraint]) -> bool:
    """Whether anything works when only these constraints must be kept. Raises NotConverged."""
    return _best(_asked(present), constraints, ()) is not None
