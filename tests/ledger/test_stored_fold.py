"""Stored accounts may be thrown away at any time, are never believed blindly, and equal the full fold."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from time import process_time
from typing import Any

import pytest
from sqlalchemy import Connection

from tests.ledger.writing import ANN, BO, CARD, Device, a_desk, a_job
from tests.records import Raw
from whitemetal.desk import Desk, Writer
from whitemetal.job.account import FOLD_VERSION
from whitemetal.job.entry import canonical
from whitemetal.job.picture import fold
from whitemetal.ledger import stored_fold
from whitemetal.ledger.ledger import Arrived, arrived
from whitemetal.ledger.tables import ENTRY, HEAD


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "record.sqlite3"


@pytest.fixture
def desk(path: Path) -> Iterator[Desk]:
    opened = a_desk(path)
    yield opened
    opened.close()


def fill(desk: Desk, job: str, check: str, count: int) -> None:
    """Many entries at once: readings struck again and again, facts written over, notes."""
    filler = Device("filler", job)
    for number in range(count):
        match number % 4:
            case 0:
                last = filler.read("OE top", "0.214 mm", check=check, repeat="yes")
            case 1:
                filler.strike(last)
            case 2:
                filler.fact("torque", f"{number % 300} N m", check=check)
            case _:
                filler.write("note/1", {"text": "oil dark"})
    rows = [
        {"book": job, "device": "filler", "id": e.id, "kind": e.kind, "seq": e.seq, "digest": e.digest,
         "content": canonical(e).decode()}
        for e in filler.chain
    ]  # fmt: skip
    with desk._ledger.writing() as pen:
        first = pen.connection.exec_driver_sql("SELECT max(receipt) FROM entry").scalar_one() + 1
        pen.connection.execute(ENTRY.insert(), [{"receipt": first + i, **row} for i, row in enumerate(rows)])
        head = {key: rows[-1][key] for key in ("book", "device", "seq", "digest")}
        pen.connection.execute(HEAD.insert(), head)
    desk.rebuild()


def stored(path: Path) -> list[tuple[Any, ...]]:
    raw = Raw(path)
    rows = raw.rows("SELECT receipt, entries, version FROM stored_fold")
    raw.close()
    return rows


def read(desk: Desk, job: str, check: str, number: int = 0) -> None:
    kept = desk.keep_reading(job, check, "DE top", f"0.{200 + number} mm", ANN, repeat=True)
    assert kept.problem is None


def test_an_account_is_written_down_now_and_then_and_taken_up_again(path: Path, desk: Desk) -> None:
    job, check = a_job(desk)
    read(desk, job, check)
    assert stored(path) == []
    fill(desk, job, check, 200)
    read(desk, job, check, 1)
    ((_, entries, version),) = stored(path)
    assert (entries, version) == (204, FOLD_VERSION)
    read(desk, job, check, 2)
    assert stored(path)[0][1] == 204
    again = a_desk(path)
    assert again.job(job).state == fold(desk.entries(job)) == desk.job(job).state
    again.close()


def test_the_stored_account_is_used(path: Path, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not all entries are read again: with the account, only those that arrived since."""
    job, check = a_job(desk)
    fill(desk, job, check, 200)
    read(desk, job, check)
    seen: list[int] = []

    def watched(connection: Connection, book: str, after: int) -> Iterator[Arrived]:
        seen.append(after)
        return arrived(connection, book, after)

    monkeypatch.setattr(stored_fold, "arrived", watched)
    again = a_desk(path)
    again.job(job)
    again.close()
    assert seen == [stored(path)[0][0]]
    assert seen[0] > 200


def test_jobs_in_use_are_not_folded_anew_until_too_much_is_in_memory(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forty jobs, as of two hundred phones at five a job, by turns; then with room for the entries of ten."""
    card = desk.keep_card(CARD, ANN).bearing
    jobs = [desk.open_job(card, f"J-{number}", "opening", ANN) for number in range(40)]
    taken_up: list[str] = []

    states = {job: desk.job(job).state for job in jobs}
    with monkeypatch.context() as changed:
        changed.setattr(stored_fold, "_taken_up", watching(taken_up))
        assert {job: desk.job(job).state for job in jobs} == states
        assert taken_up == []
        changed.setattr(stored_fold, "OPEN_ENTRIES", 10 * 2)
        desk._pictures.forget()
        for job in (*jobs, *jobs[-10:]):
            assert desk.job(job).state == states[job]
        assert taken_up == jobs


def watching(taken_up: list[str]) -> Callable[[Connection, str], Any]:
    """`stored_fold._taken_up`, noting whose account it takes up."""
    real = stored_fold._taken_up

    def watched(connection: Connection, book: str) -> Any:
        taken_up.append(book)
        return real(connection, book)

    return watched


@pytest.mark.parametrize(
    "harm",
    [
        "DELETE FROM stored_fold",
        "UPDATE stored_fold SET account = '{}'",
        "UPDATE stored_fold SET account = 'nonsense'",
        "UPDATE stored_fold SET account = replace(account, '0.214', '0.999'), heads = 'x'",
        "UPDATE stored_fold SET version = version + 1, account = replace(account, '0.214', '0.999')",
        "UPDATE stored_fold SET entries = entries - 1",
        "UPDATE stored_fold SET receipt = receipt - 3",
        "DELETE FROM sight",
        "DELETE FROM listed_job; DELETE FROM sight",
    ],
)
def test_what_is_derived_may_be_thrown_away_or_spoiled(path: Path, desk: Desk, harm: str) -> None:
    job, check = a_job(desk)
    fill(desk, job, check, 100)
    read(desk, job, check)
    before, plant = desk.job(job).state, desk.plant()
    desk.close()
    raw = Raw(path)
    for statement in harm.split(";"):
        raw.execute(statement)
    raw.close()
    again = a_desk(path)
    assert again.job(job).state == before
    assert again.plant() == plant
    again.rebuild()
    assert again.job(job).state == before
    assert again.plant() == plant
    again.close()


def test_a_stored_account_that_counts_an_entry_no_longer_there_is_not_used(path: Path, desk: Desk) -> None:
    job, check = a_job(desk)
    fill(desk, job, check, 100)
    read(desk, job, check)
    before = desk.job(job).state
    desk.close()
    raw = Raw(path)
    raw.unlock()
    raw.execute("DELETE FROM entry WHERE id = 'filler-4'")
    raw.close()
    again = a_desk(path)
    assert again.job(job).state.entries == before.entries - 1
    assert len(again.job(job).state.notes) == len(before.notes) - 1
    again.close()


def test_two_desks_on_one_record_see_each_others_entries(path: Path, desk: Desk) -> None:
    job, check = a_job(desk)
    other = a_desk(path)
    other._ids = desk._ids
    for number in range(5):
        read(desk, job, check, number)
        assert other.job(job).state.entries == desk.job(job).state.entries
        other.keep_note(job, "from the office", BO)
        assert other.job(job).state == desk.job(job).state
    other.close()


def test_threads_share_a_desk(path: Path, desk: Desk) -> None:
    job, check = a_job(desk)
    shared = Desk.open(str(path))
    failures: list[BaseException] = []

    def write(number: int) -> None:
        try:
            writer = Writer("Ann", f"phone-{number}")
            for turn in range(10):
                shared.keep_reading(job, check, "DE top", f"0.{200 + turn} mm", writer, repeat=True)
                shared.job(job)
        except BaseException as error:
            failures.append(error)

    threads = [threading.Thread(target=write, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert len(shared.job(job).state.checks[check].readings) == 60
    assert shared.job(job).state == fold(shared.entries(job))
    assert shared.verify() == ()
    shared.close()


def best(act: Callable[[], object], times: int = 9) -> float:
    """The shortest of several runs [s], of the processor's time: what others do beside it does not count."""
    taken = []
    for _ in range(times):
        start = process_time()
        act()
        taken.append(process_time() - start)
    return min(taken)


def test_saving_one_reading_does_not_wait_for_all_the_others(desk: Desk) -> None:
    """Ratios in one run. The bounds are wide, so that a busy machine does not turn them red; the bench
    states what was measured."""
    small, its_check = a_job(desk)
    big = desk.open_job(desk.plant()[0].bearings[0].book, "J-2", "long", ANN)
    check = desk.start_check(big, "wire", "as left", ANN)
    fill(desk, big, check, 10_000)
    for job, of in ((small, its_check), (big, check)):
        read(desk, job, of)
        desk.job(job)

    def save(job: str, of: str) -> None:
        read(desk, job, of)
        desk.job(job)

    few, many = best(lambda: save(small, its_check)), best(lambda: save(big, check))
    assert desk.job(big).state.entries > 10_000
    assert many < 6 * few


def test_lists_do_not_grow_with_the_plants_entries(tmp_path: Path) -> None:
    """The same job in a plant whose other job holds 10 or 10,000 entries."""
    taken = [in_a_plant_of(size, tmp_path / f"{size}.sqlite3") for size in (10, 10_000)]
    assert taken[1] < 2 * taken[0]


def in_a_plant_of(size: int, path: Path) -> float:
    """Seconds to list the plant and show one job beside another of this size."""
    desk = a_desk(path)
    job, check = a_job(desk)
    fill(desk, job, check, size)
    bearing = desk.keep_card(CARD.replace("TM-31-F02", "TM-31-F03"), ANN).bearing
    mine = desk.open_job(bearing, "J-3", "mine", ANN)
    desk.plant()
    seconds = best(lambda: (desk.plant(), desk.job(mine), desk.bearing(bearing)))
    desk.close()
    return seconds
