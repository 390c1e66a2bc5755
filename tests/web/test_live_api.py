"""Others' writes are noticed at once, and entries come a page at a time, none missed and none twice."""

from __future__ import annotations

import threading
import time
from pathlib import Path

import pytest

from tests.records import place_of
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import Job
from whitemetal.desk import Desk, Writer


def ask(client: TestClient, job: Job, seen: str, wait: int = 0) -> dict[str, object]:
    answer = client.get(f"/api/1/books/{job.job}/changed", params={"seen": seen, "wait": str(wait)})
    assert answer.status_code == 200
    told: dict[str, object] = answer.json()
    return told


def test_a_book_that_changed_says_so_at_once(desk: Desk, client: TestClient, job: Job) -> None:
    seen = desk.job(job.job).state.digest
    assert client.get(f"/api/1/jobs/{job.job}").json()["digest"] == seen
    assert ask(client, job, seen) == {"book": job.job, "digest": seen, "changed": False}
    desk.keep_note(job.job, "oil dark", BENCH_HAND)
    now = desk.job(job.job).state.digest
    assert ask(client, job, seen, 20) == {"book": job.job, "digest": now, "changed": True}


def test_who_waits_is_told_when_another_process_writes(
    desk: Desk, client: TestClient, job: Job, tmp_path: Path, kept_in: str
) -> None:
    """Another desk on the same record is what another process is. A write in another book wakes nobody."""
    other = Desk.open(place_of(tmp_path / "plant.db"))
    beside = other.open_job(job.bearing, "4712", "another", BENCH_HAND)
    seen = desk.job(job.job).state.digest
    ask(client, job, seen)
    if kept_in == "postgres":
        assert desk._ledger.watch.listening.wait(60)
    wrote: list[float] = []

    def write() -> None:
        time.sleep(0.3)
        other.keep_note(beside, "not here", BENCH_HAND)
        time.sleep(0.3)
        wrote.append(time.monotonic())
        other.keep_note(job.job, "oil dark", BENCH_HAND)

    hand = threading.Thread(target=write)
    hand.start()
    told = ask(client, job, seen, 20)
    late = time.monotonic() - wrote[0] if wrote else -1.0
    hand.join()
    other.close()
    assert told["changed"] is True
    assert 0 <= late < 5


def test_nobody_waits_for_ever(desk: Desk, client: TestClient, job: Job) -> None:
    began = time.monotonic()
    assert ask(client, job, desk.job(job.job).state.digest, 1)["changed"] is False
    assert time.monotonic() - began >= 1
    for wrong in ("x", "-1", "9999"):
        assert client.get(f"/api/1/books/{job.job}/changed", params={"wait": wrong}).status_code == 422


def test_entries_come_a_page_at_a_time_while_others_write(
    desk: Desk, client: TestClient, job: Job, tmp_path: Path
) -> None:
    for number in range(20):
        desk.keep_note(job.job, f"before {number}", BENCH_HAND)
    other = Desk.open(place_of(tmp_path / "plant.db"))
    got: list[str] = []
    after, pages = "0", 0
    while after:
        answer = client.get(f"/api/1/books/{job.job}/entries", params={"after": after, "most": "5"})
        got += [one["id"] for one in answer.json()]
        after, pages = answer.headers.get("next-after", ""), pages + 1
        for number in range(3 if pages <= 8 else 0):
            other.keep_note(job.job, f"meanwhile {number}", Writer("Bo Invented", "b" * 26))
    whole = client.get(f"/api/1/books/{job.job}/entries").json()
    other.close()
    assert "next-after" not in client.get(f"/api/1/books/{job.job}/entries").headers
    assert got == [one["id"] for one in whole]
    assert len(got) == len(set(got)) == 3 + 20 + 24


@pytest.mark.parametrize("query", ["after=x", "most=x", "after=-1", "most=-5", "after=" + "9" * 40])
def test_a_page_that_cannot_be_is_refused(client: TestClient, job: Job, query: str) -> None:
    assert client.get(f"/api/1/books/{job.job}/entries?{query}").status_code == 422


def test_no_more_than_a_thousand_come_at_once(client: TestClient, job: Job) -> None:
    assert client.get(f"/api/1/books/{job.job}/entries?most=999999").status_code == 200
    assert client.get(f"/api/1/books/{job.job}/entries?most=0").json()[0]["kind"] == "opened/1"
