"""A plant of two million entries on PostgreSQL against one of twenty thousand, and taking entries in against
bare INSERT of the same rows.

The server is started for this, with ``fsync`` on. The filling is written with COPY: chains that are whole
(the walk is asked of one of them), so that what is measured passes over real entries. PLANT_BEARINGS says how
many bearings, each with ten jobs of a hundred entries; 200 when nothing is said, 2000 for the two million.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from collections.abc import Iterator
from functools import partial
from itertools import count

import psycopg

from bench import clock, mill
from tools.start_postgres import Server, a_server
from whitemetal.card import card_digest, read_card
from whitemetal.desk import Desk
from whitemetal.desk.plant_page import plant_page
from whitemetal.job.entry import GENESIS, Entry, canonical, make
from whitemetal.ledger.lists import PLANT

AT = "2026-03-02T07:15:30.250Z"
FEW, JOBS, ENTRIES = 20, 10, 100
SETTINGS = {"shared_buffers": "512MB", "max_wal_size": "4GB", "autovacuum": "on"}
LOT = 50
"""Jobs taken in at a time where that is measured."""


def entry(id: str, book: str, kind: str, seq: int, prev: str, body: dict[str, object]) -> Entry:
    """An entry of the bench's device."""
    return make(
        id=id, book=book, kind=kind, device="bench", seq=seq, prev=prev, after=(), at=AT, offset=0,
        by={"name": "bench"}, body=body,
    )  # fmt: skip


def chain(book: str, said: list[tuple[str, dict[str, object]]]) -> list[Entry]:
    """The bench's chain in a book."""
    made: list[Entry] = []
    for seq, (kind, body) in enumerate(said, 1):
        made.append(entry(f"{book}-{seq}", book, kind, seq, made[-1].digest if made else GENESIS, body))
    return made


def listed(bearings: int) -> list[Entry]:
    """The entries that the lists are made from: bearings with their cards, and their jobs."""
    plant: list[tuple[str, dict[str, object]]] = []
    cards: list[Entry] = []
    for number in range(bearings):
        text = mill.CARD.replace("TM-31-F02", f"TM-{number:05d}")
        digest = card_digest(read_card(text))
        plant.append(
            ("bearing/1", {"bearing": f"b{number}", "machine": f"TM-{number:05d}", "position": "drive end"})
        )
        cards += chain(f"b{number}", [("card/1", {"card": digest, "typed": text})])
        for job in range(JOBS):
            plant.append(("job/1", {
                "job": f"j{number}-{job}", "bearing": f"b{number}", "number": f"W-{number:04d}-{job}",
                "title": "a round",
            }))  # fmt: skip
    return [*chain(PLANT, plant), *cards]


def of_job(number: int, job: int) -> list[tuple[str, dict[str, object]]]:
    """What a job says: opened, a check begun, and notes."""
    begun: list[tuple[str, dict[str, object]]] = [
        ("opened/1", {"bearing": f"b{number}", "number": f"W-{number:04d}-{job}", "title": "a round"}),
        ("check/1", {"check": f"j{number}-{job}-2", "method": "wire", "purpose": "as left", "places": []}),
    ]
    return begun + [
        ("note/1", {"text": f"oil at {20 + turn % 40} degC"}) for turn in range(ENTRIES - len(begun))
    ]


def rows(bearings: int | None = None) -> list[clock.Row]:
    """The table: taking in against bare INSERT, and the large plant against the small one."""
    large = bearings or int(os.environ.get("PLANT_BEARINGS", "200"))
    with a_server(SETTINGS) as server:
        small, great = (filled(server, size) for size in (FEW, large))
        try:
            return [taking_in(server), *compared(small, great, large)]
        finally:
            small.close()
            great.close()


def filled(server: Server, bearings: int) -> Desk:
    """A plant with its jobs filled."""
    where = server.address(server.fresh())
    desk = Desk.open(where)
    assert desk.receive(listed(bearings)) == ()
    with psycopg.connect(where) as connection, connection.cursor() as cursor:
        first = cursor.execute("SELECT max(receipt) + 1 FROM entry").fetchone()[0]  # type: ignore[index]
        jobs = [(number, job) for number in range(bearings) for job in range(JOBS)]
        with cursor.copy("COPY entry FROM STDIN") as copy:
            for row in filling(jobs, first):
                copy.write_row(row)
        numbers = count(first)
        with cursor.copy("COPY sight FROM STDIN") as copy:
            for _ in jobs:
                for seq in range(1, ENTRIES + 1):
                    copy.write_row((next(numbers), f'{{"bench": {seq}}}'))
        cursor.execute(
            "INSERT INTO head SELECT book, device, seq, digest FROM entry WHERE seq = %s AND book LIKE 'j%%'",
            (ENTRIES,),
        )
    with psycopg.connect(where, autocommit=True) as connection:
        connection.execute("VACUUM ANALYZE")
    assert desk.walk(f"j{bearings - 1}-{JOBS - 1}").faults == ()
    print(
        f"· a plant of {bearings:,} bearings, {len(jobs):,} jobs, {len(jobs) * ENTRIES:,} entries",
        file=sys.stderr,
    )
    return desk


def filling(jobs: list[tuple[int, int]], first: int) -> Iterator[tuple[object, ...]]:
    """Rows of the jobs' entries, their canonical form put together by hand."""
    receipt = first
    for number, job in jobs:
        book, prev = f"j{number}-{job}", GENESIS
        for seq, (kind, body) in enumerate(of_job(number, job), 1):
            text = (
                f'{{"after":[],"at":"{AT}","body":{json.dumps(body, sort_keys=True, separators=(",", ":"))},'
                f'"book":"{book}","by":{{"name":"bench"}},"device":"bench","id":"{book}-{seq}","kind":"{kind}",'
                f'"offset":0,"prev":"{prev}","seq":{seq}}}'
            )
            prev = hashlib.sha256(text.encode()).hexdigest()
            yield receipt, f"{book}-{seq}", book, kind, "bench", seq, prev, text
            receipt += 1


def taking_in(server: Server) -> clock.Row:
    """Lots of five thousand entries, checked and kept, against the same rows put in as they are."""
    desk = Desk.open(server.address(server.fresh()))
    bare = server.address(server.fresh())
    Desk.open(bare).close()
    turns = 6
    lots = [
        [one for number in range(LOT) for one in chain(f"t{turn}-{number}", of_job(number, 0))]
        for turn in range(turns + 2)
    ]
    numbers = count(1)
    ours, theirs = iter(lots), iter([as_rows(lot, numbers) for lot in lots])
    with psycopg.connect(bare) as connection:
        row = clock.compare(
            f"taking in {LOT * ENTRIES:,} entries", lambda: desk.receive(next(ours)),
            "bare INSERT of the rows", lambda: put_in(connection, next(theirs)), turns=turns, under=2,
        )  # fmt: skip
    assert desk.walk().entries == LOT * ENTRIES * (turns + 2)
    desk.close()
    return row


Rows = dict[str, list[tuple[object, ...]]]


def as_rows(entries: list[Entry], numbers: Iterator[int]) -> Rows:
    """The rows that taking in writes, by the statement that puts them in."""
    got = [(next(numbers), one) for one in entries]
    last = {one.book: one for one in entries}
    return {
        "INSERT INTO entry VALUES (%s, %s, %s, %s, %s, %s, %s, %s)": [
            (number, e.id, e.book, e.kind, e.device, e.seq, e.digest, canonical(e).decode())
            for number, e in got
        ],
        "INSERT INTO sight VALUES (%s, %s)": [(number, f'{{"bench": {e.seq}}}') for number, e in got],
        "INSERT INTO head VALUES (%s, %s, %s, %s)": [
            (e.book, e.device, e.seq, e.digest) for e in last.values()
        ],
    }


def put_in(connection: psycopg.Connection, rows: Rows) -> None:
    """Put rows in, and nothing else, in one transaction."""
    with connection.cursor() as cursor:
        for statement, some in rows.items():
            cursor.executemany(statement.encode(), some)
    connection.commit()


def compared(small: Desk, great: Desk, bearings: int) -> list[clock.Row]:
    """The same act in the large plant and in the small one."""
    jobs = {id(desk): count() for desk in (small, great)}

    def open_job(desk: Desk) -> None:
        """A job that nobody has open."""
        desk._pictures.forget()
        desk.job(f"j{next(jobs[id(desk)]) % FEW}-3")

    acts = {
        "the plant's page": lambda desk: plant_page(desk),
        "finding a machine": lambda desk: plant_page(desk, find="TM-00019"),
        "finding a job": lambda desk: plant_page(desk, find="W-0003-4"),
        "a job opened": open_job,
        "a note kept": lambda desk: desk.keep_note("j5-5", "oil dark", mill.WRITER),
    }
    return [
        clock.compare(
            f"{name}, {bearings * JOBS * ENTRIES:,} entries", partial(act, great),
            f"{FEW * JOBS * ENTRIES:,} entries", partial(act, small), turns=30, under=1.5,
        )
        for name, act in acts.items()
    ]  # fmt: skip
