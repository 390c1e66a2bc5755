"""One check as its entries leave it: facts, live readings, contradictions, what makes it stale."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from whitemetal.errors import Problem
from whitemetal.gauging.contract import Fact, Place, Reading
from whitemetal.job import stale
from whitemetal.job.account import Account, Written
from whitemetal.job.deciding import Taken, last_of, speaks_for
from whitemetal.job.kinds import STRUCK, is_as_found, place_from
from whitemetal.job.sight import unaware
from whitemetal.job.state import CheckState, StruckReading
from whitemetal.job.typed import (
    INSTRUMENT,
    PURPOSE,
    field_of,
    method_or_none,
    read_fact,
    read_reading,
)  # fmt: skip
from whitemetal.words import say

Instruments = Mapping[str, Mapping[str, str]]


@dataclass(frozen=True)
class _Read:
    """A kept reading and what it reads; ``reading`` is None when it cannot be read."""

    written: Written
    reading: Reading | None


class CheckPicture:
    """The last picture of one check; ``state`` is None before the first."""

    def __init__(self, account: Account, check: str) -> None:
        self.state: CheckState | None = None
        self._account = account
        self._check = check
        self._begun = account.at("check/1", check, "")
        first = min(self._begun, key=lambda one: one.stamp.rank)
        self._method = method_or_none(first.text("method"))
        self._purpose = first.text("purpose")
        self._places = tuple(place_from(place) for place in first.body["places"])
        self._labels = {place.label for place in self._places}
        self._read: dict[str, Reading | None] = {}
        self.taken = Taken(check, "", False, ())
        self._struck: tuple[StruckReading, ...] | None = None
        self._apart: dict[str, tuple[str, ...]] = {}
        self._merged: tuple[Instruments, CheckState] | None = None

    def draw(self, doubts: tuple[str, ...], strikes: bool) -> None:
        """Draw it anew. doubts: contradictions of the whole job; strikes: whether any may have changed."""
        if strikes or self._struck is None:
            self._struck = tuple(self._struck_readings())
            self._apart = {}
        live = [self._reading(one) for one in self._account.all("reading/1", self._check)]
        good = [one for one in live if one.reading is not None]
        settled, pending = self._settle([one for one in live if one.reading is None])
        facts, unread, facts_doubted = self._facts()
        rule, rule_doubted = self._rule()
        fits = [one for one in self._account.all("fit/1") if not self._account.strikes_of(one.id)]
        measured = [one.written for one in good] + self._measured()
        against = list(stale.changes_against(measured, fits, self._method))
        self._merged = None
        self.taken = self._taken(measured, stale=bool(against))
        self.state = CheckState(
            check=self._check,
            method=min(self._begun, key=lambda one: one.stamp.rank).text("method"),
            purpose=facts[PURPOSE].text,
            places=self._places,
            facts=facts,
            readings=tuple(one.reading for one in good if one.reading is not None),
            struck=self._struck + settled,
            unreadable=pending + unread,
            stale=tuple(stale.sentence(change) for change, _ in against),
            contradictions=(
                *doubts,
                *self._twice_begun(),
                *self._twice_read(good),
                *self._struck_apart(good),
                *facts_doubted,
                *rule_doubted,
                *(stale.unaware_sentence(change) for change, blind in against if blind),
            ),
            rule=rule.text("rule") if rule is not None else "",
            rule_by=rule.by if rule is not None else "",
            rule_why=rule.text("why") if rule is not None else "",
            measured_by=tuple(dict.fromkeys(one.by for one in measured)),
            stale_by=tuple(change.id for change, _ in against),
            late=tuple(self._late(facts[PURPOSE].text, measured)),
            taken_at=max((one.at for one in measured), default=""),
        )

    def _taken(self, measured: list[Written], stale: bool) -> Taken:
        """What was measured, for `deciding`; a method that is not known speaks for nothing."""
        point = speaks_for(self._method) if self._method is not None else ""
        last = last_of([one.stamp for one in measured]) if point else ()
        return Taken(self._check, point, stale, last)

    def _late(self, purpose: str, measured: list[Written]) -> Iterator[str]:
        """Readings "as found" whose writer had seen that the bearing was no longer as it was found."""
        if not is_as_found(purpose):
            return
        for change in stale.no_longer_as_found(self._account, self._method):
            count = sum(one.stamp.saw(change.stamp) for one in measured)
            if count:
                yield say("ledger.late", count=count, what=stale.in_words(change), by=change.by)

    def with_instruments(self, instruments: Instruments) -> CheckState:
        """The state with the facts of the instruments its readings were taken with."""
        assert self.state is not None
        if self._merged is None or self._merged[0] is not instruments:
            named = sorted({one.instrument for one in self.state.readings if one.instrument in instruments})
            facts: dict[str, Fact] = {}
            for name in named:
                for key, text in instruments[name].items():
                    found = read_fact(self._method, f"{INSTRUMENT}{name}.{key}", text)
                    if isinstance(found, Fact) and text.strip():
                        facts[f"{INSTRUMENT}{name}.{key}"] = found
            self._merged = instruments, replace(self.state, facts={**facts, **self.state.facts})
        return self._merged[1]

    def _reading(self, written: Written) -> _Read:
        if written.id not in self._read:
            self._read[written.id] = self._as_reading(written)
        return _Read(written, self._read[written.id])

    def _as_reading(self, written: Written) -> Reading | None:
        if written.text("unreadable") or written.text("place") not in self._labels:
            return None
        found = read_reading(
            self._method, written.text("place"), written.text("text"), written.text("unit"),
            written.body["squeeze"], written.text("instrument"), written.id,
        )  # fmt: skip
        return None if isinstance(found, Problem) else found

    def _struck_readings(self) -> Iterator[StruckReading]:
        for written in self._account.all(STRUCK, self._check):
            strike = self._account.strikes_of(written.id)[0]
            yield StruckReading(self._as_struck(written), strike.by, strike.text("why"))

    def _as_struck(self, written: Written) -> Reading:
        """What was struck. Text that nobody could read has the value 0 and no resolution: not NaN, which is
        unlike itself, so that two folds of the same entries would not be equal."""
        reading = self._reading(written).reading
        if reading is not None:
            return reading
        return Reading(
            written.text("place"), written.text("text"), 0.0, 0.0, written.body["squeeze"],
            written.text("instrument"), written.id,
        )  # fmt: skip

    def _settle(
        self, unread: list[_Read]
    ) -> tuple[tuple[StruckReading, ...], tuple[tuple[str, str, str], ...]]:
        """Text that could not be read counts as struck once its place was read again by one who saw it."""
        settled, pending = [], []
        for one in unread:
            again = self._read_again(one.written)
            if again is None:
                pending.append((one.written.id, one.written.text("place"), one.written.text("text")))
            else:
                why = say("ledger.read_again", text=again.text("text"))
                settled.append(StruckReading(self._as_struck(one.written), again.by, why))
        return tuple(settled), tuple(pending)

    def _read_again(self, unread: Written) -> Written | None:
        later = [
            one
            for one in self._account.at("reading/1", self._check, _slot(unread))
            if one.stamp.saw(unread.stamp) and self._reading(one).reading is not None
        ]
        return min(later, key=lambda one: one.stamp.rank, default=None)

    def _facts(self) -> tuple[dict[str, Fact], tuple[tuple[str, str, str], ...], tuple[str, ...]]:
        """Live facts, those that cannot be read, and sentences on those written twice unaware."""
        facts, unread, doubted = {PURPOSE: Fact(self._purpose)}, [], []
        for key, held in sorted(self._account.slots("fact/1", self._check).items()):
            ordered = sorted(held, key=lambda one: one.stamp.rank)
            if len({one.text("text") for one in ordered}) > 1:
                doubted.append(self._unaware_fact(key, ordered))
            if not ordered or not ordered[0].text("text").strip():
                continue
            written = ordered[0]
            found = read_fact(self._method, key, written.text("text"), written.text("unit"))
            if isinstance(found, Problem):
                unread.append((written.id, key, written.text("text")))
            else:
                facts[key] = replace(found, entry=written.id, by=written.by)
        return facts, tuple(unread), tuple(doubted)

    def _measured(self) -> list[Written]:
        """Facts that are readings of the parts: a change of the fit makes them stale as it does readings."""
        if self._method is None:
            return []
        keys = {field.key for field in self._method.fields if field.measured}
        return [
            one
            for key, held in self._account.slots("fact/1", self._check).items()
            if key.partition("@")[0] in keys
            for one in held
            if one.text("text").strip()
        ]

    def _label(self, key: str) -> str:
        field = field_of(self._method, key) if self._method is not None else None
        return field.label if field is not None else key

    def _unaware_fact(self, key: str, held: list[Written]) -> str:
        texts = "; ".join(f'{one.by}: "{one.text("text")}"' for one in held)
        return say("ledger.unaware_fact", label=self._label(key), texts=texts)

    def _rule(self) -> tuple[Written | None, tuple[str, ...]]:
        held = sorted(self._account.at("rule/1", self._check, ""), key=lambda one: one.stamp.rank)
        if len({one.text("rule") for one in held}) > 1:
            texts = "; ".join(f"{one.by}: {one.text('rule')}" for one in held)
            return None, (say("ledger.unaware_rule", texts=texts),)
        return (held[0] if held else None), ()

    def _twice_begun(self) -> Iterator[str]:
        if len(self._begun) > 1:
            yield say("ledger.twice_begun")

    def _twice_read(self, good: list[_Read]) -> Iterator[str]:
        """Readings of one place in one squeeze that nobody called a repeat."""
        first: dict[tuple[str, int], Written] = {}
        for one in good:
            if one.written.text("repeat") == "yes":
                continue
            where = one.written.text("place"), one.written.body["squeeze"]
            if where not in first:
                first[where] = one.written
                continue
            other = first[where]
            name = "unaware_reading" if unaware(one.written.stamp, other.stamp) else "twice_read"
            yield say(
                f"ledger.{name}", place=where[0], squeeze=where[1], by=other.by, text=other.text("text"),
                other=one.written.by, later=one.written.text("text"),
            )  # fmt: skip

    def _struck_apart(self, good: list[_Read]) -> Iterator[str]:
        """Readings whose writer went on from one that somebody else had struck, neither knowing of the other:
        the nut that was pulled further here counts as never pulled there."""
        for one in (read.written for read in good):
            if one.id not in self._apart:
                self._apart[one.id] = tuple(self._went_on(one))
            yield from self._apart[one.id]

    def _went_on(self, one: Written) -> Iterator[str]:
        struck = self._account.at(STRUCK, self._check, _slot(one))
        for old in sorted(
            (old for old in struck if one.stamp.saw(old.stamp)), key=lambda old: old.stamp.rank
        ):
            strikes = self._account.strikes_of(old.id)
            if all(unaware(one.stamp, strike.stamp) for strike in strikes):
                yield say(
                    "ledger.unaware_strike", place=old.text("place"), squeeze=old.body["squeeze"],
                    by=strikes[0].by, text=old.text("text"), why=strikes[0].text("why"), other=one.by,
                    later=one.text("text"),
                )  # fmt: skip


def _slot(reading: Written) -> str:
    """The slot in which the account keeps a reading."""
    return f"{reading.text('place')}\n{reading.body['squeeze']}"


def places_of(state: CheckState) -> Mapping[str, Place]:
    """The check's places by label."""
    return {place.label: place for place in state.places}
