"""The infinitely long bearing in closed form, without the film's own rupture: full and half Sommerfeld.

All dimensionless. e: eccentricity [-], 0 < e < 1. S = (R/c)² mu N/P [-]. Attitude [rad]. The full Sommerfeld
film keeps the pressures below ambient (a flooded bearing under high ambient pressure); the half Sommerfeld
(Gümbel) film drops them without regard to continuity. Sommerfeld, Z. Math. Phys. 50 (1904); the forms as
in Hamrock, Fundamentals of Fluid Film Lubrication, from memory; checked here by quadrature.
"""

from __future__ import annotations

import math

from whitemetal.film.short import check


def full_sommerfeld(eccentricity: float) -> float:
    """S [-] of the full film: (2 + e²) sqrt(1 - e²)/(12 pi² e). The attitude is 90 degrees at any load."""
    check(eccentricity)
    e2 = eccentricity**2
    return (2.0 + e2) * math.sqrt(1.0 - e2) / (12.0 * math.pi**2 * eccentricity)


def full_friction(eccentricity: float) -> float:
    """(R/c) f [-] at the journal of the full film: (1 + 2 e²)/(3 e)."""
    check(eccentricity)
    return (1.0 + 2.0 * eccentricity**2) / (3.0 * eccentricity)


def half_sommerfeld(eccentricity: float) -> float:
    """S [-] of the half film: (2 + e²)(1 - e²)/{6 pi e sqrt[pi² - e² (pi² - 4)]}."""
    check(eccentricity)
    e2 = eccentricity**2
    root = math.sqrt(math.pi**2 - e2 * (math.pi**2 - 4.0))
    return (2.0 + e2) * (1.0 - e2) / (6.0 * math.pi * eccentricity * root)


def half_attitude(eccentricity: float) -> float:
    """Attitude angle [rad] of the half film: tan phi = pi sqrt(1 - e²)/(2 e)."""
    check(eccentricity)
    return math.atan2(math.pi * math.sqrt(1.0 - eccentricity**2), 2.0 * eccentricity)


def full_pressure(angle: float, eccentricity: float) -> float:
    """Pressure p c²/(mu omega R²) [-] at an angle [rad] from the widest gap:
    6 e sin(t) (2 + e cos t)/[(2 + e²)(1 + e cos t)²]."""
    check(eccentricity)
    gap = 1.0 + eccentricity * math.cos(angle)
    below = (2.0 + eccentricity**2) * gap * gap
    return 6.0 * eccentricity * math.sin(angle) * (1.0 + gap) / below


def centred_friction(sommerfeld: float) -> float:
    """(R/c) f [-] of a centred journal (Petroff): 2 pi² S. Petroff, 1883; the limit of any film as e -> 0."""
    return 2.0 * math.pi**2 * sommerfeld
