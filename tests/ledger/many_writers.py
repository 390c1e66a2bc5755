"""Many phones write at once, for a while: nothing lost, nothing doubled, and how long each write took.

Run as ``python -m tests.ledger.many_writers WHERE PHONES SECONDS PAUSE PROCESSES``: WHERE a file or a
database's address. Each phone writes a note under an id it made, waits PAUSE seconds (a person at a bench is
slower still), and now and then sends the same again as a phone does that got no answer. The phones of one
process share a desk, as those of one server do. Prints what was seen as JSON.
"""

from __future__ import annotations

import json
import random
import statistics
import subprocess
import sys
import threading
import time
from collections import Counter

from tests.ledger.writing import CARD
from whitemetal.desk import Desk, Writer
from whitemetal.errors import LedgerError

JOBS = 20
WAIT = 30.0
"""Seconds a write may wait for its turn before it is refused."""


def phone(
    desk: Desk, name: str, jobs: list[str], until: float, pause: float, seen: dict[str, list[object]]
) -> None:
    """One phone's minute. seen: acknowledged ids, times taken [s], refusals."""
    chance, number = random.Random(name), 0
    time.sleep(chance.uniform(0, pause))
    while time.monotonic() < until:
        id, job = f"{name}-{number}", jobs[chance.randrange(len(jobs))]
        for _ in range(2 if chance.random() < 0.05 else 1):
            began = time.monotonic()
            try:
                kept = desk.write(job, "note/1", {"text": f"note {id}"}, Writer("Ann", name), id=id)
                assert kept.entry is not None and kept.problem is None
                seen["taken"].append(time.monotonic() - began)
                seen["kept"].append(id)
            except LedgerError as error:
                seen["refused"].append(str(error))
        number += 1
        time.sleep(chance.uniform(0.5 * pause, 1.5 * pause))


def crowd(
    where: str, jobs: list[str], first: int, phones: int, seconds: float, pause: float
) -> dict[str, list[object]]:
    """The phones of one process."""
    desk = Desk.open(where, wait=WAIT)
    seen: dict[str, list[object]] = {"kept": [], "taken": [], "refused": []}
    until = time.monotonic() + seconds
    hands = [
        threading.Thread(target=phone, args=(desk, f"phone-{first + n}", jobs, until, pause, seen))
        for n in range(phones)
    ]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    desk.close()
    return seen


def prepared(where: str) -> tuple[list[str], float]:
    """A plant with jobs, and the median time of one write while nobody else writes [s]."""
    desk = Desk.open(where, wait=WAIT)
    bearing = desk.keep_card(CARD, Writer("Ann", "office")).bearing
    jobs = [desk.open_job(bearing, f"J-{n}", "opening", Writer("Ann", "office")) for n in range(JOBS)]
    times = []
    for number in range(200):
        began = time.monotonic()
        desk.keep_note(jobs[number % JOBS], "idle", Writer("Ann", "office"))
        times.append(time.monotonic() - began)
    desk.close()
    return jobs, statistics.median(times[20:])


def run(where: str, phones: int, seconds: float, pause: float, processes: int) -> dict[str, object]:
    """All phones, spread over so many processes; what is there afterwards."""
    jobs, idle = prepared(where)
    share = phones // processes
    command = [sys.executable, "-m", "tests.ledger.many_writers", "crowd", where, json.dumps(jobs)]
    running = [
        subprocess.Popen(
            [*command, str(n * share), str(share), str(seconds), str(pause)], stdout=subprocess.PIPE
        )
        for n in range(processes)
    ]
    told = [json.loads(one.communicate(timeout=seconds + 120)[0]) for one in running]
    kept = [id for one in told for id in one["kept"]]
    taken = sorted(time for one in told for time in one["taken"])
    desk = Desk.open(where)
    there = Counter(
        e.id for job in jobs for e in desk.entries(job) if e.kind == "note/1" and e.id.startswith("phone-")
    )
    faults = len(desk.verify())
    desk.close()
    return {
        "phones": share * processes, "acknowledged": len(set(kept)), "sent_again": len(kept) - len(set(kept)),
        "lost": len(set(kept) - set(there)), "doubled": sum(n > 1 for n in there.values()),
        "unasked": len(set(there) - set(kept)), "refused": sum(len(one["refused"]) for one in told),
        "faults": faults, "idle_ms": 1e3 * idle, "median_ms": 1e3 * statistics.median(taken),
        "slowest_percent_ms": 1e3 * taken[int(0.99 * len(taken))], "a_second": len(taken) / seconds,
    }  # fmt: skip


if __name__ == "__main__":
    if sys.argv[1] == "crowd":
        _, _, where, jobs, first, phones, seconds, pause = sys.argv
        print(
            json.dumps(crowd(where, json.loads(jobs), int(first), int(phones), float(seconds), float(pause)))
        )
    else:
        _, where, phones, seconds, pause, processes = sys.argv
        print(json.dumps(run(where, int(phones), float(seconds), float(pause), int(processes))))
