"""Where the heat goes; flow by feed pressure."""

from __future__ import annotations

import math

import pytest

from whitemetal.errors import InputError
from whitemetal.film.heat import (
    CarriedByOil,
    Convection,
    Held,
    air_coefficient,
    conductance_from,
    hole_flow,
    pocket_flow,
)


def test_convection_by_hand() -> None:
    """100 W through 20 W/(m² K) times 0.5 m²: 10 K."""
    assert Convection(300.0, 0.5, 20.0).effective(100.0, 0.0) == pytest.approx(310.0)


def test_carried_by_oil_by_hand() -> None:
    """1800 W into 1e-4 m³/s at 1.8 MJ/(m³ K): 10 K, of which the film feels half."""
    oil = CarriedByOil(318.0)
    assert oil.hottest(1800.0, 1e-4) == pytest.approx(328.0)
    assert oil.effective(1800.0, 1e-4) == pytest.approx(323.0)


def test_no_flow_carries_nothing() -> None:
    assert CarriedByOil(318.0).hottest(1.0, 0.0) == math.inf


def test_held() -> None:
    assert Held(330.0).effective(1e9, 0.0) == Held(330.0).hottest(1e9, 0.0) == 330.0


def test_moving_air() -> None:
    """7 + 12 sqrt(4) = 31 W/(m² K); still air below 1.2 m/s."""
    assert air_coefficient(4.0) == pytest.approx(31.0)
    assert air_coefficient(1.2) == 20.0
    with pytest.raises(InputError, match="air_speed"):
        air_coefficient(-1.0)


def test_conductance_comes_back() -> None:
    """A housing that is known to run at 341 K with 800 W at 298 K in the air."""
    conductance = conductance_from(341.0, 298.0, 800.0)
    assert Convection(298.0, 1.0, conductance).effective(800.0, 0.0) == pytest.approx(341.0)
    with pytest.raises(InputError, match="hot_temperature"):
        conductance_from(298.0, 298.0, 800.0)


@pytest.mark.parametrize("flow", [hole_flow, pocket_flow])
def test_feed_flow_scales_as_a_slit_does(flow: object) -> None:
    """Poiseuille: with the pressure, one over the viscosity, the cube of the gap."""

    def q(psi: float = 1e-3, p: float = 1e5, mu: float = 0.03, e: float = 0.0, x: float = 0.1) -> float:
        last = {"hole" if flow is hole_flow else "pocket": x * 0.1}
        return float(flow(0.1, psi, p, mu, e, length=0.1, **last))  # type: ignore[operator]

    assert q(p=2e5) == pytest.approx(2 * q(), rel=1e-12)
    assert q(mu=0.06) == pytest.approx(q() / 2, rel=1e-12)
    assert q(psi=2e-3) == pytest.approx(8 * q(), rel=1e-12)
    assert q(e=1.0) == pytest.approx(8 * q(), rel=1e-12)
    assert q(x=0.3) > q(x=0.1) > 0.0


@pytest.mark.parametrize("hole", [0.0, 0.1, 0.2, -0.01])
def test_a_hole_longer_than_the_land(hole: float) -> None:
    with pytest.raises(InputError, match=r"feed\.hole"):
        hole_flow(0.1, 1e-3, 1e5, 0.03, 0.5, length=0.1, hole=hole)


def test_every_fault_at_once() -> None:
    with pytest.raises(InputError) as caught:
        Convection(-1.0, 0.0, math.nan)
    assert [p.field for p in caught.value.problems] == [
        "cooling.ambient",
        "cooling.area",
        "cooling.coefficient",
    ]
