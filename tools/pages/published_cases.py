"""docs/published-cases.md: every result that is checked against somebody else's number."""

from __future__ import annotations

import importlib
import pkgutil

import tests.published
from tests.published.case import Case
from tools.pages.layout import page, section, table

INTRO = """
Each number below was printed by somebody else, or follows in closed form, and `make test` computes it anew
and compares. *Allowed* is half a step of the last digit printed unless the note says why it is another. The
tags: *seen* in the source or a public copy of it, *from memory*, *derived* here in closed form, *common
practice*. Uncertainties on random budgets are compared with an independent library besides, and the stated
coverage is tried on simulated bearings. Figures of the oil film that were read from charts are allowed the
width of a chart's line, which the note says.
"""


def cases() -> dict[str, tuple[Case, ...]]:
    """The cases of each test file that has some, by its name."""
    found = {}
    for each in pkgutil.iter_modules(tests.published.__path__):
        module = importlib.import_module(f"tests.published.{each.name}")
        held = tuple(case for case in getattr(module, "CASES", ()) if isinstance(case, Case))
        if held:
            found[each.name] = held
    return found


def pages() -> dict[str, str]:
    """The page by its path under docs/."""
    sections = [_section(name, held) for name, held in cases().items()]
    return {"published-cases.md": page("Results checked against the outside", INTRO, *sections)}


def gaps() -> list[str]:
    """Cases without a source, and tolerances of their own without a reason."""
    every = [(name, case) for name, held in cases().items() for case in held]
    bare = [f"{name}: {case.name} has no source" for name, case in every if not case.source]
    loose = [
        f"{name}: {case.name} allows {case.tolerance} without a reason"
        for name, case in every
        if case.tolerance is not None and not case.why
    ]
    return [*bare, *loose]


def _section(name: str, held: tuple[Case, ...]) -> str:
    heads = ("what", "printed", "unit", "allowed", "source", "tag", "note")
    rows = [
        (case.name, case.expected, case.unit, f"{case.allowed:.2g}", case.source, case.tag, case.why)
        for case in held
    ]
    return section(f"`tests/published/{name}.py`", table(heads, rows))
