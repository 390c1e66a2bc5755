"""The permit to work as a job has it: its number is noted once, at the step of the procedure or at a check,
and stands ready wherever it is asked again. That the machine is isolated is looked at and ticked each time.
"""

from __future__ import annotations

from dataclasses import dataclass

from whitemetal.job.procedure.standing import DONE
from whitemetal.job.state import JobState

STEP = "isolate.permit"
HOLD = "isolated"
"""Key of the hold point of every check that is taken with a hand in the machine."""


@dataclass(frozen=True)
class Permit:
    """text: its number as noted. by: who noted it."""

    text: str
    by: str


def permit_of(state: JobState) -> Permit | None:
    """The permit that stands: of the procedure's step, else of the checks' own points. None where nobody
    noted one, where its step was opened again, and where people noted different ones: a person says which."""
    ticked = state.steps.get(STEP, ())
    if ticked:
        noted = [Permit(one.text.strip(), one.by) for one in ticked if one.state == DONE]
        return _one(noted) if len(noted) == len(ticked) else None
    return _one(
        [
            Permit(held.text.strip(), held.by)
            for held in state.holds.values()
            if held.key == HOLD and held.closed and held.text.strip()
        ]
    )


def _one(noted: list[Permit]) -> Permit | None:
    return noted[-1] if len({one.text for one in noted}) == 1 and noted[-1].text else None
