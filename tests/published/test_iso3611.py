"""Outside micrometers: maximum permissible error by measured length, as in tables of DIN 863 / ISO 3611."""

from __future__ import annotations

import pytest

from whitemetal.card import Bearing, Card, Machine
from whitemetal.gauging.contract import Fact, Reading
from whitemetal.gauging.wire import WIRE
from whitemetal.gauging.wire.influences import micrometer_mpe

from .case import Case

TABLE = "DIN 863-1 / ISO 3611 table, outside micrometers"
SEEN = {(0, 50): "4", (50, 100): "5", (100, 150): "6", (150, 200): "7", (200, 250): "8", (475, 500): "13"}
"""Measured length [mm] and maximum permissible error [µm], seen in a copy of the table. The rows between 250
and 475 mm were not seen; the rule 4 + L/50 [µm, mm] meets every row seen."""

CASES = tuple(
    Case(
        f"micrometer {low} to {high} mm",
        TABLE,
        "seen",
        printed,
        lambda high=high: 1e6 * micrometer_mpe(1e-3 * high),  # type: ignore[misc]
        "µm",
        1e-6,
        "a table value",
    )
    for (low, high), printed in SEEN.items()
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_table(case: Case) -> None:
    case.check()


@pytest.mark.parametrize("low", range(0, 500, 25))
def test_rule_between_the_rows(low: int) -> None:
    """4 + L/50 with L the lower end of its 50 mm row: 4, 5, 6 ... The rule, not the table, covers 250 to 475 mm."""
    middle = 1e-3 * (low + 12.5)
    assert micrometer_mpe(middle) == pytest.approx(1e-6 * (4 + low // 50), abs=1e-12)


def test_a_step_begins_above_the_end_of_its_row() -> None:
    assert micrometer_mpe(0.050) == pytest.approx(4e-6)
    assert micrometer_mpe(0.0500001) == pytest.approx(5e-6)


def budget_line(**facts: str) -> float:
    """The micrometer's standard uncertainty in the budget of one reading [m]."""
    card = Card(Machine("T-1", "test", "fan", 100.0), Bearing("1", 0.16, 0.13))
    typed = {f"instrument.M1.{key}": Fact(text) for key, text in facts.items()}
    typed |= {
        "wire_diameter": Fact("0.5 mm"),
        "joint": Fact("metal to metal"),
        "instrument.M1.anvil": Fact("ball"),
    }
    reading = Reading("DE top", "0.240 mm", 0.24e-3, 1e-6, instrument="M1")
    result = WIRE.evaluate(card, WIRE.default_places(card), typed, (reading,))
    assert result.overall is not None
    lines = [part for influence, part in result.overall.parts.items() if influence.family == "mpe"]
    assert len(lines) == 1
    return lines[0]


def test_a_strip_is_measured_with_the_smallest_micrometer() -> None:
    """4 µm taken as rectangular, JCGM 100:2008 4.3.7: 4 / sqrt(3) µm; a stated error takes its place."""
    assert budget_line() == pytest.approx(4e-6 / 3**0.5, rel=1e-12)
    assert budget_line(mpe="2 µm") == pytest.approx(2e-6 / 3**0.5, rel=1e-12)
