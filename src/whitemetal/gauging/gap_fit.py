"""The clearance fitted through gaps read under the upper half, shared by the methods that squeeze something.

Generalized least squares with the full covariance of the readings on the model of `gap_shape`: mean at
mid-land, change end to end, sideways offset. Where the residuals are larger than the budget explains, the
unexplained scatter is added to it, never hidden.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from whitemetal.card import Card
from whitemetal.card.doubts import RELATIVE
from whitemetal.gauging.contract import (
    CLEARANCE,
    GAP_CHANGE,
    Finding,
    Fitted,
    Named,
    Place,
    PlaceResult,
    Result,
)
from whitemetal.gauging.gap_shape import design, shape_factor, unknowns
from whitemetal.quantity import Influence, LinearFit, Quantity, combine, covariance_matrix, fit_general
from whitemetal.units import UNITS, clearance_step, find_unit, show
from whitemetal.words import say

SCATTER_CHANCE = 0.01
"""Below this chance the residuals are taken to show an error that the budget does not know. Our own."""

FRONT_TO_REAR = 20e-6
FRONT_TO_REAR_SHARE = 0.1
"""A change along the axis above 0.02 mm or a tenth of the clearance is investigated. Common practice."""

SQUEEZES_AGREE = 15e-6
"""Repeats of the whole squeeze agree within 0.010 to 0.015 mm. Common practice."""

PRACTICE = "common practice"

RUNGS: tuple[float, ...] = tuple(1e-6 * 2.0 ** (k / 4.0) for k in range(61))
"""Gaps [m] at which the sensitivities of a reading are taken, 1 µm to 33 mm: the rung next to the median
reading is less than a tenth away, which moves an uncertainty by less than a thousandth of it, and a device
that judges without the record needs one set of weights a rung. Our own."""

BETWEEN: tuple[float, ...] = tuple(1e-6 * 2.0 ** ((k + 0.5) / 4.0) for k in range(60))
"""Where one rung ends and the next begins [m]. Our own."""


def sized(gap: float) -> float:
    """The rung [m] nearest to a gap [m]."""
    return RUNGS[bisect_right(BETWEEN, gap)]


@dataclass(frozen=True)
class Observation:
    """The readings of one place in one squeeze. reading: mean as read, nothing taken off yet [m]. corrected:
    what the instrument and the joint add taken off [m].

    own_u: standard uncertainty of what belongs to this observation alone [m].
    """

    squeeze: int
    place: Place
    count: int
    reading: float
    corrected: Quantity
    own_u: float


@dataclass(frozen=True)
class Solved:
    """The fit and its unknowns as quantities, by name."""

    fit: LinearFit
    unknown: dict[str, Quantity]


def solve(card: Card, observed: Sequence[Observation]) -> Solved:
    """Generalized least squares of what the layout can identify."""
    axial = np.array([o.place.axial for o in observed])
    angle = np.array([o.place.angle for o in observed])
    names = unknowns(card, axial, angle)
    quantities = [o.corrected for o in observed]
    y = np.array([q.value for q in quantities])
    fit = fit_general(design(card, names, axial, angle), y, covariance_matrix(quantities))
    return Solved(fit, {name: combine(list(fit.operator[k]), quantities) for k, name in enumerate(names)})


def widen(
    method: str, card: Card, observed: tuple[Observation, ...], solved: Solved
) -> tuple[tuple[Observation, ...], Solved, list[Finding]]:
    """Where the residuals are larger than the budget explains, add the unexplained scatter to it."""
    fit = solved.fit
    if fit.dof < 1 or fit.chi_probability >= SCATTER_CHANCE:
        return observed, solved, []
    ratio = fit.residual_sd
    extra = math.sqrt(ratio**2 - 1.0)
    wider = tuple(replace(o, corrected=_with_scatter(method, o, extra, float(fit.dof))) for o in observed)
    worst = observed[int(np.argmax(np.abs(fit.standardized)))]
    chance = f"{100 * fit.chi_probability:.2g} %"
    text = say("gap.scatter", ratio=ratio, worst=worst.place.label, percent=chance)
    finding = Finding(f"{method}.scatter", "warning", text, say("gap.scatter_source"), worst.place.label)
    return wider, Solved(fit, solve(card, wider).unknown), [finding]


def _with_scatter(method: str, observation: Observation, extra: float, dof: float) -> Quantity:
    influence = Influence(
        f"{method}.scatter.{observation.squeeze}.{observation.place.label}", say("gap.scatter_influence"),
        extra * observation.own_u, dof, "student", say("gap.scatter_source"), "scatter",
    )  # fmt: skip
    return observation.corrected + Quantity.of(0.0, influence)


def place_results(card: Card, observed: Sequence[Observation], solved: Solved) -> tuple[PlaceResult, ...]:
    """Angle-corrected diametral clearance at each place, its squeezes averaged."""
    grouped: dict[str, list[int]] = {}
    for i, observation in enumerate(observed):
        grouped.setdefault(observation.place.label, []).append(i)
    results = []
    for members in grouped.values():
        place = observed[members[0]].place
        factor = shape_factor(card.bearing, place.angle) * len(members)
        value = combine([1.0 / factor] * len(members), [observed[i].corrected for i in members])
        worst = max(members, key=lambda i: abs(solved.fit.standardized[i]))
        results.append(
            PlaceResult(
                place,
                value,
                float(np.mean([observed[i].reading for i in members])),
                sum(observed[i].count for i in members),
                len(members),
                float(np.mean([solved.fit.residuals[i] for i in members])),
                float(solved.fit.standardized[worst]),
            )
        )
    return tuple(results)


def fit_result(
    card: Card, observed: Sequence[Observation], solved: Solved, shrinks: Callable[[Influence], bool]
) -> Result:
    """What the fit says, without findings. shrinks: as of `shrinking`."""
    places = place_results(card, observed, solved)
    return Result(
        overall=solved.unknown["mean"],
        places=places,
        covariance=covariance_matrix([place.value for place in places]),
        named=named(card, solved),
        fit=fitted(observed, solved.fit),
        shrinking=shrinking([place.value for place in places], shrinks),
        says=said(solved),
    )


def fit_findings(
    method: str, card: Card, observed: Sequence[Observation], solved: Solved, result: Result
) -> Iterator[Finding]:
    """What is odd about a fitted clearance: against the journal, end to end, from squeeze to squeeze."""
    yield from relative(method, card, solved.unknown["mean"], result.places)
    yield from front_to_rear(method, card, observed, solved.unknown)
    yield from squeezes_differ(method, card, observed)


def shrinking(values: Sequence[Quantity], shrinks: Callable[[Influence], bool]) -> float:
    """Share of the variance of the widest value that doing all of it again would shrink. shrinks: whether an
    influence does."""
    widest = max(values, key=lambda value: value.u)
    part = math.fsum(c * c for influence, c in widest.parts.items() if shrinks(influence))
    return part / widest.variance if widest.variance else 0.0


def named(card: Card, solved: Solved) -> tuple[Named, ...]:
    """What else the fit says: change end to end, taper, sideways offset, the side clearance of a lemon."""
    first, last = card.bearing.ends
    found = []
    if "end_to_end" in solved.unknown:
        change = solved.unknown["end_to_end"]
        found.append(Named("end_to_end", say("gap.end_to_end", first=first, last=last), change))
        found.append(Named("taper", say("gap.taper"), change * (1.0 / card.bearing.length), "slope"))
    if "sideways" in solved.unknown:
        note = say("gap.sideways_note")
        found.append(Named("sideways", say("gap.sideways_label"), solved.unknown["sideways"], note=note))
    if card.bearing.profile == "lemon" and card.bearing.side_to_top:
        side = solved.unknown["mean"] * card.bearing.side_to_top
        note = say("gap.top_clearance_note")
        found.append(Named("side_clearance", say("gap.side_clearance"), side, note=note))
    return tuple(found)


def said(solved: Solved) -> dict[str, Quantity]:
    """What other methods may measure too."""
    says = {CLEARANCE: solved.unknown["mean"]}
    if "end_to_end" in solved.unknown:
        says[GAP_CHANGE] = solved.unknown["end_to_end"]
    return says


def fitted(observed: Sequence[Observation], fit: LinearFit) -> Fitted | None:
    """How well the readings fit; None when nothing is over-determined."""
    if fit.dof < 1:
        return None
    worst = int(np.argmax(np.abs(fit.standardized)))
    return Fitted(
        fit.chi_square,
        fit.dof,
        fit.chi_probability,
        observed[worst].place.label,
        float(fit.standardized[worst]),
        fit.residual_sd,
    )


def shown(card: Card, value: float) -> str:
    """A length in the card's unit, to the step clearances are shown in."""
    unit = card.bearing.unit
    return show(value, unit, "length", step=clearance_step(unit))


def relative(method: str, card: Card, mean: Quantity, places: Sequence[PlaceResult]) -> Iterator[Finding]:
    """Clearances that no bearing of this journal runs with: another unit, another basis, another place."""
    diameter = card.bearing.journal_diameter
    for result in places:
        if not RELATIVE[0] <= result.value.value / diameter <= RELATIVE[1]:
            other = _fitting_unit(card, result.value.value)
            if other is not None:
                label, typed = result.place.label, shown(card, result.reading)
                text = say("gap.other_unit", place_name=label, typed=typed, unit=other)
                yield Finding(f"{method}.other_unit", "question", text, PRACTICE, label)
    if not RELATIVE[0] <= mean.value / diameter <= RELATIVE[1]:
        permille = f"{1e3 * mean.value / diameter:.2g}"
        journal, clearance = shown(card, diameter), shown(card, mean.value)
        text = say("gap.relative", clearance=clearance, journal=journal, permille=permille)
        yield Finding(f"{method}.relative", "question", text, PRACTICE)


def _fitting_unit(card: Card, value: float) -> str | None:
    """The unit in which the same digits would be a usual clearance, or None."""
    own = find_unit(card.bearing.unit, "length")
    if own is None:
        return None
    digits = value / own.scale
    for unit in UNITS:
        if unit.name in ("mm", "in", "thou", "µm") and unit is not own:
            relation = digits * unit.scale / card.bearing.journal_diameter
            if RELATIVE[0] <= relation <= RELATIVE[1]:
                return unit.name
    return None


def front_to_rear(
    method: str, card: Card, observed: Sequence[Observation], unknown: Mapping[str, Quantity]
) -> Iterator[Finding]:
    """A change along the axis that is more than practice lets pass and more than the readings leave open."""
    if "end_to_end" not in unknown:
        return
    axial = [o.place.axial for o in observed]
    change = unknown["end_to_end"] * (float(np.ptp(axial)) / card.bearing.length)
    allowed = min(FRONT_TO_REAR, FRONT_TO_REAR_SHARE * unknown["mean"].value)
    if abs(change.value) > max(allowed, 2.0 * change.u):
        first, last = card.bearing.ends
        text = say("gap.front_to_rear", change=shown(card, change.value), first=first, last=last)
        yield Finding(f"{method}.front_to_rear", "warning", text, PRACTICE)


def squeezes_differ(method: str, card: Card, observed: Sequence[Observation]) -> Iterator[Finding]:
    """Places at which repeats of the whole squeeze are further apart than they should be."""
    grouped: dict[str, list[float]] = {}
    for observation in observed:
        grouped.setdefault(observation.place.label, []).append(observation.corrected.value)
    for label, values in grouped.items():
        difference = max(values) - min(values)
        if difference > SQUEEZES_AGREE and not math.isclose(difference, SQUEEZES_AGREE):
            apart, allowed = shown(card, difference), shown(card, SQUEEZES_AGREE)
            text = say("gap.squeezes_differ", place_name=label, difference=apart, allowed=allowed)
            yield Finding(f"{method}.squeezes_differ", "warning", text, PRACTICE, label)
