"""Concessions: what a bearing that is not fit is run against, by whose leave, how far and how long.

With no honest door people change readings. A concession closes nothing: the bearing stays *not fit* in
words, and every page says by whose leave it runs, with what restrictions, and until when.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from whitemetal.errors import InputError, Problem
from whitemetal.job.chain import Chain, Link, beside
from whitemetal.job.signatures import Concession, OpenPoint, Signing, day_of, signed_by
from whitemetal.words import say


def open_points(chain: Chain) -> tuple[OpenPoint, ...]:
    """What keeps the bearing from being fit, in the order of trust."""
    links = [OpenPoint(link.key, link.text, _word(link)) for link in chain.links if not link.closed]
    others = [
        OpenPoint(one.key, one.text, "outside limits" if one.key.startswith("outside.") else "open")
        for one in beside(chain.links, chain.others)
    ]
    return (*links, *others)


def _word(link: Link) -> str:
    if link.stands:
        return "waits"
    words = {one.verdict if not one.stale else "not proven" for one in link.checks} - {"within limits"}
    if "outside limits" in words:
        return "outside limits"
    return "not proven" if words else "open"


def covers(concessions: Sequence[Concession], points: Sequence[OpenPoint], day: str) -> bool:
    """Whether every open point has a concession that is in force on this day."""
    return not not_covered(concessions, points, day)


def not_covered(
    concessions: Sequence[Concession], points: Sequence[OpenPoint], day: str
) -> tuple[OpenPoint, ...]:
    """The open points that no concession in force covers."""
    held = [one for one in concessions if one.holds(day)]
    return tuple(point for point in points if not any(one.covers(point) for one in held))


def concession_body(typed: Mapping[str, str], points: Sequence[OpenPoint], day: str) -> dict[str, Any]:
    """The body of a concession from what was typed: reason, restrictions, until, engineer. Raises InputError
    with every problem. day: today where it is written."""
    text = {name: typed.get(name, "").strip() for name in ("reason", "restrictions", "until", "engineer")}
    problems = list(_wrong(text, points, day))
    if problems:
        raise InputError(*problems)
    against = [{"key": one.key, "text": one.text, "word": one.word} for one in points]
    return {**text, "against": against}


def _wrong(text: Mapping[str, str], points: Sequence[OpenPoint], day: str) -> Sequence[Problem]:
    found = []
    if not points:
        found.append(Problem(say("signing.f_against"), "", say("signing.nothing_open")))
    if not text["reason"]:
        found.append(Problem(say("signing.f_reason"), "", say("signing.a_reason")))
    if not text["engineer"]:
        found.append(Problem(say("signing.f_engineer"), "", say("signing.an_engineer")))
    if not text["restrictions"] and any(one.word == "outside limits" for one in points):
        found.append(Problem(say("signing.f_restrictions"), "", say("signing.a_restriction")))
    if day_of(text["until"]) is None or text["until"] < day:
        found.append(Problem(say("signing.f_until"), text["until"], say("signing.a_day", day=day)))
    return found


def standing(signing: Signing, chain: Chain, day: str) -> str:
    """How the bearing stands, in a line for every page: its word, and by whose leave it runs. "" while nobody
    signed or conceded anything."""
    who = signed_by(signing.standing) if signing.signed else ""
    if chain.bearing == "fit":
        return say("signing.fit_signed", who=who) if who else ""
    given = [one for one in signing.concessions if not one.struck]
    left = not_covered(given, open_points(chain), day)
    if signing.signed and all(one.leaves == "out of service" for one in signing.standing):
        return say("signing.stays_out", who=who)
    if not given:
        return say("signing.not_fit_signed", who=who) if who else ""
    if not left:
        return _runs([one for one in given if one.holds(day)], who)
    ended = [one for one in given if not one.holds(day)]
    if ended and ended[-1].ends is None:
        return say("signing.no_last_day", by=ended[-1].by, until=ended[-1].until)
    if ended:
        return say("signing.ended", by=ended[-1].by, until=ended[-1].until)
    return say("signing.not_covered", points="; ".join(one.text for one in left))


def listed(verdict: str, signing: Signing, chain: Chain) -> str:
    """A job in a list: the verdict, and what signing says of its bearing. No day is asked for: a concession
    is told with the day it ends."""
    given = [one.until for one in signing.concessions if not one.struck and one.ends is not None]
    if chain.bearing == "fit" or not (given or signing.signed):
        told = say("signing.listed_fit") if signing.signed else ""
    elif given:
        told = say("signing.listed_conceded", until=max(given))
    elif all(one.leaves == "out of service" for one in signing.standing):
        told = say("signing.listed_out")
    else:
        told = say("signing.listed_not_fit")
    return "; ".join(part for part in (verdict, told) if part)


def _runs(held: Sequence[Concession], who: str) -> str:
    last = min(held, key=lambda one: one.until)
    limits = "; ".join(dict.fromkeys(one.restrictions for one in held if one.restrictions))
    said = say("signing.runs", until=last.until, by=last.by, engineer=last.engineer)
    said += say("signing.restricted", limits=limits) if limits else ""
    return said + (say("signing.and_signed", who=who) if who else "")


def may_leave(signing: Signing, chain: Chain, leaves: str, day: str) -> None:
    """Raises InputError unless the bearing may be signed for as leaving this way."""
    points = open_points(chain)
    texts = "; ".join(point.text for point in points)
    if not points and leaves != "fit":
        raise InputError(Problem("leaves", leaves, say("signing.must_be_fit")))
    if points and leaves == "fit":
        raise InputError(Problem("leaves", leaves, say("signing.cannot_be_fit", points=texts)))
    if points and leaves == "concession":
        left = not_covered(signing.concessions, points, day)
        if left:
            texts = "; ".join(point.text for point in left)
            raise InputError(Problem("leaves", leaves, say("signing.needs_concession", points=texts)))
