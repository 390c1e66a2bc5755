"""The order to the machine shop: the finished bore of new or re-metalled shells, or the finished journal.

Bore: the greatest journal diameter as measured plus the clearance in the middle of its limits, plus and
minus half the tolerance of an ISO 286-1 grade. Journal ground undersize: the least bore as measured less
that clearance. The grade is the coarsest, from the usual one down, with which the tolerance, the spread of
the other part and its uncertainty all stay inside the limits of the clearance. Sizes are at 20 °C (ISO 1).

A lemon bore is cut round at the journal plus the side clearance, with shims in its joint that are as thick
as side clearance less top clearance, and closed without them (derived from geometry: taking a shim s out
lowers the upper half by s and leaves the sides).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.errors import InputError, MethodRefused, Problem
from whitemetal.fitting.ladder import climb
from whitemetal.fitting.tolerance import GRADES, tolerance
from whitemetal.units import INCH
from whitemetal.words import say

Part = Literal["bore", "journal"]

USUAL: dict[Part, int] = {"bore": 7, "journal": 6}
"""Grade that is tried first. Common practice: a bore to grade 7, a shaft to grade 6."""

REFERENCE = 293.15
"""Temperature at which sizes hold [K]: 20 °C, ISO 1."""

METRIC_STEP, INCH_STEP = 1e-6, 1e-4 * INCH
"""Sizes are ordered in whole steps of this [m]. Our own."""

CUT_ROUND = ("plain", "two axial grooves", "pressure dam", "lemon")
"""Bores that are one circle when they are cut."""


@dataclass(frozen=True)
class Spread:
    """The other part as measured, at 20 °C [m]: least and greatest diameter, standard uncertainty of either,
    and where they come from. measured: False where they are only the card's."""

    least: float
    greatest: float
    u: float
    source: str
    measured: bool = True


@dataclass(frozen=True)
class Order:
    """A finished size. least, greatest: of the diameter [m] at 20 °C; target: its middle before rounding.
    grade: ISO 286-1; tolerance: of the grade [m]. other: the part it has to fit. clearance_least,
    clearance_greatest: diametral, top clearance, at the worst of both parts [m]; expanded: what the other's
    uncertainty may add [m]. low, high: limits of the clearance. fits: whether all of it stays inside them.
    shim_when_cut: shims in the joint while a lemon bore is cut [m]; side: its side clearance, None for
    another bore."""

    part: Part
    least: float
    greatest: float
    target: float
    grade: int
    tolerance: float
    other: Spread
    clearance_least: float
    clearance_greatest: float
    expanded: float
    low: float
    high: float
    fits: bool
    limit_source: str
    shim_when_cut: float = 0.0
    side: float | None = None


def of_card(card: Card) -> Spread:
    """The journal as the card has it, where nobody measured it."""
    size = card.bearing.journal_diameter
    return Spread(size, size, 0.0, say("bore_order.from_card"), measured=False)


def order_bore(card: Card, journal: Spread, grade: int | None = None) -> Order:
    """The finished bore. grade: None tries the usual one, then finer ones.

    Raises MethodRefused for a bore that is not cut as one circle, InputError without both limits, for a
    lemon without its ratio, and for a grade that is not in the table.
    """
    if card.bearing.profile not in CUT_ROUND:
        raise MethodRefused(
            say("bore_order.not_round", profile=card.bearing.profile), say("bore_order.drawing")
        )
    low, high, source = _limits(card)
    middle, ratio = 0.5 * (low + high), 1.0
    if card.bearing.profile == "lemon":
        if not card.bearing.side_to_top:
            raise InputError(Problem("bearing.side_to_top", "", say("bore_order.ratio_needed")))
        ratio = card.bearing.side_to_top
    shim = (ratio - 1.0) * middle
    target = journal.greatest + middle + shim
    return _finest(card, "bore", target, journal, (low, high, source), grade, shim)


def order_journal(card: Card, bore: Spread, grade: int | None = None) -> Order:
    """The finished journal for a bore as it is. Raises InputError without both limits. See `order_bore`."""
    if card.bearing.profile not in CUT_ROUND or card.bearing.profile == "lemon":
        raise MethodRefused(
            say("bore_order.not_round", profile=card.bearing.profile), say("bore_order.drawing")
        )
    low, high, source = _limits(card)
    target = bore.least - 0.5 * (low + high)
    return _finest(card, "journal", target, bore, (low, high, source), grade, 0.0)


def _limits(card: Card) -> tuple[float, float, str]:
    limit = climb(card, OIL_CLEARANCE).chosen
    low = limit.diametral("minimum") if limit is not None else None
    high = limit.diametral("maximum") if limit is not None else None
    if limit is None or low is None or high is None:
        raise InputError(Problem("limit", "", say("bore_order.both_limits")))
    return low, high, say("bore_order.limit_source", rung=limit.rung, document=limit.document)


def _finest(
    card: Card,
    part: Part,
    target: float,
    other: Spread,
    limits: tuple[float, float, str],
    grade: int | None,
    shim: float,
) -> Order:
    if grade is not None and grade not in GRADES:
        raise InputError(Problem("grade", str(grade), say("bore_order.grades")))
    if target > 0.5 or other.least <= 0.0:
        raise InputError(
            Problem("bearing.journal_diameter", f"{target * 1e3:.0f} mm", say("bore_order.to_500"))
        )
    tried = (
        [grade] if grade is not None else [one for one in sorted(GRADES, reverse=True) if one <= USUAL[part]]
    )
    orders = [_order(card, part, target, other, limits, one, shim) for one in tried]
    return next((one for one in orders if one.fits), orders[-1])


def _order(
    card: Card,
    part: Part,
    target: float,
    other: Spread,
    limits: tuple[float, float, str],
    grade: int,
    shim: float,
) -> Order:
    low, high, source = limits
    width = tolerance(target, grade)
    step = METRIC_STEP if card.bearing.unit == "mm" else INCH_STEP
    least = math.ceil((target - 0.5 * width) / step - 1e-6) * step
    greatest = math.floor((target + 0.5 * width) / step + 1e-6) * step
    if part == "bore":
        smallest, largest = least - shim - other.greatest, greatest - shim - other.least
    else:
        smallest, largest = other.least - greatest, other.greatest - least
    expanded = 2.0 * other.u
    side = None if not shim else target - other.greatest
    return Order(
        part, least, greatest, target, grade, width, other, smallest, largest, expanded, low, high,
        smallest - expanded >= low - 1e-12 and largest + expanded <= high + 1e-12, source, shim, side,
    )  # fmt: skip


def at_temperature(size: float, expansion: float, temperature: float) -> float:
    """A size at 20 °C [m] as it is at another temperature [K]: ``size (1 + a (T - 293.15))``, a the expansion
    [1/K]. ISO 1 sets the reference; the change of length is of first order."""
    return size * (1.0 + expansion * (temperature - REFERENCE))
