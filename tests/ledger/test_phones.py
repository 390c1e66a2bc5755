"""Many phones at their benches over HTTP: nothing answered as kept is lost, nothing is doubled."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.ledger import phones
from tests.records import place_of


def whole(seen: dict[str, object]) -> None:
    assert {key: seen[key] for key in ("lost", "doubled", "unasked", "odd", "faults")} == {
        "lost": 0, "doubled": 0, "unasked": 0, "odd": [], "faults": 0
    }, seen  # fmt: skip


def test_30_phones_at_one_server_lose_and_double_nothing(tmp_path: Path) -> None:
    seen = phones.run(place_of(tmp_path / "plant.sqlite3"), 30, 2, 0.5, 1)
    whole(seen)
    assert isinstance(seen["kept"], int) and seen["kept"] > 60
    assert isinstance(seen["sent_again"], int) and seen["sent_again"] > 0


@pytest.mark.soak
def test_200_phones_for_a_minute_at_their_benches(tmp_path: Path, kept_in: str) -> None:
    """A reading every ten seconds each, as fast as a person measures a wire. One server on a file, two on a
    database. The figures are printed; that the slowest hundredth stays under ten idle medians is for a
    machine that does nothing else, and this one runs the phones too."""
    seen = phones.run(place_of(tmp_path / "plant.sqlite3"), 200, 60, 10.0, 2 if kept_in == "postgres" else 1)
    print(seen)
    whole(seen)
    assert isinstance(seen["kept"], int) and seen["kept"] > 200 * 5
