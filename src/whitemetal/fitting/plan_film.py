"""The film after some work, from the curve that was kept for the bearing's own shape."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from whitemetal.fitting.consequence_parts import Consequence


@dataclass(frozen=True)
class FilmThen:
    """The film at a clearance: least film [m], the temperature that is judged [K]; ok: every criterion is met
    at both neighbours on the curve; worst: the criterion with the least margin at the nearer one."""

    clearance: float
    least_film: float
    temperature: float
    ok: bool
    worst: str


def film_then(film: Consequence, clearance: float) -> FilmThen | None:
    """The film at a diametral clearance [m], by straight lines between the curve's points; None beyond its
    ends and beside a point at which the film does not carry."""
    for a, b in pairwise(film.points):
        if a.clearance <= clearance <= b.clearance and not (a.contact or b.contact):
            part = (clearance - a.clearance) / (b.clearance - a.clearance)
            near = b if part > 0.5 else a
            return FilmThen(
                clearance,
                a.least_film + part * (b.least_film - a.least_film),
                a.temperature + part * (b.temperature - a.temperature),
                a.ok and b.ok,
                near.worst,
            )
    return None
