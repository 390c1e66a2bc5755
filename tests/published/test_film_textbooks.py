"""Worked examples of textbooks and of ISO 7902-1 through the solved film and the heat balance.

Their answers are read from charts: 5 % is allowed, 10 % on the peak pressure, unless closed by hand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial

import pytest

from tests.published.case import Case
from whitemetal.film.curve import Point
from whitemetal.film.heat import Convection, friction_power, next_guess
from whitemetal.film.long import centred_friction
from whitemetal.film.permissible import (
    TRUMPLER_HOTTEST,
    TRUMPLER_LOAD_FACTOR,
    TRUMPLER_STARTING_LOAD,
    trumpler_film,
)
from whitemetal.film.solved import round_bearing
from whitemetal.units import INCH, POUND_FORCE

REYN = POUND_FORCE / INCH**2
"""1 reyn = 1 lbf s/in² = 6894.757 Pa s."""


@dataclass(frozen=True)
class Worked:
    """Journal, bearing and load of an example; SI, c radial."""

    diameter: float
    length: float
    c: float
    load: float
    viscosity: float
    revolutions: float

    @property
    def s(self) -> float:
        mean = self.load / (self.length * self.diameter)
        return (0.5 * self.diameter / self.c) ** 2 * self.viscosity * self.revolutions / mean

    @property
    def film(self) -> Point:
        point = round_bearing(self.length / self.diameter).at(1.0 / (2.0 * math.pi * self.s))
        assert point is not None
        return point

    @property
    def torque(self) -> float:
        return self.film.friction * self.c / (0.5 * self.diameter) * self.load * 0.5 * self.diameter

    @property
    def power(self) -> float:
        return 2.0 * math.pi * self.revolutions * self.torque

    def flow(self, part: float = 1.0) -> float:
        speed = math.pi * self.diameter * self.revolutions
        return part * self.film.inlet_flow * speed * self.c * self.length

    @property
    def side(self) -> float:
        return self.film.side_flow / self.film.inlet_flow


SHIGLEY = Worked(1.5 * INCH, 1.5 * INCH, 0.0015 * INCH, 500 * POUND_FORCE, 4e-6 * REYN, 30.0)
EIGHTH = Worked(1.0 * INCH, 1.0 * INCH, 0.00075 * INCH, 250 * POUND_FORCE, 8e-6 * REYN, 1100 / 60)
NINTH = Worked(25e-3, 12.5e-3, 0.015e-3, 1200.0, 0.055, 1100 / 60)
RC_NL = 2.0 * math.pi
BTU = 1055.056

TRUMPLER = "Trumpler, Design of Film Bearings, as in Shigley"
ANNEX_A = "ISO 7902-1 Annex A (D 120, B 60 mm, 36 kN, 209.42 rad/s)"
BOOK = "Budynas & Nisbett, Shigley's Mechanical Engineering Design, examples 12-1 to 12-4"
BOOK_8 = "Shigley's Mechanical Engineering Design, 8th edition, posted solution 12-1"
BOOK_9 = "Shigley's Mechanical Engineering Design, 9th edition, posted solution 12-1"


def chart(
    name: str, source: str, tag: str, text: str, compute: object, unit: str = "", part: float = 0.05
) -> Case:
    """A number read from a chart."""
    allowed = part * float(text)
    return Case(name, source, tag, text, compute, unit, allowed, "read from a chart")  # type: ignore[arg-type]


def annex_a(name: str) -> float:
    """The steps of ISO 7902-1 Annex A from its own friction coefficient."""
    power = friction_power(5.45e-3, 36e3, 209.42 * 0.06)
    reached = Convection(273.15 + 40.0, 0.3, 20.0).effective(power, 0.0) - 273.15
    return {"P": power, "T_B,1": reached, "next T_B,0": next_guess(60.0, 450.9)}[name]


def petroff(name: str) -> float:
    worked = Worked(0.1, 0.08, 0.05e-3, 5000.0, 0.05, 10.0)
    friction = centred_friction(worked.s) * worked.c / 0.05
    return {"f": friction, "T": friction * 5000 * 0.05, "P": friction * 5000 * 0.05 * 20 * math.pi}[name]


def jindal() -> float:
    """Viscosity [cP] that gives S 0.0446 at h0/c = 0.2."""
    worked = Worked(0.06, 0.06, 40e-6, 6000.0, 1.0, 21.0)
    return 1000.0 / worked.s * 0.0446


CASES = (
    Case("S", BOOK, "from memory", "0.135", lambda: SHIGLEY.s),
    chart("h0/c", BOOK, "from memory", "0.42", lambda: SHIGLEY.film.least_gap),
    chart("h0", BOOK, "from memory", "0.00063", lambda: SHIGLEY.film.least_gap * SHIGLEY.c / INCH, "in"),
    chart("phi", BOOK, "from memory", "53", lambda: math.degrees(SHIGLEY.film.attitude), "°"),
    chart("(r/c) f", BOOK, "from memory", "3.50", lambda: SHIGLEY.film.friction),
    chart("T", BOOK, "from memory", "2.62", lambda: SHIGLEY.torque / POUND_FORCE / INCH, "lbf in"),
    chart("power", BOOK, "from memory", "0.075", lambda: SHIGLEY.power / 745.7, "hp"),
    chart("Q/(r c N l)", BOOK, "from memory", "4.28", lambda: SHIGLEY.film.inlet_flow * RC_NL),
    chart("Q", BOOK, "from memory", "0.217", lambda: SHIGLEY.flow() / INCH**3, "in³/s"),
    chart("Qs/Q", BOOK, "from memory", "0.655", lambda: SHIGLEY.side),
    chart(
        "p max", BOOK, "from memory", "529",
        lambda: SHIGLEY.film.peak * SHIGLEY.load / SHIGLEY.diameter / SHIGLEY.length / REYN, "psi", 0.1,
    ),
    Case("S", BOOK_8, "seen", "0.261", lambda: EIGHTH.s),
    chart("h0/c", BOOK_8, "seen", "0.595", lambda: EIGHTH.film.least_gap),
    chart("Q/(r c N l)", BOOK_8, "seen", "3.98", lambda: EIGHTH.film.inlet_flow * RC_NL),
    chart("(r/c) f", BOOK_8, "seen", "5.8", lambda: EIGHTH.film.friction),
    chart("Qs/Q", BOOK_8, "seen", "0.5", lambda: EIGHTH.side),
    chart("heat", BOOK_8, "seen", "0.0134", lambda: EIGHTH.power / BTU, "Btu/s"),
    Case("S", BOOK_9, "seen", "0.182", lambda: NINTH.s),
    chart("h0", BOOK_9, "seen", "0.0045", lambda: NINTH.film.least_gap * 0.015, "mm"),
    chart("(r/c) f", BOOK_9, "seen", "5.4", lambda: NINTH.film.friction),
    chart("heat", BOOK_9, "seen", "11.2", lambda: NINTH.power, "W"),
    chart("Q", BOOK_9, "seen", "219", lambda: NINTH.flow() * 1e9, "mm³/s"),
    chart("Qs", BOOK_9, "seen", "177", lambda: NINTH.flow(NINTH.side) * 1e9, "mm³/s"),
    Case("mu", "Jindal, Machine Design, example 17-2", "seen", "6.293", jindal, "cP"),
    *(
        Case(f"Petroff {name}", "Juvinall & Marshek, Petroff sample problem", "from memory", text,
             partial(petroff, name), unit)
        for name, text, unit in (("f", "0.0158", ""), ("T", "3.95", "N m"), ("P", "248", "W"))
    ),
    *(
        Case(name, "ISO 7902-1 Annex A, through its GOST adoption", "seen", text, partial(annex_a, name), unit)
        for name, text, unit in (("P", "2465.3", "W"), ("T_B,1", "450.9", "°C"), ("next T_B,0", "138.18", "°C"))
    ),
    Case(
        "f/psi at eccentricity 0.773, L/D 0.5", ANNEX_A, "from memory", "3.68",
        lambda: round_bearing(0.5).at_way(0.773).friction, "", 0.02 * 3.68, "2 %: taken from tables there",
    ),
    Case(
        "least film at eccentricity 0.773, psi 1.48 per mille, D 120 mm", ANNEX_A, "from memory", "20.2",
        lambda: round_bearing(0.5).at_way(0.773).least_gap * 0.5 * 1.48e-3 * 0.12e6, "µm", 0.1,
        "0.5 %: psi is rounded there",
    ),
    Case(
        "Trumpler h0, d 4 in", TRUMPLER, "seen", "0.00036",
        lambda: trumpler_film(4 * INCH) / INCH, "in",
    ),
    Case("Trumpler h0 floor", TRUMPLER, "from memory", "0.00508", lambda: trumpler_film(0.0) * 1e3, "mm"),
    Case("Trumpler starting load", TRUMPLER, "from memory", "2068", lambda: TRUMPLER_STARTING_LOAD / 1e3, "kPa"),
    Case("Trumpler Tmax", TRUMPLER, "from memory", "121", lambda: TRUMPLER_HOTTEST - 273.15, "°C"),
    Case("Trumpler load factor", TRUMPLER, "from memory", "2", lambda: TRUMPLER_LOAD_FACTOR),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.source[-20:]} {case.name}")
def test_published(case: Case) -> None:
    case.check()
