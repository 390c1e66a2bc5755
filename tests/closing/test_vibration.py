"""Every cell of the zone tables, typed here a second time (ISO 20816-3 / 10816-3 and 10816-7, from memory)."""

from __future__ import annotations

import math

import pytest

from whitemetal.closing.vibration import HOUSING, boundaries, shaft_boundaries, shaft_zone
from whitemetal.errors import InputError

PRINTED = {
    "group 1, rigid support": (2.3, 4.5, 7.1),
    "group 1, flexible support": (3.5, 7.1, 11.0),
    "group 2, rigid support": (1.4, 2.8, 4.5),
    "group 2, flexible support": (2.3, 4.5, 7.1),
    "pump category I, to 200 kW": (2.5, 4.0, 6.6),
    "pump category I, above 200 kW": (3.5, 5.0, 7.6),
    "pump category II, to 200 kW": (3.2, 5.1, 8.5),
    "pump category II, above 200 kW": (4.2, 6.1, 9.5),
}


def test_the_rows_are_those_printed() -> None:
    assert list(HOUSING) == list(PRINTED)


@pytest.mark.parametrize("name", PRINTED)
@pytest.mark.parametrize("which", [0, 1, 2])
def test_each_boundary(name: str, which: int) -> None:
    limit = PRINTED[name][which] * 1e-3
    row = boundaries(name)
    assert row.zone(limit) == "ABC"[which]
    assert row.zone(limit * 1.001) == "BCD"[which]
    assert "memory" in row.source


@pytest.mark.parametrize(
    ("rpm", "printed"), [(1800, (113, 212, 311)), (3600, (80, 150, 220))], ids=["1800", "3600"]
)
def test_shaft_vibration_as_printed(rpm: int, printed: tuple[int, int, int]) -> None:
    found = shaft_boundaries(rpm * 2.0 * math.pi / 60.0)
    assert [round(each * 1e6) for each in found] == list(printed)


def test_the_clearance_caps_the_shaft() -> None:
    """At 1800 rev/min and 0.2 mm: 80, 120 and 140 micrometres instead of 113, 212 and 311."""
    speed = 1800 * 2.0 * math.pi / 60.0
    assert shaft_boundaries(speed, 0.2e-3) == pytest.approx((80e-6, 120e-6, 140e-6))
    assert shaft_zone(100e-6, speed) == "A"
    assert shaft_zone(100e-6, speed, 0.2e-3) == "B"


def test_what_is_wrong_is_refused() -> None:
    with pytest.raises(InputError, match="group 1"):
        boundaries("group 3")
    with pytest.raises(InputError):
        shaft_boundaries(0.0)
    with pytest.raises(InputError):
        HOUSING["group 1, rigid support"].zone(float("nan"))
