"""Which data sheets a procedure fills in, in the order of its steps: the work pack prints them so, and what
was written on them by hand is typed in so. Which of them are printed, a person chooses by the keys of their
steps and the words below; a sheet keeps its number whatever else is printed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from whitemetal.errors import InputError, Problem
from whitemetal.gauging import METHODS
from whitemetal.job.chain import CLOSED_UP
from whitemetal.job.fit_matrix import CLEARANCE
from whitemetal.job.procedure.standing import check_of
from whitemetal.job.procedure.step import Step
from whitemetal.job.state import CheckState, JobState
from whitemetal.words import say

USUAL, ALL, NONE = "usual", "all", "none"
"""Words of a choice: the sheets printed unless somebody chooses, every sheet, no sheet but those named."""

CONDITION = "condition"
"""The method that records how the bearing was found."""


@dataclass(frozen=True)
class SheetWanted:
    """A data sheet. number: of the sheet in the whole pack, from 1. step: key of the step it belongs to.
    usual: whether it is printed unless somebody chooses otherwise: what closes a point of the order of trust
    or counts out, and the condition and the clearance as found. Our own choice."""

    number: int
    method: str
    purpose: str
    step: str
    usual: bool = False

    @property
    def title(self) -> str:
        """The method's title."""
        return METHODS[self.method].title


@dataclass(frozen=True)
class SheetFilled:
    """A sheet and the check that it is typed into, None while none was begun. written: how many readings and
    facts stand in it; places: how many places it has. printed: whether it was chosen for the pack."""

    sheet: SheetWanted
    check: CheckState | None
    written: int
    places: int
    printed: bool = True


def sheets_wanted(steps: Sequence[Step]) -> tuple[SheetWanted, ...]:
    """The sheets in order, each once; none for a step that the plant dropped."""
    first: dict[tuple[str, str], Step] = {}
    for step in steps:
        if step.method in METHODS and step.dropped is None:
            first.setdefault((step.method, step.purpose), step)
    return tuple(
        SheetWanted(number, step.method, step.purpose, step.key, _usual(step))
        for number, step in enumerate(first.values(), start=1)
    )


def _usual(step: Step) -> bool:
    found = step.stage == "as_found" and (
        step.method == CONDITION or METHODS[step.method].proves == CLEARANCE
    )
    return bool(step.trust) or step.method == CLOSED_UP or found


def chosen(sheets: Sequence[SheetWanted], words: Iterable[str]) -> tuple[SheetWanted, ...]:
    """The sheets to print. words: keys of steps, USUAL, ALL or NONE, each text one or several with commas
    between; nothing at all is USUAL. Raises InputError on a word that names no sheet."""
    named = [word for text in words for part in text.split(",") if (word := part.strip())] or [USUAL]
    keys = [one.step for one in sheets]
    unknown = [word for word in named if word not in (USUAL, ALL, NONE, *keys)]
    if unknown:
        expected = say("procedure.sheet_expected", known=", ".join((USUAL, ALL, NONE, *keys)))
        raise InputError(*(Problem("sheets", word[:80], expected) for word in unknown))
    return tuple(one for one in sheets if ALL in named or one.step in named or (one.usual and USUAL in named))


def choice_text(sheets: Sequence[SheetWanted], printed: Sequence[SheetWanted]) -> str:
    """A choice as one text that `chosen` reads back, "" for the usual one."""
    if list(printed) == [one for one in sheets if one.usual]:
        return ""
    return ALL if len(printed) == len(sheets) else ",".join((NONE, *(one.step for one in printed)))


def sheets_filled(
    steps: Sequence[Step], state: JobState, words: Iterable[str] = (ALL,)
) -> tuple[SheetFilled, ...]:
    """What of each was typed in: in the order of the pack those chosen by `words`, as of `chosen`, then the
    others. Raises InputError on a word that names no sheet."""
    of = {step.key: step for step in steps}
    sheets = sheets_wanted(steps)
    printed = chosen(sheets, words)
    left_out = [sheet for sheet in sheets if sheet not in printed]
    return (
        *(_filled(sheet, check_of(of[sheet.step], state), True) for sheet in printed),
        *(_filled(sheet, check_of(of[sheet.step], state), False) for sheet in left_out),
    )


def _filled(sheet: SheetWanted, check: CheckState | None, printed: bool) -> SheetFilled:
    if check is None:
        return SheetFilled(sheet, None, 0, 0, printed)
    own = [fact for key, fact in check.facts.items() if fact.entry and not key.startswith("instrument.")]
    written = len(check.readings) + len(check.unreadable) + len(own)
    return SheetFilled(sheet, check, written, len(check.places), printed)
