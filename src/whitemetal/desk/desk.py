"""The verbs. Every one that keeps something is one transaction.

What cannot be written raises CannotWrite with the typed text in it; what must be asked comes back as a
Problem and nothing is kept; text that cannot be read is kept as it was typed and reported as a Problem.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection

from whitemetal.card import Card, card_digest, read_card
from whitemetal.desk import papers, shelf
from whitemetal.desk.record import Record, same_text
from whitemetal.desk.rows import (
    BearingRow,
    BearingView,
    JobRow,
    JobView,
    Kept,
    KeptCard,
    MachineRow,
    Writer,
)  # fmt: skip
from whitemetal.desk.sending import AlreadyKept, kept_once, must_be_the_same, once, writing
from whitemetal.errors import InputError, LedgerError, Problem
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Place
from whitemetal.job import as_found, asking, births, conceding
from whitemetal.job.chain import Chain
from whitemetal.job.judgement import Judgement
from whitemetal.job.kinds import place_body
from whitemetal.job.state import JobState
from whitemetal.job.typed import read_fact
from whitemetal.ledger import Pen
from whitemetal.ledger.lists import PLANT
from whitemetal.version import VERSION
from whitemetal.words import say


class Desk(Record):
    """An open record and what can be done with it. Threads may share one desk."""

    # the plant

    def plant(self) -> tuple[MachineRow, ...]:
        """Machines with their bearings and jobs, by tag."""
        with self._ledger.reading() as connection:
            rows = shelf.bearing_rows(connection)
            cards = {row.book: self._shelf.card(connection, row.card)[0] for row in rows}
            jobs: dict[str, list[Any]] = {}
            for job in shelf.job_rows(connection):
                jobs.setdefault(job.bearing, []).append(job)
        machines: dict[str, list[BearingRow]] = {}
        names = {row.machine: cards[row.book].machine for row in reversed(rows)}
        for row in rows:
            listed = self._job_rows(jobs.get(row.book, []))
            machines.setdefault(row.machine, []).append(BearingRow(row.book, row.position, row.card, listed))
        return tuple(
            MachineRow(tag, names[tag].name, names[tag].kind, tuple(held)) for tag, held in machines.items()
        )

    def keep_card(self, toml: str, writer: Writer, *, upon: str = "") -> KeptCard:
        """Keep a card: a new bearing, or a new revision for the same machine tag and position. upon: the
        revision it was made from, "" for any. Raises CardError with every problem, InputError on another."""
        card = read_card(toml)
        digest = card_digest(card)
        try:
            return self._keep_card(card, digest, toml, writer, upon)
        except AlreadyKept as there:
            with self._ledger.reading() as connection:
                return KeptCard(digest, shelf.card_again(connection, there.entry, digest))

    def _keep_card(self, card: Card, digest: str, toml: str, writer: Writer, upon: str) -> KeptCard:
        machine, position = card.machine.tag, card.bearing.position
        with self._writing_beside(toml, None, "card") as pen:
            row = shelf.bearing_at(pen.connection, machine, position)
            if row is not None and row.card == digest:
                return KeptCard(digest, row.book, new=False)
            if upon and (row is None or row.card != upon):
                raise asking.card_moved(upon)
            book = row.book if row is not None else self._announced(pen, machine, position, writer)
            self._add_to_plant(pen, book, "card/1", {"card": digest, "typed": toml}, writer)
        return KeptCard(digest, book)

    def _announced(self, pen: Pen, machine: str, position: str, writer: Writer) -> str:
        with writing("bearing"):
            book = self.fresh_id()
        body = {"bearing": book, "machine": machine, "position": position}
        self._add_to_plant(pen, PLANT, "bearing/1", body, writer)
        return book

    def card(self, digest: str) -> Card:
        """A revision of a card. Raises UnknownBook."""
        with self._ledger.reading() as connection:
            return self._shelf.card(connection, digest)[0]

    def card_text(self, digest: str) -> str:
        """A revision of a card as it was typed. Raises UnknownBook."""
        with self._ledger.reading() as connection:
            return self._shelf.card(connection, digest)[1]

    def bearing(self, book: str) -> BearingView:
        """A bearing: newest card, revisions, jobs. Raises UnknownBook."""
        with self._ledger.reading() as connection:
            row = shelf.bearing_row(connection, book)
            card, _ = self._shelf.card(connection, row.card)
            revisions = shelf.revisions(connection, book)
            jobs = shelf.job_rows(connection, book)
            found = self._shelf.births(connection, book)
        return BearingView(book, card, revisions, self._job_rows(jobs), found)

    @once
    def keep_birth(
        self, bearing: str, method: str, place: str, text: str, writer: Writer, *, unit: str = "",
        source: str = "",
    ) -> Kept:  # fmt: skip
        """Keep a value of birth in the bearing's own book, for ever. source: where it stands (stamped on the
        shell, on its certificate).

        One that differs from another is kept beside it, and neither counts until one is struck. What cannot
        be read is not kept. Raises UnknownBook.
        """
        with self._writing_beside(text, None, f"birth {method} {place}") as pen:
            row = shelf.bearing_row(pen.connection, bearing)
            card, _ = self._shelf.card(pen.connection, row.card)
            problem = births.wrong(card, method, place, text, unit)
            if problem is not None:
                return Kept(None, problem)
            there = births.there(self._shelf.births(pen.connection, bearing), method, place)
            body = {"method": method, "place": place, "text": text, "unit": unit, "source": source}
            same = next((one for one in there if births.same(one, text, unit)), None)
            if same is not None:
                return Kept(pen.entry(same.entry))
            kept = self._add_to_plant(pen, bearing, births.KIND, body, writer)
        return Kept(kept.entry, births.against(there, text) if there else None)

    @once
    def strike_birth(self, bearing: str, entry: str, why: str, writer: Writer) -> Kept:
        """Strike a value of birth, with the reason. It stays visible. Raises UnknownBook, InputError."""
        with self._writing_beside(why, None, f"strike {entry}") as pen:
            shelf.bearing_row(pen.connection, bearing)
            births.may_strike(self._shelf.births(pen.connection, bearing), entry, why)
            return self._add_to_plant(pen, bearing, births.STRIKE, {"entry": entry, "why": why}, writer)

    @once
    def keep_instrument(self, id: str, facts: Mapping[str, str], writer: Writer) -> Kept:
        """Keep an instrument's facts as typed; they replace the whole of what was kept under this id."""
        if not id.strip():
            raise InputError(Problem("instrument", id, say("ledger.a_name")))
        typed = ", ".join(facts.values())
        with self._writing_beside(typed, None, "instrument") as pen:
            body = {"instrument": id.strip(), "facts": dict(facts)}
            return self._add_to_plant(pen, PLANT, "instrument/1", body, writer)

    def instruments(self) -> Mapping[str, Mapping[str, str]]:
        """Facts of the plant's instruments by id."""
        with self._ledger.reading() as connection:
            return self._shelf.instruments(connection)

    # a job

    def open_job(self, bearing: str, number: str, title: str, writer: Writer) -> str:
        """Open a job on a bearing; it adopts the bearing's newest card. Returns the job's book."""
        if not number.strip():
            raise InputError(Problem("number", number, say("ledger.job_number")))
        author, job = self._author(writer), self.fresh_id()
        said = {"bearing": bearing, "number": number, "title": title}
        with kept_once(said), self._writing_beside(f"{number} {title}", None, "job") as pen:
            card = shelf.bearing_row(pen.connection, bearing).card
            self._add_to_plant(pen, PLANT, "job/1", {"job": job, **said}, writer)
            pen.add(self.fresh_id(), job, "opened/1", said, author)
            pen.add(self.fresh_id(), job, "adopt/1", {"card": card, "reason": ""}, author)
        return job

    def job(self, book: str) -> JobView:
        """A job as its entries leave it, with the card it adopted. Raises UnknownBook."""
        with self._ledger.reading() as connection:
            return self._view(connection, book)

    def start_check(
        self, job: str, method: str, purpose: str, writer: Writer, places: Sequence[Place] | None = None,
        id: str | None = None,
    ) -> str:  # fmt: skip
        """Begin a check at the method's standard places, or at others. Returns the check."""
        try:
            return self._start_check(job, method, purpose, writer, places, id)
        except AlreadyKept as there:
            must_be_the_same(there.entry, {"method": method, "purpose": purpose})
            return there.entry.id

    def _start_check(
        self, job: str, method: str, purpose: str, writer: Writer, places: Sequence[Place] | None,
        id: str | None,
    ) -> str:  # fmt: skip
        found = method_named(method)
        if not purpose.strip():
            raise InputError(Problem("purpose", purpose, say("ledger.purpose")))
        author = self._author(writer)
        with self._writing(job, purpose, id, "check") as (pen, account):
            if id and (held := pen.entry(id)) is not None:
                return asking.same_check(held, job, method)
            asking.may_be_named(id)
            asking.may_begin(account, purpose, found, pen.sight(job, author) if id else None)
            if places is None:
                places = found.default_places(self._view(pen.connection, job).card)
            check, laid = id or self.fresh_id(), [place_body(place) for place in places]
            body = {"check": check, "method": method, "purpose": purpose, "places": laid}
            pen.add(check, job, "check/1", body, author)
        return check

    @once
    def keep_reading(
        self, job: str, check: str, place: str, text: str, writer: Writer, *, unit: str = "",
        squeeze: int = 1, instrument: str = "", repeat: bool = False, id: str | None = None,
    ) -> Kept:  # fmt: skip
        """Keep a reading as typed. unit: assumed when none was typed.

        A place that has a reading the writer had seen is asked about (``Kept.ask``) and nothing is kept;
        one whose reading the writer had not seen has both kept, as a contradiction.
        """
        author = self._author(writer)
        with self._writing(job, text, id, f"reading {check} {place} {squeeze}") as (pen, account):
            held = pen.entry(id) if id else None
            if held is not None:
                return same_text(held, place, text)
            body, problem = asking.reading_body(
                account, check, place, text, unit, squeeze, instrument, repeat
            )
            there = asking.live_reading(account, check, place, squeeze)
            if there is not None and not repeat and problem is None:
                problem, seen = asking.already_there(place, text, there, pen.sight(job, author))
                if seen:
                    return Kept(None, problem, asking.REPEAT)
            entry = pen.add(id or self.fresh_id(), job, "reading/1", body, author)
        self._pictures.keep(job)
        return Kept(entry, problem)

    @once
    def keep_fact(
        self, job: str, check: str, key: str, text: str, writer: Writer, id: str | None = None, *,
        unit: str = "",
    ) -> Kept:  # fmt: skip
        """Keep a fact as typed; an empty text takes it away. unit: assumed when none was typed."""
        with self._writing(job, text, id, f"fact {check} {key}") as (pen, account):
            held = pen.entry(id) if id else None
            if held is not None:
                return same_text(held, key, text)
            read = read_fact(asking.fact_key(account, check, key, text), key, text, unit)
            body = {"check": check, "key": key, "text": text, "unit": unit}
            entry = pen.add(id or self.fresh_id(), job, "fact/1", body, self._author(writer))
        self._pictures.keep(job)
        return Kept(entry, read if isinstance(read, Problem) else None)

    @once
    def strike(self, job: str, entry: str, why: str, writer: Writer, *, concession: bool = False) -> Kept:
        """Strike a reading, fact, fit change or note; a concession only where it is said that it is one, for
        its engineer withdraws it. It stays visible with who and why."""
        with self._writing(job, why, None, f"strike {entry}") as (pen, account):
            asking.may_strike(account, entry, why, concession)
            return self._add(pen, job, "strike/1", {"entry": entry, "why": why}, writer)

    @once
    def change_fit(self, job: str, what: str, half: str, joint: str, text: str, writer: Writer) -> Kept:
        """Enter a change of the fit: checks of what it touches, read before it, no longer count.

        It is kept, and ``Kept.ask`` is "as found" where it must now be said why no clearance was taken so.
        """
        before = self.job(job).state
        asking.may_change_fit(what, half, joint)
        with self._writing(job, text, None, "fit") as (pen, _):
            loaded = self._view(pen.connection, job).card.duty.loaded_half
            body = {"what": what, "half": half, "joint": joint, "loaded": loaded, "text": text}
            kept = self._add(pen, job, "fit/1", body, writer)
        return self._asked_as_found(before, kept)

    @once
    def strip_down(self, job: str, text: str, writer: Writer) -> Kept:
        """Note that the bearing is taken apart: nothing can be taken as found after it. Asks as the above."""
        before = self.job(job).state
        with self._writing(job, text, None, "stripped") as (pen, _):
            kept = self._add(pen, job, "stripped/1", {"text": text}, writer)
        return self._asked_as_found(before, kept)

    @once
    def note_missed(self, job: str, what: str, why: str, writer: Writer) -> Kept:
        """Record that something could no longer be taken, and why."""
        asking.may_miss(what, why)
        with self._writing(job, why, None, f"missed {what}") as (pen, _):
            return self._add(pen, job, "missed/1", {"what": what, "why": why}, writer)

    @once
    def set_hold(self, job: str, hold: str, state: str, text: str, writer: Writer, check: str = "") -> Kept:
        """Close or open a hold point, of the bearing or (with ``check``) of a check's method."""
        with self._writing(job, text, None, f"hold {check} {hold}") as (pen, account):
            asking.may_set_hold(account, hold, state, check)
            body = {"hold": hold, "check": check, "state": state, "text": text}
            return self._add(pen, job, "hold/1", body, writer)

    @once
    def adopt_card(self, job: str, digest: str, reason: str, writer: Writer) -> Kept:
        """Judge the job by another revision of its bearing's card from now on."""
        with self._writing(job, reason, None, "adopt") as (pen, account):
            asking.may_adopt(account, reason)
            bearing = shelf.job_row(pen.connection, job).bearing
            if digest not in {one.digest for one in shelf.revisions(pen.connection, bearing)}:
                raise InputError(Problem("card", digest, say("ledger.known_revision")))
            return self._add(pen, job, "adopt/1", {"card": digest, "reason": reason}, writer)

    @once
    def choose_rule(self, job: str, check: str, rule: str, why: str, writer: Writer) -> Kept:
        """Choose a check's decision rule; it is recorded with who chose it and why."""
        with self._writing(job, why, None, f"rule {check}") as (pen, account):
            asking.may_choose(account, check, rule, why)
            return self._add(pen, job, "rule/1", {"check": check, "rule": rule, "why": why}, writer)

    @once
    def keep_note(self, job: str, text: str, writer: Writer) -> Kept:
        """Keep a note in a job."""
        if not text.strip():
            raise InputError(Problem("note", text, say("ledger.a_note")))
        with self._writing(job, text, None, "note") as (pen, _):
            return self._add(pen, job, "note/1", {"text": text}, writer)

    # what it comes to

    def judgement(self, job: str, check: str, view: JobView | None = None) -> Judgement:
        """The judgement of a check by the card the job adopted. Raises UnknownBook.

        view: the job as it was shown, when the judgement must be of that and not of what came since.
        """
        return self._judged.of(view if view is not None else self.job(job), check)

    def chain(self, job: str, view: JobView | None = None) -> Chain:
        """The chain of trust of a job, and whether its bearing is fit. Raises UnknownBook. view: as there."""
        return self._judged.chain(view if view is not None else self.job(job))

    def film(self, job: str, check: str, view: JobView | None = None, trial: Any = None) -> Any:
        """What the gap of a check means for its oil film: a `fitting.consequence.Consequence`; the first one
        of an installation takes a minute or two. trial: a `fitting.what_if.WhatIf`, nothing of it kept.
        Raises UnknownBook, InputError with all that the card lacks, NotConverged.
        """
        return self._films.of(view if view is not None else self.job(job), check, trial)

    def sheet(self, job: str, check: str, *, film: bool = False) -> bytes:
        """The data sheet of a check as PDF. film: with its oil film, which raises as `film` does."""
        view = self.job(job)
        shown = self.film(job, check, view) if film else None
        judgement = self._judged.of(view, check)
        stands = conceding.standing(view.state.signing, self.chain(job, view), self.moment()[:10])
        return papers.data_sheet(view, check, judgement, self.entries(job), VERSION, shown, stands)

    def blank_sheet(self, bearing: str, method: str = "wire") -> bytes:
        """A sheet to write on by hand at the machine, as PDF."""
        return papers.blank_sheet(self.bearing(bearing).card, method_named(method), VERSION)

    # inside

    def _asked_as_found(self, before: JobState, kept: Kept) -> Kept:
        """What was kept, with the question why no clearance is known as found where it was not asked yet."""
        asked = as_found.question(self.job(before.book).state)
        if not asked or asked == as_found.question(before):
            return kept
        return replace(kept, problem=Problem(as_found.ASK, "", asked), ask=as_found.ASK)

    def _view(self, connection: Connection, book: str) -> JobView:
        row = shelf.job_row(connection, book)
        state = births.with_births(self._state(connection, book), self._shelf.births(connection, row.bearing))
        newest = shelf.bearing_row(connection, row.bearing).card
        return JobView(state, self._shelf.card(connection, state.card or newest)[0], newest)

    def _state(self, connection: Connection, book: str) -> JobState:
        instruments = self._shelf.instruments(connection)
        with self._pictures.lock:
            return self._pictures.of(connection, book).state(instruments)

    def _job_rows(self, rows: Sequence[Any]) -> tuple[JobRow, ...]:
        """Jobs for a list; verdicts not reckoned since the job changed are reckoned and written down."""
        old = [row.book for row in rows if row.words is None or row.version != VERSION]
        if old:
            with self._ledger.reading() as connection:
                as_of = shelf.newest(connection)
        words = {book: self._words(book) for book in old}
        if words and self.writable:
            with suppress(LedgerError), self._ledger.writing() as pen:
                shelf.keep_words(pen.connection, words.items(), VERSION, as_of)
        return tuple(
            JobRow(row.book, row.number, row.title, words.get(row.book, row.words or "")) for row in rows
        )

    def _words(self, job: str) -> str:
        view = self.job(job)
        checks = list(view.state.checks)
        verdict = self._judged.of(view, checks[-1]).verdict if checks else ""
        signed = view.state.signing
        return conceding.listed(verdict, signed, self.chain(job, view)) if signed.used else verdict
