"""The steps of a job on the terminal, as JSON, or with all its sheets as a work pack (PDF)."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from whitemetal.cli.files import FileInputError, card_of, read_bytes, write_bytes
from whitemetal.cli.screen import Screen, screen_for
from whitemetal.errors import InputError
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.card import Card
    from whitemetal.job.procedure.step import Step


def show_procedure(
    options: argparse.Namespace,
    show: Callable[[Iterable[str], Screen], None],
    show_json: Callable[[Any], None],
) -> int:
    """Show or write the procedure. Raises InputError."""
    card = card_of(options.card)
    steps = _steps(card, options.plant)
    if options.output:
        from whitemetal.desk.work_pack import pack

        pdf = pack(card, steps, options.sheets)
        write_bytes(options.output, pdf)
        if options.output != "-":
            print(say("terminal.sheet_done", name=options.output, size=len(pdf) // 1000))
    elif options.json:
        from whitemetal.job.judgement_json import plain

        show_json({"format": "whitemetal.steps/1", "steps": [plain(step) for step in steps]})
    else:
        screen = screen_for(sys.stdout, options.plain)
        show(_lines(card, steps, screen), screen)
    return 0


def _steps(card: Card, plant: str) -> tuple[Step, ...]:
    """The steps with the plant's changes, from the file named. Raises FileInputError with its problems."""
    from whitemetal.card.text_file import decode
    from whitemetal.job.procedure.generate import generate
    from whitemetal.job.procedure.plant import applied, read_plant

    steps = generate(card)
    if not plant:
        return steps
    decoded = decode(read_bytes(plant), plant)
    if decoded.problem is not None:
        raise FileInputError(plant, decoded.problem)
    try:
        return applied(steps, read_plant(decoded.text))
    except InputError as bad:
        raise FileInputError(plant, *bad.problems) from None


def _lines(card: Card, steps: Sequence[Step], screen: Screen) -> Iterator[str]:
    yield screen.heading(f"{card.machine.tag}  {card.machine.name}, {card.bearing.position}")
    stage = ""
    for step in steps:
        if step.stage != stage:
            stage = step.stage
            yield ""
            yield screen.heading(say(f"procedure.stage_{stage}"))
        yield from _step(step, screen)
    yield ""
    yield from screen.wrapped(say("procedure.defer"))


def _step(step: Step, screen: Screen) -> Iterator[str]:
    for one in step.cautions:
        rules = f" ({one.rules})" if one.rules else ""
        yield from screen.wrapped(f"{one.text}{rules}", "    ! ", "      ")
    marks = [say("pack.hold")] if step.hold else []
    marks += [say("pack.people")] if step.people else []
    marked = f" [{', '.join(marks)}]" if marks else ""
    tick = "-" if step.dropped else " "
    yield from screen.wrapped(f"{step.text}{marked}", f"[{tick}] ", "    ")
    yield from screen.wrapped(step.why, "    ", "    ")
    for changed in step.changed:
        by, why = changed.by or "–", changed.why or "–"
        if changed.what == "dropped":
            yield from screen.wrapped(say("procedure.dropped_by", by=by, why=why), "    ", "    ")
        elif changed.what == "reworded":
            was = say("procedure.was", text=changed.was, by=by, why=why)
            yield from screen.wrapped(was, "    ", "    ")
    yield from screen.wrapped(f"({step.key})", "    ", "    ")
