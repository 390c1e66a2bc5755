"""The state of a job, as `job.picture.fold` makes it from entries: plain values to show and judge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from whitemetal.gauging.contract import Fact, Place, Reading
from whitemetal.job.run_state import RunState
from whitemetal.job.signatures import Signing


@dataclass(frozen=True)
class StruckReading:
    """A struck reading stays visible, with who struck it and why."""

    reading: Reading
    by: str
    why: str


@dataclass(frozen=True)
class CheckState:
    """One check as its entries leave it.

    facts: live facts by key, with those of the instruments it used. readings: live and readable, in the
    order of the links. unreadable: (entry id, place or key, text). stale: sentences, why the check no
    longer counts; () while it does. contradictions: sentences. rule: the decision rule chosen ("" for the
    default), by whom and why. measured_by: who wrote its live readings and measured facts, () when nothing
    was measured. stale_by: entries of the changes of the fit that make it stale. late: of a check "as found",
    sentences on readings written after it was no longer that. taken_at: when the last of what was
    measured was written, "" when nothing was.
    """

    check: str
    method: str
    purpose: str
    places: tuple[Place, ...]
    facts: Mapping[str, Fact]
    readings: tuple[Reading, ...]
    struck: tuple[StruckReading, ...] = ()
    unreadable: tuple[tuple[str, str, str], ...] = ()
    stale: tuple[str, ...] = ()
    contradictions: tuple[str, ...] = ()
    rule: str = ""
    rule_by: str = ""
    rule_why: str = ""
    measured_by: tuple[str, ...] = ()
    late: tuple[str, ...] = ()
    stale_by: tuple[str, ...] = ()
    taken_at: str = ""


@dataclass(frozen=True)
class HoldState:
    """A hold point as people left it. check: "" for one of the whole bearing. why: what opens it again.

    by_hand: what people did last, "both" where they did so unaware of each other. older_than: checks measured
    by somebody who had seen this.
    """

    key: str
    check: str
    closed: bool
    text: str
    by: str
    at: str
    entry: str
    why: str = ""
    by_hand: Literal["open", "closed", "both"] = "closed"
    older_than: tuple[str, ...] = ()


@dataclass(frozen=True)
class FitChange:
    """A change of the fit. struck: who struck it and why, "" when nobody did. touches: what it makes stale
    and opens again; loaded: the loaded half as the card had it when it was written, "" where not said."""

    entry: str
    what: str
    half: str
    joint: str
    text: str
    by: str
    at: str
    struck: str = ""
    touches: tuple[str, ...] = ()
    loaded: str = ""


@dataclass(frozen=True)
class Note:
    """A note. struck: who struck it and why, "" when nobody did."""

    entry: str
    text: str
    by: str
    at: str
    struck: str = ""


@dataclass(frozen=True)
class Missed:
    """Something that was not taken while it could be, and why."""

    entry: str
    what: str
    why: str
    by: str
    at: str


@dataclass(frozen=True)
class Damage:
    """Damage as seen. look: key of `inspect.looks.LOOKS`; cells: keys of `inspect.where.CELLS`; at_feed: at a
    feed or groove. struck: who struck it and why, "" when nobody did."""

    entry: str
    look: str
    cells: tuple[str, ...]
    at_feed: bool
    text: str
    by: str
    at: str
    struck: str = ""


@dataclass(frozen=True)
class Answer:
    """What a person said of the bearing. fact: a name of `inspect.causes.Known`. says: "yes", "no" or "not
    known". text: how they know."""

    entry: str
    fact: str
    says: str
    text: str
    by: str
    at: str


@dataclass(frozen=True)
class Photograph:
    """A photograph. digest: of its file. of: id of the check or entry it shows, "" for the job as a whole;
    place: label of a place of that check, "" for none. taken: local time on the camera's clock, RFC 3339
    (without an offset where the camera did not say one), "" where it is not known. at: when it was attached.
    width, height: of the file as kept [pixels]. struck: who struck it and why, "" when nobody did."""

    entry: str
    digest: str
    of: str
    place: str
    caption: str
    taken: str
    by: str
    at: str
    width: int = 0
    height: int = 0
    struck: str = ""


@dataclass(frozen=True)
class Tick:
    """What somebody said of a step of the procedure: done, open again, or that it does not apply. text: what
    was noted with it."""

    step: str
    state: str
    text: str
    by: str
    at: str
    entry: str


@dataclass(frozen=True)
class Adopted:
    """A card revision the job adopted."""

    entry: str
    card: str
    reason: str
    by: str
    at: str


@dataclass(frozen=True)
class UnknownEntry:
    """An entry this program keeps but cannot use. why: a sentence."""

    entry: str
    kind: str
    by: str
    why: str


@dataclass(frozen=True)
class JobState:
    """A job. card: digest of the adopted revision, "" when none was. checks: by id, in the order they were
    begun. holds: by hold key, ``key@check`` for one of a check. contradictions: of the job as a whole.
    entries: how many. heads: digests of the devices' last entries, sorted; digest: of the book. stripped: who
    noted that the bearing was taken apart. as_found: whether anything was measured of the bearing as it was
    found: still due, taken, or missed because it was stripped or its fit changed first; missed: why.
    deciding: by hold point of the order of trust (by method, where a method proves none), the checks that
    speak for it: those that count and are not older than another one; the stale ones where none counts.
    signing: signatures, concessions, and whether the job takes anything more in."""

    book: str
    number: str
    title: str
    bearing: str
    card: str
    card_history: tuple[Adopted, ...]
    checks: Mapping[str, CheckState]
    holds: Mapping[str, HoldState]
    fit_changes: tuple[FitChange, ...]
    notes: tuple[Note, ...]
    unknown: tuple[UnknownEntry, ...]
    contradictions: tuple[str, ...]
    entries: int
    heads: tuple[str, ...]
    digest: str
    stripped: tuple[Note, ...] = ()
    missed: tuple[Missed, ...] = ()
    as_found: Literal["due", "taken", "missed"] = "due"
    deciding: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    opened_at: str = ""
    steps: Mapping[str, tuple[Tick, ...]] = field(default_factory=dict)
    photographs: tuple[Photograph, ...] = ()
    damage: tuple[Damage, ...] = ()
    answers: tuple[Answer, ...] = ()
    signing: Signing = field(default_factory=Signing)
    runs: tuple[RunState, ...] = ()
