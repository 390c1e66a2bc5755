"""One bearing shape over its load: every dimensionless result as a smooth function of the load number.

A shape that keeps its proportions when the clearance changes (round, grooved, lemon) has one curve. It is
solved at a few eccentricities and read in between, so that a sweep of clearances costs no more solutions.

Load number: So = F psi²/(D L mu omega), psi = clearance over diameter, both diametral (ISO 7902-1). It is
1/(2 pi S) of Raimondi & Boyd.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from whitemetal.errors import InputError, NotConverged, Problem
from whitemetal.film import short
from whitemetal.film.motion import Coefficients

if TYPE_CHECKING:
    from scipy.interpolate import BSpline

HIGHEST_ECCENTRICITY = 0.98
"""Beyond this the film is thinner than 2 % of the clearance and roughness rules: "the film cannot carry this
load". Our own."""

LOWEST_ECCENTRICITY = 0.01
"""The first node; below it every scaled result is carried on. Film, friction and flow stay good to 0.05 %;
stiffness does not, there the journal runs all but centred and has none. Our own, tested."""

NODES = 18
"""Eccentricities at which a curve is solved, evenly spaced in e - log(1 - e): read between them, the load
number is that of the grid to 0.02 % up to e 0.9 and to 0.1 % up to the last. Our own, tested."""


RUNGS = 120
"""Parts of the way at which the load number is noted for first guesses. Our own."""

MOST_NEWTONS = 200
"""Steps to a place on a curve before it gives up. Our own."""

WAY_TOLERANCE = 1e-9
"""Last step of ln e at which a place on a curve counts as found; what is left is its square. Our own."""


@dataclass(frozen=True)
class Point:
    """A film in dimensionless numbers.

    eccentricity: of the journal over the radial clearance c. load_number: So. attitude: from the load line to
    the line of centres, in the direction of rotation [rad]. least_gap: thinnest film over c. friction:
    (R/c) f at the journal, full-film shear. inlet_flow, side_flow: over U c L. peak: highest pressure over
    F/(L D). coefficients: None where nobody asked for them. bore_reach: eccentricity at which the journal
    would touch in that direction, 1 in a round bore; way: gone to there. feed_gain: flow over U c L
    that a feed pressure of p c²/(6 mu omega R²) = 1 adds, for small ones. centred: nearer the middle than the
    curve's first point, where its coefficients are not known.
    """

    eccentricity: float
    load_number: float
    attitude: float
    least_gap: float
    friction: float
    inlet_flow: float
    side_flow: float
    peak: float
    coefficients: Coefficients | None = None
    bore_reach: float = 1.0
    feed_gain: float = 0.0
    centred: bool = False

    @property
    def way(self) -> float:
        return self.eccentricity / self.bore_reach

    @property
    def sommerfeld(self) -> float:
        """S = (R/c)² mu N/P of Raimondi & Boyd [-]."""
        return 1.0 / (2.0 * math.pi * self.load_number)


def nodes(count: int = NODES) -> tuple[float, ...]:
    """The parts of the way to contact (eccentricities in a round bore) at which to solve a curve,
    shape (count,)."""
    fine = np.linspace(LOWEST_ECCENTRICITY, HIGHEST_ECCENTRICITY, 4001)
    measure = fine - np.log1p(-fine)
    even = np.linspace(measure[0], measure[-1], count)
    return tuple(float(e) for e in np.interp(even, measure, fine))


@dataclass(frozen=True)
class Curve:
    """points: by rising eccentricity and load number; all with coefficients or none."""

    points: tuple[Point, ...]

    def __post_init__(self) -> None:
        loads = [point.load_number for point in self.points]
        rising = all(a < b for a, b in pairwise(loads))
        if len(loads) < 4 or not rising or not loads[0] > 0.0 or not math.isfinite(loads[-1]):
            raise InputError(Problem("curve.points", f"{len(loads)} points", "four or more, rising in load"))

    @property
    def highest(self) -> float:
        """The load number at the last point; more than this the film does not carry."""
        return self.points[-1].load_number

    @cached_property
    def _spline(self) -> BSpline:
        from scipy.interpolate import make_interp_spline

        rows = np.array([_scaled(point) for point in self.points])
        places = [_stretched(point.way) for point in self.points]
        degree = 5 if len(places) > 5 else 3
        return make_interp_spline(places, rows, k=degree)

    def at_way(self, way: float) -> Point:
        """The film at a part of the way to contact (the eccentricity in a round bore), above 0 and up to the
        last point's. Raises InputError outside."""
        last = self.points[-1].way
        if not 0.0 < way <= last * (1.0 + 1e-12):
            raise InputError(Problem("eccentricity", f"{way:g}", f"above 0, to {last:.3g}"))
        row, first = self._spline(_stretched(way)), self.points[0]
        point = _plain(way, row, moving=first.coefficients is not None)
        if point.coefficients is None or way >= first.way * (1.0 - 1e-12):
            return point
        return replace(point, coefficients=None, centred=True)

    def __call__(self, load_number: float, clearance: float) -> Point | None:
        """As `at`: a shape that keeps its proportions does not ask for the clearance."""
        return self.at(load_number)

    def at(self, load_number: float) -> Point | None:
        """The film under a load number, None when it cannot carry it.

        Raises InputError when the load number is not a finite number above zero.
        """
        if not (math.isfinite(load_number) and load_number > 0.0):
            raise InputError(Problem("load_number", f"{load_number:g}", "a finite number above 0"))
        if load_number > self.highest:
            return None
        return self.at_way(self._way(load_number))

    @cached_property
    def _pieces(self) -> tuple[list[float], list[list[float]]]:
        """Breaks and pieces of the load number's spline as plain numbers: many times faster to read.

        A spline's breaks are repeated at its ends; those pieces have no length."""
        from scipy.interpolate import PPoly

        spline = self._spline
        load = PPoly.from_spline((spline.t, spline.c[:, 0], spline.k))
        breaks, pieces = load.x, load.c.T
        real = np.diff(breaks) > 0.0
        return [*breaks[:-1][real].tolist(), float(breaks[-1])], pieces[real].tolist()

    def _log_load(self, e: float) -> tuple[float, float]:
        """ln So at a part of the way, and its slope with ln e."""
        breaks, pieces = self._pieces
        stretched = _stretched(e)
        piece = min(max(bisect_right(breaks, stretched) - 1, 0), len(pieces) - 1)
        x, value, slope = stretched - breaks[piece], 0.0, 0.0
        for coefficient in pieces[piece]:
            slope = slope * x + value
            value = value * x + coefficient
        scale = 1.0 + 3.0 * e * e / (1.0 - e * e)
        return value + _load_scale(e), scale + slope * e / (1.0 - e)

    @cached_property
    def _ladder(self) -> tuple[list[float], list[float]]:
        """ln So at rising parts of the way, and those, for a first guess."""
        last = _stretched(self.points[-1].way)
        ways = [-math.expm1(-last * (k + 1) / RUNGS) for k in range(RUNGS - 1)] + [self.points[-1].way]
        return [self._log_load(way)[0] for way in ways], ways

    def _way(self, load_number: float) -> float:
        """Where the curve has a load number: Newton's method in ln e, kept between two rungs."""
        loads, ways = self._ladder
        wanted = math.log(load_number)
        rung = bisect_right(loads, wanted)
        if rung == len(loads):
            return ways[-1]
        high = math.log(ways[rung])
        low = math.log(ways[rung - 1]) if rung else -math.inf
        at = (
            high
            if rung == 0
            else low + (high - low) * (wanted - loads[rung - 1]) / (loads[rung] - loads[rung - 1])
        )
        for _ in range(MOST_NEWTONS):
            value, slope = self._log_load(math.exp(at))
            if value < wanted:
                low = at
            else:
                high = at
            step = (wanted - value) / slope if slope > 0.0 else math.inf
            if abs(step) <= WAY_TOLERANCE:
                return math.exp(at + step)
            at = (
                at + step
                if low < at + step < high
                else (0.5 * (low + high) if math.isfinite(low) else high - 1.0)
            )
        raise NotConverged("the position on the curve", abs(step), MOST_NEWTONS)


def solve_curve(film_at: Callable[[float], Point], eccentricities: Iterable[float] = ()) -> Curve:
    """A curve from a function that gives the film at a part of the way; at `nodes` unless others
    are given."""
    return Curve(tuple(film_at(e) for e in (tuple(eccentricities) or nodes())))


def short_bearing(slenderness: float) -> Curve:
    """The curve of the short bearing (Ocvirk) from its closed forms."""
    return solve_curve(lambda e: short_point(e, slenderness))


def short_point(eccentricity: float, slenderness: float) -> Point:
    """The short bearing's film at an eccentricity, from its closed forms."""
    number = short.sommerfeld(eccentricity, slenderness)
    return Point(
        eccentricity, 1.0 / (2.0 * math.pi * number), short.attitude(eccentricity), 1.0 - eccentricity,
        short.friction(eccentricity, slenderness), 0.5 * (1.0 + eccentricity), short.side_flow(eccentricity),
        short.peak(eccentricity, slenderness), short.coefficients(eccentricity),
    )  # fmt: skip


def _stretched(way: float) -> float:
    return -math.log1p(-way)


def _load_scale(e: float) -> float:
    return math.log(e) - 1.5 * math.log1p(-e * e)


def _scaled(point: Point) -> NDArray[np.float64]:
    """Everything divided by its known behaviour at both ends, so that what is left is nearly flat."""
    e, so = point.way, point.load_number
    root = math.sqrt(1.0 - e * e)
    film = point.coefficients
    entries = [0.0] * 8
    if film is not None:
        entries = [each for pair in (*film.stiffness, *film.damping) for each in pair]
    steep = so * root**5
    return np.array([
        math.log(so) - _load_scale(e), point.attitude / root, math.log(point.least_gap / (1.0 - e)),
        point.friction * so * root, point.inlet_flow, point.side_flow / e,
        math.log(point.peak * so * root**5 / e),
        *(each * steep for each in entries), point.bore_reach, point.feed_gain,
    ])  # fmt: skip


def _plain(e: float, row: NDArray[np.float64], *, moving: bool) -> Point:
    root = math.sqrt(1.0 - e * e)
    so = math.exp(float(row[0]) + _load_scale(e))
    film = None
    if moving:
        xx, xy, yx, yy, cxx, cxy, cyx, cyy = (float(each) / (so * root**5) for each in row[7:15])
        film = Coefficients(((xx, xy), (yx, yy)), ((cxx, cxy), (cyx, cyy)))
    reach = float(row[15])
    return Point(
        e * reach, so, float(row[1]) * root, (1.0 - e) * math.exp(float(row[2])), float(row[3]) / (so * root),
        float(row[4]), float(row[5]) * e, math.exp(float(row[6])) * e / (so * root**5),
        film, reach, float(row[16]),
    )  # fmt: skip
