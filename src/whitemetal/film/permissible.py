"""What a film may be: permissible least film, temperature, load. Advisory defaults that an engineer may edit.

Lengths [m], temperatures [K], pressures [Pa], speeds [m/s]. Every row says where it comes from; none is a
maker's figure.
"""

from __future__ import annotations

from dataclasses import dataclass

from whitemetal.errors import InputError, Problem
from whitemetal.film.oil import ICE
from whitemetal.units import INCH

FILM_DIAMETERS = (0.063, 0.16, 0.4, 1.0, 2.5)
FILM_SPEEDS = (1.0, 3.0, 10.0, 30.0)
LEAST_FILMS = (
    (3e-6, 4e-6, 5e-6, 7e-6, 10e-6),
    (4e-6, 5e-6, 7e-6, 9e-6, 12e-6),
    (6e-6, 7e-6, 9e-6, 11e-6, 14e-6),
    (8e-6, 9e-6, 11e-6, 13e-6, 16e-6),
    (10e-6, 12e-6, 14e-6, 16e-6, 18e-6),
)
"""Least permissible film [m] by journal diameter up to (rows, from 24 mm) and surface speed up to (columns,
the last above 30 m/s). ISO 7902-3, from memory: journals of Rz 4 µm or better, small errors of form, no tilt,
oil well filtered."""

SMALLEST_DIAMETER, LARGEST_DIAMETER = 0.024, 2.5
"""Diameters [m] the table is for. ISO 7902-3, from memory."""

HOTTEST_CONVECTION = ICE + 90.0
"""Highest bearing temperature [K] with heat leaving by convection. ISO 7902-3, from memory: 90, exceptionally
110 degC."""

HOTTEST_OIL_OUT = ICE + 100.0
"""Highest temperature [K] of oil that leaves a pressure-fed bearing. ISO 7902-3, from memory: 100,
exceptionally 115 degC, while the oil volume is at most five times the flow a minute."""

HIGHEST_LOAD = 5e6
"""Highest specific load [Pa] on white metal: ISO 7902-3, from memory (exceptionally 15 MPa at low speed)."""

TRUMPLER_FLOOR, TRUMPLER_SLOPE = 0.0002 * INCH, 0.00004
TRUMPLER_STARTING_LOAD = 2068e3
TRUMPLER_HOTTEST = ICE + 121.0
TRUMPLER_LOAD_FACTOR = 2.0
"""Least film = floor + slope D, highest load when it starts [Pa], hottest film [K] and load factor: Trumpler,
Design of Film Bearings (1966), as in Shigley; from memory."""

WHIRL_MARGIN = 1.25
"""Whirl threshold over running speed wanted at least. A rigid-rotor estimate needs room for a flexible shaft.
Our own."""


def least_film(diameter: float, surface_speed: float) -> float:
    """Least permissible film [m] of ISO 7902-3 (from memory) for D [m] and U [m/s].

    Raises InputError outside 24 mm to 2.5 m.
    """
    if not SMALLEST_DIAMETER < diameter <= LARGEST_DIAMETER:
        raise InputError(Problem("diameter", f"{diameter * 1e3:g} mm", "24 to 2500 mm"))
    row = next(i for i, top in enumerate(FILM_DIAMETERS) if diameter <= top)
    column = next((i for i, top in enumerate(FILM_SPEEDS) if surface_speed <= top), len(FILM_SPEEDS))
    return LEAST_FILMS[row][column]


def trumpler_film(diameter: float) -> float:
    """Least film [m] after Trumpler: 0.00508 mm + 0.00004 D."""
    return TRUMPLER_FLOOR + TRUMPLER_SLOPE * diameter


@dataclass(frozen=True)
class Criteria:
    """What a bearing must keep to run well; None leaves a criterion out.

    least_film [m], hottest [K], whirl_margin (threshold over running speed) [-], most_power [W],
    most_flow [m³/s]; laminar: whether the film must be. source: one sentence on where they come from.
    """

    least_film: float | None = None
    hottest: float | None = None
    whirl_margin: float | None = WHIRL_MARGIN
    most_power: float | None = None
    most_flow: float | None = None
    laminar: bool = True
    source: str = ""


def usual(diameter: float, surface_speed: float, *, by_convection: bool) -> Criteria:
    """The editable defaults: ISO 7902-3 film and temperature (from memory) and our own whirl margin."""
    hottest = HOTTEST_CONVECTION if by_convection else HOTTEST_OIL_OUT
    return Criteria(
        least_film(diameter, surface_speed), hottest, source="ISO 7902-3, from memory; whirl: our own"
    )
