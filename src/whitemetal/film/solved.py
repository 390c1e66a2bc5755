"""Films from the Reynolds equation: a bearing shape solved at the nodes of its curve, and one as measured.

theta is a fixed angle round the bore in the direction of rotation; the load points to ``direction``. The
journal stands e away from the centre towards the angle of its line of centres, H = 1 - X cos - Y sin for a
round bore. Stiffness and damping are central differences of the load the film carries, with the journal
moved, and moving, a little both ways.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from whitemetal.errors import InputError, NotConverged, Problem
from whitemetal.film.balance import position
from whitemetal.film.curve import Curve, Point, nodes
from whitemetal.film.gap import around, displaced, groove, lemon, plain
from whitemetal.film.kinds import Array, Flags
from whitemetal.film.motion import Coefficients, Pair
from whitemetal.film.reynolds import Film, FilmStart, Rupture, solve
from whitemetal.film.rig import Rig
from whitemetal.film.seek import reach

GRID = (180, 41)
"""Points round and along at which curves are solved: So within 0.1 % to e 0.8 and 0.2 % to e 0.95. Our own,
tested."""

FINE = 1e-8
"""Residual of the films along a curve, between which stiffness and damping are differences. Our own."""

NEARLY_FINE = 1e-7
"""Residual of the films to both sides of that: their coefficients are good to 3e-4 of the largest. Our own,
tested."""

STARVED_GRID = (96, 21)
"""As GRID, for starved films: So within 0.5 % to e 0.8, which is finer than a supply is ever known. Our
own."""

SUPPLY_TOLERANCE = 1e-4
"""The delivered flow of a starved film is met to this part of the full one. Our own."""

FEED_STEP = 0.01
"""Feed pressure, as P, of the difference that gives the flow by feed pressure: common header pressures lie at
0.002 to 0.05. Our own."""

FLATTEST = 0.05
"""Least turn of the load with a turn of the journal that the search for the attitude believes. Our own."""

STEP = 0.03
"""Steps of the differences, times the smaller of e and 1 - e: long enough for the rupture front to cross
nodes, short enough to be linear to 0.1 %. Our own, tested."""

ATTITUDE_TOLERANCE = 1e-5
"""The load points where it should to this angle [rad]. Our own."""


@dataclass(frozen=True)
class Setting:
    """What stays the same along a curve.

    bore: the gap over c with the journal in the middle, shape (n_theta, n_z). slenderness: L/D. direction: of
    the load on the journal [rad], None when the bore has none of its own (round, without feed) and any will
    do. feed, feed_pressure, film_start, rupture, supply: as in `reynolds.solve`.
    """

    bore: Array
    slenderness: float
    direction: float | None = None
    feed: Flags | None = None
    feed_pressure: float = 0.0
    film_start: FilmStart | None = None
    rupture: Rupture = "swift-stieber"
    supply: float = 1.0

    def film(self, x: float, y: float, squeeze: Array | None = None, start: Array | None = None) -> Film:
        """The film with the journal at (X, Y), in units of c."""
        return solve(
            displaced(self.bore, x, y), self.slenderness, feed=self.feed, feed_pressure=self.feed_pressure,
            film_start=self.film_start, rupture=self.rupture, supply=self.supply, squeeze=squeeze,
            start=start, tolerance=FINE,
        )  # fmt: skip


def point_at(setting: Setting, way: float, *, moving: bool = True, guess: float | None = None) -> Point:
    """The film at a part of the way to contact (the eccentricity in a round bore), the journal where the load
    points to ``direction``.

    moving: with stiffness and damping. guess: attitude to start the search from [rad].
    Raises NotConverged when the load cannot be made to point there, InputError when the gap touches.
    """
    centres, film = _aligned(setting, way, guess)
    furthest = reach(setting.bore, centres)
    e = way * furthest
    moved = displaced(setting.bore, e * math.cos(centres), e * math.sin(centres))
    found = coefficients_at(setting, way, centres, film) if moving else None
    point = _point(film, e, centres - film.load_angle, float(moved.min()), found, furthest)
    if setting.feed is None:
        return point
    return replace(point, feed_gain=feed_gain(setting, e * math.cos(centres), e * math.sin(centres), film))


def feed_gain(setting: Setting, x: float, y: float, film: Film, step: float = FEED_STEP) -> float:
    """Flow over U c L that the feed gives more for each unit of its pressure, the journal at (X, Y), by a
    difference; film: the one at the setting's own feed pressure."""
    fed = replace(setting, feed_pressure=setting.feed_pressure + step)
    return (fed.film(x, y, start=film.pressure).side_flow - film.side_flow) / (2.0 * math.pi * step)


def _point(
    film: Film, e: float, attitude: float, least: float, moving: Coefficients | None, furthest: float
) -> Point:
    turn = 2.0 * math.pi
    return Point(
        e, film.load, math.remainder(attitude, turn), least, film.friction_coefficient,
        film.inlet_flow / turn, film.side_flow / turn, film.peak_over_mean, moving, furthest,
    )  # fmt: skip


def _aligned(setting: Setting, way: float, guess: float | None) -> tuple[float, Film]:
    """Angle of the line of centres [rad] and the film there: a safeguarded secant."""
    if setting.direction is None:
        return math.pi, setting.film(-way, 0.0)
    wanted = setting.direction

    def off(centres: float, start: Array | None) -> tuple[float, Film]:
        e = way * reach(setting.bore, centres)
        film = setting.film(e * math.cos(centres), e * math.sin(centres), start=start)
        return math.remainder(film.load_angle - wanted, 2.0 * math.pi), film

    at = wanted + (math.acos(way) if guess is None else guess)
    error, film = off(at, None)
    before, error_before, slope = at, error, 1.0
    at -= error
    for _ in range(MOST_TURNS):
        error, film = off(at, film.pressure)
        if abs(error) <= ATTITUDE_TOLERANCE:
            return at, film
        if abs(at - before) > 1e-6:
            slope = max((error - error_before) / (at - before), FLATTEST)
        before, error_before = at, error
        at += max(-0.5, min(0.5, -error / slope))
    raise NotConverged("direction of the load", abs(error), MOST_TURNS)


MOST_TURNS = 60
"""Films solved in search of an attitude before it gives up. Our own."""


def coefficients_at(setting: Setting, way: float, centres: float, film: Film) -> Coefficients:
    """Stiffness and damping at a part of the way to contact along the line of centres, in axes along the
    load."""
    furthest = reach(setting.bore, centres)
    x, y = way * furthest * math.cos(centres), way * furthest * math.sin(centres)
    step = STEP * min(way, 1.0 - way) * min(1.0, furthest)
    loads = Differences(setting, film, x, y)
    try:
        stiffness = np.column_stack([loads.moved(step, 0.0), loads.moved(0.0, step)])
        damping = np.column_stack([loads.moving(step, 0.0), loads.moving(0.0, step)])
    finally:
        loads.rig.leave()
    angle = film.load_angle
    axes = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    scale = 2.0 * step * film.load
    return Coefficients(_pair(axes @ stiffness @ axes.T / scale), _pair(axes @ damping @ axes.T / scale))


class Differences:
    """Loads of the films with the journal a little to both sides of (X, Y), and moving there. film: the one
    at rest there."""

    def __init__(self, setting: Setting, film: Film, x: float, y: float) -> None:
        self.x, self.y, self.film = x, y, film
        self.rig = Rig(
            setting.bore, setting.slenderness, setting.feed, setting.feed_pressure, setting.film_start,
            once=True,
        )  # fmt: skip

    def moved(self, dx: float, dy: float) -> Array:
        """Load with the journal (dx, dy) ahead less that as far behind, shape (2,)."""
        return self._both(dx, dy, None)

    def moving(self, dx: float, dy: float) -> Array:
        """Load with the journal moving at (dx, dy) a radian less that at the opposite."""
        n, m = self.film.pressure.shape
        turn = around(n)
        return self._both(0.0, 0.0, np.repeat((-dx * np.cos(turn) - dy * np.sin(turn))[:, None], m, 1))

    def _both(self, dx: float, dy: float, opening: Array | None) -> Array:
        """The second starts from the mirror image of the first in the film at rest, which it nearly is."""
        loads, start = [], self.film.pressure
        for side in (1.0, -1.0):
            self.rig.squeeze = np.empty((0, 0)) if opening is None else side * opening
            self.rig.begin(start)
            self.rig.at(self.x + side * dx, self.y + side * dy)
            pressure, load = self.rig.settled_load(NEARLY_FINE)
            loads.append(load)
            start = 2.0 * self.film.pressure - pressure
        ahead, behind = loads
        return np.array([ahead[0] - behind[0], ahead[1] - behind[1]])


def _pair(matrix: Array) -> Pair:
    (xx, xy), (yx, yy) = matrix.tolist()
    return (xx, xy), (yx, yy)


def solve_setting(setting: Setting, *, moving: bool = True, ways: tuple[float, ...] = ()) -> Curve:
    """The curve of a setting, each node started from the attitude of the one before."""
    points: list[Point] = []
    for way in ways or nodes():
        points.append(point_at(setting, way, moving=moving, guess=points[-1].attitude if points else None))
    return Curve(tuple(points))


@lru_cache(maxsize=32)
def round_bearing(slenderness: float, *, grid: tuple[int, int] = GRID, moving: bool = True) -> Curve:
    """The curve of a round bore that takes its oil at the widest gap (Raimondi & Boyd, ISO 7902); kept."""
    return solve_setting(Setting(plain(*grid), slenderness), moving=moving)


@lru_cache(maxsize=32)
def grooved_bearing(
    slenderness: float, centres: tuple[float, ...], width: float, part: float = 1.0, *,
    side_to_top: float = 1.0, joint: float = 0.5 * math.pi, grid: tuple[int, int] = GRID,
) -> Curve:  # fmt: skip
    """The curve of a bore with axial grooves at angles ``centres`` from the load [rad]; kept.

    width: round [rad]. part: of the land that they are long. side_to_top: lemon bore when not 1, then c is
    half its top clearance. joint: angle of the joint from the load [rad]. The oil comes without pressure.
    """
    feed = np.logical_or.reduce([groove(at, width, part, *grid) for at in centres])
    bore = lemon(side_to_top, joint, *grid) if side_to_top != 1.0 else plain(*grid)
    return solve_setting(Setting(bore, slenderness, direction=0.0, feed=feed))


@lru_cache(maxsize=16)
def starved_bearing(slenderness: float, part: float, *, grid: tuple[int, int] = STARVED_GRID) -> Curve:
    """The curve of a round bore that is delivered only ``part`` of the oil a flooded one loses at its ends at
    the same eccentricity; oil kept everywhere (JFO), no stiffness and damping; kept.

    part: above 0 and up to 1, else InputError. Friction is that of a film full all round, as everywhere here:
    it errs to the hot side.
    """
    if not 0.0 < part <= 1.0:
        raise InputError(Problem("oil.supply", f"{part:g}", "a part of the full supply, above 0 and up to 1"))
    return Curve(tuple(_starved_point(slenderness, part, e, grid) for e in nodes()))


def _starved_point(slenderness: float, part: float, e: float, grid: tuple[int, int]) -> Point:
    """Part of the gap filled where the film starts, by regula falsi (Illinois), until the leakage is met."""
    setting = Setting(plain(*grid), slenderness, rupture="jfo")
    full = setting.film(-e, 0.0)
    wanted = part * full.side_flow

    def leaks(supply: float) -> tuple[float, Film]:
        film = replace(setting, supply=supply).film(-e, 0.0)
        return film.side_flow - wanted, film

    low, at_low, high, at_high, film = 0.0, -wanted, 1.0, full.side_flow - wanted, full
    for _ in range(60):
        if abs(at_high) <= SUPPLY_TOLERANCE * full.side_flow:
            return _point(film, e, math.pi - film.load_angle, 1.0 - e, None, 1.0)
        supply = (low * at_high - high * at_low) / (at_high - at_low)
        found, film = leaks(supply)
        if found * at_high < 0.0:
            low, at_low = high, at_high
        else:
            at_low *= 0.5
        high, at_high = supply, found
    raise NotConverged("supply of the starved film", abs(at_high), 60)


@dataclass(frozen=True)
class MeasuredFilm:
    """A bore with its measured taper, tilt and sideways offset, in metres, at any running clearance.

    shape: radial departure from the mean bore [m], shape (n_theta, n_z), which warming leaves as it is; the
    rest as in `Setting`. Called with a load number and a diametral clearance [m] it is a film, None at
    contact.
    """

    shape: Array
    slenderness: float
    direction: float
    feed: Flags | None = None
    moving: bool = False
    film_start: FilmStart | None = None

    def __call__(self, load_number: float, clearance: float) -> Point | None:
        """The film under a load number with the running mean clearance. Raises what `balance.position` does;
        a gap that touches with the journal in the middle is contact."""
        bore = 1.0 + self.shape / (0.5 * clearance)
        if float(bore.min()) <= 0.0:
            return None
        found = position(
            load_number, self.direction, bore, self.slenderness, feed=self.feed, film_start=self.film_start
        )
        if found.contact:
            return None
        setting = Setting(bore, self.slenderness, self.direction, self.feed, film_start=self.film_start)
        centres = math.atan2(found.y, found.x)
        film = setting.film(found.x, found.y, start=found.film.pressure) if self.moving else found.film
        furthest = reach(bore, centres)
        way = found.eccentricity / furthest
        moving = coefficients_at(setting, way, centres, film) if self.moving else None
        return _point(found.film, found.eccentricity, found.attitude, found.least_gap, moving, furthest)
