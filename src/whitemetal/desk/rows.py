"""What the desk takes and hands out: plain values."""

from __future__ import annotations

from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.errors import Problem
from whitemetal.job.births import Birth
from whitemetal.job.entry import Entry
from whitemetal.job.state import JobState


@dataclass(frozen=True)
class Writer:
    """Who writes, on which device, how many minutes its clock is ahead of UTC, and the digests of the heads
    it was shown (``JobState.heads``). An entry of another device that is not behind these was not seen.
    account: id of their account, "" where there are none."""

    name: str
    device: str
    offset: int = 0
    seen: tuple[str, ...] = ()
    account: str = ""


@dataclass(frozen=True)
class Kept:
    """What became of what was typed. entry: None when nothing was kept. problem: what is wrong or asked.

    ask: "repeat" when the place has a reading and it must be said whether this one repeats it; "as found"
    when it must be said why no clearance was taken as found; "" when nothing is asked. An entry and a problem
    together: kept as typed, but it needs a person's eye.
    """

    entry: Entry | None
    problem: Problem | None = None
    ask: str = ""


@dataclass(frozen=True)
class KeptCard:
    """digest: of the revision. bearing: its book. new: False when this revision was there already."""

    digest: str
    bearing: str
    new: bool = True


@dataclass(frozen=True)
class JobRow:
    """A job in a list. verdict_words: of the check begun last, and what signing says; "" before either."""

    book: str
    number: str
    title: str
    verdict_words: str


@dataclass(frozen=True)
class BearingRow:
    """A bearing in a list. card: digest of its newest revision."""

    book: str
    position: str
    card: str
    jobs: tuple[JobRow, ...]


@dataclass(frozen=True)
class MachineRow:
    """A machine with its bearings."""

    tag: str
    name: str
    kind: str
    bearings: tuple[BearingRow, ...]


@dataclass(frozen=True)
class Revision:
    """A revision of a card: its digest, who kept it and when."""

    digest: str
    by: str
    at: str


@dataclass(frozen=True)
class BearingView:
    """A bearing: its newest card, all revisions in order of arrival, its jobs, its values of birth (also
    struck ones)."""

    book: str
    card: Card
    revisions: tuple[Revision, ...]
    jobs: tuple[JobRow, ...]
    births: tuple[Birth, ...] = ()


@dataclass(frozen=True)
class JobView:
    """A job with the card it is judged by. newest_card: digest of the bearing's newest revision."""

    state: JobState
    card: Card
    newest_card: str
