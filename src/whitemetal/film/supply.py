"""A bearing that is delivered a given flow of oil: rings, wicks, metered feeds.

The flooded bearing and those with a part of its leakage (JFO, `starved_bearing`) are solved once; between
them the part is taken at which the leakage is the delivered flow. The film is steady then: what comes leaves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from whitemetal.errors import InputError, Problem
from whitemetal.film.curve import Point
from whitemetal.film.solved import starved_bearing

PARTS = (0.1, 0.2, 0.35, 0.5, 0.75, 1.0)
"""Parts of the full leakage that are solved; between them the least film is up to 1.2 % low. Our own,
tested."""


@dataclass(frozen=True)
class Delivered:
    """A plain bearing on a delivered flow [m³/s]. surface_speed U [m/s], length L [m] of the land.

    Called with a load number and a running diametral clearance [m] it is a film. With more oil than it loses
    it is flooded, the rest spills; with less than a tenth of that it is not followed, and counts as one that
    does not carry. No stiffness and damping.
    """

    slenderness: float
    flow: float
    surface_speed: float
    length: float

    def __post_init__(self) -> None:
        above = {"flow": self.flow, "surface_speed": self.surface_speed, "length": self.length}
        problems = [
            Problem(f"oil.{name}", f"{value:g}", "a finite number above zero")
            for name, value in above.items()
            if not (math.isfinite(value) and value > 0.0)
        ]
        if problems:
            raise InputError(*problems)

    def __call__(self, load_number: float, clearance: float) -> Point | None:
        """The film, None where it does not carry."""
        wanted = self.flow / (self.surface_speed * 0.5 * clearance * self.length)
        richer = starved_bearing(self.slenderness, 1.0).at(load_number)
        if richer is None or richer.side_flow <= wanted:
            return richer
        for _, part in pairwise(reversed(PARTS)):
            poorer = starved_bearing(self.slenderness, part).at(load_number)
            if poorer is None:
                return None
            if poorer.side_flow <= wanted:
                share = (wanted - poorer.side_flow) / (richer.side_flow - poorer.side_flow)
                return _between(poorer, richer, share)
            richer = poorer
        return None


def _between(low: Point, high: Point, share: float) -> Point:
    def mixed(a: float, b: float) -> float:
        return a + share * (b - a)

    return replace(
        low,
        eccentricity=mixed(low.eccentricity, high.eccentricity),
        attitude=mixed(low.attitude, high.attitude),
        least_gap=mixed(low.least_gap, high.least_gap),
        friction=mixed(low.friction, high.friction),
        inlet_flow=mixed(low.inlet_flow, high.inlet_flow),
        side_flow=mixed(low.side_flow, high.side_flow),
        peak=mixed(low.peak, high.peak),
    )
