"""Kill a writer at random moments, again and again, and look at what it left behind.

Run as ``python -m tests.ledger.killing WHERE KILLS SEED``, WHERE a folder for records or the address of a
PostgreSQL server's own database, in which case records are new databases of that server: one process imports everything, forks a writer,
kills it with SIGKILL after a random time or right behind an acknowledgement, and checks the record. The writer says on a pipe when it begins a
write ("begin ...") and, after the commit, what it acknowledges ("kept ..."). Prints what was seen as JSON.
"""

from __future__ import annotations

import json
import os
import random
import select
import signal
import sys
import time
from pathlib import Path

from tests.ledger.writing import CARD
from whitemetal.desk import Desk, Writer

KILLS_A_RECORD = 50
LONGEST = 0.050
"""Seconds from the fork to the kill, at most: opening the record takes some of it, each write about 2 ms."""


def write_on(path: str, seed: int, pipe: int) -> None:
    """Write until killed: notes on one job, and now and then a whole new job (four entries, two books)."""
    desk = Desk.open(path)
    writer = Writer("Ann", f"phone-{seed % 3}")
    bearing = desk.keep_card(CARD, writer).bearing
    job = desk.open_job(bearing, f"J-{seed}", "opening", writer)
    os.write(pipe, f"kept {job}\n".encode())
    while True:
        for number in range(4):
            os.write(pipe, b"begin\n")
            entry = desk.keep_note(job, f"note {number}", writer).entry
            assert entry is not None
            os.write(pipe, f"kept {entry.id}\n".encode())
        os.write(pipe, b"begin\n")
        os.write(pipe, f"kept {desk.open_job(bearing, 'J', 'again', writer)}\n".encode())


def kill_one(path: str, seed: int, chance: random.Random) -> list[str]:
    """Fork a writer, kill it, return what it said."""
    reader, pipe = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        try:
            write_on(path, seed, pipe)
        finally:
            os._exit(3)
    os.close(pipe)
    time.sleep(chance.uniform(0.0, LONGEST))
    said = _next_kept(reader) if chance.random() < 0.5 else b""
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    while chunk := os.read(reader, 65536):
        said += chunk
    os.close(reader)
    if not os.WIFSIGNALED(status):
        raise RuntimeError(f"the writer ended by itself with {os.waitstatus_to_exitcode(status)}")
    return said.decode().split("\n")[:-1]


def _next_kept(reader: int) -> bytes:
    """Wait for the writer's next acknowledgement: a kill right behind it finds one given too early."""
    said, new = b"", b""
    while select.select([reader], [], [], 0)[0] and (more := os.read(reader, 65536)):
        said += more
    while b"kept" not in new and (more := os.read(reader, 65536)):
        new += more
    return said + new


def look(path: str, acknowledged: set[str]) -> dict[str, int]:
    """What is wrong with the record: acknowledged entries or jobs missing, faults, half-written jobs."""
    desk = Desk.open(path)
    with desk._ledger.reading() as connection:
        kept = {row[0] for row in connection.exec_driver_sql("SELECT id FROM entry")}
        books = {row[0] for row in connection.exec_driver_sql("SELECT book FROM entry")}
        said = {row[0] for row in connection.exec_driver_sql("SELECT book FROM listed_job")}
        opened = {
            row[0] for row in connection.exec_driver_sql("SELECT book FROM entry WHERE kind = 'adopt/1'")
        }
        unsound = 0
        if "://" not in path:
            unsound += connection.exec_driver_sql("PRAGMA integrity_check").scalar() != "ok"
            unsound += len(connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall())
    faults = len(desk.verify())
    desk.close()
    return {
        "missing": len(acknowledged - kept - books), "faults": faults, "half": len(said ^ opened),
        "unsound": unsound, "kept": len(kept),
    }  # fmt: skip


def a_record(where: str, number: int) -> str:
    """Where record ``number`` is: a file of the folder, or a new database of the server."""
    if "://" not in where:
        return str(Path(where) / f"record-{number}.sqlite3")
    import psycopg

    name = f"killed_{os.getpid()}_{number}"
    with psycopg.connect(where, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
    return where.replace("/postgres?", f"/{name}?")


def run(where: str, kills: int, seed: int) -> dict[str, int]:
    """Kill and look, ``kills`` times; a new record every KILLS_A_RECORD kills."""
    chance = random.Random(seed)
    seen = {
        "kills": 0,
        "acknowledged": 0,
        "in_a_write": 0,
        "missing": 0,
        "faults": 0,
        "half": 0,
        "unsound": 0,
    }
    path, acknowledged = "", set[str]()
    for number in range(kills):
        if number % KILLS_A_RECORD == 0:
            path, acknowledged = a_record(where, number // KILLS_A_RECORD), set()
        said = kill_one(path, number, chance)
        new = {line.removeprefix("kept ") for line in said if line.startswith("kept ")}
        acknowledged |= new
        seen["kills"] += 1
        seen["acknowledged"] += len(new)
        seen["in_a_write"] += bool(said) and said[-1] == "begin"
        found = look(path, acknowledged)
        for key in ("missing", "faults", "half", "unsound"):
            seen[key] += found[key]
    return seen


if __name__ == "__main__":
    print(json.dumps(run(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))))
