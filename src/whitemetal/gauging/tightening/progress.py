"""How far the nuts are: which pass, which nut is next, which were pulled to what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.closing.sequence import Pass
from whitemetal.gauging.contract import Place, Reading
from whitemetal.gauging.tightening.doubts import WRENCH
from whitemetal.gauging.tightening.layout import label_of, sequence_of


@dataclass(frozen=True)
class Turn:
    """A nut in one pass. number: on the cap. turn: when it is pulled, from 1. readings: in this pass, as they
    came; at_target: whether the last of them is at the pass's torque, None while nobody knows."""

    number: int
    label: str
    turn: int
    readings: tuple[Reading, ...]
    at_target: bool | None

    @property
    def pulled(self) -> bool:
        """Whether it was pulled in this pass."""
        return bool(self.readings)


@dataclass(frozen=True)
class Round:
    """One pass over all the nuts, in the order in which they are pulled."""

    order: Pass
    turns: tuple[Turn, ...]

    @property
    def next(self) -> Turn | None:
        """The first nut not yet pulled in this pass, None when all are."""
        return next((one for one in self.turns if not one.pulled), None)

    @property
    def done(self) -> int:
        """How many nuts are pulled in this pass."""
        return sum(one.pulled for one in self.turns)


@dataclass(frozen=True)
class Progress:
    """The passes of a check of tightening."""

    rounds: tuple[Round, ...]

    @property
    def now(self) -> Round:
        """The first pass that is not through, or the last."""
        return next((one for one in self.rounds if one.next is not None), self.rounds[-1])

    @property
    def through(self) -> bool:
        """Whether every nut was pulled to the final torque; the last round may be told in one answer."""
        return all(one.next is None for one in self.rounds if not one.order.last)


def progress(card: Card, places: Sequence[Place], readings: Sequence[Reading]) -> Progress | None:
    """The passes of a check as far as they are written down; None where the nuts of the check are not those
    the card has an order for."""
    order = sequence_of(card)
    labels = {place.label for place in places}
    if order is None or labels != {label_of(bolt.number) for bolt in order.bolts}:
        return None
    by_place: dict[tuple[str, int], list[Reading]] = {}
    for one in readings:
        by_place.setdefault((one.place, one.squeeze), []).append(one)
    return Progress(tuple(_round(one, by_place) for one in order.passes))


def _round(order: Pass, by_place: Mapping[tuple[str, int], Sequence[Reading]]) -> Round:
    turns = []
    for turn, number in enumerate(order.order, start=1):
        label = label_of(number)
        found = tuple(by_place.get((label, order.number), ()))
        turns.append(Turn(number, label, turn, found, _at(found, order.torque)))
    return Round(order, tuple(turns))


def _at(readings: Sequence[Reading], target: float | None) -> bool | None:
    """Whether the last reading is the pass's torque but for what a wrench may be wrong by; a lower pass need
    not be hit so closely: twice that."""
    if not readings or target is None:
        return None
    return abs(readings[-1].value / target - 1.0) <= 2.0 * WRENCH
