"""What signing leaves on a job: signatures, concessions and reopenings, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from whitemetal.words import say

PARTS = ("did", "checked")
"""What a person signs for: did the work, checked it."""

LEAVES = ("fit", "concession", "out of service")
"""How the bearing leaves the job: fit; not fit, but run under a concession; not fit, and not run."""

WORDS = ("waits", "open", "not proven", "outside limits")
"""How an open point stands, the gravest last: it rests on an earlier one, nobody closed it, it is not proven,
it is outside limits."""


@dataclass(frozen=True)
class OpenPoint:
    """A point that keeps the bearing from being fit. key: of a hold point. word: one of `WORDS`."""

    key: str
    text: str
    word: str

    def graver_than(self, other: OpenPoint) -> bool:
        """Whether this stands worse than the other."""
        return _rank(self.word) > _rank(other.word)


def _rank(word: str) -> int:
    return WORDS.index(word) if word in WORDS else len(WORDS)


@dataclass(frozen=True)
class Signature:
    """Who signed for which part, and what they saw. state: digest of the job's book as it was shown to them.
    shown: the judgement as shown. void: a sentence, why it does not count any more, "" while it does. seal:
    made with the signer's key, {} where the signer has none."""

    entry: str
    part: str
    by: str
    at: str
    state: str
    card: str
    program: str
    leaves: str
    shown: Mapping[str, Any]
    void: str = ""
    seal: Mapping[str, str] = field(default_factory=dict)


def day_of(text: str) -> date | None:
    """A day of the calendar written year-month-day, as it is compared as a text; None for anything else."""
    try:
        found = date.fromisoformat(text)
    except ValueError:
        return None
    return found if found.isoformat() == text else None


@dataclass(frozen=True)
class Concession:
    """An engineer's leave to close or run the bearing against open points. until: the last day it holds,
    "2027-03-01". engineer: in what office. struck: who withdrew it and why, "" while nobody did."""

    entry: str
    against: tuple[OpenPoint, ...]
    reason: str
    restrictions: str
    until: str
    engineer: str
    by: str
    at: str
    struck: str = ""

    @property
    def ends(self) -> date | None:
        """The last day it holds; None where that is no day of the calendar: brought from elsewhere, for none
        is kept so here."""
        return day_of(self.until)

    def holds(self, day: str) -> bool:
        """Whether it is in force on a day ("2026-03-11"). Without a last day that can be read it never is."""
        return not self.struck and self.ends is not None and day <= self.until

    def covers(self, point: OpenPoint) -> bool:
        """Whether it was given against this point, standing as badly as now."""
        return any(one.key == point.key and not point.graver_than(one) for one in self.against)


@dataclass(frozen=True)
class Reopened:
    """A signed job opened again, and why."""

    entry: str
    why: str
    by: str
    at: str


@dataclass(frozen=True)
class Signing:
    """signatures, concessions, reopened: in the order of the links. shut: both parts were signed by two
    people and nobody has opened the job again: it takes nothing more in. signed: and everything in it was
    seen by both. says: sentences on what does not agree."""

    signatures: tuple[Signature, ...] = ()
    concessions: tuple[Concession, ...] = ()
    reopened: tuple[Reopened, ...] = ()
    shut: bool = False
    signed: bool = False
    says: tuple[str, ...] = ()

    @property
    def used(self) -> bool:
        """Whether anybody signed or conceded anything."""
        return bool(self.signatures or self.concessions)

    @property
    def standing(self) -> tuple[Signature, ...]:
        """The signatures that count: the last of each part."""
        last = {one.part: one for one in self.signatures if not one.void}
        return tuple(last[part] for part in PARTS if part in last)

    def needed(self) -> tuple[str, ...]:
        """The parts nobody's standing signature is for."""
        there = {one.part for one in self.standing}
        return tuple(part for part in PARTS if part not in there)


def signed_by(signatures: tuple[Signature, ...]) -> str:
    """Who signed, with part and day."""
    return "; ".join(
        say(f"signing.by_{one.part}", by=one.by, at=one.at[:10]) for one in signatures if one.part in PARTS
    )
