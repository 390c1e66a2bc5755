"""The oil: viscosity and density at a temperature, from a grade or from two measured viscosities.

Kinematic viscosity follows ASTM D341, ``log10 log10(v + 0.7) = A - B log10 T`` with v in mm²/s and T in K
(T = degC + 273.15). The viscosity index and the viscosity at 100 degC that belongs to one follow
ASTM D2270 [`viscosity_index`]. Density falls with temperature after API MPMS chapter 11.1 (table 54D).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from whitemetal.errors import InputError, Problem
from whitemetal.film.viscosity_index import viscosity_at_100
from whitemetal.words import say

ICE = 273.15
"""0 degC in K: exact, by definition."""

VG_GRADES = (2, 3, 5, 7, 10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200)
"""Grades of ISO 3448: the mid-point of kinematic viscosity at 40 degC in mm²/s; limits are 10 % off it."""

ASSUMED_INDEX = 97.0
"""Viscosity index assumed when only the grade is known: mineral circulating and turbine oils lie at 95 to
105, and two-point data sold with ISO VG 32 to 68 at 95 to 103. Common practice."""

ASSUMED_DENSITY = 875.0
"""Density at 15 degC [kg/m³] assumed when none is given: mineral oils of ISO VG 32 to 150 lie at 860 to 895.
Common practice."""

LOWEST_KINEMATIC = 2e-6
"""Below 2 mm²/s [m²/s] the constant 0.7 of ASTM D341 needs further terms, from memory: the table ends
there."""

LOWEST, HIGHEST = ICE - 10.0, ICE + 150.0
"""Temperatures [K] between which a mineral oil is followed: near the pour point wax makes D341 false, above
150 degC the oil does not last. Our own."""

EXPANSION_K1 = 0.6278
"""alpha_15 = K1/rho_15 with rho in kg/m³, lubricating oils, API MPMS chapter 11.1 table 54D, from memory."""


@dataclass(frozen=True)
class OilLaw:
    """One oil over temperature.

    a, b: constants of ASTM D341. density_15: density at 15 degC [kg/m³]. lowest, highest: the temperatures
    [K] at which the table ends. said: what was assumed, in words, one entry each.
    """

    a: float
    b: float
    density_15: float
    lowest: float
    highest: float
    said: tuple[str, ...] = ()

    def kinematic(self, temperature: float) -> float:
        """Kinematic viscosity [m²/s] at ``temperature`` [K]. ASTM D341.

        Raises InputError outside ``lowest`` to ``highest``.
        """
        if not self.lowest <= temperature <= self.highest:
            low, high = self.lowest - ICE, self.highest - ICE
            raise InputError(
                Problem(
                    "temperature",
                    f"{temperature - ICE:.1f} °C",
                    f"a temperature at which this oil is known, {low:.0f} to {high:.0f} °C",
                )
            )
        return self._kinematic(temperature)

    def _kinematic(self, temperature: float) -> float:
        exponent: float = 10.0 ** (self.a - self.b * math.log10(temperature))
        return float(10.0**exponent - 0.7) * 1e-6

    def density(self, temperature: float) -> float:
        """Density [kg/m³]: rho_15 exp[-alpha dT (1 + 0.8 alpha dT)], dT from 15 degC. API MPMS 11.1."""
        alpha = EXPANSION_K1 / self.density_15
        change = alpha * (temperature - ICE - 15.0)
        return self.density_15 * math.exp(-change * (1.0 + 0.8 * change))

    def dynamic(self, temperature: float) -> float:
        """Dynamic viscosity [Pa s] = kinematic viscosity times density.

        Raises InputError outside ``lowest`` to ``highest``.
        """
        return self.kinematic(temperature) * self.density(temperature)


def from_two(
    first: tuple[float, float],
    second: tuple[float, float],
    *,
    density_15: float = ASSUMED_DENSITY,
    said: tuple[str, ...] = (),
) -> OilLaw:
    """The oil through two points (temperature [K], kinematic viscosity [m²/s]). ASTM D341.

    Raises InputError when a number is not positive, the temperatures agree to 1 K or the oil does not thin
    with heat.
    """
    (cold, thick), (hot, thin) = sorted((first, second))
    _positive(cold=cold, thick=thick, thin=thin, density_15=density_15)
    if hot - cold < 1.0:
        raise InputError(Problem("oil.second_temperature", f"{hot - ICE:.1f} °C", "another temperature"))
    if thin >= thick:
        raise InputError(Problem("oil.second_viscosity", f"{thin * 1e6:.4g} mm2/s", "a thinner oil when hot"))
    b = (_double_log(thick) - _double_log(thin)) / (math.log10(hot) - math.log10(cold))
    a = _double_log(thick) + b * math.log10(cold)
    reach = 10.0 ** ((a - _double_log(LOWEST_KINEMATIC)) / b)
    return OilLaw(a, b, density_15, LOWEST, min(HIGHEST, reach), said)


def _double_log(kinematic: float) -> float:
    return math.log10(math.log10(kinematic * 1e6 + 0.7))


def _positive(**values: float) -> None:
    problems = [
        Problem(f"oil.{name}", f"{value:g}", "a finite number above zero")
        for name, value in values.items()
        if not (math.isfinite(value) and value > 0.0)
    ]
    if problems:
        raise InputError(*problems)


def from_grade(grade: str, *, index: float | None = None, density_15: float = ASSUMED_DENSITY) -> OilLaw:
    """The oil of an ISO VG grade ("ISO VG 46", "VG46", "46") at the grade's mid-point. ISO 3448, ASTM D2270.

    index: viscosity index, ASSUMED_INDEX when None. A delivered oil may be 10 % thicker or thinner at
    40 degC. Raises InputError when the text names no grade of ISO 3448.
    """
    number = grade_number(grade)
    used = ASSUMED_INDEX if index is None else index
    at_100 = viscosity_at_100(float(number), used)
    said = [say("film.grade_midpoint", grade=number)]
    if index is None:
        said.append(say("film.index_assumed", index=f"{used:.0f}"))
    if density_15 == ASSUMED_DENSITY:
        said.append(say("film.density_assumed", density=f"{density_15:.0f}"))
    return from_two(
        (ICE + 40.0, number * 1e-6), (ICE + 100.0, at_100 * 1e-6), density_15=density_15, said=tuple(said)
    )


def grade_number(grade: str) -> int:
    """The number of an ISO VG grade in a text. Raises InputError when there is none or more than one."""
    found = re.fullmatch(r"\s*(?:ISO)?\s*-?\s*(?:VG)?\s*-?\s*([0-9]+)\s*", grade, re.IGNORECASE)
    number = int(found.group(1)) if found else 0
    if number not in VG_GRADES:
        raise InputError(Problem("oil.grade", grade, 'a grade of ISO 3448, for example "ISO VG 46"'))
    return number


def kinematic_of(dynamic: float, temperature: float, *, density_15: float = ASSUMED_DENSITY) -> float:
    """Kinematic viscosity [m²/s] of an oil of ``dynamic`` viscosity [Pa s] at ``temperature`` [K]: a door for
    sources that state dynamic viscosity. Raises InputError when it is not positive."""
    _positive(viscosity=dynamic)
    return dynamic / OilLaw(0.0, 1.0, density_15, LOWEST, HIGHEST).density(temperature)
