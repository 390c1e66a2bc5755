"""A check begun on a device: under the device's own id, and by people who did not know of each other."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.ledger.writing import ANN, a_desk, a_job
from whitemetal.desk import Desk, Writer
from whitemetal.errors import InputError


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def test_a_check_keeps_the_id_its_device_gave_it(desk: Desk) -> None:
    job, _ = a_job(desk)
    own = "c" * 26
    assert [desk.start_check(job, "wire", "as left", ANN, id=own) for _ in range(2)] == [own, own]
    for wrong, method in (("../x", "wire"), ("C" * 26, "wire"), (own, "crown")):
        with pytest.raises(InputError):
            desk.start_check(job, method, "as left", ANN, id=wrong)
    assert list(desk.job(job).state.checks).count(own) == 1


def test_a_check_begun_as_found_by_one_who_had_not_seen_the_strip_down_is_kept(desk: Desk) -> None:
    """Two devices apart: who had seen it is told that it is too late, who had not is not."""
    job, _ = a_job(desk)
    seen = desk.job(job).state.heads
    desk.strip_down(job, "cap off", ANN)
    knew = Writer("Bo Invented", "b" * 26, seen=desk.job(job).state.heads)
    with pytest.raises(InputError, match="stripped"):
        desk.start_check(job, "wire", "as found", knew, id="k" * 26)
    apart = Writer("Bo Invented", "d" * 26, seen=seen)
    check = desk.start_check(job, "wire", "as found", apart, id="l" * 26)
    assert desk.job(job).state.checks[check].purpose == "as found"
