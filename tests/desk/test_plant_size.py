"""What a page asks of the database does not grow with the plant: counted in the steps of SQLite's own
machine, which are the same on every computer."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from tests.desk.lives import IDA, RENEWED_AT, a_desk, opening
from whitemetal.desk import Desk
from whitemetal.desk import openings as lists
from whitemetal.desk import plant_page as pages
from whitemetal.desk.life import life_of

SMALL, LARGE, A_PAGE = 4, 80, 3


class Steps:
    """Counts tens of steps of every connection of a desk's database."""

    def __init__(self, desk: Desk) -> None:
        self.tens = 0
        event.listen(desk._ledger.engine, "checkout", self._listen)

    def _listen(self, driver: Any, *_: object) -> None:
        driver.set_progress_handler(self._tick, 10)

    def _tick(self) -> int:
        self.tens += 1
        return 0

    def of(self, work: Callable[[], object]) -> int:
        work()
        before = self.tens
        work()
        return self.tens - before


def plant(where: Path, bearings: int) -> tuple[Desk, str, str]:
    """A plant whose first bearing was opened twice; the others have a job each. All are reckoned."""
    desk, years = a_desk(where)
    books = [
        desk.keep_card(RENEWED_AT.replace("TM-31-F02", f"TM-{number:03d}"), IDA).bearing
        for number in range(bearings)
    ]
    for book in books[1:]:
        desk.open_job(book, "W-9", "a round", IDA)
    opening(desk, books[0], "W-1", None, 0.200)
    years.set("2028-03-02")
    job = opening(desk, books[0], "W-2", 0.240, None)
    while lists.openings(desk).not_reckoned:
        pass
    return desk, books[0], job


@pytest.mark.sqlite_only
def test_lists_a_life_and_a_job_ask_no_more_of_a_larger_plant(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lists, "PER_PAGE", A_PAGE)
    monkeypatch.setattr(pages, "PER_PAGE", A_PAGE)
    found: list[dict[str, int]] = []
    for bearings in (SMALL, LARGE):
        desk, bearing, job = plant(tmp_path / f"{bearings}.sqlite3", bearings)
        steps = Steps(desk)
        asked: dict[str, Callable[[], object]] = {
            "the plant's page": partial(pages.plant_page, desk),
            "by next opening": partial(lists.openings, desk),
            "a life": partial(life_of, desk, bearing),
            "a job": partial(desk.job, job),
            "a write": partial(desk.keep_note, job, "seen", IDA),
        }
        found.append({name: steps.of(work) for name, work in asked.items()})
        desk.close()
    small, large = found
    grown = {name: large[name] / max(1, small[name]) for name in small}
    assert {name: ratio for name, ratio in grown.items() if ratio >= 1.5} == {}, (small, large)
    assert all(count > 0 for count in small.values()), "something was counted"


@pytest.mark.sqlite_only
def test_the_whole_plant_would_have_been_noticed(tmp_path: Path) -> None:
    """The same count of the verb that reads the whole plant: it grows with it."""
    counts = []
    for bearings in (SMALL, LARGE):
        desk, _, _ = plant(tmp_path / f"{bearings}.sqlite3", bearings)
        counts.append(Steps(desk).of(desk.plant))
        desk.close()
    assert counts[1] > 5 * counts[0]
