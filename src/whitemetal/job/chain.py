"""The chain of trust of a job: every point in order, what proves it, whether it is closed, and why not.

The order is common practice: joint faces and seat, tightening, crush, contact, clearance, then alignment and
seals; a later point means nothing while an earlier one is open. A point that checks measure is closed by the
newest of them (`deciding`) and by no hand; any other is closed by a person. Three things more keep a bearing
from being fit: a check of something else that is outside its limits, a hold point of a check that counts,
and, once its nuts were pulled in a check, that nobody has counted out since the cap was last opened.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from whitemetal.card import Card
from whitemetal.gauging import METHODS
from whitemetal.job.fit_matrix import CLEARANCE, POINTS
from whitemetal.job.judgement import HoldShown, Word
from whitemetal.job.judgement_json import plain
from whitemetal.job.state import CheckState, HoldState, JobState
from whitemetal.words import say

CHAIN = "whitemetal.chain/1"
CLOSED_UP = "closed_up"
"""The check that everything was counted out after the last opening."""

BY_CHECK_ALONE = (CLEARANCE,)
"""Points that no hand closes."""

ClosedBy = Literal["check", "person", "does not apply", ""]
Words = Mapping[str, Word]
"""The verdict of every check that speaks for something, by check."""


@dataclass(frozen=True)
class Says:
    """What a check says of a point. stale: why it does not count any more, "" while it does. by: who
    measured. asks: texts of its own hold points that are open."""

    check: str
    title: str
    purpose: str
    verdict: Word
    stale: str
    by: str
    asks: tuple[str, ...] = ()

    @property
    def closes(self) -> bool:
        """Whether it closes what it speaks for."""
        return self.verdict == "within limits" and not self.stale


@dataclass(frozen=True)
class Link:
    """A point of the order of trust. why: it matters. stands: whether it is closed by itself; closed: and
    everything before it too. by: who or what decides; said: in a sentence. contradiction: somebody closed it
    by hand against a check, "" when nobody did. waits_for: the text of the first open point before it.
    todo: what would close it, "" where it is closed."""

    key: str
    text: str
    why: str
    stands: bool
    closed: bool
    by: ClosedBy
    said: str
    checks: tuple[Says, ...] = ()
    contradiction: str = ""
    waits_for: str = ""
    todo: str = ""

    @property
    def by_hand(self) -> bool:
        """Whether a person may close and open it: no check measures it."""
        return not self.checks and self.key not in BY_CHECK_ALONE and self.by != "does not apply"

    @property
    def full_why(self) -> str:
        """The sentence on it with what it contradicts and what it waits for."""
        said = self.contradiction or self.said or self.why
        if not self.waits_for:
            return said
        return say("fit.waits_for", why=said, earlier=self.waits_for)


@dataclass(frozen=True)
class Chain:
    """links: the order of trust. others: checks of what is no point of it. bearing: fit when every point and
    every hold point of the checks is closed and no other check is outside limits. still_open: what is not.
    counting: what keeps the bearing from being counted out, () where nothing does."""

    links: tuple[Link, ...]
    others: tuple[Says, ...]
    bearing: Literal["fit", "not fit"]
    still_open: tuple[str, ...]
    counting: tuple[HoldShown, ...] = ()

    @property
    def next(self) -> Link | None:
        """The first point that does not stand by itself."""
        return next((link for link in self.links if not link.stands), None)


def chain(state: JobState, words: Words, card: Card) -> Chain:
    """The chain of a job. words: of every check in ``state.deciding``; one that is missing is not proven."""
    links = tuple(_in_order([_link(state, key, words, card) for key in POINTS]))
    others = tuple(
        one
        for thing in state.deciding
        if thing not in POINTS
        for one in _says(state, thing, words)
        if not one.stale
    )
    counting = tuple(_counting(state, words))
    still = (
        *(link.text for link in links if not link.closed),
        *(extra.text for extra in (*beside(links, others), *counting)),
    )
    return Chain(links, others, "not fit" if still else "fit", still, counting)


def _counting(state: JobState, words: Words) -> Iterator[HoldShown]:
    """What is open of counting out, once a check says how the nuts were pulled: before that the cap is not
    shut for the last time."""
    if not state.deciding.get("tightening"):
        return
    found = tuple(_says(state, CLOSED_UP, words))
    open_still = [one for one in found if not one.closes]
    asks = [text for one in found for text in one.asks]
    if not found:
        yield HoldShown(CLOSED_UP, say("fit.count_out"), False, say("fit.count_missing"))
    elif open_still:
        yield HoldShown(CLOSED_UP, say("fit.count_out"), False, " ".join(map(_told, open_still)))
    elif asks:
        yield HoldShown(CLOSED_UP, say("fit.count_out"), False, say("fit.asks_why", holds="; ".join(asks)))


def chain_json(found: Chain) -> dict[str, Any]:
    """The chain as plain JSON values."""
    return {"format": CHAIN, **plain(found)}


def beside(links: Sequence[Link], others: Sequence[Says], without: str = "") -> tuple[HoldShown, ...]:
    """What is open beside the order of trust: checks outside their limits, open hold points of checks that
    close something. without: a check whose own hold points are shown elsewhere."""
    outside = [
        HoldShown(f"outside.{one.check}", say("fit.outside", title=one.title), False, _told(one))
        for one in others
        if one.verdict == "outside limits"
    ]
    closing = [one for link in links for one in link.checks if one.closes and one.asks]
    asks = [
        HoldShown(
            f"asks.{one.check}", say("fit.asks", title=one.title), False,
            say("fit.asks_why", holds="; ".join(one.asks)),
        )
        for one in closing
        if one.check != without
    ]  # fmt: skip
    return (*outside, *asks)


def shown(found: Chain, without: str = "") -> tuple[HoldShown, ...]:
    """The chain as hold points beside a judgement, and what is open beside it. without: as of `beside`."""
    points = tuple(HoldShown(link.key, link.text, link.closed, link.full_why) for link in found.links)
    return (*points, *beside(found.links, found.others, without), *found.counting)


def _link(state: JobState, key: str, words: Words, card: Card) -> Link:
    text, why = say(f"ledger.hold_{key}"), say(f"ledger.why_{key}")
    if key == "crush" and no_crush(card):
        return Link(key, text, why, True, True, "does not apply", say("fit.no_crush"))
    held, checks = state.holds.get(key), tuple(_says(state, key, words))
    link = Link(key, text, why, False, False, "check" if checks else "person", "", checks)
    return _measured(link, held) if checks else _by_hand(link, held)


def no_crush(card: Card) -> bool:
    """Whether no crush exists: the white metal is poured in the cap, so that there is no shell."""
    return card.joint.shim_sits == "lined cap joint"


def _measured(link: Link, held: HoldState | None) -> Link:
    """A point that checks speak for. A person who opened it by hand after them is heard; one who closed it
    against them is not, and is named."""
    said, todo = " ".join(map(_told, link.checks)), _todo(link.checks)
    stands = all(one.closes for one in link.checks)
    if held is not None and held.by_hand != "closed" and not _since(held, link.checks):
        return replace(link, said=_opened(held), todo=say("fit.do_again"))
    if held is not None and held.closed and not stands:
        against = say("fit.against", by=held.by, text=held.text, said=said)
        return replace(link, said=said, contradiction=against, todo=todo)
    return replace(link, stands=stands, closed=stands, said=said, todo="" if stands else todo)


def _since(held: HoldState, checks: Sequence[Says]) -> bool:
    """Whether every one of the checks was measured by somebody who had seen what was done by hand."""
    return all(one.check in held.older_than for one in checks)


def _by_hand(link: Link, held: HoldState | None) -> Link:
    ways = [method.title for method in METHODS.values() if method.proves == link.key]
    name = "fit.do_measure" if link.key in BY_CHECK_ALONE else "fit.do_by_hand" if ways else "fit.do_look"
    todo = say(name, ways=", ".join(ways)) if ways else say(name)
    if held is None:
        return replace(link, by="", said=say("fit.nobody", why=link.why), todo=todo)
    if not held.closed:
        return replace(link, said=held.why or _opened(held), todo=todo)
    if link.key in BY_CHECK_ALONE:
        return replace(link, said=say("fit.not_by_hand", by=held.by), todo=todo)
    said = say("ledger.closed_by", by=held.by, text=held.text).rstrip(" :")
    return replace(link, stands=True, closed=True, said=said)


def _opened(held: HoldState) -> str:
    return say("fit.opened_by", by=held.by, text=held.text).rstrip(" :")


def _says(state: JobState, thing: str, words: Words) -> Iterator[Says]:
    for check in state.deciding.get(thing, ()):
        found = state.checks[check]
        method = METHODS[found.method]
        yield Says(
            check, method.title, found.purpose, words.get(check, "not proven"), " ".join(found.stale),
            ", ".join(found.measured_by), tuple(_asks(state, found)),
        )  # fmt: skip


def _asks(state: JobState, check: CheckState) -> Iterator[str]:
    for point in METHODS[check.method].hold_points:
        held = state.holds.get(f"{point.key}@{check.check}")
        if held is None or not held.closed:
            yield point.text


def _told(one: Says) -> str:
    if one.stale:
        return say("fit.check_stale", title=one.title, by=one.by, why=one.stale)
    return say("fit.check_says", title=one.title, by=one.by, verdict=one.verdict)


def _todo(checks: Sequence[Says]) -> str:
    if any(one.stale for one in checks):
        return say("fit.do_again")
    outside = any(one.verdict == "outside limits" for one in checks)
    return say("fit.do_put_right" if outside else "fit.do_look_at_check")


def _in_order(links: Sequence[Link]) -> Iterator[Link]:
    """A closed point behind an open one is open: what it rests on is not proven."""
    first_open = ""
    for link in links:
        if first_open and link.stands:
            yield replace(link, closed=False, waits_for=first_open)
        else:
            yield link
        first_open = first_open or ("" if link.closed else link.text)
