"""Old paper at the desk: a table looked at, then kept whole in one transaction or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from whitemetal.card import Card
from whitemetal.desk.desk import Desk
from whitemetal.desk.life import Texts, book_of, id_of
from whitemetal.desk.rows import Writer
from whitemetal.errors import InputError, Problem
from whitemetal.job import counters, life_book
from whitemetal.job.life_book import HOURS, NEEDS, Counter
from whitemetal.job.old_paper import Answers, Body, Brought, Rows, brought


def look(desk: Desk, bearing: str, rows: Rows, answers: Answers) -> Brought:
    """What a table would come to, and everything that is wrong with it; nothing is kept. Raises
    UnknownBook."""
    card: Card = desk.bearing(bearing).card
    found = brought(rows, answers, card)
    running = _backwards(book_of(desk, bearing).counters, found.bodies)
    return replace(found, problems=(*found.problems, *running)) if running else found


def bring(desk: Desk, bearing: str, rows: Rows, answers: Answers, writer: Writer) -> int:
    """Keep a table; how many entries it made. What is there already is not kept again.

    Raises InputError with everything that is wrong; then nothing of it is kept.
    """
    found = look(desk, bearing, rows, answers)
    if found.problems:
        raise InputError(*found.problems)
    return keep(desk, bearing, found.bodies, writer)


def keep(desk: Desk, bearing: str, bodies: Sequence[Body], writer: Writer) -> int:
    """Keep bodies in one transaction; how many were not there yet."""
    made = 0
    with desk._writing_beside("") as pen:
        for body in bodies:
            texts = {name: body.texts.get(name, "").strip() for name in NEEDS[body.kind]}
            id = id_of(bearing, body.kind, texts)
            if pen.entry(id) is None:
                desk._add_to_plant(pen, bearing, body.kind, texts, writer, id)
                made += 1
    return made


def _backwards(held: Sequence[Counter], bodies: Sequence[Body]) -> list[Problem]:
    """Counters that would run backwards, against what is kept and within the table itself."""
    known, problems = list(held), list[Problem]()
    for body in bodies:
        read = life_book.counter_of(body.texts) if body.kind == HOURS else None
        if isinstance(read, Counter):
            problems += [replace(p, line=body.line) for p in counters.backwards(known, read, body.texts)]
            known.append(read)
    return problems


def sheet(typed: Texts) -> Rows:
    """One sheet as typed in a form, as a table of one row."""
    return ((1, tuple(typed)), (1, tuple(typed.values())))
