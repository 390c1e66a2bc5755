"""What the blue says: arc about the load, length, share of the area, bare ends, edges, symmetry, spots.

A cell is blue or not; where a border lies inside a cell nobody knows, so every extent is uncertain by half a
cell at each border (rectangular), and the heaviness of a cell is judged by eye.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from whitemetal.card import Card
from whitemetal.gauging.contact.pattern import HEAVY, Pattern, pattern_of
from whitemetal.gauging.contract import Assessed, Facts, Finding, Place, Reading, Result, Severity
from whitemetal.gauging.wire.facts import length, text
from whitemetal.quantity import Influence, Quantity
from whitemetal.words import say

PRACTICE = "common practice"
EYE = 0.05
"""Standard uncertainty of a share of an area judged by eye [-]. Our own."""

SHIFTED = math.radians(15.0)
"""The middle of the pattern lies no further from the load line [rad] than this. Our own: one cell."""

UNEVEN = 0.25
"""One end carries no more than this share above the other. Our own."""

AT_JOINT = 0.5 * math.pi - SHIFTED
"""A load line further than this from the middle of the half [rad] points at the joint: the other half carries
the rest of the pattern. Our own: one cell from the joint."""

SPARSE = 0.5
"""A column belongs to the arc when at least this share of its carrying rows is blue. Our own."""


@dataclass(frozen=True)
class Extent:
    """First and last blue column of the arc, first and last row with blue."""

    columns: tuple[int, int]
    rows: tuple[int, int]


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """Arc [rad], shares [-], bare end [m], spots [1/m²], each with its uncertainty. Raises UnitError."""
    if not readings:
        return Result(None, findings=(_found("no_cells", "hold"),))
    pattern = pattern_of(card, places, readings)
    findings = [*_how(card, facts)]
    if not pattern.seen:
        findings.append(_found("not_all", "hold", count=int(np.sum(pattern.colour < 0))))
    if not pattern.touches.any():
        return Result(None, findings=(*findings, _found("no_blue", "fault")))
    extent = extent_of(pattern)
    findings += [*_edges(card, pattern), *_symmetry(card, pattern)]
    found = [*_sizes(pattern, extent), *_spots(facts)]
    return Result(None, findings=tuple(findings), assessed=tuple(found))


def extent_of(pattern: Pattern) -> Extent:
    """The arc is the unbroken run of carrying columns that holds, or lies nearest to, the load line."""
    touches = pattern.touches
    carrying = touches.any(axis=1)
    share = touches[carrying].mean(axis=0)
    runs = _runs(share >= SPARSE) or _runs(share > 0.0)
    first, last = min(runs, key=lambda run: _away(pattern, run))
    rows = np.flatnonzero(carrying)
    return Extent((first, last), (int(rows[0]), int(rows[-1])))


def _runs(blue: np.ndarray) -> list[tuple[int, int]]:
    """Unbroken runs of True, first and last index."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], blue.astype(int), [0]])))
    return [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _away(pattern: Pattern, run: tuple[int, int]) -> tuple[float, int]:
    low, high = pattern.angle[run[0]] - 0.5 * pattern.wide, pattern.angle[run[1]] + 0.5 * pattern.wide
    return max(low - pattern.load, pattern.load - high, 0.0), run[0] - run[1]


def _cell(key: str, u: float) -> Influence:
    return Influence(
        f"contact.{key}", say("contact.cell"), u, math.inf, "rectangular", say("contact.cell_source")
    )


def _eye(key: str) -> Influence:
    return Influence(f"contact.eye.{key}", say("contact.eye"), EYE, math.inf, "normal", "our own", "eye")


def _sizes(pattern: Pattern, extent: Extent) -> Iterator[Assessed]:
    columns, rows = len(pattern.angle), len(pattern.axial)
    first, last = extent.columns
    inside = pattern.touches[:, first : last + 1]
    two_borders = math.sqrt(2.0 / 12.0)
    arc = (last - first + 1) * pattern.wide
    yield _one(
        "contact arc",
        "arc",
        arc,
        _cell("arc", 0.0 if last - first + 1 == columns else two_borders * pattern.wide),
    )
    carrying = inside.any(axis=1)
    share = float(carrying.mean())
    yield _one(
        "contact length", "length", share, _cell("length", 0.0 if carrying.all() else two_borders / rows)
    )
    yield _one("contact area", "area", float(inside.mean()), _eye("area"))
    bare = max(extent.rows[0], rows - 1 - extent.rows[1]) * pattern.deep
    end = _cell("bare_end", pattern.deep / math.sqrt(12.0))
    yield Assessed("contact bare end", say("contact.bare_end"), (Quantity.of(bare, end),), needed=False)


def _one(of: str, label: str, value: float, influence: Influence) -> Assessed:
    return Assessed(of, say(f"contact.{label}"), (Quantity.of(value, influence),))


def _counted(facts: Facts) -> tuple[int, float] | None:
    """Spots and the area [m²] they were counted in; None where one of the three figures is missing."""
    counted, side, squares = text(facts, "spots"), length(facts, "square"), text(facts, "squares")
    if not counted.isdecimal() or not squares.isdecimal() or int(squares) < 1 or not side or side < 0.0:
        return None
    return int(counted), side * side * int(squares)


def _spots(facts: Facts) -> Iterator[Assessed]:
    """Spots over the area of the squares they were counted in; a count scatters by its root (Poisson)."""
    counted = _counted(facts)
    if counted is None:
        return
    count, area = counted
    u = math.sqrt(max(count, 1)) / area
    influence = Influence(
        "contact.count", say("contact.count"), u, math.inf, "normal", say("contact.count_source")
    )
    yield Assessed(
        "contact spots", say("contact.spots"), (Quantity.of(count / area, influence),), needed=False
    )


def _found(code: str, severity: Severity, source: str = PRACTICE, **values: object) -> Finding:
    return Finding(f"contact.{code}", severity, say(f"contact.{code}", **values), source)


def _how(card: Card, facts: Facts) -> Iterator[Finding]:
    if text(facts, "film") == "thick":
        yield _found("thick", "hold")
    if text(facts, "spots") and _counted(facts) is None:
        yield _found("spots_unclear", "warning", "our own", typed=text(facts, "spots"))
    if card.duty.direction == "not known":
        yield _found("load_not_known", "warning")
    if card.bearing.scraping_allowed is False:
        yield _found("do_not_scrape", "note")


def _edges(card: Card, pattern: Pattern) -> Iterator[Finding]:
    """Heavy bearing at an end or at the joint."""
    heavy = pattern.colour == HEAVY
    for row, end in ((0, card.bearing.ends[0]), (-1, card.bearing.ends[1])):
        others = np.delete(heavy, row % len(pattern.axial), axis=0)
        if heavy[row].any() and heavy[row].mean() > 2.0 * others.mean():
            yield _found("heavy_end", "warning", end=end)
    if heavy[:, 0].any() or heavy[:, -1].any():
        yield _found("heavy_joint", "warning")


def _symmetry(card: Card, pattern: Pattern) -> Iterator[Finding]:
    touches = pattern.touches
    middle = float((touches.sum(axis=0) * pattern.angle).sum() / touches.sum())
    if abs(pattern.load) > AT_JOINT:
        yield _found("other_half_too", "warning", "derived from geometry")
    elif abs(middle - pattern.load) > SHIFTED * (1.0 + 1e-9):
        degrees = f"{math.degrees(abs(middle - pattern.load)):.0f}"
        side = say("contact.to_the_right" if middle > pattern.load else "contact.to_the_left")
        yield _found("shifted", "warning", degrees=degrees, side=side)
    half = len(pattern.axial) // 2
    first, last = float(touches[:half].sum()), float(touches[-half:].sum())
    if abs(first - last) > UNEVEN * max(first, last):
        end = card.bearing.ends[0] if first > last else card.bearing.ends[1]
        yield _found("uneven", "warning", end=end)
