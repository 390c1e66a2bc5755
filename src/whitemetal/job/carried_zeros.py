"""The zeros of a gauge, before and after the work, as a device takes them off readings.

What the gauge shows at nothing is taken off every reading, with the weight that the engine gives it
(`share`). How far the two zeros lie apart makes the readings uncertain, in steps of the scale that both were
read on: a device that is told of both needs one set of weights for each such distance, and none for the zero
itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from whitemetal.card import Card
from whitemetal.gauging.contract import Fact, Place, Reading
from whitemetal.gauging.wire.facts import length
from whitemetal.gauging.wire.observe import observations
from whitemetal.job.typed import INSTRUMENT

ZEROS = ("zero_before", "zero_after")
"""Before and after the work."""

ASIDE = 1e-3
"""How far [m] a zero is moved to see what it takes off each reading, which is linear in it. Our own."""


def stem_of(gauge: str) -> str:
    """What the keys of a gauge's facts begin with."""
    return f"{INSTRUMENT}{gauge}." if gauge else INSTRUMENT


def noted(facts: Mapping[str, Fact], gauge: str) -> Mapping[str, float]:
    """The zeros that are noted [m], by key."""
    found = {stem_of(gauge) + zero: length(facts, stem_of(gauge) + zero) for zero in ZEROS}
    return {key: value for key, value in found.items() if value is not None}


def still_open(facts: Mapping[str, Fact], gauge: str) -> tuple[str, ...]:
    """Keys of the zeros that nobody has noted."""
    known = noted(facts, gauge)
    return tuple(stem_of(gauge) + zero for zero in ZEROS if stem_of(gauge) + zero not in known)


def shown_at_nothing(facts: Mapping[str, Fact], gauge: str) -> float:
    """What the gauge shows at nothing [m]: the mean of the zeros, nothing where none is noted."""
    return float(np.mean(list(noted(facts, gauge).values()) or [0.0]))


def fact(value: float) -> Fact:
    """A zero [m] as a fact."""
    return Fact(f"{value!r} m", value)


def moved(facts: Mapping[str, Fact], gauge: str, by: float) -> Mapping[str, Fact]:
    """The facts with every noted zero moved [m]."""
    return {**facts, **{key: fact(value + by) for key, value in noted(facts, gauge).items()}}


def share(
    card: Card, places: Sequence[Place], facts: Mapping[str, Fact], gauge: str, readings: Sequence[Reading]
) -> NDArray[np.float64]:
    """How much of the zero is taken off each reading, 1 but for joint wires measured with the same gauge;
    one value a reading, as the engine has it. Nothing where no zero is noted."""
    if not noted(facts, gauge):
        return np.zeros(len(readings))
    by_label = {place.label: place for place in places}
    here, there = (
        np.array([one.corrected.value for one in observations(card, by_label, known, readings)])
        for known in (facts, moved(facts, gauge, ASIDE))
    )
    return np.asarray(np.round((here - there) / ASIDE, 12))
