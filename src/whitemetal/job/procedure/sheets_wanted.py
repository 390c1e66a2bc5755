"""Which data sheets a procedure fills in, in the order of its steps: the work pack prints them so, and what
was written on them by hand is typed in so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from whitemetal.gauging import METHODS
from whitemetal.job.procedure.standing import check_of
from whitemetal.job.procedure.step import Step
from whitemetal.job.state import CheckState, JobState


@dataclass(frozen=True)
class SheetWanted:
    """A data sheet. number: of the sheet in the pack, from 1. step: key of the step it belongs to."""

    number: int
    method: str
    purpose: str
    step: str

    @property
    def title(self) -> str:
        """The method's title."""
        return METHODS[self.method].title


@dataclass(frozen=True)
class SheetFilled:
    """A sheet and the check that it is typed into, None while none was begun. written: how many readings and
    facts stand in it; places: how many places it has."""

    sheet: SheetWanted
    check: CheckState | None
    written: int
    places: int


def sheets_wanted(steps: Sequence[Step]) -> tuple[SheetWanted, ...]:
    """The sheets in order, each once; none for a step that the plant dropped."""
    first: dict[tuple[str, str], str] = {}
    for step in steps:
        if step.method in METHODS and step.dropped is None:
            first.setdefault((step.method, step.purpose), step.key)
    return tuple(
        SheetWanted(number, method, purpose, key)
        for number, ((method, purpose), key) in enumerate(first.items(), start=1)
    )


def sheets_filled(steps: Sequence[Step], state: JobState) -> tuple[SheetFilled, ...]:
    """The same with what of each was typed in."""
    of = {step.key: step for step in steps}
    return tuple(_filled(sheet, check_of(of[sheet.step], state)) for sheet in sheets_wanted(steps))


def _filled(sheet: SheetWanted, check: CheckState | None) -> SheetFilled:
    if check is None:
        return SheetFilled(sheet, None, 0, 0)
    own = [fact for key, fact in check.facts.items() if fact.entry and not key.startswith("instrument.")]
    written = len(check.readings) + len(check.unreadable) + len(own)
    return SheetFilled(sheet, check, written, len(check.places))
