"""How a bearing runs at one clearance: film, temperature, power, flow and whirl, in dimensions.

The heat balance of ISO 7902-1: an effective film temperature is wanted at which the friction heat of the film
is just what leaves. Viscosity, clearance at running temperature and the film itself all depend on it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from whitemetal.errors import InputError, NotConverged, Problem
from whitemetal.film.curve import Point
from whitemetal.film.heat import Cooling, friction_power
from whitemetal.film.motion import GRAVITY, Whirl, whirl
from whitemetal.film.oil import ICE, OilLaw

STEEL_EXPANSION = 11.5e-6
"""Linear expansion of steel [1/K], journal and steel-backed shell: from memory, 11 to 12.5."""

IRON_EXPANSION = 10.5e-6
"""Linear expansion of grey cast iron [1/K], common housings: from memory, 10 to 11.5."""

REFERENCE = ICE + 20.0
"""Temperature at which clearances are stated [K]: ISO 1, by definition."""

LAMINAR_LIMIT = 41.3
"""Laminar while Re = rho U c/mu is below 41.3/sqrt(psi): ISO 7902-1, from memory (Taylor's vortices)."""

TEMPERATURE_TOLERANCE = 1e-6
"""Heat balance closed to this [K]; by hand ISO 7902-1 stops at 1 K. Our own."""

MOST_STEPS = 80
"""Steps of the heat balance before it gives up. Our own."""

SCAN = 24
"""Temperatures looked at to find the coolest balance, before it is refined. Our own."""

Answer = Literal["runs", "contact", "overheats"]

Known = Literal["known", "at least", "centred", "not asked"]
"""Of a whirl threshold: found; looked for up to there, beyond it the journal runs all but centred; it does so
already at the running speed, where stiffness has no meaning; the film has no stiffness."""

FilmAt = Callable[[float, float], Point | None]
"""The film under a load number So at a running diametral clearance [m], None when it cannot carry it: a
`Curve`, or a measured bore."""


@dataclass(frozen=True)
class Conditions:
    """What the bearing works under; SI.

    diameter D of the journal, length L of the land [m]; speed omega [rad/s]; load F [N]. shell_expansion:
    of what sets the bore; a shell held by crush grows with its housing, so this is the housing's [1/K].
    housing_follows: part of the film's rise over ``ambient`` that the housing takes, 1 in ISO 7902.
    mass: rotor mass that this bearing carries [kg], None where the load is the rotor's weight.
    feed_pressure: gauge, in the grooves of the film's own shape [Pa].
    """

    diameter: float
    length: float
    speed: float
    load: float
    oil: OilLaw
    cooling: Cooling
    journal_expansion: float = STEEL_EXPANSION
    shell_expansion: float = IRON_EXPANSION
    ambient: float = REFERENCE
    housing_follows: float = 1.0
    mass: float | None = None
    feed_pressure: float = 0.0

    def __post_init__(self) -> None:
        wanted = {"diameter": self.diameter, "length": self.length, "speed": self.speed, "load": self.load}
        if self.mass is not None:
            wanted["mass"] = self.mass
        problems = [
            Problem(name, f"{value:g}", "a finite number above zero")
            for name, value in wanted.items()
            if not (math.isfinite(value) and value > 0.0)
        ]
        if not 0.0 <= self.housing_follows <= 1.0:
            problems.append(Problem("housing_follows", f"{self.housing_follows:g}", "a part from 0 to 1"))
        if not (math.isfinite(self.feed_pressure) and self.feed_pressure >= 0.0):
            problems.append(Problem("feed_pressure", f"{self.feed_pressure:g}", "a pressure of zero or more"))
        if problems:
            raise InputError(*problems)

    @property
    def surface_speed(self) -> float:
        """U [m/s]."""
        return 0.5 * self.diameter * self.speed

    @property
    def specific_load(self) -> float:
        """P = F/(D L) [Pa]."""
        return self.load / (self.diameter * self.length)

    @property
    def carried_mass(self) -> float:
        """Rotor mass on this bearing [kg]; from the load when it was not given."""
        return self.load / GRAVITY if self.mass is None else self.mass

    def running_clearance(self, cold: float, temperature: float) -> float:
        """Diametral clearance [m] when the film is at ``temperature`` [K] and it is ``cold`` at 20 degC.

        Cd + D [alpha_shell (T_housing - 20) - alpha_journal (T - 20)]; ISO 7902-1 where the housing follows.
        """
        housing = self.ambient + self.housing_follows * (temperature - self.ambient)
        bore = self.shell_expansion * (housing - REFERENCE)
        return cold + self.diameter * (bore - self.journal_expansion * (temperature - REFERENCE))

    def load_number(self, clearance: float, viscosity: float) -> float:
        """So = F psi²/(D L mu omega) for a running diametral clearance [m] and a viscosity [Pa s]."""
        return self.specific_load * (clearance / self.diameter) ** 2 / (viscosity * self.speed)


@dataclass(frozen=True)
class State:
    """How it runs. cold, clearance: diametral, at 20 degC and running [m]. answer: "runs"; "contact" when the
    film cannot carry the load (its figures are then 0 or infinite); "overheats" when more heat is made than
    leaves up to the end of the oil's table (the figures are those at that end, ``hottest`` is infinite).

    temperature: effective, of the film [K]; hottest: the temperature that is judged [K] (housing, or oil that
    leaves). viscosity [Pa s]. film: thinnest [m]. friction: f [-]. power [W]. side_flow, pressure_flow
    [m³/s]. peak: highest film pressure [Pa]. reynolds, reynolds_limit [-]. threshold: whirl threshold speed
    of a rigid rotor [rad/s], infinite when stable at any speed, nan when not found; threshold_is: what it is
    (`Known`). whirl: at the running speed. residual [K] and iterations of the heat balance.
    """

    cold: float
    clearance: float
    answer: Answer
    temperature: float
    hottest: float
    viscosity: float
    load_number: float
    eccentricity: float
    attitude: float
    film: float
    friction: float
    power: float
    side_flow: float
    pressure_flow: float
    peak: float
    reynolds: float
    reynolds_limit: float
    threshold: float
    whirl: Whirl | None
    residual: float
    iterations: int
    threshold_is: Known = "not asked"

    @property
    def laminar(self) -> bool:
        """Whether the Reynolds number lies below its limit."""
        return self.reynolds < self.reynolds_limit


PressureFlow = Callable[[float, float, float], float]
"""Flow by feed pressure [m³/s] from relative clearance [-], viscosity [Pa s] and eccentricity [-]."""


def no_pressure_flow(relative: float, viscosity: float, eccentricity: float) -> float:
    """Oil comes without pressure: 0."""
    return 0.0


def settle(
    conditions: Conditions,
    cold: float,
    film_at: FilmAt,
    *,
    pressure_flow: PressureFlow = no_pressure_flow,
) -> State:
    """The heat balance at a cold diametral clearance [m].

    The coolest balance is taken, which is the one a start from cold reaches. A film that cannot carry the
    load on the way up there, or a balance beyond the end of the oil's table, is an answer of the state.
    Raises InputError for a clearance that is not positive or a cooling colder than the oil's table, and
    NotConverged
    when the balance does not close.
    """
    if not (math.isfinite(cold) and cold > 0.0):
        raise InputError(Problem("clearance", f"{cold:g} m", "a finite diametral clearance above zero"))
    balance = _Balance(conditions, cold, film_at, pressure_flow)
    low, high = _bracket(balance)
    if high is None:
        return _contact(balance, low)
    if high > conditions.oil.highest:
        hot = _state(balance, conditions.oil.highest, 0.0, SCAN)
        return hot if hot.answer == "contact" else replace(hot, answer="overheats", hottest=math.inf)
    return _state(balance, *_refine(balance, low, high))


@dataclass(frozen=True)
class _Balance:
    conditions: Conditions
    cold: float
    film_at: FilmAt
    pressure_flow: PressureFlow

    def film(self, temperature: float) -> Point | None:
        clearance = self.conditions.running_clearance(self.cold, temperature)
        if clearance <= 0.0:
            return None
        viscosity = self.conditions.oil.dynamic(temperature)
        return self.film_at(self.conditions.load_number(clearance, viscosity), clearance)

    def heat(self, temperature: float, point: Point) -> tuple[float, float, float]:
        """Power [W], leakage by rotation and flow by feed pressure [m³/s]."""
        given = self.conditions
        clearance = given.running_clearance(self.cold, temperature)
        relative = clearance / given.diameter
        power = friction_power(point.friction * relative, given.load, given.surface_speed)
        unit = given.surface_speed * 0.5 * clearance * given.length
        leak, viscosity = point.side_flow * unit, given.oil.dynamic(temperature)
        grooves = given.feed_pressure * relative**2 / (6.0 * viscosity * given.speed)
        fed = self.pressure_flow(relative, viscosity, point.eccentricity) + point.feed_gain * grooves * unit
        return power, leak, fed

    def excess(self, temperature: float) -> float | None:
        """Computed less assumed temperature [K]; None when the film cannot carry the load there."""
        point = self.film(temperature)
        if point is None:
            return None
        power, leak, fed = self.heat(temperature, point)
        return self.conditions.cooling.effective(power, leak + fed) - temperature


def _bracket(balance: _Balance) -> tuple[float, float | None]:
    """Temperatures between which the coolest balance lies; (where it failed, None) when the film gives way
    and (end of the table, infinite) when there is none."""
    oil = balance.conditions.oil
    low = balance.conditions.cooling.effective(0.0, 1.0)
    excess = balance.excess(low)
    if excess is None:
        return low, None
    edges = [low + (oil.highest - low) * index / SCAN for index in range(1, SCAN)]
    for high in (*edges, oil.highest):
        excess = balance.excess(high)
        if excess is None:
            return _last_carried(balance, low, high)
        if excess <= 0.0:
            return low, high
        low = high
    return low, math.inf


def _last_carried(balance: _Balance, low: float, high: float) -> tuple[float, float | None]:
    """Between a temperature that carries and one that does not there may still be a balance."""
    for _ in range(40):
        middle = 0.5 * (low + high)
        excess = balance.excess(middle)
        if excess is None:
            high = middle
        elif excess <= 0.0:
            return low, middle
        else:
            low = middle
    return low, None


def _refine(balance: _Balance, low: float, high: float) -> tuple[float, float, int]:
    """Balance temperature [K], its residual [K] and the steps taken: regula falsi, Illinois."""
    at_low, at_high = balance.excess(low), balance.excess(high)
    if at_low is None or at_high is None:
        raise NotConverged("heat balance", math.inf, 0)
    if at_low <= TEMPERATURE_TOLERANCE:
        return low, at_low, 1
    middle, excess = high, at_high
    for step in range(1, MOST_STEPS + 1):
        if abs(excess) <= TEMPERATURE_TOLERANCE:
            return middle, excess, step
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        found = balance.excess(middle)
        if found is None:
            raise NotConverged("heat balance", math.inf, step)
        excess = found
        if excess * at_high < 0.0:
            low, at_low = high, at_high
        else:
            at_low *= 0.5
        high, at_high = middle, excess
    raise NotConverged("heat balance", abs(excess), MOST_STEPS)


def _state(balance: _Balance, temperature: float, residual: float, iterations: int) -> State:
    given, point = balance.conditions, balance.film(temperature)
    if point is None:
        return _contact(balance, temperature)
    clearance = given.running_clearance(balance.cold, temperature)
    viscosity, relative = given.oil.dynamic(temperature), clearance / given.diameter
    power, leak, fed = balance.heat(temperature, point)
    moving = whirl(point.coefficients) if point.coefficients is not None else None
    threshold, known = _no_threshold(point)
    if moving is not None:
        threshold, known = threshold_speed(balance, clearance, viscosity, moving)
    return State(
        balance.cold, clearance, "runs", temperature, given.cooling.hottest(power, leak + fed), viscosity,
        point.load_number, point.eccentricity, point.attitude, point.least_gap * 0.5 * clearance,
        point.friction * relative, power, leak, fed, point.peak * given.specific_load,
        given.oil.density(temperature) * given.surface_speed * 0.5 * clearance / viscosity,
        LAMINAR_LIMIT / math.sqrt(relative), threshold, moving, abs(residual), iterations, known,
    )  # fmt: skip


def _no_threshold(point: Point) -> tuple[float, Known]:
    """What stands in place of a threshold where the film has no stiffness."""
    return math.nan, "centred" if point.centred else "not asked"


SPEED_TOLERANCE = 1e-5
"""Whirl thresholds are refined to this part of themselves. Our own."""


def threshold_speed(
    balance: _Balance, clearance: float, viscosity: float, running: Whirl
) -> tuple[float, Known]:
    """Speed [rad/s] at which a rigid rotor starts to whirl, the film kept at its temperature.

    With the speed the load number falls and the film changes: the border is where
    m (Cd/2) omega²/F equals the threshold of the film at that speed. Infinite when it stays stable to
    FASTEST times the running speed; "at least" where the journal comes to run all but centred before that.
    """
    given = balance.conditions
    unit = given.carried_mass * 0.5 * clearance / given.load

    def margin(speed: float) -> float | None:
        """Positive while stable: 1/(m c omega²/F) less 1/threshold, smooth where that is infinite; None where
        the journal runs all but centred."""
        number = given.load_number(clearance, viscosity) * given.speed / speed
        point = balance.film_at(number, clearance)
        if point is not None and point.centred:
            return None
        if point is None or point.coefficients is None:
            return math.inf
        moving = running if speed == given.speed else whirl(point.coefficients)
        if moving.equivalent_stiffness <= 0.0:
            return -math.inf
        return 1.0 / (unit * speed**2) - moving.ratio_squared / moving.equivalent_stiffness

    return _first_crossing(margin, given.speed)


FASTEST = 20.0
"""Whirl thresholds beyond this many times the running speed are called stable at any speed. Our own."""


def _first_crossing(margin: Callable[[float], float | None], speed: float) -> tuple[float, Known]:
    """The speed [rad/s] at which ``margin`` turns negative, searched up or down from the running speed."""

    def steady(at: float) -> bool | None:
        found = margin(at)
        return None if found is None else found > 0.0

    stable = steady(speed)
    factor = 1.25 if stable else 0.8
    inner = outer = speed
    while (now := steady(outer)) == stable:
        inner, outer = outer, outer * factor
        if not speed / FASTEST**2 < outer < speed * FASTEST:
            return (math.inf if stable else 0.0), "known"
    low, high = sorted((inner, outer))
    above = now if stable else stable
    while high - low > SPEED_TOLERANCE * high:
        middle = 0.5 * (low + high)
        there = steady(middle)
        low, high, above = (middle, high, above) if there else (low, middle, there)
    return low, "at least" if above is None else "known"


def _contact(balance: _Balance, temperature: float) -> State:
    given = balance.conditions
    clearance = given.running_clearance(balance.cold, temperature)
    viscosity = given.oil.dynamic(temperature)
    number = given.load_number(clearance, viscosity)
    return State(
        balance.cold, clearance, "contact", temperature, math.inf, viscosity, number, 1.0, 0.0, 0.0, math.inf,
        math.inf, 0.0, 0.0, math.inf, 0.0, math.inf, math.nan, None, 0.0, 0,
    )  # fmt: skip
