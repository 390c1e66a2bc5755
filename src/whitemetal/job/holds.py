"""Hold points as people leave them: the order of trust and the method's own points.

A change of the fit opens again every point of the order of trust that it touches (`fit_matrix`), unless the
person who closed the point had seen the change. What checks say of the points is in `chain`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from whitemetal.gauging.contract import HoldPoint, Method
from whitemetal.job import stale
from whitemetal.job.account import Account, Written
from whitemetal.job.chain import Chain, shown
from whitemetal.job.fit_matrix import CLEARANCE, POINTS, touches
from whitemetal.job.judgement import HoldShown
from whitemetal.job.state import HoldState, JobState
from whitemetal.words import say

__all__ = ["CLEARANCE", "ORDER_OF_TRUST", "hold_key", "hold_states", "holds_of"]

ORDER_OF_TRUST = POINTS


def hold_key(hold: str, check: str = "") -> str:
    """Key of a hold point in ``JobState.holds``."""
    return f"{hold}@{check}" if check else hold


def hold_states(account: Account) -> dict[str, HoldState]:
    """Every hold point that somebody closed or opened, by `hold_key`."""
    fits = [one for one in account.all("fit/1") if not account.strikes_of(one.id)]
    return {
        hold_key(hold, check): _state(hold, check, held, fits)
        for check in sorted(account.groups("hold/1"))
        for hold, held in sorted(account.slots("hold/1", check).items())
        if held
    }


def _state(hold: str, check: str, held: Sequence[Written], fits: Sequence[Written]) -> HoldState:
    ordered = sorted(held, key=lambda one: one.stamp.rank)
    last = ordered[-1]
    why, said = "", {one.text("state") for one in ordered}
    by_hand: Literal["open", "closed", "both"] = "closed" if said == {"closed"} else "open"
    if len(said) > 1:
        by_hand = "both"
        why = say("ledger.unaware_hold", who=", ".join(sorted({one.by for one in ordered})))
    opened = [
        one
        for one in fits
        if touches(stale.touched_by(one), frozenset({hold}))
        and hold in ORDER_OF_TRUST
        and not all(h.stamp.saw(one.stamp) for h in ordered)
    ]
    if not check and opened:
        why = say("ledger.opened_again", what=stale.in_words(opened[-1]), by=opened[-1].by)
    closed = last.text("state") == "closed" and not why
    return HoldState(hold, check, closed, last.text("text"), last.by, last.at, last.id, why, by_hand)


def holds_of(state: JobState, check: str, method: Method, found: Chain) -> tuple[HoldShown, ...]:
    """The hold points beside a check, in order: the method's before, the chain of trust and what is open
    beside it, the method's after."""
    before = [_of_method(state, check, point) for point in method.hold_points if point.when == "before"]
    after = [_of_method(state, check, point) for point in method.hold_points if point.when == "after"]
    return (*before, *shown(found, without=check), *after)


def _of_method(state: JobState, check: str, point: HoldPoint) -> HoldShown:
    held = state.holds.get(hold_key(point.key, check))
    closed = held is not None and held.closed
    return HoldShown(point.key, point.text, closed, _why(held, point.why))


def _why(held: HoldState | None, reason: str) -> str:
    if held is None:
        return reason
    if held.closed:
        return say("ledger.closed_by", by=held.by, text=held.text).rstrip(" :")
    return held.why or reason
