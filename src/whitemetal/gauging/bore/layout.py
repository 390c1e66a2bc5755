"""Where bore and journal are measured: three directions at each station, one ring for each part of it.

Common practice: vertical and 45 degrees to each side, never at the joint, whose relief is wider on purpose;
two stations, or three for long bearings, as for the soft wire. For tilting pads the ring and every pad.
"""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contract import Place
from whitemetal.gauging.wire.layout import stations

BORE, JOURNAL, RING, PADS = "bore", "journal", "ring", "pads"
"""The last word of a piece: which part its places measure."""

DIRECTIONS: tuple[tuple[str, str, float], ...] = (
    ("0", "vertical", 0.0),
    ("45 left", "45° left of vertical", -math.radians(45.0)),
    ("45 right", "45° right of vertical", math.radians(45.0)),
)
"""Short name, name in full, angle of the upper end of the diameter [rad]. Common practice."""

VERTICAL = math.radians(5.0)
"""A diameter within this angle of top centre is the vertical one [rad]. Our own."""

JOINT_FROM = math.radians(60.0)
"""A diameter further from vertical ends in the relief at the joint [rad]. Common practice: 45° are taken."""

PAD_COUNT = 5
"""Pads of the standard layout; a bearing with four leaves the last one empty. Our own choice."""


def part_of(place: Place) -> str:
    """Which part a place measures: "bore", "journal", "ring" or "pads"; "" when its piece does not say."""
    last = place.piece.rsplit(" ", 1)[-1]
    return last if last in (BORE, JOURNAL, RING, PADS) else ""


def station_of(place: Place) -> str:
    """Short name of the station a place lies at."""
    return place.piece.rsplit(" ", 1)[0] if " " in place.piece else ""


def standard_places(card: Card) -> tuple[Place, ...]:
    """Bore and journal at each station; for tilting pads the ring, the pads and the journal."""
    if card.bearing.profile == "tilting pad":
        return _of_pads(card)
    places = []
    for short, axial, name in stations(card):
        for part in (BORE, JOURNAL):
            places += _directions(f"{short} {part}", axial, f"{name}, {part}")
    return tuple(places)


def _directions(piece: str, axial: float, name: str) -> list[Place]:
    return [
        Place(f"{piece} {short}", axial, angle, piece, "across", f"{name}, {word}")
        for short, word, angle in DIRECTIONS
    ]


def _of_pads(card: Card) -> tuple[Place, ...]:
    middle = 0.5 * card.bearing.length
    places = _directions(RING, middle, "bore of the ring, pads out")
    for number in range(1, PAD_COUNT + 1):
        turn = math.remainder(2.0 * math.pi * (number - 1) / PAD_COUNT, 2.0 * math.pi)
        title = f"thickness of pad {number} at its pivot, ball anvils"
        places.append(Place(f"pad {number}", middle, turn, PADS, "across", title))
    return (*places, *_directions(JOURNAL, middle, "journal where the pads sit"))
