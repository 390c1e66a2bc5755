"""docs/published-cases.md: every result that is checked against somebody else's number."""

from __future__ import annotations

from tests.published.table import HEADS, Row, all_cases, rows
from tools.pages.layout import page, section, table

INTRO = """
Each number below was printed by somebody else, or follows in closed form, and `make test` computes it anew
and compares. *Allowed* is half a step of the last digit printed, unless it says why it is another. The
table at the end of `make test` is the same one, with the simulated coverage in it. *Known*: *seen* in the
source or a public copy of it, *from memory*, *derived* here in closed form, *common
practice*. [sources.md](sources.md) lists the sources.
"""


def pages() -> dict[str, str]:
    """The page by its path under docs/."""
    sections = [_section(name, held) for name, held in rows().items()]
    return {"published-cases.md": page("Results checked against the outside", INTRO, *sections)}


def gaps() -> list[str]:
    """Cases without a source, and tolerances of their own without a reason."""
    every = [(name, case) for name, held in all_cases().items() for case in held]
    bare = [f"{name}: {case.name} has no source" for name, case in every if not case.source]
    loose = [
        f"{name}: {case.name} allows {case.tolerance} without a reason"
        for name, case in every
        if case.tolerance is not None and not case.why
    ]
    return [*bare, *loose]


def _section(name: str, held: tuple[Row, ...]) -> str:
    return section(f"`tests/published/{name}.py`", table(HEADS, held))
