"""The bearing as measured on its film: taper or tilt, whichever thins it more, its uncertainty carried.

Soft wire cannot tell a bore that widens towards one end from a journal that lies askew in a straight one:
both change the gap at the top by the same. Both are run and the thinner film counts; a bearing in a spherical
seat turns with its journal, so there it is the bore.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from whitemetal.card import Card
from whitemetal.errors import InputError
from whitemetal.film import gap
from whitemetal.film.balance import position
from whitemetal.film.bore import Measured, Rotation, bore_of
from whitemetal.film.nominal import Nominal, measured_film
from whitemetal.film.running import FilmAt, State, settle
from whitemetal.film.spread import Carried, spread
from whitemetal.fitting.consequence_parts import Bounded, StateShown
from whitemetal.gauging.contract import Result
from whitemetal.quantity import Quantity, coverage_factor, exact

COARSE = (96, 21)
"""Points round and along on which the uncertainty is carried; its film differs from the full grid's by 0.4 %,
and only differences are taken from it. Our own, tested."""

Askew = Literal["taper", "tilt"]


@dataclass(frozen=True)
class Gauged:
    """The measured numbers [m]: mean clearance, its change end to end, the sideways shift of the upper
    half. askew: whether the readings may mean a tilt as well as a taper."""

    mean: Quantity
    end_to_end: Quantity
    sideways: Quantity
    ways: tuple[Askew, ...]


def gauged(card: Card, result: Result) -> Gauged | None:
    """What a result measured; None when it has no clearance."""
    if result.overall is None:
        return None
    named = {each.key: each.quantity for each in result.named}
    change = named.get("end_to_end", exact(0.0))
    ways: tuple[Askew, ...] = ("taper", "tilt")
    if card.bearing.seat == "spherical" or change.value == 0.0:
        ways = ("taper",)
    return Gauged(result.overall, change, named.get("sideways", exact(0.0)), ways)


def left_out(result: Result | None) -> float | None:
    """The most by which a place differs from what the mean, the change end to end and the shift sideways say
    there [m]; None for a result without places."""
    if result is None or result.overall is None or not result.places:
        return None
    return max(abs(each.residual) for each in result.places)


def numbers(way: Askew, values: Sequence[float]) -> Measured:
    """The gap for the mean, the change end to end and the sideways shift [m].

    A journal that lies askew touches at one end, so that half the change is missing from the mean reading.
    """
    mean, change, sideways = values
    if way == "taper":
        return Measured(mean, taper=change, sideways=sideways)
    return Measured(mean + 0.5 * abs(change), tilt=(-change, 0.0), sideways=sideways)


@dataclass(frozen=True)
class Seat:
    """What a measured bore is put into: the card, as the film sees it, and its direction of rotation."""

    card: Card
    nominal: Nominal
    rotation: Rotation

    def film(self, way: Askew, values: Sequence[float], grid: tuple[int, int]) -> tuple[float, FilmAt]:
        """Mean cold clearance [m] and film; a film that never carries when the gap touches."""
        measured = numbers(way, values)
        try:
            bore = bore_of(
                self.card.bearing, self.card.duty, measured, rotation=self.rotation, n_theta=grid[0],
                n_z=grid[1],
            )  # fmt: skip
        except InputError:
            return max(measured.clearance, 1e-9), lambda number, clearance: None
        return measured.clearance, measured_film(bore)

    def settled(self, way: Askew, values: Sequence[float], grid: tuple[int, int]) -> State:
        """How it runs."""
        return settle(self.nominal.conditions, *self.film(way, values, grid))


@dataclass(frozen=True)
class Ran:
    """way: that governs. state: on the full grid. shown: with its uncertainty. measured: the gap's numbers
    for the maps."""

    way: Askew
    state: State
    shown: StateShown
    measured: Measured


def run(seat: Seat, found: Gauged) -> Ran:
    """The bearing as measured. Raises what `settle` does."""
    values = [found.mean.value, found.end_to_end.value, found.sideways.value]
    full = (gap.N_THETA, gap.N_Z)
    states = {way: seat.settled(way, values, full) for way in found.ways}
    way = min(states, key=lambda each: states[each].film)
    state = states[way]
    inputs = (found.mean, found.end_to_end, found.sideways)
    around = spread(seat.nominal.conditions, lambda given: seat.film(way, given, COARSE), inputs)
    straight = settle(seat.nominal.conditions, found.mean.value, seat.nominal.curve)
    bent = around.film.bent or around.temperature.bent
    shown = shown_state(
        state, straight, bent=bent, film=around.film, temperature=around.temperature, hottest=around.hottest
    )
    return Ran(way, state, shown, numbers(way, values))


def run_aligned(seat: Seat, clearance: Quantity, supply: float = 1.0) -> StateShown:
    """The same mean clearance [m] in the card's own shape, on the card's curve."""
    curve = seat.nominal.curve
    around = spread(seat.nominal.conditions, lambda given: (given[0], curve), (clearance,))
    state = around.state
    return shown_state(
        state, state, film=around.film,
        temperature=around.temperature, hottest=around.hottest,
        bent=around.film.bent or around.temperature.bent, supply=supply,
    )  # fmt: skip


def shown_state(
    state: State, straight: State, *, film: Carried, temperature: Carried, hottest: Carried,
    bent: bool, supply: float = 1.0,
) -> StateShown:  # fmt: skip
    """A state in plain numbers, with 95 % intervals; the film's does not reach below nothing. straight: the
    state whose whirl threshold is shown."""
    threshold = None if math.isnan(straight.threshold) else straight.threshold
    return StateShown(
        state.answer, state.clearance, _bounded(state.film, film, floor=0.0),
        _bounded(state.temperature, temperature), _bounded(state.hottest, hottest), state.power,
        state.side_flow + state.pressure_flow, threshold, state.eccentricity, state.attitude, state.peak,
        bent, supply, straight.threshold_is, state.reynolds / state.reynolds_limit,
    )  # fmt: skip


def _bounded(value: float, carried: Carried, floor: float = -math.inf) -> Bounded:
    """The 95 % interval, longer by the second-order shift on the side where that lies: a taper that is
    nothing to within a few micrometres can only make the film thinner."""
    half = coverage_factor(carried.quantity.dof) * carried.quantity.u if carried.quantity.u else 0.0
    low, high = value - half + min(0.0, carried.shift), value + half + max(0.0, carried.shift)
    return Bounded(value, max(floor, low), high)


@dataclass(frozen=True)
class Maps:
    """As in `Consequence`."""

    journal: tuple[float, float]
    gap: NDArray[np.float64]
    pressure: NDArray[np.float64]
    theta: NDArray[np.float64]
    z: NDArray[np.float64]


def maps(seat: Seat, measured: Measured, state: State) -> Maps | None:
    """Gap and pressure at the running state; None where it does not carry."""
    if state.answer == "contact":
        return None
    bearing, conditions = seat.card.bearing, seat.nominal.conditions
    bore = bore_of(bearing, seat.card.duty, measured, rotation=seat.rotation)
    c = 0.5 * state.clearance
    shape = 1.0 + (bore.clearance - bore.reference) / c
    found = position(
        state.load_number, bore.load_angle, shape, bore.slenderness, feed=bore.feed, film_start="free"
    )
    if found.contact:
        return None
    moved = gap.displaced(shape, found.x, found.y)
    pressure = found.film.pressure
    unit = 6.0 * state.viscosity * conditions.speed * (0.5 * conditions.diameter / c) ** 2
    sign = 1.0 if seat.rotation == "clockwise" else -1.0
    theta = np.remainder(sign * gap.around(moved.shape[0]) + math.pi, 2.0 * math.pi) - math.pi
    order = np.argsort(theta, kind="stable")
    z = 0.5 * bearing.length * (1.0 + gap.along(moved.shape[1]))
    journal = (sign * found.y * c, found.x * c)
    return Maps(journal, moved[order] * c, pressure[order] * unit, theta[order], z)
