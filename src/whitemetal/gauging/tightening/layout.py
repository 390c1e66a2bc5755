"""The nuts of a cap as places, and the order in which they are pulled, from what the card says."""

from __future__ import annotations

import math
from collections.abc import Mapping

from whitemetal.card import Card
from whitemetal.closing.sequence import FEWEST, MOST, PASSES, Bolt, Pass, Sequence, sequence
from whitemetal.drawing import view_of
from whitemetal.gauging.contract import Place
from whitemetal.words import say

ROWS: Mapping[int, str] = {-1: "left row", 1: "right row", 0: "circle"}
"""Pieces that a nut belongs to, by the side it stands on. Our own."""


def sequence_of(card: Card) -> Sequence | None:
    """Order and passes for the nuts of this card; None where it does not say how many, or no pattern has so
    few or so many."""
    count = card.fasteners.count
    if count is None or not FEWEST <= count <= MOST:
        return None
    return sequence(count, card.fasteners.layout, card.fasteners.torque, shares(card))


def shares(card: Card) -> tuple[float, ...]:
    """Shares of the final torque, pass by pass: those on the card, else the usual ones."""
    return card.fasteners.shares or PASSES


def label_of(number: int) -> str:
    """The place of a nut."""
    return say("tightening.nut", number=number)


def nuts(card: Card) -> tuple[Place, ...]:
    """A place for each nut, in the order of their numbers; () where the card does not say how many."""
    found = sequence_of(card)
    return () if found is None else tuple(_place(card, bolt) for bolt in found.bolts)


def _place(card: Card, bolt: Bolt) -> Place:
    """Rows are counted clockwise from the left at the end one stands at; a circle from its top."""
    length, row = card.bearing.length, ROWS[bolt.side]
    if bolt.side == 0:
        angle = math.remainder(2.0 * math.pi * bolt.along, 2.0 * math.pi)
        return Place(label_of(bolt.number), 0.5 * length, angle, row, title=_title(bolt, row))
    near_first = view_of(card).first_is_near
    axial = length * (bolt.along if near_first else 1.0 - bolt.along)
    return Place(label_of(bolt.number), axial, bolt.side * 0.5 * math.pi, row, title=_title(bolt, row))


def _title(bolt: Bolt, row: str) -> str:
    return say("tightening.nut_title", number=bolt.number, row=row)


def turns(order: Pass) -> Mapping[str, int]:
    """When each nut is pulled in a round, counted from 1, by its place."""
    return {label_of(number): turn for turn, number in enumerate(order.order, start=1)}
