"""Where each step of a job stands: by what people ticked, by the checks and by the chain of trust."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from whitemetal.errors import InputError, Problem
from whitemetal.job.chain import Chain, Link
from whitemetal.job.procedure.step import Step
from whitemetal.job.state import CheckState, JobState
from whitemetal.words import say

DONE, OPEN, NOT_HERE = "done", "open", "does not apply"
STATES = (DONE, OPEN, NOT_HERE)

Stands = Literal["done", "open", "does not apply", "dropped"]


@dataclass(frozen=True)
class Standing:
    """Where a step stands. by, text: who said so and what was noted, "" while nobody did; all of them where
    people unaware of each other said the same of it. both: a sentence
    where people unaware of each other said different things, "" else. by_hand: whether a person ticks it.
    check: the check that records it, "" while there is none."""

    step: Step
    stands: Stands
    by: str = ""
    text: str = ""
    at: str = ""
    both: str = ""
    by_hand: bool = True
    check: str = ""


def standings(steps: Sequence[Step], state: JobState, chain: Chain) -> tuple[Standing, ...]:
    """Where every step stands. A point of the order of trust is closed by the chain and by no tick; a step
    that a check records is done when the check has readings, or when a person says so."""
    links = {link.key: link for link in chain.links}
    return tuple(_standing(step, state, links.get(step.trust)) for step in steps)


def _standing(step: Step, state: JobState, link: Link | None) -> Standing:
    check = check_of(step, state)
    name = check.check if check is not None else ""
    dropped = step.dropped
    if dropped is not None:
        return Standing(step, "dropped", dropped.by, dropped.why, by_hand=False, check=name)
    if link is not None:
        stands: Stands = "done" if link.stands else "open"
        return Standing(step, stands, "", link.said if link.stands else link.todo, by_hand=False, check=name)
    held = state.steps.get(step.key, ())
    if len({one.state for one in held}) > 1:
        who = ", ".join(sorted({one.by for one in held}))
        return Standing(step, "open", both=say("procedure.both", who=who), check=name)
    if held and held[-1].state != OPEN:
        ticked: Stands = NOT_HERE if held[-1].state == NOT_HERE else DONE  # type: ignore[assignment]
        by = ", ".join(dict.fromkeys(one.by for one in held))
        noted = "; ".join(dict.fromkeys(one.text for one in held if one.text))
        return Standing(step, ticked, by, noted, held[-1].at, check=name)
    if check is not None and check.measured_by and not check.stale:
        return Standing(step, "done", ", ".join(check.measured_by), check=name)
    return Standing(step, "open", check=name)


def check_of(step: Step, state: JobState) -> CheckState | None:
    """The check begun last that records this step; None without one."""
    found = [
        check
        for check in state.checks.values()
        if step.method and check.method == step.method and check.purpose == step.purpose
    ]
    return found[-1] if found else None


def first_open(found: Sequence[Standing]) -> Standing | None:
    """The first step that is neither done nor left out."""
    return next((one for one in found if one.stands == "open"), None)


def passed_over(found: Sequence[Standing]) -> tuple[Standing, ...]:
    """Hold points that protect people and are open although a step behind them is done."""
    last = max((number for number, one in enumerate(found) if one.stands == "done"), default=-1)
    return tuple(one for one in found[: max(last, 0)] if _open_hold(one))


def _open_hold(one: Standing) -> bool:
    return one.stands == "open" and one.step.hold and one.step.people


def may_tick(steps: Mapping[str, Step], step: str, state: str, text: str) -> None:
    """Raises InputError for a step that is not in the procedure, that no hand ticks, or whose note lacks."""
    found = steps.get(step)
    if found is None:
        raise InputError(Problem("step", step, say("procedure.in_procedure")))
    if state not in STATES:
        raise InputError(Problem("state", state, ", ".join(STATES)))
    if found.trust:
        raise InputError(Problem("step", step, say("procedure.by_chain", text=found.text)))
    if found.dropped is not None:
        raise InputError(Problem("step", step, say("procedure.is_dropped", by=found.dropped.by)))
    if state == DONE and found.note and not text.strip():
        raise InputError(Problem(found.note, "", say("procedure.note_expected", note=found.note)))
    if state == NOT_HERE and not text.strip():
        raise InputError(Problem(say("procedure.why_not_here"), "", say("procedure.reason_expected")))
