"""From a running account to the state people see, working out again only what changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any, Literal, TypeVar, cast

from whitemetal.job.account import Account, Written, account_of
from whitemetal.job.check_picture import CheckPicture
from whitemetal.job.damage import answers_of, damage_of
from whitemetal.job.deciding import deciding
from whitemetal.job.entry import Entry
from whitemetal.job.fit_matrix import EVERYTHING, POINTS
from whitemetal.job.holds import CLEARANCE, hold_states
from whitemetal.job.kinds import KINDS, UNKNOWN, is_as_found
from whitemetal.job.photographs import photographs_of
from whitemetal.job.procedure.ticks import ticks
from whitemetal.job.run_state import KINDS_OF_RUN, runs_of
from whitemetal.job.sight import Stamp
from whitemetal.job.signing import signing_of
from whitemetal.job.stale import touched_by
from whitemetal.job.state import (
    Adopted,
    CheckState,
    FitChange,
    HoldState,
    JobState,
    Missed,
    Note,
    UnknownEntry,
)
from whitemetal.job.typed import method_or_none
from whitemetal.words import say

Instruments = Mapping[str, Mapping[str, str]]
Part = TypeVar("Part")

NO_INSTRUMENTS: Instruments = {}


def fold(entries: Iterable[Entry], instruments: Instruments = NO_INSTRUMENTS) -> JobState:
    """The state of a job from all its entries, in whatever order they come.

    instruments: facts of the plant's instruments by id; a fact of the same key typed in a check wins.
    """
    held = list(entries)
    book = min((entry.book for entry in held), default="")
    return Picture(book, account_of(held)).state(instruments)


class Picture:
    """A job's account with what was last shown of it. ``account`` may be added to at any time."""

    def __init__(self, book: str, account: Account) -> None:
        self.book = book
        self.account = account
        self._parts: dict[str, Any] = {}
        self._checks: dict[str, CheckPicture] = {}
        self._state: JobState | None = None

    def add(self, entry: Entry, stamp: Stamp) -> None:
        """Take one more entry in."""
        self.account.add(entry, stamp)

    def state(self, instruments: Instruments = NO_INSTRUMENTS) -> JobState:
        """The state as of the last entry taken in."""
        if self._state is None or self.account.changed:
            self._state = self._whole()
            self.account.changed.clear()
        checks = {check: self._checks[check].with_instruments(instruments) for check in self._state.checks}
        return replace(self._state, checks=checks)

    def _whole(self) -> JobState:
        account = self.account
        opened = self._part("opened", _opened, "opened/1")
        history = self._part("history", _history, "adopt/1")
        card, doubts = self._part("adopted", _adopted, "adopt/1")
        checks = self._all_checks(doubts)
        fits = self._part("fits", _fit_changes, "fit/1", "strike/1")
        stripped = self._part("stripped", _stripped, "stripped/1", "strike/1")
        missed = self._part("missed", _missed, "missed/1", "strike/1")
        return JobState(
            book=self.book,
            number=opened.get("number", ""),
            title=opened.get("title", ""),
            bearing=opened.get("bearing", ""),
            card=card,
            card_history=history,
            checks=checks,
            holds=self._holds(),
            fit_changes=fits,
            notes=self._part("notes", _notes, "note/1", "strike/1"),
            unknown=self._part("unknown", _unknown, UNKNOWN, "strike/1") + _lost(account),
            contradictions=doubts,
            entries=len(account.ids),
            heads=tuple(sorted(digest for _, digest in account.heads.values())),
            digest=account.book_digest(),
            stripped=stripped,
            missed=missed,
            as_found=_as_found(checks, fits, stripped, missed),
            deciding=deciding([self._checks[check].taken for check in checks]),
            opened_at=opened.get("at", ""),
            steps=self._part("steps", ticks, "step/1"),
            photographs=self._part("photographs", photographs_of, "photo/1", "strike/1"),
            damage=self._part("damage", damage_of, "finding/1", "strike/1"),
            answers=self._part("answers", answers_of, "known/1"),
            signing=signing_of(account),
            runs=self._part("runs", runs_of, *KINDS_OF_RUN, "fit/1", "strike/1"),
        )

    def _holds(self) -> Mapping[str, HoldState]:
        """The hold points of the whole bearing know which checks were measured after they were set."""
        states = self._part("holds", hold_states, "hold/1", "fit/1", "strike/1")
        last = {one.id: one.stamp for one in self.account.all("hold/1", "")}
        taken = [picture.taken for picture in self._checks.values()]
        return {
            key: replace(held, older_than=tuple(one.check for one in taken if one.saw(last[held.entry])))
            if not held.check
            else held
            for key, held in states.items()
        }

    def _part(self, name: str, make: Callable[[Account], Part], *kinds: str) -> Part:
        """A part of the state, made again only when an entry of one of these kinds came in."""
        if name not in self._parts or any(kind in kinds for kind, _ in self.account.changed):
            self._parts[name] = make(self.account)
        return cast(Part, self._parts[name])

    def _all_checks(self, doubts: tuple[str, ...]) -> dict[str, CheckState]:
        account, changed = self.account, self.account.changed
        everywhere = bool(changed & {(kind, "") for kind in ("fit/1", "stripped/1", "strike/1", "adopt/1")})
        touched = {group for _, group in changed}
        shown = {}
        for check in self._part("begun", _begun, "check/1"):
            if check not in self._checks or ("check/1", check) in changed:
                self._checks[check] = CheckPicture(account, check)
            picture = self._checks[check]
            if everywhere or check in touched or picture.state is None:
                picture.draw(doubts, strikes=("strike/1", check) in changed)
            shown[check] = cast(CheckState, picture.state)
        return shown


def _opened(account: Account) -> dict[str, str]:
    found = account.all("opened/1")
    said = {key: found[0].text(key) for key in ("number", "title", "bearing")} if found else {}
    return {**said, "at": found[0].at} if found else {}


def _begun(account: Account) -> tuple[str, ...]:
    """Checks in the order in which they were begun."""
    return tuple(dict.fromkeys(one.text("check") for one in account.all("check/1")))


def _history(account: Account) -> tuple[Adopted, ...]:
    return tuple(
        Adopted(one.id, one.text("card"), one.text("reason"), one.by, one.at)
        for one in account.all("adopt/1")
    )


def _adopted(account: Account) -> tuple[str, tuple[str, ...]]:
    """The adopted revision, and a sentence where two were adopted by people unaware of each other."""
    adopted = account.all("adopt/1")
    last = [
        one for one in adopted if not any(other.stamp.saw(one.stamp) for other in adopted if other != one)
    ]
    cards = {one.text("card") for one in last}
    if len(cards) < 2:
        return (last[-1].text("card") if last else ""), ()
    names = "; ".join(f"{one.by}: {one.text('card')[:12]}" for one in last)
    return last[-1].text("card"), (say("ledger.unaware_cards", cards=names),)


def _fit_changes(account: Account) -> tuple[FitChange, ...]:
    return tuple(
        FitChange(
            one.id, one.text("what"), one.text("half"), one.text("joint"), one.text("text"), one.by, one.at,
            account.struck_words(one.id), _touches(one), one.text("loaded"),
        )
        for one in account.all("fit/1")
    )  # fmt: skip


def _touches(change: Written) -> tuple[str, ...]:
    found = touched_by(change)
    return POINTS if found == EVERYTHING else tuple(sorted(found, key=_rank))


def _rank(thing: str) -> tuple[int, str]:
    return (POINTS.index(thing) if thing in POINTS else len(POINTS)), thing


def _notes(account: Account, kind: str = "note/1") -> tuple[Note, ...]:
    return tuple(
        Note(one.id, one.text("text"), one.by, one.at, account.struck_words(one.id))
        for one in account.all(kind)
    )


def _stripped(account: Account) -> tuple[Note, ...]:
    return _notes(account, "stripped/1")


def _missed(account: Account) -> tuple[Missed, ...]:
    return tuple(
        Missed(one.id, one.text("what"), one.text("why"), one.by, one.at)
        for one in account.all("missed/1")
        if not account.strikes_of(one.id)
    )


def _as_found(
    checks: Mapping[str, CheckState], fits: tuple[FitChange, ...], stripped: tuple[Note, ...],
    missed: tuple[Missed, ...],
) -> Literal["due", "taken", "missed"]:  # fmt: skip
    """Whether the clearance was measured of the bearing as it was found: without it nobody knows the wear."""
    for check in checks.values():
        method = method_or_none(check.method)
        of_clearance = method is not None and method.proves == CLEARANCE
        if of_clearance and is_as_found(check.purpose) and check.measured_by:
            return "taken"
    gone = any(not one.struck and CLEARANCE in one.touches for one in fits)
    gone = gone or any(not one.struck for one in stripped)
    return "missed" if gone or missed else "due"


def _unknown(account: Account) -> tuple[UnknownEntry, ...]:
    """Entries this program cannot use, and strikes that strike nothing."""
    shown = [_unknown_entry(one, say("ledger.unknown_kind", kind=one.kind)) for one in account.all(UNKNOWN)]
    for strike in account.all("strike/1"):
        kind, _ = account.ids.get(strike.text("entry"), ("", ""))
        if not kind:
            shown.append(_unknown_entry(strike, say("ledger.strikes_unknown", entry=strike.text("entry"))))
        elif kind == UNKNOWN or not KINDS[kind].strikeable:
            shown.append(_unknown_entry(strike, say("ledger.strikes_other", kind=kind)))
    return tuple(shown)


def _lost(account: Account) -> tuple[UnknownEntry, ...]:
    """Entries of checks that nobody has begun as far as these entries tell."""
    begun = account.groups("check/1")
    return tuple(
        _unknown_entry(one, say("ledger.check_missing", check=check))
        for kind in ("reading/1", "struck", "fact/1", "rule/1", "hold/1")
        for check in account.groups(kind)
        if check and check not in begun
        for one in account.all(kind, check)
    )


def _unknown_entry(one: Written, why: str) -> UnknownEntry:
    return UnknownEntry(one.id, one.kind, one.by, why)
