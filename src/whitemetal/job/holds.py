"""Hold points: the order of trust, the method's own points, which are closed, and why the others are not.

The order of trust is common practice: a later point means nothing while an earlier one is open. A change
of the fit opens again every point that it touches (`fit_matrix`), unless the person who closed the point had
seen the change. A point that some check proves is closed by the newest such check, not by hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from whitemetal.gauging.contract import HoldPoint, Method
from whitemetal.job import stale
from whitemetal.job.account import Account, Written
from whitemetal.job.fit_matrix import POINTS, touches
from whitemetal.job.judgement import HoldShown, Judgement, Word
from whitemetal.job.state import HoldState, JobState
from whitemetal.words import say

CLEARANCE = "clearance"
ORDER_OF_TRUST = POINTS


@dataclass(frozen=True)
class Proof:
    """What the newest check that proves a point says of it. title: of its method; stale: why it does not
    count any more, "" while it does."""

    check: str
    title: str
    verdict: Word
    stale: str = ""

    @property
    def closes(self) -> bool:
        """Whether the point is closed by it."""
        return self.verdict == "within limits" and not self.stale


Proofs = Mapping[str, Proof]
"""By hold point."""

NO_PROOFS: Proofs = {}


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
    return HoldState(hold, check, closed, last.text("text"), last.by, last.at, last.id, why)


def holds_of(
    state: JobState, check: str, method: Method, *, proofs: Proofs = NO_PROOFS, no_crush: bool = False
) -> tuple[HoldShown, ...]:
    """The hold points beside a check, in order: the method's before, the order of trust, the method's after.

    The point that the check itself proves is left out: its own verdict closes it (`with_own_point`).
    proofs: of the other checks. no_crush: the bearing is poured in its cap, so that no crush exists.
    """
    before = [_of_method(state, check, point) for point in method.hold_points if point.when == "before"]
    after = [_of_method(state, check, point) for point in method.hold_points if point.when == "after"]
    trust = trust_of(state, proofs, no_crush=no_crush, without=method.proves)
    return (*before, *trust, *after)


def trust_of(
    state: JobState, proofs: Proofs, *, no_crush: bool = False, without: str = ""
) -> tuple[HoldShown, ...]:
    """The order of trust as people and checks leave it."""
    points = [_of_trust(state, key, proofs.get(key), no_crush) for key in ORDER_OF_TRUST if key != without]
    return tuple(_in_order(points))


def _of_method(state: JobState, check: str, point: HoldPoint) -> HoldShown:
    held = state.holds.get(hold_key(point.key, check))
    closed = held is not None and held.closed
    return HoldShown(point.key, point.text, closed, _why(held, point.why))


def _of_trust(state: JobState, key: str, proof: Proof | None, no_crush: bool) -> HoldShown:
    text = say(f"ledger.hold_{key}")
    if key == "crush" and no_crush:
        return HoldShown(key, text, True, say("ledger.no_crush"))
    held = state.holds.get(key)
    closed = held is not None and held.closed
    if proof is not None:
        return HoldShown(key, text, proof.closes, _by_check(proof, held))
    return HoldShown(key, text, closed and key != CLEARANCE, _why(held, say(f"ledger.why_{key}")))


def _by_check(proof: Proof, held: HoldState | None) -> str:
    """What the check says, and that somebody closed the point by hand against it."""
    said = say("ledger.check_says", title=proof.title, verdict=proof.verdict)
    if proof.stale:
        said = say("ledger.check_stale", title=proof.title)
    if held is not None and held.closed and not proof.closes:
        return say("ledger.against_check", said=said, by=held.by, text=held.text)
    return said


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


def with_own_point(judgement: Judgement, method: Method) -> Judgement:
    """The judgement with the point that it proves in its order, closed by its own verdict."""
    key = method.proves
    if key not in ORDER_OF_TRUST:
        return judgement
    closed = judgement.verdict == "within limits" and not judgement.stale
    mine = HoldShown(
        key, say(f"ledger.hold_{key}"), closed, say("ledger.own_verdict", verdict=judgement.verdict)
    )
    by_key = {hold.key: hold for hold in judgement.holds if hold.key in ORDER_OF_TRUST} | {key: mine}
    trust = _in_order([by_key[one] for one in ORDER_OF_TRUST if one in by_key])
    before = [
        hold for hold in judgement.holds if hold.key not in ORDER_OF_TRUST and _is(method, hold, "before")
    ]
    after = [
        hold for hold in judgement.holds if hold.key not in ORDER_OF_TRUST and not _is(method, hold, "before")
    ]
    return replace(judgement, holds=(*before, *trust, *after))


def _is(method: Method, hold: HoldShown, when: str) -> bool:
    return any(point.key == hold.key and point.when == when for point in method.hold_points)
