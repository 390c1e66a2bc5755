"""Cards run on the oil film: one here, many by worker processes on all cores."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from whitemetal.cli.files import FileInputError, facts_of, form_of, read_bytes
from whitemetal.cli.film_options import what_if_of
from whitemetal.errors import InputError, Problem, WhitemetalError
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.card import Card
    from whitemetal.fitting.consequence import Consequence, WhatIf
    from whitemetal.gauging.contract import Result


@dataclass(frozen=True)
class Task:
    """A card and, if there are any, its readings, as bytes: a worker opens no file. facts_data: of the file
    of facts; facts: typed beside it."""

    name: str
    card: bytes
    what_if: WhatIf
    readings_name: str = ""
    readings: bytes | None = None
    facts_data: bytes | None = None
    facts: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    instrument: str = ""
    method: str = "wire"


@dataclass(frozen=True)
class Ran:
    """What came of a task: a card and its consequence, or problems (of the file ``file``), or why it could
    not be done."""

    task: Task
    card: Card | None = None
    found: Consequence | None = None
    file: str = ""
    problems: tuple[Problem, ...] = ()
    why: str = ""


def tasks_of(options: argparse.Namespace) -> list[Task]:
    """Tasks in the order typed: every readings file belongs to the card before it.

    Raises InputError for a file that cannot be read, readings before a card, two for one card, and facts that
    could belong to several.
    """
    if options.files.count("-") > 1:
        raise InputError(Problem("CARD", "-", say("terminal.one_stdin")))
    pairs: list[tuple[str, bytes, str, bytes | None]] = []
    for name in options.files:
        data = read_bytes(name)
        if not _readings(name, data):
            pairs.append((name, data, "", None))
        elif not pairs or pairs[-1][3] is not None:
            raise FileInputError(name, Problem("READINGS", name, say("film.card_first")))
        else:
            pairs[-1] = (*pairs[-1][:2], name, data)
    read = sum(pair[3] is not None for pair in pairs)
    if (options.facts or options.fact) and read != 1:
        raise InputError(Problem("--facts", options.facts or options.fact[0], say("film.facts_of_one")))
    facts_data = read_bytes(options.facts) if options.facts else None
    facts, trial = facts_of(options.fact), what_if_of(options)
    return [
        Task(
            name, card, trial, readings_name, readings, facts_data, facts, options.unit, options.instrument,
            options.method,
        )
        for name, card, readings_name, readings in pairs
    ]  # fmt: skip


def _readings(name: str, data: bytes) -> bool:
    """Whether a file holds readings, not a card."""
    content = data.replace(b"\x00", b"")
    if b"whitemetal.card/" in content:
        return False
    told = b"whitemetal.readings/" in content or b"[[reading]]" in content
    return told or (name != "-" and form_of(name, data) == "csv" and b"[machine]" not in content)


def run_all(tasks: Sequence[Task], tell: Callable[[str], None]) -> list[Ran]:
    """All tasks, in their order. tell: gets a line after each when there are several."""
    if len(tasks) == 1:
        return [run_one(tasks[0])]
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor, as_completed

    done: dict[int, Ran] = {}
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    workers = min(len(tasks), cores)
    with ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn")) as pool:
        waiting = {pool.submit(run_one, task): index for index, task in enumerate(tasks)}
        try:
            for future in as_completed(waiting):
                done[waiting[future]] = future.result()
                tell(_progress(len(done), len(tasks), tasks[waiting[future]].name))
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return [done[index] for index in range(len(tasks))]


def _progress(done: int, total: int, name: str, width: int = 20) -> str:
    filled = width * done // total
    bar = "#" * filled + "." * (width - filled)
    return say("film.progress", bar=bar, done=done, all=total, name=name)


def run_one(task: Task) -> Ran:
    """One task. What is wrong with its files comes back, not up: one bad card does not stop the others."""
    from whitemetal.card import read_card
    from whitemetal.desk.film import name_folder

    name_folder()
    from whitemetal.fitting.consequence import consequence

    file = task.name
    try:
        card = read_card(task.card, "card")
        file = task.readings_name or task.name
        result = None if task.readings is None else _result(task, card)
        file = task.name
        return Ran(task, card, consequence(card, result, task.what_if))
    except InputError as bad:
        return Ran(task, file=getattr(bad, "name", file), problems=bad.problems)
    except WhitemetalError as bad:
        return Ran(task, why=str(bad))


def _result(task: Task, card: Card) -> Result:
    from whitemetal.gauging import method_named
    from whitemetal.gauging.readings_file import read_csv, read_toml

    method = method_named(task.method)
    facts: dict[str, str] = {}
    if task.facts_data is not None:
        kept = read_toml(task.facts_data, card, method, unit=task.unit, only_facts=True)
        facts = {key: fact.text for key, fact in kept.sound().facts.items()}
    data = task.readings or b""
    read = read_csv if form_of(task.readings_name, data) == "csv" else read_toml
    taken = read(
        data, card, method, facts={**facts, **task.facts}, unit=task.unit, instrument=task.instrument
    ).sound()
    return method.evaluate(card, taken.places, taken.facts, taken.readings)
