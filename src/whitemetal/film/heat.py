"""Where the heat of the film goes: from the housing to the air, or away with the oil. ISO 7902-1.

Temperatures [K], power [W], flows [m³/s]. The film has one effective temperature (global balance); nothing
here knows the temperature at a spot of the white metal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from whitemetal.errors import InputError, Problem

HEAT_CAPACITY = 1.8e6
"""Density times specific heat of mineral oil [J/(m³ K)]: ISO 7902-1, from memory."""

STILL_AIR = 20.0
"""Heat transfer from a housing in air that hardly moves [W/(m² K)]: 15 to 20 in ISO 7902-1, from memory;
its example takes 20."""

STILL_AIR_SPEED = 1.2
"""Air speed [m/s] above which k_A = 7 + 12 sqrt(w) replaces the value for still air: ISO 7902-1, from
memory."""

AREA_OVER_PROJECTED = 20.0
"""Housing surface over L D of a plain ring-oiled housing, when nobody measured it: Juvinall & Marshek, from
memory; ISO 7902-1 gives 15 to 20 for bearings inside a machine, from memory. Real pedestals have up to twice
as much."""

AMBIENT = 273.15 + 25.0
"""Air around the housing [K] when the card does not say. Our own."""

SUPPLY = 273.15 + 45.0
"""Oil at the inlet of a pressure-fed bearing [K] when the card does not say: 40 to 50 degC. Common
practice."""


@dataclass(frozen=True)
class Convection:
    """Heat leaves through the housing: T_B = T_amb + P/(k_A A). Self-contained and ring-oiled bearings.

    ambient [K], area A [m²], coefficient k_A [W/(m² K)]. The effective film temperature is T_B.
    """

    ambient: float
    area: float
    coefficient: float = STILL_AIR

    def __post_init__(self) -> None:
        _above_zero("cooling", ambient=self.ambient, area=self.area, coefficient=self.coefficient)

    def effective(self, power: float, flow: float) -> float:
        """Effective film temperature [K] for a friction power [W]; the flow [m³/s] carries nothing away."""
        return self.ambient + power / (self.coefficient * self.area)

    def hottest(self, power: float, flow: float) -> float:
        """The temperature that is judged [K]: T_B."""
        return self.effective(power, flow)


@dataclass(frozen=True)
class CarriedByOil:
    """Heat leaves with the oil: T_ex = T_en + P/(rho c Q), T_eff = (T_en + T_ex)/2. Pressure-fed bearings.

    inlet T_en [K], heat_capacity rho c [J/(m³ K)]. Q is leakage by rotation and flow by feed
    pressure together.
    """

    inlet: float
    heat_capacity: float = HEAT_CAPACITY

    def __post_init__(self) -> None:
        _above_zero("cooling", inlet=self.inlet, heat_capacity=self.heat_capacity)

    def effective(self, power: float, flow: float) -> float:
        """Effective film temperature [K] for a friction power [W] and the whole flow [m³/s]."""
        return 0.5 * (self.inlet + self.hottest(power, flow))

    def hottest(self, power: float, flow: float) -> float:
        """The temperature that is judged [K]: T_ex of the oil that leaves."""
        if not flow > 0.0:
            return math.inf
        return self.inlet + power / (self.heat_capacity * flow)


@dataclass(frozen=True)
class Held:
    """The effective temperature is known (measured on the machine) and held whatever the clearance [K]."""

    temperature: float

    def __post_init__(self) -> None:
        _above_zero("cooling", temperature=self.temperature)

    def effective(self, power: float, flow: float) -> float:
        """The temperature held [K]."""
        return self.temperature

    def hottest(self, power: float, flow: float) -> float:
        """The temperature held [K]."""
        return self.temperature


Cooling = Convection | CarriedByOil | Held


def air_coefficient(air_speed: float) -> float:
    """k_A [W/(m² K)] of a housing in moving air: 7 + 12 sqrt(w) above 1.2 m/s, else STILL_AIR. ISO 7902-1,
    from memory. Raises InputError for a negative speed."""
    if not (math.isfinite(air_speed) and air_speed >= 0.0):
        raise InputError(Problem("air_speed", f"{air_speed:g}", "a finite speed in m/s, not negative"))
    return 7.0 + 12.0 * math.sqrt(air_speed) if air_speed > STILL_AIR_SPEED else STILL_AIR


def conductance_from(temperature: float, ambient: float, power: float) -> float:
    """k_A A [W/K] of a housing that runs at ``temperature`` [K] with this friction power [W].

    Raises InputError when it is not warmer than the air.
    """
    if not temperature > ambient:
        raise InputError(
            Problem("duty.hot_temperature", f"{temperature - 273.15:.1f} °C", "warmer than the air around")
        )
    _above_zero("friction", power=power)
    return power / (temperature - ambient)


def next_guess(assumed: float, computed: float) -> float:
    """The damped next guess of a heat balance by hand: T + 0.2 (T' - T). ISO 7902-1 Annex A."""
    return assumed + 0.2 * (computed - assumed)


def friction_power(coefficient: float, load: float, surface_speed: float) -> float:
    """P = f F U [W] with f [-], F [N], U [m/s]."""
    return coefficient * load * surface_speed


def hole_flow(
    diameter: float, relative: float, pressure: float, viscosity: float, eccentricity: float, *,
    length: float, hole: float,
) -> float:  # fmt: skip
    """Flow by feed pressure [m³/s] through an oil hole opposite the load. ISO 7902-1, from memory, not
    verified.

    Q = (D³ psi³ p/mu) (pi/48) (1 + e)³/[ln(L/d) q], q = 1.204 + 0.368 x - 1.046 x² + 1.942 x³, x = d/L.
    diameter D, length L, hole d [m]; relative psi, eccentricity e [-]; pressure p [Pa]; viscosity mu [Pa s].
    """
    x = _share(hole, length, "feed.hole")
    q = 1.204 + 0.368 * x - 1.046 * x**2 + 1.942 * x**3
    return _fed(diameter, relative, pressure, viscosity, eccentricity) / (-math.log(x) * q)


def pocket_flow(
    diameter: float, relative: float, pressure: float, viscosity: float, eccentricity: float, *,
    length: float, pocket: float,
) -> float:  # fmt: skip
    """Flow by feed pressure [m³/s] through a pocket of axial length ``pocket`` [m] opposite the load.

    As `hole_flow` with q = 1.188 + 1.582 x - 2.585 x² + 5.563 x³, x = b/L. ISO 7902-1, from memory, not
    verified.
    """
    x = _share(pocket, length, "feed.pocket")
    q = 1.188 + 1.582 * x - 2.585 * x**2 + 5.563 * x**3
    return _fed(diameter, relative, pressure, viscosity, eccentricity) / (-math.log(x) * q)


def _fed(diameter: float, relative: float, pressure: float, viscosity: float, eccentricity: float) -> float:
    opened = (diameter * relative * (1.0 + eccentricity)) ** 3
    return opened * pressure / viscosity * math.pi / 48.0


def _share(part: float, length: float, field: str) -> float:
    if not 0.0 < part < length:
        raise InputError(Problem(field, f"{part:g} m", "longer than nothing and shorter than the land"))
    return part / length


def _above_zero(table: str, **values: float) -> None:
    problems = [
        Problem(f"{table}.{name}", f"{value:g}", "a finite number above zero")
        for name, value in values.items()
        if not (math.isfinite(value) and value > 0.0)
    ]
    if problems:
        raise InputError(*problems)
