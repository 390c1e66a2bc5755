"""The clearance of a real bearing as an array [m], from its card and from what was measured.

Angles on a card are from top centre, positive to the right as seen from the machine's viewing end; here theta
starts at top centre too and goes with the rotation, so that both agree for a shaft that turns clockwise as
seen from there. Axially zeta = -1 is the edge at the card's first end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from whitemetal.card import Bearing, Duty
from whitemetal.errors import InputError, Problem
from whitemetal.film import gap
from whitemetal.film.kinds import Array, Flags

Rotation = Literal["clockwise", "anticlockwise"]

GROOVE_WIDTH = math.radians(20.0)
"""Angle of an axial groove at the joint where none is given. Our own; many makers' grooves are 15 to 30
degrees."""

GROOVE_LENGTH = 0.8
"""Its length over that of the land. Our own; the ends are left closed."""

LOAD_ANGLES = {"down": math.pi, "up": 0.0, "right": 0.5 * math.pi, "left": 1.5 * math.pi}
"""Card angle of each load direction [rad], 0 at top centre and positive to the right: by definition."""


@dataclass(frozen=True)
class Measured:
    """What was measured of the gap [m].

    clearance: diametral, mean over the length, top to bottom. taper: diametral, at the second end less at the
    first. tilt: distance by which the journal's centre stands farther towards (top, right) at the second end
    than at the first, in the bore. sideways: distance of the upper half towards the right. relief: (depth on
    the radius, width [rad]) at each joint. local: radial clearance place by place less the mean, shape of the
    grid. groove: (width [rad], length over that of the land).
    """

    clearance: float
    taper: float = 0.0
    tilt: tuple[float, float] = (0.0, 0.0)
    sideways: float = 0.0
    relief: tuple[float, float] = (0.0, GROOVE_WIDTH)
    local: Array | None = None
    groove: tuple[float, float] = (GROOVE_WIDTH, GROOVE_LENGTH)


@dataclass(frozen=True)
class Bore:
    """clearance: radial [m], journal in the middle, shape (n_theta, n_z). reference: half the mean diametral
    clearance [m], by which the film's numbers are made dimensionless. feed: mask of grooves, or None.
    load_angle: theta of the load [rad]. slenderness: L/D.
    """

    clearance: Array
    reference: float
    feed: Flags | None
    load_angle: float
    slenderness: float

    @property
    def dimensionless(self) -> Array:
        """Clearance over the reference."""
        return self.clearance / self.reference


def bore_of(
    bearing: Bearing,
    duty: Duty,
    measured: Measured,
    *,
    rotation: Rotation = "clockwise",
    n_theta: int = gap.N_THETA,
    n_z: int = gap.N_Z,
) -> Bore:
    """The bore of a card with the gap as measured.

    rotation: as seen from the machine's viewing end. Raises InputError (``bearing.profile``,
    ``bearing.side_to_top``, ``duty.direction``, ``clearance``).
    """
    check(bearing, duty, measured)
    sign = 1.0 if rotation == "clockwise" else -1.0
    half = 0.5 * measured.clearance
    right = math.remainder(sign * 0.5 * math.pi, 2.0 * math.pi)
    shape = np.full((n_theta, n_z), half)
    if bearing.profile == "lemon":
        shape = gap.lemon(bearing.side_to_top or 1.0, right, n_theta, n_z, top=half)
    shape = shape + 0.25 * measured.taper * gap.along(n_z)
    if measured.sideways:
        shape = gap.sideways(shape, measured.sideways, right, -0.5 * math.pi)
    for joint in (0.5 * math.pi, 1.5 * math.pi):
        if measured.relief[0]:
            shape = gap.relieved(shape, joint, measured.relief[1], measured.relief[0])
    shape = gap.displaced(shape, 0.0, 0.0, 0.5 * measured.tilt[0], 0.5 * sign * measured.tilt[1])
    if measured.local is not None:
        shape = shape + measured.local
    if shape.min() <= 0.0:
        typed = f"least {shape.min() * 1e6:.3g} um"
        raise InputError(Problem("clearance", typed, "a gap everywhere with the journal in the middle"))
    feed = grooves(bearing, measured.groove, n_theta, n_z)
    return Bore(shape, half, feed, sign * LOAD_ANGLES[duty.direction] % (2 * math.pi), bearing.slenderness)


def grooves(bearing: Bearing, groove: tuple[float, float], n_theta: int, n_z: int) -> Flags | None:
    """Mask of the grooves a card tells of: at both joints of a grooved or lemon bore, and at the top."""
    at = [0.5 * math.pi, 1.5 * math.pi] if bearing.profile in ("two axial grooves", "lemon") else []
    at += [0.0] if bearing.groove_at_top else []
    if not grooved(bearing):
        return None
    mask: Flags = np.logical_or.reduce([gap.groove(each, *groove, n_theta, n_z) for each in at])
    return mask


def grooved(bearing: Bearing) -> bool:
    """Whether the card tells of a groove that oil can enter by."""
    return bearing.profile in ("two axial grooves", "lemon") or bearing.groove_at_top


def check(bearing: Bearing, duty: Duty, measured: Measured) -> None:
    """Refuse what has no such gap."""
    problems = []
    if bearing.profile not in ("plain", "two axial grooves", "lemon"):
        problems.append(
            Problem("bearing.profile", bearing.profile, "plain, two axial grooves or lemon: a fixed bore")
        )
    if bearing.profile == "lemon" and not bearing.side_to_top:
        problems.append(Problem("bearing.side_to_top", "", "side clearance over top clearance"))
    if duty.direction not in LOAD_ANGLES:
        problems.append(Problem("duty.direction", duty.direction, ", ".join(LOAD_ANGLES)))
    if not (math.isfinite(measured.clearance) and measured.clearance > 0.0):
        problems.append(Problem("clearance", repr(measured.clearance), "a clearance above zero"))
    if problems:
        raise InputError(*problems)
