"""Lists, a bearing's life and a job opened in a plant of 2,000 bearings and 20,000 jobs, against one of 20.

The same twenty bearings, each with ten jobs that measured a clearance, stand first in both plants. The others
have ten jobs each that noted something: they are there to be passed over, which is what is measured.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path

from bench import clock, mill, served
from whitemetal.desk import Desk
from whitemetal.desk import openings as lists
from whitemetal.gauging import method_named
from whitemetal.job.kinds import place_body
from whitemetal.ledger import Pen
from whitemetal.ledger.ledger import Author
from whitemetal.ledger.lists import PLANT

MEASURED, JOBS = 20, 10
AUTHOR = Author(mill.WRITER.name, mill.WRITER.device, "2026-03-02T07:00:00.000Z")


def make(where: Path, bearings: int) -> tuple[str, str]:
    """A plant at ``where``. Returns a measured bearing and its last job."""
    desk = Desk.open(str(where))
    try:
        desk.keep_instrument("M-7", mill.GAUGE, mill.WRITER)
        books = [_card(desk, number) for number in range(bearings)]
        with desk._ledger.writing() as pen:
            last = [_measured(desk, pen, book, number) for number, book in enumerate(books[:MEASURED])]
        for first in range(MEASURED, bearings, 100):
            with desk._ledger.writing() as pen:
                for number, book in enumerate(books[first : first + 100], start=first):
                    for job in range(JOBS):
                        _job(pen, desk, book, f"W-{number:04d}-{job}")
        while waiting := lists._stale(desk, 500):
            lists._reckon(desk, waiting)
    finally:
        desk.close()
    return books[0], last[0]


def _card(desk: Desk, number: int) -> str:
    return desk.keep_card(mill.CARD.replace("TM-31-F02", f"TM-{number:05d}"), mill.WRITER).bearing


def _job(pen: Pen, desk: Desk, bearing: str, number: str) -> str:
    """A job with a note, its entries as the desk writes them."""
    job, card = desk.fresh_id(), pen.connection.exec_driver_sql(
        f"SELECT card FROM listed_bearing WHERE book = '{bearing}'"
    ).scalar_one()  # fmt: skip
    said = {"bearing": bearing, "number": number, "title": "a round"}
    pen.add(desk.fresh_id(), PLANT, "job/1", {"job": job, **said}, AUTHOR)
    pen.add(desk.fresh_id(), job, "opened/1", said, AUTHOR)
    pen.add(desk.fresh_id(), job, "adopt/1", {"card": card, "reason": ""}, AUTHOR)
    pen.add(desk.fresh_id(), job, "note/1", {"text": "looked at, nothing done"}, AUTHOR)
    return job


def _measured(desk: Desk, pen: Pen, bearing: str, number: int) -> str:
    """Ten jobs, a year apart, each with a clearance as found a little wider. Returns the last."""
    method, job = method_named("wire"), ""
    card = desk.bearing(bearing).card
    for year in range(JOBS):
        author = Author(AUTHOR.name, AUTHOR.device, f"{2010 + year}-03-02T07:00:00.000Z")
        job, check = _job(pen, desk, bearing, f"W-{number:04d}-{year}"), desk.fresh_id()
        places = method.default_places(card)
        body = {
            "check": check,
            "method": "wire",
            "purpose": "as found",
            "places": [place_body(p) for p in places],
        }
        pen.add(check, job, "check/1", body, author)
        for key, text in mill.FACTS.items():
            fact = {"check": check, "key": key, "text": text, "unit": ""}
            pen.add(desk.fresh_id(), job, "fact/1", fact, author)
        for place in places:
            reading = {
                "check": check, "place": place.label, "squeeze": 1, "text": f"0.{203 + 5 * year}",
                "unit": "mm", "basis": "diametral", "instrument": "M-7", "repeat": "no", "unreadable": "",
            }  # fmt: skip
            pen.add(desk.fresh_id(), job, "reading/1", reading, author)
    return job


@contextmanager
def plant(folder: Path, name: str, bearings: int) -> Iterator[tuple[served.Client, str, str]]:
    """A served plant: a connection, a measured bearing, its last job."""
    where = folder / f"{name}.sqlite3"
    bearing, job = make(where, bearings)
    with served.server("whitemetal", where) as port:
        yield served.Client(port, {"whitemetal_name": "bench"}), bearing, job


def rows(large: int = 2000) -> list[clock.Row]:
    """Each page in the large plant against the same page in the small one."""
    with tempfile.TemporaryDirectory() as name, ExitStack() as open_:
        folder = Path(name)
        small = open_.enter_context(plant(folder, "small", MEASURED))
        great = open_.enter_context(plant(folder, "great", large))

        def of(one: tuple[served.Client, str, str]) -> dict[str, str]:
            _, bearing, job = one
            return {
                "the plant's page": "/", "bearings by next opening": "/openings",
                "a bearing's life": f"/bearings/{bearing}/life", "a job opened": f"/jobs/{job}",
                "finding a job by its number": "/?find=W-0003-4",
            }  # fmt: skip

        pages = {title: (of(great)[title], path) for title, path in of(small).items()}
        return [
            clock.compare(
                f"{title}, {large:,} bearings", partial(great[0].get, ours), f"{MEASURED} bearings",
                partial(small[0].get, theirs), turns=30, under=1.5,
            )
            for title, (ours, theirs) in pages.items()
        ]  # fmt: skip
