"""Hold points: the order of trust, the method's own points, which are closed, and why the others are not.

The order of trust is common practice: a later point means nothing while an earlier one is open. A change
of the fit opens again every point from the one it touches on, unless the person who closed the point had
seen the change.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from whitemetal.gauging.contract import HoldPoint, Method
from whitemetal.job import stale
from whitemetal.job.account import Account, Written
from whitemetal.job.judgement import HoldShown, Judgement
from whitemetal.job.state import HoldState, JobState
from whitemetal.words import say

CLEARANCE = "clearance"
ORDER_OF_TRUST = (
    "joint_faces", "tightening", "crush", "contact", CLEARANCE, "alignment", "seals",
)  # fmt: skip

OPENS_FROM: Mapping[str, str] = {
    "shell": "joint_faces",
    "shim": "joint_faces",
    "gasket": "joint_faces",
    "tightening": "tightening",
    "scraping": "contact",
    "journal": "contact",
}
"""The first point of the order of trust that a change of the fit opens again. Common practice."""


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
    why = ""
    if len({one.text("state") for one in ordered}) > 1:
        why = say("ledger.unaware_hold", who=", ".join(sorted({one.by for one in ordered})))
    opened = [one for one in fits if _opens(one, hold) and not all(h.stamp.saw(one.stamp) for h in ordered)]
    if not check and opened:
        why = say("ledger.opened_again", what=stale.in_words(opened[-1]), by=opened[-1].by)
    closed = last.text("state") == "closed" and not why
    return HoldState(hold, check, closed, last.text("text"), last.by, last.at, last.id, why)


def _opens(change: Written, hold: str) -> bool:
    """Whether a change of the fit reaches a hold point. An unknown kind of change reaches all."""
    if hold not in ORDER_OF_TRUST:
        return False
    first = OPENS_FROM.get(change.text("what"), ORDER_OF_TRUST[0])
    return ORDER_OF_TRUST.index(hold) >= ORDER_OF_TRUST.index(first)


def holds_of(state: JobState, check: str, method: Method) -> tuple[HoldShown, ...]:
    """The hold points beside a check, in order: the method's before, the order of trust, the method's after.

    The clearance itself is left out: the check's own verdict closes it (`with_clearance`).
    """
    before = [_of_method(state, check, point) for point in method.hold_points if point.when == "before"]
    after = [_of_method(state, check, point) for point in method.hold_points if point.when == "after"]
    return (
        *before,
        *_in_order([_of_trust(state, key) for key in ORDER_OF_TRUST if key != CLEARANCE]),
        *after,
    )


def _of_method(state: JobState, check: str, point: HoldPoint) -> HoldShown:
    held = state.holds.get(hold_key(point.key, check))
    closed = held is not None and held.closed
    return HoldShown(point.key, point.text, closed, _why(held, point.why))


def _of_trust(state: JobState, key: str) -> HoldShown:
    held = state.holds.get(key)
    closed = held is not None and held.closed
    return HoldShown(key, say(f"ledger.hold_{key}"), closed, _why(held, say(f"ledger.why_{key}")))


def _why(held: HoldState | None, reason: str) -> str:
    if held is None:
        return reason
    if held.closed:
        return say("ledger.closed_by", by=held.by, text=held.text).rstrip(" :")
    return held.why or reason


def _in_order(points: list[HoldShown]) -> list[HoldShown]:
    """A closed point behind an open one is shown open: what it rests on is not proven."""
    shown: list[HoldShown] = []
    for point in points:
        first_open = next((one for one in shown if not one.closed), None)
        if point.closed and first_open is not None:
            why = say("ledger.waits_for", why=point.why, earlier=first_open.text)
            point = replace(point, closed=False, why=why)
        shown.append(point)
    return shown


def with_clearance(judgement: Judgement, method: Method) -> Judgement:
    """The judgement with the clearance's own hold point in its order, closed by this check's verdict."""
    if method.measures != "oil clearance":
        return judgement
    closed = judgement.verdict == "within limits" and not judgement.stale
    why = say("ledger.clearance_says", verdict=judgement.verdict)
    mine = HoldShown(CLEARANCE, say("ledger.hold_clearance"), closed, why)
    by_key = {hold.key: hold for hold in judgement.holds} | {CLEARANCE: mine}
    trust = _in_order([by_key[key] for key in ORDER_OF_TRUST if key in by_key])
    trusted = {hold.key: hold for hold in trust}
    shown: list[HoldShown] = []
    for hold in judgement.holds:
        if hold.key == "alignment":
            shown.append(trusted[CLEARANCE])
        shown.append(trusted.get(hold.key, hold))
    return replace(judgement, holds=tuple(shown))
