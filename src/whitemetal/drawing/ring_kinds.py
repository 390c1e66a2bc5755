"""What a ring of the round view is of, drawn about a centre: the metal, its joint, what turns inside it."""

from __future__ import annotations

import math
from typing import Literal

from whitemetal.drawing import pen
from whitemetal.drawing.pen import Point

Ring = Literal["bore", "journal", "shell back", "seal", "rotor", "fit"]
Kind = Literal["bore", "journal", "shell back", "seal", "rotor", "pads", "fit"]

RADIUS = 50.0
"""Of the circle on which the places lie."""
WALL = 9.0
"""Thickness of shell, seal and stator as drawn."""
KINDS: dict[str, Kind] = {
    "bore": "bore", "ring": "bore", "journal": "journal", "pads": "pads",
    "indicators": "fit", "gaps": "fit", "feelers": "fit",
}  # fmt: skip
"""A piece whose last word is one of these is drawn as that, whatever the method's ring is."""
PADS = 4


def kind_of(piece: str, ring: Ring) -> Kind:
    """What a piece is drawn as: what its last word names, else the method's ring."""
    words = piece.split()
    return KINDS.get(words[-1], ring) if words else ring


def is_diameter(kind: Kind) -> bool:
    """Whether a place of this kind is read right across."""
    return kind in ("bore", "journal")


def has_joint(kind: Kind) -> bool:
    """Whether the ring is drawn in two halves with a joint at left and right."""
    return kind in ("bore", "shell back", "fit")


def outline(kind: Kind, centre: Point) -> list[str]:
    """The ring as SVG elements."""
    draw = {
        "bore": _bore, "journal": _journal, "shell back": _shell_back, "seal": _seal, "rotor": _rotor,
        "pads": _pads, "fit": _fit,
    }  # fmt: skip
    return draw[kind](centre)


def _bore(centre: Point) -> list[str]:
    return _halves(centre, RADIUS, RADIUS + WALL)


def _fit(centre: Point) -> list[str]:
    """The journal at rest in its shells, the gap above it drawn large."""
    x, y = centre[0], centre[1] + 6.0
    cross = [pen.line((x - 6, y), (x + 6, y)), pen.line((x, y - 6), (x, y + 6))]
    return [*_halves(centre, RADIUS, RADIUS + WALL), pen.circle((x, y), RADIUS - 7.5), *cross]


def _halves(centre: Point, inner: float, outer: float) -> list[str]:
    """Both shells, hatched opposite ways, and the joint drawn a little beyond them."""
    parts = []
    for side in (-1, 1):
        half = _piece(centre, inner, outer, side * 0.5 * math.pi, side * 0.5 * math.pi + math.pi)
        parts += [pen.hatch([half], spacing=4.5, falling=side > 0), pen.polyline(half, "thick", closed=True)]
    y = centre[1]
    return [
        *parts,
        *(pen.line((centre[0] + s * (inner - 4), y), (centre[0] + s * (outer + 4), y)) for s in (-1, 1)),
    ]


def _piece(centre: Point, inner: float, outer: float, start: float, end: float) -> list[Point]:
    return [*pen.arc(centre, outer, start, end), *pen.arc(centre, inner, end, start)]


def _annulus(centre: Point, inner: float, outer: float, *, falling: bool = False) -> list[str]:
    whole = 2.0 * math.pi
    rings = [pen.arc(centre, outer, 0.0, whole), pen.arc(centre, inner, 0.0, whole)]
    hatching = pen.hatch(rings, spacing=4.5, falling=falling)
    return [hatching, pen.circle(centre, outer), pen.circle(centre, inner)]


def _journal(centre: Point) -> list[str]:
    """A solid round: hatched at its rim only, so that diameters stay readable."""
    x, y = centre
    cross = [pen.line((x - 6, y), (x + 6, y)), pen.line((x, y - 6), (x, y + 6))]
    return [pen.circle(centre, RADIUS), *cross]


def _shell_back(centre: Point) -> list[str]:
    """Both shells, and the seat around them."""
    seat = _annulus(centre, RADIUS + 1.5, RADIUS + WALL, falling=True)[:1]
    return [*_halves(centre, RADIUS - WALL, RADIUS), *seat, pen.circle(centre, RADIUS + WALL, "thin")]


def _seal(centre: Point) -> list[str]:
    """The seal around the shaft, with a gap between."""
    shaft = pen.circle(centre, RADIUS - 8.0)
    return [*_annulus(centre, RADIUS, RADIUS + WALL), shaft, *_journal(centre)[1:]]


def _rotor(centre: Point) -> list[str]:
    """The rotor in its stator; the stator's slots as short strokes."""
    slots = [
        pen.line(_at(centre, RADIUS, turn), _at(centre, RADIUS + WALL, turn))
        for turn in (math.radians(7.5 + 15.0 * i) for i in range(24))
    ]
    rotor = pen.arc(centre, RADIUS - 8.0, 0.0, 2.0 * math.pi)
    rings = [pen.circle(centre, radius) for radius in (RADIUS, RADIUS + WALL, RADIUS - 8.0)]
    return [*rings, *slots, pen.hatch([rotor], spacing=9.0)]


def _pads(centre: Point) -> list[str]:
    """Pads around the journal, and the ring that holds them."""
    parts = [pen.circle(centre, RADIUS + WALL + 3.0, "thin"), pen.circle(centre, RADIUS - 3.0, "thin")]
    for i in range(PADS):
        middle = 2.0 * math.pi * i / PADS
        pad = _piece(centre, RADIUS, RADIUS + WALL, middle - 0.6, middle + 0.6)
        parts += [pen.hatch([pad], spacing=4.5), pen.polyline(pad, "thick", closed=True)]
    return parts


def _at(centre: Point, radius: float, angle: float) -> Point:
    return centre[0] + radius * math.sin(angle), centre[1] - radius * math.cos(angle)
