"""Viscosity of oils against ASTM D341, ASTM D2270 (with the package `chemicals` as a second witness)."""

from __future__ import annotations

from functools import partial

import chemicals
import numpy as np
import pytest

from tests.published.case import Case
from whitemetal.film.oil import ICE, OilLaw, from_two
from whitemetal.film.viscosity_index import reference_viscosities, viscosity_at_100, viscosity_index

D341 = "ASTM D341, log log (v + 0.7) = A - B log T, T = degC + 273.15"
D2270 = "ASTM D2270, printed example"


def oil(at_40: float, at_100: float) -> OilLaw:
    return from_two((ICE + 40.0, at_40 * 1e-6), (ICE + 100.0, at_100 * 1e-6))


def cst(at_40: float, at_100: float, celsius: float) -> float:
    return oil(at_40, at_100).kinematic(ICE + celsius) * 1e6


CASES = (
    Case("A of 32/5.4 mm²/s", D341, "derived", "9.53082", lambda: oil(32, 5.4).a),
    Case("B of 32/5.4 mm²/s", D341, "derived", "3.74658", lambda: oil(32, 5.4).b),
    Case("v(80 °C) of 32/5.4", D341, "derived", "8.533", lambda: cst(32, 5.4, 80), "mm²/s"),
    *(
        Case(f"v({t} °C) of 46/6.8", D341, "derived", text, partial(cst, 46, 6.8, t), "mm²/s")
        for t, text in ((50, "29.973"), (60, "20.623"), (70, "14.847"), (80, "11.103"))
    ),
    *(
        Case(f"v({t} °C) of 68/8.7", D341, "derived", text, partial(cst, 68, 8.7, t), "mm²/s")
        for t, text in ((50, "42.867"), (60, "28.659"), (70, "20.123"), (80, "14.723"))
    ),
    Case(
        "v(80 °C), worksheet", "published D341 worksheet for 32/5.4 mm²/s", "seen", "8.5", lambda: cst(32, 5.4, 80),
        "mm²/s",
    ),
    Case("VI of 73.30/8.86", D2270, "seen", "92", lambda: viscosity_index(73.30, 8.86)),
    Case("VI of 22.83/5.05", D2270, "from memory", "156", lambda: viscosity_index(22.83, 5.05)),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_published(case: Case) -> None:
    case.check()


def test_index_against_chemicals() -> None:
    """The whole number the standard asks for is the same to 0.25 from index 0 to 250."""
    for at_100 in np.geomspace(2.01, 150.0, 400):
        low, high = reference_viscosities(float(at_100))
        for at_40 in (low, 0.5 * (low + high), 1.001 * high, 0.9 * high, 0.7 * high):
            ours = viscosity_index(at_40, float(at_100))
            if at_40 > 1.3 * at_100 and ours < 250.0:
                theirs = chemicals.viscosity_index(at_40 * 1e-6, at_100 * 1e-6)
                assert ours == pytest.approx(theirs, abs=0.25)


@pytest.mark.parametrize("index", [0.0, 60.0, 97.0, 100.0, 130.0, 200.0])
@pytest.mark.parametrize("at_40", [22.0, 46.0, 150.0, 680.0])
def test_viscosity_at_100_against_chemicals(at_40: float, index: float) -> None:
    at_100 = viscosity_at_100(at_40, index)
    assert chemicals.viscosity_index(at_40 * 1e-6, at_100 * 1e-6) == pytest.approx(index, abs=0.25)
