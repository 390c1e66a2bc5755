"""The gap between a journal at rest and the upper half: what a thin thing squeezed in it reads.

For a plain bore whose journal rests at the bottom, a wire or strip at angle a from top centre reads
``t(a) = Cd (1 + cos a) / 2`` (derived from geometry: two nearly equal circles touching at the bottom,
first order in Cd/D). With a gap g at the joint (shim, gasket, sealant or joint wire; mean of both sides)
the upper half is raised by g, so for the final closing

    t(a) = Cd_final (1 + cos a) / 2 + (g_squeeze - g_final) cos a.

A sideways term b sin a is a cap shifted sideways or a journal off bottom centre; to first order a
reading of the gap cannot tell them apart, and a circular bore rolled about its own axis changes no gap.

A lemon bore has two arcs of clearance Cs (side, diametral) whose centres are moved towards each other;
resting at the bottom it reads ``t(a) = Cv [ (q/2)(1 - cos a) + cos a ]``, q = Cs/Cv, Cv the top clearance
(derived from geometry; q = 1 is the plain bore).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from whitemetal.card import Card
from whitemetal.card.bearing import Bearing

WRONG_FOR: dict[str, str] = {
    "tilting pad": "the top centre may lie between two pads, and pads tip under what is squeezed",
    "pressure dam": "the dam is cut into the upper half where it would lie",
    "offset halves": "the halves are moved sideways, so the gap is not least at the bottom",
    "multi-lobe": "each lobe has a centre of its own",
}


def shape_factor(bearing: Bearing, angle: float) -> float:
    """Reading at ``angle`` [rad] over the clearance at top centre [-], joint closed."""
    q = bearing.side_to_top if bearing.profile == "lemon" and bearing.side_to_top else 1.0
    return 0.5 * q * (1.0 - math.cos(angle)) + math.cos(angle)


def shape_slope(bearing: Bearing, angle: float) -> float:
    """Derivative of `shape_factor` by the angle [1/rad]."""
    q = bearing.side_to_top if bearing.profile == "lemon" and bearing.side_to_top else 1.0
    return (0.5 * q - 1.0) * math.sin(angle)


def unknowns(card: Card, axial: NDArray[np.float64], angle: NDArray[np.float64]) -> tuple[str, ...]:
    """What a layout can identify, of "mean", "end_to_end" and "sideways".

    axial [m], angle [rad]: shape (n,). The change along the axis needs places at least a tenth of the land
    apart; the sideways offset needs places on both sides of top centre.
    """
    found = ["mean"]
    if np.ptp(axial) > 0.1 * card.bearing.length and len(axial) > len(found):
        found.append("end_to_end")
    sine = np.sin(angle)
    if sine.min() < -0.02 and sine.max() > 0.02 and len(axial) > len(found):
        found.append("sideways")
    return tuple(found)


def design(
    card: Card, names: tuple[str, ...], axial: NDArray[np.float64], angle: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Design matrix of the readings, joint gap taken off. Shape (n, len(names)).

    Unknowns: mean clearance at mid-land [m], change from the first end to the last [m] over the whole
    land, sideways offset [m].
    """
    shape = np.array([shape_factor(card.bearing, float(a)) for a in angle])
    columns = {
        "mean": shape,
        "end_to_end": shape * (axial / card.bearing.length - 0.5),
        "sideways": np.sin(angle),
    }
    return np.column_stack([columns[name] for name in names])
