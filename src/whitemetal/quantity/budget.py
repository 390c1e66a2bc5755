"""The budget table: what dominates an uncertainty. JCGM 100:2008, 7.2.7 and H.1.8."""

from __future__ import annotations

import math
from dataclasses import dataclass

from whitemetal.quantity.value import Influence, Quantity


@dataclass(frozen=True)
class BudgetLine:
    """One family of influences in a budget.

    u_input: standard uncertainty of one influence of the family [SI] (the largest, if they differ).
    u: its contribution to the combined standard uncertainty [SI]. share: part of the variance, 0 to 1.
    count: how many independent influences the line sums.
    """

    label: str
    u_input: float
    shape: str
    dof: float
    u: float
    share: float
    source: str
    count: int


def budget(quantity: Quantity) -> tuple[BudgetLine, ...]:
    """The budget of a quantity, largest contribution first; the squares of ``u`` sum to its variance."""
    families: dict[str, list[tuple[Influence, float]]] = {}
    for influence, part in quantity.parts.items():
        families.setdefault(influence.family or influence.label, []).append((influence, part))
    lines = [_line(members, quantity.variance) for members in families.values()]
    return tuple(sorted(lines, key=lambda line: -line.u))


def _line(members: list[tuple[Influence, float]], variance: float) -> BudgetLine:
    head = max(members, key=lambda member: member[0].u)[0]
    own = math.fsum(part * part for _, part in members)
    return BudgetLine(
        head.label,
        head.u,
        head.shape,
        head.dof,
        math.sqrt(own),
        own / variance if variance else 0.0,
        head.source,
        len(members),
    )
