"""docs/mistakes.md: mistakes that cost machines, each made in a real job, and what catches it."""

from __future__ import annotations

from tests.mistakes.table import EXISTS, MISTAKES, Mistake, caught, told
from tools.pages.layout import page, section, table

INTRO = """
Each mistake below is made in a real job by the entry beside it, and the sentence that catches it is taken
from what the program then said (`tests/mistakes`). The same job without the mistake is within its limits and
is told nothing of the kind. That these mistakes cost machines is common practice.
"""

OPEN = "Their subject is not in the program yet, or only in part."


def pages() -> dict[str, str]:
    """The page by its path under docs/."""
    heads = ("#", "mistake", "the entry that makes it", "what catches it", "the verdict then")
    rows = [(one.number, one.what, one.entry, caught(one)[0], told(one.number, True)[1]) for one in EXISTS]
    still = [(one.number, one.what, one.still_open) for one in MISTAKES if one.still_open]
    open_ones = [section("Open", OPEN, table(("#", "mistake", "to come with"), still))] if still else []
    title = "Mistakes that cost machines, and what catches each"
    return {"mistakes.md": page(title, INTRO, table(heads, rows), *open_ones)}


def gaps() -> list[str]:
    """Mistakes that nothing catches, and those without an entry that are not listed as open."""
    return [f"mistake {one.number}: {why}" for one in MISTAKES if (why := _gap(one))]


def _gap(one: Mistake) -> str:
    if one.run is None:
        return "" if one.still_open else "neither made nor listed as open"
    return "" if caught(one) else "nothing catches it"
