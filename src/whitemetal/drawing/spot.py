"""What a drawing is given: plain places, points and limits. Lengths [m], angles [rad]."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["", "within limits", "outside limits", "not proven", "unreadable"]
"""Drawn as a mark beside the place: a tick, a cross, a question mark, an exclamation mark; "" draws none."""

Turned = Literal[0, 180]
"""0: as seen from the machine's viewing end. 180: as one stands at the opposite end."""


@dataclass(frozen=True)
class Spot:
    """A place on the drawing.

    axial [m] from the edge of the land at the card's first end. angle [rad] from top centre, positive to
    the right as seen from the machine's viewing end. text: what is written at the place (a reading as
    typed, "" for an empty box). piece: the piece of wire it lies on, and how that piece lies.
    """

    label: str
    axial: float
    angle: float
    text: str = ""
    state: State = ""
    piece: str = ""
    lies: Literal["across", "along"] = "across"


@dataclass(frozen=True)
class PlaceBox:
    """Where a place's box is: its top left corner and its size.

    x, y, width, height: fractions (0 to 1) of the picture's width and height.
    number: the place's number on the drawing, counted from 1 in the order given.
    """

    label: str
    number: int
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class GapPoint:
    """A local clearance. value, plus_minus [m]: diametral, and half the width of its 95 % interval."""

    label: str
    axial: float
    angle: float
    value: float
    plus_minus: float
    state: State = ""


@dataclass(frozen=True)
class Band:
    """A limit as drawn, diametral [m]. accept_from, accept_to: edges of the guard band, None where there is
    none. name: where the limit stands, e.g. "maker's figure for this machine". main: the limit judged by;
    others are drawn thin."""

    name: str
    minimum: float | None = None
    maximum: float | None = None
    renewal: float | None = None
    accept_from: float | None = None
    accept_to: float | None = None
    main: bool = True


@dataclass(frozen=True)
class LocalGap:
    """A gap as read, for the section. gap [m]: between journal and upper half at ``angle`` [rad].
    text: the value to write beside it, with its unit."""

    label: str
    angle: float
    gap: float
    text: str
    state: State = ""
