"""The viscosity index of an oil, ASTM D2270 procedures A and B.

L and H, the viscosities at 40 degC of two reference oils with the index 0 and 100 and the same viscosity
Y at 100 degC, are quadratics in Y by ranges. All viscosities in mm²/s.
"""

from __future__ import annotations

import math

from whitemetal.errors import InputError, NotConverged, Problem

QUADRATICS = (
    (2.0, 3.8, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (3.8, 4.4, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (4.4, 5.0, 2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (5.0, 6.4, 0.101, 16.635, -45.469, 0.04985, 9.1613, -18.557),
    (6.4, 7.0, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.0, 7.7, 0.01191, 21.475, -72.87, 0.79762, -0.7321, 14.61),
    (7.7, 9.0, 0.41858, 16.1558, -56.04, 0.05794, 10.5156, -28.24),
    (9.0, 12.0, 0.88779, 7.5527, -16.6, 0.26665, 6.7015, -10.81),
    (12.0, 15.0, 0.7672, 10.7972, -38.18, 0.20073, 8.4658, -22.49),
    (15.0, 18.0, 0.97305, 5.3135, -2.2, 0.28889, 5.9741, -4.93),
    (18.0, 22.0, 0.97256, 5.25, -0.98, 0.24504, 7.416, -16.73),
    (22.0, 28.0, 0.91413, 7.4759, -21.82, 0.20323, 9.1267, -34.23),
    (28.0, 40.0, 0.87031, 9.7157, -50.77, 0.18411, 10.1015, -46.75),
    (40.0, 55.0, 0.84703, 12.6752, -133.31, 0.17029, 11.4866, -80.62),
    (55.0, 70.0, 0.85921, 11.1009, -83.19, 0.1713, 11.368, -76.94),
    (70.0, math.inf, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)
"""From Y, to Y, then L = a Y² + b Y + c and H = d Y² + e Y + f. ASTM D2270, from memory."""

LARGEST_INDEX = 400.0
"""Beyond this the index says nothing more; used as a bound of the search. Our own."""


def reference_viscosities(at_100: float) -> tuple[float, float]:
    """L and H [mm²/s] for a viscosity at 100 degC [mm²/s].

    Raises InputError below 2 mm²/s, where the standard has no reference oils.
    """
    if not (math.isfinite(at_100) and at_100 >= QUADRATICS[0][0]):
        raise InputError(Problem("oil.viscosity_100", f"{at_100:g} mm2/s", "2 mm2/s or more (ASTM D2270)"))
    a, b, c, d, e, f = next(row[2:] for row in QUADRATICS if at_100 < row[1])
    return (a * at_100 + b) * at_100 + c, (d * at_100 + e) * at_100 + f


def viscosity_index(at_40: float, at_100: float) -> float:
    """Viscosity index from the viscosities [mm²/s] at 40 and 100 degC, not rounded. ASTM D2270.

    Procedure A, 100 (L - U)/(L - H), up to 100; procedure B, 100 + (10^N - 1)/0.00715 with
    N = log10(H/U)/log10(Y), above. Raises InputError below 2 mm²/s at 100 degC or when hot is not thinner.
    """
    low, high = reference_viscosities(at_100)
    if not at_40 > at_100:
        raise InputError(Problem("oil.viscosity_40", f"{at_40:g} mm2/s", "more than at 100 °C"))
    if at_40 >= high:
        return 100.0 * (low - at_40) / (low - high)
    return 100.0 + (math.pow(10.0, math.log10(high / at_40) / math.log10(at_100)) - 1.0) / 0.00715


def viscosity_at_100(at_40: float, index: float) -> float:
    """The viscosity [mm²/s] at 100 degC of an oil with this one at 40 degC and this index, by bisection.

    Raises InputError when no oil of 2 mm²/s or more at 100 degC has it.
    """
    if not (math.isfinite(index) and 0.0 <= index <= LARGEST_INDEX):
        raise InputError(
            Problem("oil.viscosity_index", f"{index:g}", f"a number from 0 to {LARGEST_INDEX:.0f}")
        )
    low, high = QUADRATICS[0][0], at_40
    if not at_40 > low or viscosity_index(at_40, low) > index:
        raise InputError(
            Problem("oil.viscosity_40", f"{at_40:g} mm2/s", "an oil of at least 2 mm2/s at 100 °C")
        )
    for _ in range(200):
        middle = 0.5 * (low + high)
        if viscosity_index(at_40, middle) < index:
            low = middle
        else:
            high = middle
        if high - low <= 1e-12 * high:
            return 0.5 * (low + high)
    raise NotConverged("viscosity at 100 °C", high - low, 200)
