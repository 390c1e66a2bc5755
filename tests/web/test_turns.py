"""What benches send is taken in in turn: first come first served, none lost, none waiting for ever."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable
from typing import Any

import httpx
import pytest

from tests.web.plant import Job
from whitemetal.desk import Desk
from whitemetal.errors import CannotWrite
from whitemetal.web import turns
from whitemetal.web.app import make_app
from whitemetal.web.turns import AT_ONCE, Turns

SENT = 12


class Counted:
    """Runs something and keeps in which order it was begun, and the most that ran at once."""

    def __init__(self, run: Callable[..., Any]) -> None:
        self.run = run
        self.order: list[Any] = []
        self.most = 0
        self._now = 0
        self._lock = threading.Lock()

    def __call__(self, *given: Any, **named: Any) -> Any:
        with self._lock:
            self.order.append(given)
            self._now += 1
            self.most = max(self.most, self._now)
        try:
            return self.run(*given, **named)
        finally:
            with self._lock:
                self._now -= 1


def test_whoever_came_first_is_served_first_and_no_more_at_once_than_are_meant_to_be() -> None:
    counted = Counted(lambda number: time.sleep(0.005))

    async def all_of_them() -> None:
        queue = Turns()
        await asyncio.gather(*(queue.take(counted, number) for number in range(SENT)))

    asyncio.run(all_of_them())
    assert sorted(counted.order) == [(number,) for number in range(SENT)]
    assert counted.most == AT_ONCE
    if AT_ONCE == 1:
        assert counted.order == [(number,) for number in range(SENT)]


def test_a_turn_that_fails_is_over() -> None:
    def fails() -> None:
        raise ValueError("no")

    async def then_another() -> str:
        queue = Turns()
        for _ in range(AT_ONCE + 1):
            with pytest.raises(ValueError, match="no"):
                await queue.take(fails)
        return await queue.take(lambda: "its turn")

    assert asyncio.run(then_another()) == "its turn"


def test_whose_turn_does_not_come_is_told_so_and_nothing_of_it_was_begun(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(turns, "PATIENCE", 0.05)
    held, counted = threading.Event(), Counted(lambda: None)

    async def all_of_them() -> None:
        queue = Turns()
        first = [asyncio.ensure_future(queue.take(held.wait, 10)) for _ in range(AT_ONCE)]
        await asyncio.sleep(0)
        with pytest.raises(CannotWrite, match=r"nothing was saved\. Try again"):
            await queue.take(counted)
        assert counted.order == []
        held.set()
        assert all(await asyncio.gather(*first))
        await queue.take(counted)

    asyncio.run(all_of_them())
    assert counted.order == [()]


def readings(job: Job, number: int) -> dict[str, Any]:
    return {
        "id": f"{'abcdefghijklmnop'[number]}" * 26, "place": "DE top", "text": f"0.2{number:02d}", "unit": "mm",
        "squeeze": number + 1, "instrument": "", "seen": "",
    }  # fmt: skip


async def sent_at_once(desk: Desk, job: Job) -> list[httpx.Response]:
    """Readings of one place in as many squeezes, asked of the program itself all at once."""
    through = httpx.ASGITransport(app=make_app(desk, ["testserver"]))
    async with httpx.AsyncClient(transport=through, base_url="http://testserver") as client:
        await client.post("/who", data={"name": "Ann Invented"})
        at, accept = f"{job.at}/readings", {"Accept": "application/json"}
        sending = [client.post(at, json=readings(job, number), headers=accept) for number in range(SENT)]
        return list(await asyncio.gather(*sending))


def test_readings_sent_at_once_are_taken_in_by_turns(
    desk: Desk, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    counted = Counted(desk.keep_reading)
    judged = Counted(desk.judgement)
    monkeypatch.setattr(desk, "keep_reading", counted)
    monkeypatch.setattr(desk, "judgement", judged)
    answers = asyncio.run(sent_at_once(desk, job))
    assert [answer.json()["kept"] for answer in answers] == [True] * SENT
    assert len(desk.job(job.job).state.checks[job.check].readings) == SENT
    assert counted.most <= AT_ONCE
    assert judged.most <= AT_ONCE
    assert len(judged.order) == SENT, "one judgement a reading"


def test_a_reading_whose_turn_does_not_come_is_refused_in_words_and_is_not_kept(
    desk: Desk, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = desk.keep_reading

    def slowly(*given: Any, **named: Any) -> Any:
        time.sleep(0.3)
        return kept(*given, **named)

    monkeypatch.setattr(desk, "keep_reading", slowly)
    monkeypatch.setattr(turns, "PATIENCE", 0.1)
    answers = asyncio.run(sent_at_once(desk, job))
    there = {reading.entry for reading in desk.job(job.job).state.checks[job.check].readings}
    for number, answer in enumerate(answers):
        assert answer.status_code == (200 if answer.json()["kept"] else 503)
        assert answer.json()["kept"] == (readings(job, number)["id"] in there)
    refused = [answer.json()["problem"] for answer in answers if answer.status_code == 503]
    assert 0 < len(refused) < SENT
    assert all("turn did not come; nothing was saved. Try again." in said for said in refused)
