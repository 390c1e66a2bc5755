"""The methods whose weights a device takes along, and what each of them rests on.

Both squeeze something in the gap and fit the same shape through what it shows (`gauging.gap_fit`). Soft
wire is measured with a gauge whose scale and zeros count, and the wire may be of any diameter that fits the
readings; a gauging strip is read against the scale printed on its packet, whose step counts, and each range
that reaches the limits has weights of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.gauging.contract import Facts, Place, Reading
from whitemetal.gauging.gap_fit import Observation
from whitemetal.gauging.strip import doubts
from whitemetal.gauging.strip.evaluate import observations as strips
from whitemetal.gauging.strip.ranges import STRIPS, Strip
from whitemetal.gauging.wire.facts import length, text
from whitemetal.gauging.wire.observe import observations as wires
from whitemetal.job.carried_zeros import stem_of
from whitemetal.units import find_unit

Answers = Iterator[tuple[str, tuple[str, ...], int]]
"""Key, usual answers and squeeze of each fact."""

DECIMALS: Mapping[str, tuple[int, ...]] = {"mm": (2, 3), "in": (4, 5), "thou": (0, 1, 2)}
"""Decimals that gauges are read to, by unit. Common practice."""


@dataclass(frozen=True)
class Kind:
    """A method. key: the fact on which the range of a reading rests. answers: usual ones, of a card, a
    gauge and so many squeezes. observe: what its readings come to, of card, places, facts and readings.
    options: the answers to ``key`` that have weights of their own while nobody has given it; none where all
    have the same. reach: from what to what gap [m] it can be read. decimals: of readings that have weights
    of their own; the fewest only where more make no difference (``finer``). twice: a place read twice
    counts with the mean. gauge: it is measured with one. alike: counts that must be the same number,
    whichever."""

    key: str
    answers: Callable[[Card, str, int], Answers]
    observe: Callable[[Card, Sequence[Place], Facts, Sequence[Reading]], Sequence[Observation]]
    reach: Callable[[Facts], tuple[float, float]]
    decimals: Callable[[Card, Facts], tuple[int, ...]]
    options: tuple[str, ...] = ()
    finer: bool = False
    twice: bool = True
    gauge: bool = True
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
        lambda card, facts: DECIMALS[card.bearing.unit], alike=("wires_in", "wires_out"),
    ),
    "strip": Kind(
        "strip_range", _of_strip, _strips, _on_scale, _fewest, tuple(STRIPS), finer=True, twice=False,
        gauge=False,
    ),
}  # fmt: skip
"""By the key of the method."""
