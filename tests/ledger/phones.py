"""Many phones at their benches, over HTTP against servers that really serve: what was answered, and how fast.

Each phone keeps its connection, has a check of its own and enters one reading after the other as a page of the
bench does, under an id it made; now and then it sends the same again as one does that got no answer. The
answer to a reading holds the verdict so far: what is timed is what a person waits for.
"""

from __future__ import annotations

import asyncio
import random
import secrets
import statistics
import time
from collections import Counter
from contextlib import ExitStack
from dataclasses import dataclass, field
from typing import Any

import httpx

from tests.cli.test_serve import serving
from tests.ledger.writing import CARD
from whitemetal.desk import Desk, Writer

A_JOB = 4
"""Checks open at once in one job."""
SENT_AGAIN = 0.05
"""Share of readings that are sent twice."""
KEEPER = Writer("Ann Invented", "office")


@dataclass
class Seen:
    """kept: ids answered as kept. taken: how long each answer took [s]. odd: answers that were none."""

    kept: list[str] = field(default_factory=list)
    taken: list[float] = field(default_factory=list)
    odd: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Bench:
    """One check and its places."""

    job: str
    check: str
    places: tuple[str, ...]


def benches(where: str, phones: int) -> list[Bench]:
    """A bench for each phone, and one more for the time of a reading while nobody else writes."""
    desk = Desk.open(where)
    bearing = desk.keep_card(CARD, KEEPER).bearing
    made: list[Bench] = []
    while len(made) <= phones:
        job = desk.open_job(bearing, f"J-{len(made)}", "opening", KEEPER)
        for _ in range(A_JOB):
            check = desk.start_check(job, "wire", "as left", KEEPER)
            places = desk.job(job).state.checks[check].places
            made.append(Bench(job, check, tuple(place.label for place in places)))
    desk.close()
    return made[: phones + 1]


async def enter(client: httpx.AsyncClient, bench: Bench, number: int, seen: Seen, times: int = 1) -> None:
    """The next reading of a bench, sent so many times. No two phones read the same: what is remembered of one
    check helps no other."""
    body = {
        "id": secrets.token_hex(13), "place": bench.places[number % len(bench.places)], "unit": "mm",
        "text": f"0.2{number % 10}{secrets.randbelow(100):02d}", "instrument": "", "seen": "",
        "squeeze": 1 + number // len(bench.places),
    }  # fmt: skip
    for _ in range(times):
        began = time.monotonic()
        answer = await asked(
            client, f"/jobs/{bench.job}/checks/{bench.check}/readings", json=body,
            headers={"Accept": "application/json"},
        )  # fmt: skip
        seen.taken.append(time.monotonic() - began)
        if answer.status_code == 200 and answer.json()["kept"]:
            seen.kept.append(str(body["id"]))
        else:
            seen.odd.append(f"{answer.status_code} {answer.text[:200]}")


async def asked(client: httpx.AsyncClient, to: str, **what: Any) -> httpx.Response:
    """Ask as a browser does: on a connection that the server let go of meanwhile, once more on a new one."""
    try:
        return await client.post(to, **what)
    except (httpx.ReadError, httpx.RemoteProtocolError):
        return await client.post(to, **what)


def a_phone(at: str) -> httpx.AsyncClient:
    return httpx.AsyncClient(base_url=at, timeout=60)


async def idle(at: str, bench: Bench, seen: Seen) -> None:
    """Readings of one phone alone."""
    async with a_phone(at) as client:
        await client.post("/who", data={"name": "Ann Invented"})
        for number in range(30):
            await enter(client, bench, number, seen)


async def phone(at: str, number: int, bench: Bench, seconds: float, pause: float, seen: Seen) -> None:
    """One phone's readings, a pause between them as a person makes."""
    chance = random.Random(number)
    async with a_phone(at) as client:
        await client.post("/who", data={"name": f"Hand {number} Invented"})
        await asyncio.sleep(chance.uniform(0, pause))
        until, entered = time.monotonic() + seconds, 0
        while time.monotonic() < until:
            await enter(client, bench, entered, seen, 2 if chance.random() < SENT_AGAIN else 1)
            entered += 1
            await asyncio.sleep(chance.uniform(0.5 * pause, 1.5 * pause))


async def all_phones(at: list[str], places: list[Bench], seconds: float, pause: float, seen: Seen) -> None:
    hands = (
        phone(at[number % len(at)], number, bench, seconds, pause, seen)
        for number, bench in enumerate(places)
    )
    await asyncio.gather(*hands)


def run(where: str, phones: int, seconds: float, pause: float, servers: int) -> dict[str, object]:
    """All phones against so many servers of one record; what stands in it afterwards.

    Returns counts by id, and times in milliseconds: the median of a phone alone, and the median and the
    slowest hundredth of all together.
    """
    alone, *each = benches(where, phones)
    first, seen = Seen(), Seen()
    with ExitStack() as stack:
        at = [stack.enter_context(serving("--database", where, "--port", "0"))[1] for _ in range(servers)]
        asyncio.run(idle(at[0], alone, first))
        asyncio.run(all_phones(at, each, seconds, pause, seen))
    desk = Desk.open(where)
    there = Counter(
        entry.id for bench in {one.job: one for one in [alone, *each]}.values()
        for entry in desk.entries(bench.job) if entry.kind.startswith("reading/")
    )  # fmt: skip
    faults = len(desk.verify())
    desk.close()
    kept, taken, quiet = {*seen.kept, *first.kept}, sorted(seen.taken), statistics.median(first.taken[5:])
    return {
        "phones": phones, "servers": servers, "kept": len(kept), "sent_again": len(seen.kept) - len({*seen.kept}),
        "lost": len(kept - {*there}), "doubled": sum(n > 1 for n in there.values()),
        "unasked": len({*there} - kept), "odd": [*first.odd, *seen.odd][:5], "faults": faults,
        "idle_ms": 1e3 * quiet, "median_ms": 1e3 * statistics.median(taken),
        "slowest_percent_ms": 1e3 * taken[int(0.99 * len(taken))], "a_second": len(taken) / seconds,
    }  # fmt: skip
