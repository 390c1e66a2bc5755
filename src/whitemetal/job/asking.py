"""What is asked back before a thing is kept: the door of a job. Nothing typed is ever replaced in silence."""

from __future__ import annotations

import re
from dataclasses import dataclass

from whitemetal.errors import InputError, Problem
from whitemetal.fitting.verdict import RuleName
from whitemetal.gauging.contract import Method
from whitemetal.job import stale
from whitemetal.job.account import Account, Written
from whitemetal.job.entry import Entry
from whitemetal.job.fit_matrix import FIT_CHANGES, HALVES, JOINTS
from whitemetal.job.holds import CLEARANCE, ORDER_OF_TRUST
from whitemetal.job.kinds import HOLD_STATES, KINDS, UNKNOWN, is_as_found, place_from
from whitemetal.job.sight import Clock
from whitemetal.job.typed import known_key, method_or_none, read_reading
from whitemetal.words import say

RULES: tuple[RuleName, ...] = ("conformity probability", "simple acceptance")
MOST_SQUEEZES = 99
"""A squeeze with a larger number is a slip of the key. Our own."""

_ID = re.compile("[a-z2-7]{26}")

REPEAT = "repeat"
"""The question whether a reading repeats the one that is there."""


@dataclass(frozen=True)
class Begun:
    """A check as it was begun."""

    method: Method
    places: tuple[str, ...]


def begun(account: Account, check: str) -> Begun:
    """The check's method and places. Raises InputError when there is none or its method is unknown."""
    found = account.at("check/1", check, "")
    if not found:
        raise InputError(Problem("check", check, say("ledger.known_check")))
    first = min(found, key=lambda one: one.stamp.rank)
    method = method_or_none(first.text("method"))
    if method is None:
        raise InputError(Problem("method", first.text("method"), say("ledger.known_method")))
    return Begun(method, tuple(place_from(place).label for place in first.body["places"]))


def reading_body(
    account: Account, check: str, place: str, text: str, unit: str, squeeze: int, instrument: str,
    repeat: bool,
) -> tuple[dict[str, str | int], Problem | None]:  # fmt: skip
    """Body of a reading's entry, and what is wrong with its text. Raises InputError on a place not there."""
    found = begun(account, check)
    if place not in found.places:
        raise InputError(Problem("place", place, say("ledger.one_of", choices=", ".join(found.places))))
    if not 1 <= squeeze <= MOST_SQUEEZES:
        raise InputError(Problem("squeeze", str(squeeze), say("ledger.squeeze", most=MOST_SQUEEZES)))
    if not text.strip():
        raise InputError(Problem(place, text, say("ledger.a_reading")))
    bare = isinstance(read_reading(found.method, place, text, ""), Problem)
    read = read_reading(found.method, place, text, unit)
    problem = read if isinstance(read, Problem) else None
    body: dict[str, str | int] = {
        "check": check, "place": place, "squeeze": squeeze, "text": text, "unit": unit if bare else "",
        "basis": found.method.basis, "instrument": instrument, "repeat": "yes" if repeat else "no",
        "unreadable": problem.expected if problem is not None else "",
    }  # fmt: skip
    return body, problem


def live_reading(account: Account, check: str, place: str, squeeze: int) -> Written | None:
    """A live, readable reading that is no repeat, at a place in a squeeze; the last by the links."""
    held = account.at("reading/1", check, f"{place}\n{squeeze}")
    return max(
        (one for one in held if not one.text("unreadable") and one.text("repeat") != "yes"),
        key=lambda one: one.stamp.rank,
        default=None,
    )


def already_there(place: str, text: str, there: Written, sight: Clock) -> tuple[Problem, bool]:
    """What to say to a second reading at a place, and whether its writer had seen the first one.

    One who had seen it is asked, and nothing is kept until they answer; one who had not has it kept beside
    the other as a contradiction.
    """
    seen = sight.get(there.stamp.device, 0) >= there.stamp.seq
    name = "has_reading" if seen else "other_reading"
    return Problem(place, text, say(f"ledger.{name}", text=there.text("text"), by=there.by)), seen


def fact_key(account: Account, check: str, key: str, text: str) -> Method:
    """The method of the check. Raises InputError when it asks for no such fact."""
    method = begun(account, check).method
    if not known_key(method, key):
        raise InputError(Problem(key, text, say("ledger.known_fact", method=method.title)))
    return method


def may_strike(account: Account, entry: str, why: str, concession: bool) -> None:
    """Raises InputError unless the entry can be struck and a reason is given. concession: it is one."""
    kind, _ = account.ids.get(entry, (UNKNOWN, ""))
    if concession and kind != "concession/1":
        raise InputError(Problem("entry", entry, say("ledger.a_concession")))
    if kind == "concession/1" and not concession:
        raise InputError(Problem("entry", entry, say("ledger.withdrawn")))
    if kind == UNKNOWN or not KINDS[kind].strikeable:
        raise InputError(Problem("entry", entry, say("ledger.strikeable")))
    _needs("why", why)


def may_begin(account: Account, purpose: str, method: Method, sight: Clock | None) -> None:
    """Raises InputError for an as-found check once the bearing was stripped or what it measures changed.
    sight: what its writer had seen, where a device began it; then one begun apart is kept, and what they did
    not know of each other is shown. None: as of now."""
    if not is_as_found(purpose):
        return
    done = stale.no_longer_as_found(account, method)
    seen = [one for one in done if sight is None or sight.get(one.stamp.device, 0) >= one.stamp.seq]
    late = next(iter(seen), None)
    if late is not None:
        said = say("ledger.too_late", what=stale.in_words(late), by=late.by, at=late.at[:10])
        raise InputError(Problem("purpose", purpose, said))


def may_be_named(id: str | None) -> None:
    """Raises InputError unless this is an id as devices make them: it becomes part of an address."""
    if id and not _ID.fullmatch(id):
        raise InputError(Problem("id", id[:80], say("ledger.an_id")))


def same_check(held: Entry, job: str, method: str) -> str:
    """The id of a check that is sent again. Raises InputError where the id belongs to something else."""
    if (held.kind, held.book, held.body.get("method")) != ("check/1", job, method):
        raise InputError(Problem("id", held.id, say("ledger.same_id", text=held.kind)))
    return held.id


def may_miss(what: str, why: str) -> None:
    """Raises InputError unless it is said what was missed and why."""
    _needs("what", what)
    _needs("why", why)


def may_change_fit(what: str, half: str, joint: str = "") -> None:
    """Raises InputError, with every problem, unless such a change is known."""
    problems = []
    if what not in FIT_CHANGES:
        problems.append(Problem("what", what, say("ledger.one_of", choices=", ".join(FIT_CHANGES))))
    if half not in HALVES:
        problems.append(Problem("half", half, say("ledger.one_of", choices=", ".join(HALVES[1:]))))
    if joint not in JOINTS:
        problems.append(Problem("joint", joint, say("ledger.one_of", choices=", ".join(JOINTS[1:]))))
    if problems:
        raise InputError(*problems)


def may_set_hold(account: Account, hold: str, state: str, check: str) -> None:
    """Raises InputError unless the hold point is there and a person may set it."""
    if state not in HOLD_STATES:
        raise InputError(Problem("state", state, say("ledger.one_of", choices=", ".join(HOLD_STATES))))
    if check:
        keys = tuple(point.key for point in begun(account, check).method.hold_points)
    else:
        keys = tuple(key for key in ORDER_OF_TRUST if key != CLEARANCE)
    if hold not in keys:
        raise InputError(Problem("hold", hold, say("ledger.one_of", choices=", ".join(keys))))


def may_choose(account: Account, check: str, rule: str, why: str) -> None:
    """Raises InputError unless such a decision rule is known and a reason is given."""
    begun(account, check)
    if rule not in RULES:
        raise InputError(Problem("rule", rule, say("ledger.one_of", choices=", ".join(RULES))))
    _needs("why", why)


def card_moved(revision: str) -> InputError:
    """What is said where a card was changed since this revision of it was looked at."""
    return InputError(Problem(say("closing.f_card"), revision[:8], say("closing.card_moved")))


def may_adopt(account: Account, reason: str) -> None:
    """Raises InputError when readings were taken already and no reason is given."""
    if account.groups("reading/1") and any(account.all("reading/1")):
        _needs("reason", reason)


def _needs(field: str, text: str) -> None:
    if not text.strip():
        raise InputError(Problem(field, text, say("ledger.reason")))
