"""Where the wires lie: the standard layout of pieces and the places at which each is measured.

Common practice: two stations, one at each end of the land some 10 to 15 mm or a tenth of its length in
from the edge; a third in the middle when the land is longer than 150 mm or longer than the journal is
thick. Pieces laid across are about D/4 long, so that their ends stay well within 30 degrees.
"""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contract import Place

STEEPEST = math.radians(30.0)
"""Beyond this angle from top centre a reading is refused, not corrected (reliefs, chamfers). Common
practice."""

EDGE_SHARE = 0.1
EDGE_LEAST = 0.012
"""An end station lies a tenth of the land in from the edge, and at least this far [m]. Common practice."""

THIRD_STATION_FROM = 0.150
"""Longer lands [m] get a station in the middle. Common practice."""

PIECE_SHARE = 0.25
ARC_SHARE = 0.1
"""A piece across is D/4 long; its outer places lie D/10 of arc to each side of its middle. Our own, within
the common practice of pieces of 50 to 80 mm."""

BESIDE_GROOVE = math.radians(15.0)
"""Where a groove runs along top centre, the pieces lie this far to each side of it. Our own."""


def initials(name: str) -> str:
    """Short form of an end's name: "drive end" gives "DE"."""
    return "".join(word[0] for word in name.split()).upper() or "?"


def stations(card: Card) -> tuple[tuple[str, float, str], ...]:
    """Stations of the standard layout: (short name, axial place [m], name in full)."""
    length = card.bearing.length
    edge = min(max(EDGE_SHARE * length, EDGE_LEAST), 0.25 * length)
    first, last = card.bearing.ends
    near = (initials(first), edge, first)
    far = (initials(last), length - edge, last)
    if length > THIRD_STATION_FROM or card.bearing.slenderness > 1.0:
        return (near, ("M", 0.5 * length, "middle"), far)
    return (near, far)


def standard_places(card: Card) -> tuple[Place, ...]:
    """The standard layout: at each station a piece across, measured left, top and right.

    Where the card says that a groove runs along top centre, a piece along the shaft on each side of it.
    """
    if card.bearing.groove_at_top:
        return _beside_groove(card)
    angle = 2.0 * ARC_SHARE
    places = []
    for short, axial, name in stations(card):
        for word, turn in (("left", -angle), ("top", 0.0), ("right", angle)):
            where = "at top centre" if word == "top" else f"{word} of top centre"
            places.append(Place(f"{short} {word}", axial, turn, short, "across", f"{name}, {where}"))
    return tuple(places)


def _beside_groove(card: Card) -> tuple[Place, ...]:
    places = []
    for side, turn in (("left", -BESIDE_GROOVE), ("right", BESIDE_GROOVE)):
        for short, axial, name in stations(card):
            title = f"{name}, {side} of the groove"
            places.append(Place(f"{short} {side}", axial, turn, side, "along", title))
    return tuple(places)


def piece_length(card: Card) -> float:
    """Length of a piece laid across [m]."""
    return PIECE_SHARE * card.bearing.journal_diameter
