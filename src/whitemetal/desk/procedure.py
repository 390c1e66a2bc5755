"""The verbs of the procedure: what the plant changed in it, and what is ticked in a job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.desk.desk import Desk
from whitemetal.desk.rows import JobView, Kept, Writer
from whitemetal.errors import InputError, Problem
from whitemetal.job.entry import Entry
from whitemetal.job.procedure.generate import generate
from whitemetal.job.procedure.loosening import loosening_steps
from whitemetal.job.procedure.plant import NOTHING, Add, Plant, applied, read_plant
from whitemetal.job.procedure.standing import Standing, may_tick, standings
from whitemetal.job.procedure.step import Step
from whitemetal.job.procedure.ticks import KIND
from whitemetal.ledger.lists import PLANT
from whitemetal.words import say

PLANT_KIND = "procedure/1"
MOST_LETTERS = 100_000
"""Letters a plant's file may have. Our own."""


@dataclass(frozen=True)
class PlantFile:
    """A plant's procedure file as kept. unread: why this program cannot use it, "" where it can."""

    entry: str
    text: str
    by: str
    at: str
    unread: str = ""


@dataclass(frozen=True)
class Procedure:
    """The steps of a bearing as the plant leaves them, and a sentence for what a person must settle first:
    two files kept by people who did not know of each other, or one that cannot be read. run_in: whether the
    plant demands a settled run-in before the second signature."""

    steps: tuple[Step, ...]
    doubts: tuple[str, ...] = ()
    run_in: bool = False


def plant_files(desk: Desk) -> tuple[PlantFile, ...]:
    """The plant's procedure files that no other replaces: one, or several kept unaware of each other."""
    kept = [one for one in desk.kept_of(PLANT, PLANT_KIND) if isinstance(one.body.get("text"), str)]
    replaced = {entry for one in kept for entry in one.body.get("replaces", ())}
    return tuple(_file(one) for one in kept if one.id not in replaced)


def _file(entry: Entry) -> PlantFile:
    text = str(entry.body["text"])
    try:
        read_plant(text)
        unread = ""
    except InputError as bad:
        unread = "; ".join(str(problem) for problem in bad.problems)
    return PlantFile(entry.id, text, entry.by.get("name", ""), entry.at, unread)


def keep_plant_file(desk: Desk, text: str, writer: Writer, replaces: Sequence[str]) -> Kept:
    """Keep the plant's procedure file; an empty text takes the plant's changes away. replaces: ids of the
    files its writer had before the eyes. Raises InputError with every problem and its line."""
    if len(text) > MOST_LETTERS:
        raise InputError(Problem("procedure", text[:60], say("procedure.too_long", most=MOST_LETTERS)))
    read_plant(text)
    body = {"text": text, "replaces": list(replaces)}
    return desk.write_of_plant(PLANT_KIND, body, writer, typed=text)


def procedure_for(desk: Desk, card: Card) -> Procedure:
    """The procedure for a card. Where two plant files stand side by side both add, what either demands
    is demanded, and nothing is dropped or reworded until somebody has made one of them."""
    files = plant_files(desk)
    doubts = [say("procedure.cannot_read", by=one.by, why=one.unread) for one in files if one.unread]
    read = [read_plant(one.text) for one in files if not one.unread]
    if len(files) > 1:
        doubts.append(say("procedure.two_files", who=", ".join(one.by for one in files)))
        read = [Plant(_new(read), run_in=any(one.run_in for one in read))]
    plant = read[0] if read else NOTHING
    return Procedure(applied(generate(card), plant), tuple(doubts), plant.run_in)


def _new(plants: Sequence[Plant]) -> tuple[Add, ...]:
    """What several files add, each step once."""
    return tuple({add.step.key: add for plant in plants for add in plant.adds}.values())


def procedure_of(desk: Desk, view: JobView) -> tuple[Procedure, tuple[Standing, ...]]:
    """The procedure of a job, and where each step stands."""
    found = procedure_for(desk, view.card)
    return found, standings(found.steps, view.state, desk.chain(view.state.book, view))


def keep_step(desk: Desk, job: str, step: str, state: str, text: str, writer: Writer) -> Kept:
    """Tick a step of the procedure or of the next loosening of the nuts, open it again, or say that it does
    not apply. text: what is noted with it. Raises InputError, UnknownBook."""
    view = desk.job(job)
    steps = (*procedure_for(desk, view.card).steps, *loosening_steps(view.card, view.state))
    may_tick({one.key: one for one in steps}, step, state, text)
    body = {"step": step, "state": state, "text": text.strip()}
    return desk.write(job, KIND, body, writer, typed=text)
