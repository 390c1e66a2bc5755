"""The commands ``film`` and ``window``: what a gap means for the oil, for one card or many."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from typing import Any, Literal

from whitemetal.cli.files import FileInputError
from whitemetal.cli.film_cards import Ran, run_all, tasks_of
from whitemetal.cli.screen import Screen, progress, progress_done, screen_for
from whitemetal.errors import WhitemetalError
from whitemetal.words import say

What = Literal["film", "window"]
FORMAT = "whitemetal.films/1"


def show(options: argparse.Namespace, what: What, emit: Any) -> int:
    """Run the cards and show them; 0, or 2 when one of many has bad input, 1 when one could not be done.

    emit: prints lines. Of a single card what is wrong is raised.
    """
    from whitemetal.desk.film import in_memory, name_folder

    name_folder()
    rans = run_all(tasks_of(options), progress)
    if in_memory():
        print(say("film.page_in_memory"), file=sys.stderr)
    if len(rans) == 1:
        _raise(rans[0])
        found = rans[0].found
        if options.json:
            _dump(_json(found, what))
        else:
            screen = screen_for(sys.stdout, options.plain)
            emit(list(_lines(rans[0], what, screen)), screen)
        return 0
    progress_done(say("film.progress_done", done=sum(ran.found is not None for ran in rans), all=len(rans)))
    if options.json:
        _dump({"format": FORMAT, "bearings": [_entry(ran, what) for ran in rans]})
    else:
        screen = screen_for(sys.stdout, options.plain)
        emit([line for ran in rans if ran.found for line in _lines(ran, what, screen)], screen)
    return _tell(rans)


def _lines(ran: Ran, what: What, screen: Screen) -> Iterator[str]:
    from whitemetal.cli.film_text import film_lines, window_lines

    if ran.card is not None and ran.found is not None:
        yield from (film_lines if what == "film" else window_lines)(ran.card, ran.found, screen)


def _json(found: Any, what: What) -> dict[str, Any]:
    from whitemetal.fitting.consequence import as_json

    return as_json(found, maps=what == "film")


def _entry(ran: Ran, what: What) -> dict[str, Any]:
    """A bearing of many: its file, and its film or why there is none."""
    if ran.found is not None:
        return {"card": ran.task.name, "film": _json(ran.found, what), "problems": []}
    said = [str(problem) for problem in ran.problems] or [ran.why]
    return {"card": ran.task.name, "film": None, "problems": said}


def _raise(ran: Ran) -> None:
    if ran.problems:
        raise FileInputError(ran.file, *ran.problems)
    if ran.why:
        raise WhitemetalError(ran.why)


def _tell(rans: Sequence[Ran]) -> int:
    """What went wrong with some of many, on standard error; the exit status."""
    if any(ran.problems for ran in rans):
        print(say("film.some_wrong"), file=sys.stderr)
    for ran in rans:
        for problem in ran.problems:
            print(f"  {ran.file}: {problem}", file=sys.stderr)
        if ran.why:
            print(say("terminal.not_done", why=f"{ran.task.name}: {ran.why}"), file=sys.stderr)
    return 2 if any(ran.problems for ran in rans) else 1 if any(ran.why for ran in rans) else 0


def _dump(value: dict[str, Any]) -> None:
    escaped = not (sys.stdout.encoding or "").casefold().startswith("utf")
    json.dump(value, sys.stdout, ensure_ascii=escaped, indent=2, allow_nan=False)
    sys.stdout.write("\n")
