"""From cold to warm: the clearance while the shaft leads the housing. An estimate: two lumped temperatures.

Journal: C_j dT_j/dt = G_j (T - T_j) - G_s (T_j - T_amb).
Housing: C_h dT_h/dt = G_h (T - T_h) - G_amb (T_h - T_amb).
Film, which stores nothing: friction power = G_j (T - T_j) + G_h (T - T_h) + 2 rho c Q (T - T_in), the last
only where oil carries heat. Clearance: Cd + D [alpha_shell (T_h - 20) - alpha_journal (T_j - 20)].
The journal is small and warms in minutes, the housing in hours: the least gap comes between. Masses and
conductances are guessed from the bearing's size unless somebody knows them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from whitemetal.errors import InputError, NotConverged, Problem
from whitemetal.film.curve import Curve, Point
from whitemetal.film.heat import CarriedByOil, Convection, friction_power
from whitemetal.film.running import REFERENCE, Conditions

STEEL_HEAT, IRON_HEAT = 7850.0 * 460.0, 7200.0 * 500.0
"""Density times specific heat of steel and cast iron [J/(m³ K)]: from memory."""

OIL_CONDUCTIVITY = 0.13
"""Of mineral oil [W/(m K)]: from memory, 0.125 to 0.135."""

JOURNAL_LENGTH = 2.0
"""Length of shaft that warms with the journal, over D on each side of the middle together with L. Our own."""

HOUSING_BULK = 0.5 * 2.5 * 2.5 * 1.5
"""Iron in a housing over D² L: half of a block 2.5 D wide and high and 1.5 L long. Our own."""

INTO_HOUSING = 1.0 / 3.0
"""Conductance into the body of the housing over that into the journal: shell, its seat and the way into the
iron lie behind the film. Our own."""

HOURS = 24.0
"""Hours after which the transient is cut off; a pedestal is warm in 2 to 8. Our own."""

POINTS = 240
"""Instants reported, closer together at the start. Our own."""


@dataclass(frozen=True)
class Masses:
    """Heat that is stored and passed on: C_j, C_h [J/K]; G_j, G_h from the film, G_s along the shaft and
    G_amb from the housing to the air [W/K]. start [K]: of everything."""

    journal: float
    housing: float
    film_to_journal: float
    film_to_housing: float
    along_shaft: float
    to_air: float
    start: float

    def __post_init__(self) -> None:
        above = {name: getattr(self, name) for name in ("journal", "housing", "film_to_journal", "start")}
        above |= {"film_to_housing": self.film_to_housing}
        zero = {"along_shaft": self.along_shaft, "to_air": self.to_air}
        problems = [
            Problem(f"warm_up.{name}", f"{value:g}", "a finite number above zero")
            for name, value in above.items()
            if not (math.isfinite(value) and value > 0.0)
        ]
        problems += [
            Problem(f"warm_up.{name}", f"{value:g}", "a finite number, not negative")
            for name, value in zero.items()
            if not (math.isfinite(value) and value >= 0.0)
        ]
        if problems:
            raise InputError(*problems)


@dataclass(frozen=True)
class WarmUp:
    """time [s]; journal, housing, film_temperature [K]; clearance (diametral) and film (thinnest) [m]; all of
    shape (n,). least_clearance, least_film [m] and when [s]. contact: the film stopped carrying at the last
    instant. settled: whether it came to rest before the end. steps of the integrator."""

    time: NDArray[np.float64]
    journal: NDArray[np.float64]
    housing: NDArray[np.float64]
    film_temperature: NDArray[np.float64]
    clearance: NDArray[np.float64]
    film: NDArray[np.float64]
    least_clearance: float
    least_clearance_at: float
    least_film: float
    least_film_at: float
    contact: bool
    settled: bool
    steps: int


def guessed(conditions: Conditions, cold: float, *, start: float) -> Masses:
    """Masses and conductances from the bearing's size. start [K]: of everything before the start.

    The film passes heat through half its mean thickness to each side. The shaft loses nothing on its own.
    """
    d, length = conditions.diameter, conditions.length
    area = math.pi * d * length
    through_film = OIL_CONDUCTIVITY * area / (0.25 * cold)
    cooling = conditions.cooling
    to_air = cooling.coefficient * cooling.area if isinstance(cooling, Convection) else 0.0
    return Masses(
        STEEL_HEAT * 0.25 * math.pi * d * d * (length + JOURNAL_LENGTH * d),
        IRON_HEAT * HOUSING_BULK * d * d * length,
        through_film, INTO_HOUSING * through_film, 0.0, to_air, start,
    )  # fmt: skip


def warm_up(
    conditions: Conditions, cold: float, curve: Curve, masses: Masses, *, hours: float = HOURS
) -> WarmUp:
    """The transient from a start with everything at ``masses.start``, at full speed and load from the
    first instant. cold: diametral clearance [m] at 20 degC.

    Contact ends it and is an answer. Raises InputError for a clearance that is not positive, NotConverged
    when the integration fails.
    """
    from scipy.integrate import solve_ivp

    if not (math.isfinite(cold) and cold > 0.0):
        raise InputError(Problem("clearance", f"{cold:g} m", "a finite diametral clearance above zero"))
    lump = _Lump(conditions, cold, curve, masses)
    first = np.array([masses.start, masses.start])
    if lump.reserve(first) <= 0.0:
        return _report(lump, np.array([0.0]), first[:, None], contact=True, steps=0)
    end = hours * 3600.0

    def touches(_: float, both: NDArray[np.float64]) -> float:
        return lump.reserve(both)

    touches.terminal = True  # type: ignore[attr-defined]
    instants = np.concatenate([[0.0], np.geomspace(1.0, end, POINTS - 1)])
    found = solve_ivp(
        lump.rates, (0.0, end), first, method="LSODA", t_eval=instants, events=touches, rtol=1e-7, atol=1e-5
    )
    if found.status < 0:
        raise NotConverged("warm-up", math.inf, int(found.nfev))
    times, both = found.t, found.y
    if found.status == 1:
        times = np.append(times, found.t_events[0][0])
        both = np.column_stack([both, found.y_events[0][0]])
    return _report(lump, times, both, contact=found.status == 1, steps=int(found.nfev))


@dataclass(frozen=True)
class _Lump:
    conditions: Conditions
    cold: float
    curve: Curve
    masses: Masses

    def clearance(self, journal: float, housing: float) -> float:
        given = self.conditions
        bore = given.shell_expansion * (housing - REFERENCE)
        return self.cold + given.diameter * (bore - given.journal_expansion * (journal - REFERENCE))

    def film_at(self, temperature: float, clearance: float) -> Point:
        """The film, at the last point of the curve where it carries no more."""
        given = self.conditions
        number = given.load_number(clearance, given.oil.dynamic(temperature))
        return self.curve.at(number) or self.curve.points[-1]

    def temperature(self, journal: float, housing: float, clearance: float) -> float:
        """Of the film [K]: what comes from friction leaves at once."""
        from scipy.optimize import brentq

        oil = self.conditions.oil
        low = max(oil.lowest, min(journal, housing))

        def excess(temperature: float) -> float:
            return self._made(temperature, clearance) - self._passed(temperature, journal, housing, clearance)

        if excess(low) <= 0.0:
            return low
        if excess(oil.highest) >= 0.0:
            return oil.highest
        return float(brentq(excess, low, oil.highest, xtol=1e-6))

    def _made(self, temperature: float, clearance: float) -> float:
        given, point = self.conditions, self.film_at(temperature, clearance)
        return friction_power(point.friction * clearance / given.diameter, given.load, given.surface_speed)

    def _passed(self, temperature: float, journal: float, housing: float, clearance: float) -> float:
        given, masses = self.conditions, self.masses
        lost = masses.film_to_journal * (temperature - journal) + masses.film_to_housing * (
            temperature - housing
        )
        if isinstance(given.cooling, CarriedByOil):
            leak = self.film_at(temperature, clearance).side_flow * given.surface_speed * given.length
            carried = 2.0 * given.cooling.heat_capacity * leak * 0.5 * clearance
            lost += carried * (temperature - given.cooling.inlet)
        return lost

    def reserve(self, both: NDArray[np.float64]) -> float:
        """Above zero while the film carries: how far the load number is below the highest, or the clearance
        above nothing."""
        clearance = self.clearance(float(both[0]), float(both[1]))
        if clearance <= 0.01 * self.cold:
            return clearance / self.cold - 0.01
        temperature = self.temperature(float(both[0]), float(both[1]), clearance)
        viscosity = self.conditions.oil.dynamic(temperature)
        return 1.0 - self.conditions.load_number(clearance, viscosity) / self.curve.highest

    def rates(self, _: float, both: NDArray[np.float64]) -> list[float]:
        """dT_j/dt, dT_h/dt [K/s]."""
        journal, housing, masses = float(both[0]), float(both[1]), self.masses
        clearance = max(self.clearance(journal, housing), 0.01 * self.cold)
        film = self.temperature(journal, housing, clearance)
        into_journal = masses.film_to_journal * (film - journal)
        into_housing = masses.film_to_housing * (film - housing)
        ambient = self._ambient()
        return [
            (into_journal - masses.along_shaft * (journal - ambient)) / masses.journal,
            (into_housing - masses.to_air * (housing - ambient)) / masses.housing,
        ]

    def _ambient(self) -> float:
        cooling = self.conditions.cooling
        return cooling.ambient if isinstance(cooling, Convection) else self.conditions.ambient


def _report(
    lump: _Lump, times: NDArray[np.float64], both: NDArray[np.float64], *, contact: bool, steps: int
) -> WarmUp:
    columns = [(float(journal), float(housing)) for journal, housing in both.T]
    clearance = np.array([lump.clearance(*column) for column in columns])
    opened = np.maximum(clearance, 0.01 * lump.cold)
    pairs = list(zip(columns, opened.tolist(), strict=True))
    warm = np.array([lump.temperature(*column, gap) for column, gap in pairs])
    both_known = zip(warm.tolist(), opened.tolist(), strict=True)
    film = np.array([lump.film_at(t, gap).least_gap * 0.5 * gap for t, gap in both_known])
    if contact:
        film[-1] = 0.0
    narrow, thin = int(clearance.argmin()), int(film.argmin())
    rates = lump.rates(0.0, both[:, -1])
    return WarmUp(
        times, both[0], both[1], warm, clearance, film,
        float(clearance[narrow]), float(times[narrow]), float(film[thin]), float(times[thin]),
        contact, not contact and max(abs(rate) for rate in rates) < 1.0 / 3600.0, steps,
    )  # fmt: skip
