"""The short bearing (Ocvirk): closed forms, pressure kept only where the gap narrows (half film).

All dimensionless. e: eccentricity [-], 0 < e < 1. slenderness: L/D [-]. S = (R/c)² mu N/P, N in rev/s,
P = W/(L D) [-]. Attitude [rad]: from the load line to the line of centres, in the direction of rotation.
Film condition: pressure by DuBois & Ocvirk, NACA Report 1157 (1953), from memory; stiffness and damping by
Friswell, Penny, Garvey & Lees, Dynamics of Rotating Machines (2010), section 5.5. Good for a finite bearing
only well below L/D = 1/4, and there to e of about 0.5.
"""

from __future__ import annotations

import math

from whitemetal.errors import InputError, Problem
from whitemetal.film.motion import Coefficients


def check(eccentricity: float, slenderness: float = 0.25) -> None:
    """Raise InputError unless 0 < eccentricity < 1 and slenderness > 0."""
    problems = []
    if not 0.0 < eccentricity < 1.0:
        problems.append(Problem("eccentricity", f"{eccentricity:g}", "a number between 0 and 1"))
    if not (math.isfinite(slenderness) and slenderness > 0.0):
        problems.append(Problem("slenderness", f"{slenderness:g}", "a finite number above 0"))
    if problems:
        raise InputError(*problems)


def sommerfeld(eccentricity: float, slenderness: float) -> float:
    """Sommerfeld number S [-]: S (L/D)² = (1 - e²)²/{pi e sqrt[pi² (1 - e²) + 16 e²]}."""
    check(eccentricity, slenderness)
    e2 = eccentricity**2
    root = math.sqrt(math.pi**2 * (1.0 - e2) + 16.0 * e2)
    return (1.0 - e2) ** 2 / (math.pi * eccentricity * root) / slenderness**2


def attitude(eccentricity: float) -> float:
    """Attitude angle [rad]: tan phi = pi sqrt(1 - e²)/(4 e)."""
    check(eccentricity)
    return math.atan2(math.pi * math.sqrt(1.0 - eccentricity**2), 4.0 * eccentricity)


def friction(eccentricity: float, slenderness: float) -> float:
    """(R/c) f [-] at the journal with full-film shear all round: 2 pi² S/sqrt(1 - e²) + (e/2) sin phi."""
    s = sommerfeld(eccentricity, slenderness)
    shear = 2.0 * math.pi**2 * s / math.sqrt(1.0 - eccentricity**2)
    return shear + 0.5 * eccentricity * math.sin(attitude(eccentricity))


def side_flow(eccentricity: float) -> float:
    """Leakage from both ends over U c L [-]: e; the film takes in (1 + e)/2 and gives back (1 - e)/2."""
    check(eccentricity)
    return eccentricity


def peak(eccentricity: float, slenderness: float) -> float:
    """Highest pressure over P [-]: 6 pi (L/D)² S e sin(t)/(1 + e cos t)³ with
    cos t = [1 - sqrt(1 + 24 e²)]/(4 e)."""
    s = sommerfeld(eccentricity, slenderness)
    cosine = (1.0 - math.sqrt(1.0 + 24.0 * eccentricity**2)) / (4.0 * eccentricity)
    shape = eccentricity * math.sqrt(1.0 - cosine**2) / (1.0 + eccentricity * cosine) ** 3
    return 6.0 * math.pi * slenderness**2 * s * shape


def eccentricity_for(sommerfeld_number: float, slenderness: float) -> float:
    """The eccentricity at which the bearing carries its load, by bisection of the monotone `sommerfeld`.

    Raises InputError when S is not a finite number above zero.
    """
    check(0.5, slenderness)
    if not (math.isfinite(sommerfeld_number) and sommerfeld_number > 0.0):
        raise InputError(Problem("sommerfeld_number", f"{sommerfeld_number:g}", "a finite number above 0"))
    low, high = 0.0, 1.0
    while high - low > 1e-15:
        middle = 0.5 * (low + high)
        if not low < middle < high:
            break
        if sommerfeld(middle, slenderness) > sommerfeld_number:
            low = middle
        else:
            high = middle
    return high if high < 1.0 else low


def coefficients(eccentricity: float) -> Coefficients:
    """Stiffness k c/W and damping b c omega/W [-], x along the load, y 90 degrees on in the rotation.

    Friswell et al. section 5.5, turned: their u is our y and their v is our -x.
    """
    check(eccentricity)
    e, p2 = eccentricity, math.pi**2
    e2, root = e * e, math.sqrt(1.0 - eccentricity**2)
    h0 = (p2 * (1.0 - e2) + 16.0 * e2) ** -1.5
    a_uu = 4.0 * (p2 * (2.0 - e2) + 16.0 * e2)
    a_uv = math.pi * (p2 * (1.0 - e2) ** 2 - 16.0 * e2 * e2) / (e * root)
    a_vu = -math.pi * (p2 * (1.0 - e2) * (1.0 + 2.0 * e2) + 32.0 * e2 * (1.0 + e2)) / (e * root)
    a_vv = 4.0 * (p2 * (1.0 + 2.0 * e2) + 32.0 * e2 * (1.0 + e2) / (1.0 - e2))
    b_uu = 2.0 * math.pi * root * (p2 * (1.0 + 2.0 * e2) - 16.0 * e2) / e
    b_uv = -8.0 * (p2 * (1.0 + 2.0 * e2) - 16.0 * e2)
    b_vv = 2.0 * math.pi * (p2 * (1.0 - e2) ** 2 + 48.0 * e2) / (e * root)
    stiffness = ((h0 * a_vv, -h0 * a_vu), (-h0 * a_uv, h0 * a_uu))
    return Coefficients(stiffness, ((h0 * b_vv, -h0 * b_uv), (-h0 * b_uv, h0 * b_uu)))
