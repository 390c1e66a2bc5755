"""The list by next opening: reckoned when shown, forgotten when anything changes, whole after a rebuild."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.desk.lives import IDA, RENEWED_AT, Years, a_desk, opening
from whitemetal.desk import Desk
from whitemetal.desk import openings as lists
from whitemetal.desk.life import keep_rule
from whitemetal.desk.openings import opening_of, openings
from whitemetal.desk.plant_page import plant_page


@pytest.fixture
def place(tmp_path: Path) -> Iterator[tuple[Desk, Years]]:
    desk, years = a_desk(tmp_path / "record.sqlite3")
    yield desk, years
    desk.close()


def bearing(desk: Desk, tag: str) -> str:
    return desk.keep_card(RENEWED_AT.replace("TM-31-F02", tag), IDA).bearing


def worn(desk: Desk, years: Years, tag: str, found: float) -> str:
    """Left at 0.200 mm in 2026, found two years later."""
    book = bearing(desk, tag)
    years.set("2026-03-02")
    opening(desk, book, f"{tag}-1", None, 0.200)
    years.set("2028-03-02")
    opening(desk, book, f"{tag}-2", found, None)
    return book


def test_the_most_pressing_comes_first_and_what_says_nothing_last(place: tuple[Desk, Years]) -> None:
    desk, years = place
    quiet, slow, fast = bearing(desk, "A"), worn(desk, years, "B", 0.250), worn(desk, years, "C", 0.300)
    shown = openings(desk)
    assert [one.book for one in shown.rows] == [fast, slow, quiet]
    assert shown.rows[0].due < shown.rows[1].due and shown.rows[2].due == ""
    assert (len(shown.rows), shown.not_reckoned, shown.more) == (3, 0, False)
    assert shown.rows[0].due_by == "wear" and "mm in a year" in shown.rows[0].rate


def test_a_write_to_a_job_moves_its_line_and_no_other(place: tuple[Desk, Years]) -> None:
    desk, years = place
    slow, fast = worn(desk, years, "B", 0.250), worn(desk, years, "C", 0.300)
    before = {one.book: one for one in openings(desk).rows}
    years.set("2030-03-02")
    opening(desk, slow, "B-3", 0.390, None)
    stale = lists._stale(desk, 10)
    assert slow in stale
    desk.keep_note(desk.bearing(fast).jobs[0].book, "nothing that wears", IDA)
    after = {one.book: one for one in openings(desk).rows}
    assert after[slow].due != before[slow].due and after[fast] == before[fast]
    assert lists._stale(desk, 10) == []


def test_the_plants_rule_moves_every_line(place: tuple[Desk, Years]) -> None:
    desk, years = place
    slow = worn(desk, years, "B", 0.250)
    assert openings(desk).rows[0].due_by == "wear"
    keep_rule(desk, {"months": "12", "risk": "", "text": "insurer (invented)"}, IDA)
    assert lists._stale(desk, 10) == [slow]
    (one,) = openings(desk).rows
    assert (one.due, one.due_by) == ("2029-03-02", "plant")


def test_a_rebuild_forgets_and_the_list_comes_back_the_same(place: tuple[Desk, Years]) -> None:
    desk, years = place
    for tag, found in (("B", 0.250), ("C", 0.300)):
        worn(desk, years, tag, found)
    before = openings(desk)
    desk.rebuild()
    assert len(lists._stale(desk, 10)) == 2
    assert openings(desk) == before


def test_what_changed_while_it_was_reckoned_stays_to_be_reckoned(
    place: tuple[Desk, Years], monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, years = place
    book = worn(desk, years, "B", 0.250)
    job = desk.bearing(book).jobs[0].book
    reckoned = lists._reckoned

    def and_somebody_writes(desk: Desk, book: str) -> dict[str, str]:
        found = reckoned(desk, book)
        desk.keep_note(job, "meanwhile", IDA)
        return found

    monkeypatch.setattr(lists, "_reckoned", and_somebody_writes)
    assert openings(desk).not_reckoned == 1
    monkeypatch.undo()
    assert openings(desk).not_reckoned == 0


def test_one_line_is_reckoned_by_itself(place: tuple[Desk, Years]) -> None:
    desk, years = place
    slow = worn(desk, years, "B", 0.250)
    worn(desk, years, "C", 0.300)
    assert opening_of(desk, slow).due == next(one.due for one in openings(desk).rows if one.book == slow)


def test_the_plant_turns_its_pages_and_is_searched(place: tuple[Desk, Years]) -> None:
    desk, _ = place
    books = [bearing(desk, f"TM-{number:03d}") for number in range(45)]
    for number in range(7):
        desk.open_job(books[44], f"W_{number}", "", IDA)
    first, last, beyond = plant_page(desk), plant_page(desk, 3), plant_page(desk, 99)
    assert first.more and len(first.machines) == 20 and not last.more and beyond.machines == ()
    assert [one.tag for one in first.machines] == [f"TM-{number:03d}" for number in range(20)]
    assert [one.tag for one in last.machines] == [f"TM-{number:03d}" for number in range(40, 45)]
    (found,) = plant_page(desk, find="tm-044").machines
    assert [job.number for job in found.bearings[0].jobs] == ["W_2", "W_3", "W_4", "W_5", "W_6"]
    assert plant_page(desk, find="tm-044").earlier == {books[44]: 2}
    assert [one.tag for one in plant_page(desk, find="W_3").machines] == ["TM-044"]
    assert plant_page(desk, find="W%3").machines == () and plant_page(desk, find="TM_044").machines == ()
