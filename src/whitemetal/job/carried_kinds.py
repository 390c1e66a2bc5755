"""The methods whose weights a device takes along, and what each of them rests on.

Two squeeze something in the gap and fit the same shape through what it shows (`gauging.gap_fit`). Soft
wire is measured with a gauge whose scale and zeros count, and the wire may be of any diameter that fits the
readings; a gauging strip is read against the scale printed on its packet, whose step counts, and each range
that reaches the limits has weights of its own. The third lifts the shaft: its travel less the cap's is the
clearance over a factor.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.gauging.contract import Facts, Place, Reading
from whitemetal.gauging.gap_fit import Observation
from whitemetal.gauging.gap_shape import shape_factor
from whitemetal.gauging.instruments import DIAL_INDICATOR
from whitemetal.gauging.lift.evaluate import SHAFT, factor_of
from whitemetal.gauging.strip import doubts
from whitemetal.gauging.strip.evaluate import observations as strips
from whitemetal.gauging.strip.ranges import STRIPS, Strip
from whitemetal.gauging.wire.facts import length, text
from whitemetal.gauging.wire.observe import observations as wires
from whitemetal.job.carried_zeros import stem_of
from whitemetal.units import find_unit

MOST_TRAVEL = DIAL_INDICATOR.table[0][0]
"""A longer travel [m] has another permissible error, and is for the record: the first row of the table of
dial indicators. Common practice, from memory."""

Answers = Iterator[tuple[str, tuple[str, ...], int]]
"""Key, usual answers and squeeze of each fact."""

DECIMALS: Mapping[str, tuple[int, ...]] = {"mm": (2, 3), "in": (4, 5), "thou": (0, 1, 2)}
"""Decimals that gauges are read to, by unit. Common practice."""


def _of_shape(card: Card, places: Sequence[Place], facts: Facts) -> list[float]:
    return [shape_factor(card.bearing, place.angle) for place in places]


@dataclass(frozen=True)
class Kind:
    """A method. key: the fact on which the range of a reading rests, "" where none does. answers: usual
    ones, of a card, a gauge and so many squeezes. factors: of card, places and facts, what each place shows
    over the clearance. observe: what its readings come to, of card, places, facts and readings; None where
    nothing is fitted. reach: from what to what gap [m] it can be read. decimals: of readings that have
    weights of their own; the fewest only where more make no difference (``finer``). options: the answers to
    ``key`` that have weights of their own while nobody has given it; none where all have the same. twice: a
    place read twice counts with the mean. gauge: it is measured with one; zeros: whose zeros are asked for.
    alike: counts that must be the same number, whichever."""

    key: str
    answers: Callable[[Card, str, int], Answers]
    observe: Callable[[Card, Sequence[Place], Facts, Sequence[Reading]], Sequence[Observation]] | None
    reach: Callable[[Facts], tuple[float, float]]
    decimals: Callable[[Card, Facts], tuple[int, ...]]
    options: tuple[str, ...] = ()
    finer: bool = False
    twice: bool = True
    gauge: bool = True
    zeros: bool = False
    factors: Callable[[Card, Sequence[Place], Facts], list[float]] = _of_shape
    alike: tuple[str, ...] = ()


def _of_squeezes(card: Card, squeezes: int) -> Answers:
    torque = card.fasteners.torque
    yield "journal_down", ("yes",), 1
    yield "shaft_turned", ("no",), 1
    yield "final_joint", (card.joint.filling,), 1
    for squeeze in range(1, squeezes + 1):
        at = "" if squeeze == 1 else f"@{squeeze}"
        yield f"joint{at}", (card.joint.filling,), squeeze
        yield f"tightened{at}", ("final value",), squeeze
        if torque is not None:
            yield f"torque{at}", (f"{torque:.12g} N m",), squeeze


def _of_wire(card: Card, gauge: str, squeezes: int) -> Answers:
    yield "oil_wiped", ("yes",), 1
    yield "wire_material", ("pure soft lead",), 1
    yield from _of_squeezes(card, squeezes)
    yield f"{stem_of(gauge)}anvil", ("ball", "flat, strip flattened"), 1


def _of_strip(card: Card, gauge: str, squeezes: int) -> Answers:
    yield "strip_condition", (doubts.GOOD,), 1
    yield "read_at", (doubts.WIDEST,), 1
    yield "oil", (doubts.DRY, doubts.OILED), 1
    yield "weight_on_strip", ("no",), 1
    yield from _of_squeezes(card, squeezes)


def _of_lift(card: Card, gauge: str, squeezes: int) -> Answers:
    torque = card.fasteners.torque
    for key in ("journal_down", "joint_closed", "stopped", "returned"):
        yield key, ("yes",), 1
    yield "tightened", ("final value",), 1
    yield "lifted_with", ("timber by hand", "crane or chain block", "jack"), 1
    if torque is not None:
        yield "torque", (f"{torque:.12g} N m",), 1


def _lifted(card: Card, places: Sequence[Place], facts: Facts) -> list[float]:
    """The shaft travels the clearance times the bore's factor, the cap not at all."""
    factor = factor_of(card, facts) or 1.0
    return [factor if place.label == SHAFT else 0.0 for place in places]


def _wires(
    card: Card, places: Sequence[Place], facts: Facts, readings: Sequence[Reading]
) -> Sequence[Observation]:
    return wires(card, {place.label: place for place in places}, facts, readings)


def _strips(
    card: Card, places: Sequence[Place], facts: Facts, readings: Sequence[Reading]
) -> Sequence[Observation]:
    return strips(card, places, facts, STRIPS[text(facts, "strip_range")], readings)


def _on_scale(facts: Facts) -> tuple[float, float]:
    strip = STRIPS.get(text(facts, "strip_range"))
    return (strip.low, strip.high) if strip is not None else (0.0, 0.0)


def step_of(facts: Facts, strip: Strip) -> float:
    """Step [m] of the scale on the packet."""
    return length(facts, "scale_step") or strip.step


def _fewest(card: Card, facts: Facts) -> tuple[int, ...]:
    """The fewest decimals whose last is no coarser than the step of the scale: more make no difference."""
    unit, strip = find_unit(card.bearing.unit, "length"), STRIPS.get(text(facts, "strip_range"))
    if unit is None or strip is None:
        return (DECIMALS[card.bearing.unit][-1],)
    return (max(0, math.ceil(-math.log10(step_of(facts, strip) / unit.scale) - 1e-9)),)


KINDS: Mapping[str, Kind] = {
    "wire": Kind(
        "wire_diameter", _of_wire, _wires, lambda facts: (0.0, math.inf),
        lambda card, facts: DECIMALS[card.bearing.unit], zeros=True, alike=("wires_in", "wires_out"),
    ),
    "strip": Kind(
        "strip_range", _of_strip, _strips, _on_scale, _fewest, tuple(STRIPS), finer=True, twice=False,
        gauge=False,
    ),
    "lift": Kind(
        "", _of_lift, None, lambda facts: (0.0, MOST_TRAVEL), lambda card, facts: DECIMALS[card.bearing.unit],
        factors=_lifted,
    ),
}  # fmt: skip
"""By the key of the method."""
