"""Many phones at once lose and double nothing, on either database, from several processes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.ledger.many_writers import run
from tests.records import place_of


def whole(seen: dict[str, object]) -> None:
    assert {key: seen[key] for key in ("lost", "doubled", "unasked", "refused", "faults")} == {
        "lost": 0, "doubled": 0, "unasked": 0, "refused": 0, "faults": 0
    }, seen  # fmt: skip


def test_40_phones_in_two_processes_lose_and_double_nothing(tmp_path: Path) -> None:
    seen = run(place_of(tmp_path / "plant.sqlite3"), 40, 3, 0.5, 2)
    whole(seen)
    assert isinstance(seen["acknowledged"], int) and seen["acknowledged"] > 40
    assert isinstance(seen["sent_again"], int) and seen["sent_again"] > 0


@pytest.mark.soak
def test_200_phones_for_a_minute_lose_and_double_nothing(tmp_path: Path) -> None:
    """A reading every five seconds each: as fast as a person at a bench can write. The figures are printed;
    that the slowest hundredth stays under ten idle medians is for a machine that does nothing else."""
    seen = run(place_of(tmp_path / "plant.sqlite3"), 200, 60, 5.0, 2)
    print(seen)
    whole(seen)
    assert isinstance(seen["acknowledged"], int) and seen["acknowledged"] > 200 * 6
