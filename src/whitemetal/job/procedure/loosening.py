"""The nuts loosened step by step, as steps a person ticks: for each time the cap is opened anew."""

from __future__ import annotations

from collections.abc import Iterator

from whitemetal.card import Card
from whitemetal.closing.sequence import Pass
from whitemetal.gauging.tightening.doubts import shown
from whitemetal.gauging.tightening.layout import sequence_of
from whitemetal.job.fit_matrix import CAP_OPENED
from whitemetal.job.procedure.standing import DONE
from whitemetal.job.procedure.step import Step
from whitemetal.job.state import JobState
from whitemetal.words import say

LOOSEN = "loosen"
"""First word of the keys: "loosen.OPENING.STEP", both counted from 1."""


def loosening_steps(card: Card, state: JobState) -> tuple[Step, ...]:
    """The steps of the next loosening: of the first opening, or after the cap was last opened; () where the
    card has no order for its nuts."""
    order, opening, why = sequence_of(card), opening_of(state), say("closing.loosen_why")
    return tuple(
        Step(f"{LOOSEN}.{opening}.{one.number}", "as_found", _text(one, card), why)
        for one in (order.loosening if order is not None else ())
    )


def opening_of(state: JobState) -> int:
    """Which opening of the cap comes next, counted from 1."""
    return 1 + sum(one.what == CAP_OPENED and not one.struck for one in state.fit_changes)


def loosened_before(state: JobState) -> Iterator[str]:
    """What was ticked of earlier openings, in sentences."""
    for key, held in state.steps.items():
        word, _, rest = key.partition(".")
        opening, _, number = rest.partition(".")
        if word == LOOSEN and opening.isdecimal() and int(opening) < opening_of(state):
            done = [one for one in held if one.state == DONE]
            for one in done:
                at = one.at[:16].replace("T", " ")
                yield say("closing.loosened", opening=opening, number=number, by=one.by, at=at)


def _text(one: Pass, card: Card) -> str:
    order = " – ".join(map(str, one.order))
    if one.share <= 0.0:
        return f"{say('closing.loosen_free')}: {order}"
    eased = say("closing.loosen_to", share=round(100.0 * (1.0 - one.share)))
    left = "" if one.torque is None else f" ({say('closing.left_of_it', torque=shown(card, one.torque))})"
    return f"{eased}{left}: {order}"
