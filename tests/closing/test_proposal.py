"""A torque proposed from what was typed; expected values are hand arithmetic."""

from __future__ import annotations

import pytest

from whitemetal.closing.proposal import proposed
from whitemetal.errors import InputError

ASKED = {
    "size": "M24", "grade": "8.8", "lubricant": "oiled", "housing": "cast steel", "engagement": "40 mm",
}  # fmt: skip


@pytest.mark.parametrize("share", ["75 %", "75", "0.75 -", ""])
def test_three_quarters_of_the_proof_load_however_they_are_typed(share: str) -> None:
    """M24: stress area pi/4 (24 - 0.9382 * 3)² = 352.5 mm², 600 N/mm² of 8.8 above M16 (ISO 898-1, from memory):
    0.75 * 211.5 kN = 158.6 kN; times the middle nut factor 0.165 of oiled threads and 24 mm: 628 N m."""
    made = proposed({**ASKED, "share": share})
    assert made.share == pytest.approx(0.75)
    assert made.torque.torque == pytest.approx(628.1, rel=2e-3)


def test_a_share_that_may_be_a_hundred_times_as_much_is_asked() -> None:
    with pytest.raises(InputError) as asked:
        proposed({**ASKED, "share": "0.75"})
    (problem,) = asked.value.problems
    assert problem.typed == "0.75" and '"0.75 %"' in problem.expected
