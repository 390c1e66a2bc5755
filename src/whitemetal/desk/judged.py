"""Judgements stay in memory for as long as what they were made from stays the same.

A judgement is a function of the check, the card, the hold points and what the job's other checks say, so
the bench page that follows a saved reading need not reckon again what the answer to the reading already
said. Nothing is remembered that the entries do not give again.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace
from threading import BoundedSemaphore, Lock
from typing import Generic, TypeVar

from whitemetal.desk.rows import JobView
from whitemetal.errors import UnknownBook
from whitemetal.gauging import Method, method_named
from whitemetal.gauging.contract import Finding, Result
from whitemetal.job import as_found, closing_up
from whitemetal.job.agreement import Read, doubts_of, evaluated, read_from
from whitemetal.job.chain import Chain, Words, chain
from whitemetal.job.holds import holds_of
from whitemetal.job.judge import judge_check, word_of
from whitemetal.job.judgement import HoldShown, Judgement, Word
from whitemetal.job.state import CheckState
from whitemetal.words import say

KEPT = 256
"""Checks whose newest judgement stays in memory, and jobs whose doubts do. Our own."""

AT_ONCE = 2
"""Judgements that are reckoned at the same time. More would not be ready sooner, for they share one
interpreter; and whoever holds the record's lock would wait behind all of them at every step. Our own."""

Doubts = Mapping[str, tuple[Finding, ...]]
Made = TypeVar("Made")


class Memory(Generic[Made]):
    """The newest of what was made under each name, while what it was made from is the same. Threads may
    share one."""

    def __init__(self, reckoning: AbstractContextManager[object]) -> None:
        self._lock = Lock()
        self._reckoning = reckoning
        self._kept: OrderedDict[Hashable, tuple[object, Made]] = OrderedDict()

    def of(self, name: Hashable, made_from: object, make: Callable[[], Made]) -> Made:
        """What is remembered, else what is made now: once, also for those who waited for their turn."""
        found = self._found(name, made_from)
        if found is not None:
            return found
        with self._reckoning:
            found = self._found(name, made_from)
            if found is not None:
                return found
            made = make()
        with self._lock:
            self._kept[name] = made_from, made
            self._kept.move_to_end(name)
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return made

    def _found(self, name: Hashable, made_from: object) -> Made | None:
        with self._lock:
            before = self._kept.get(name)
        return before[1] if before is not None and before[0] == made_from else None

    def forget(self) -> None:
        """Let go of everything."""
        with self._lock:
            self._kept.clear()


class Judged:
    """The newest judgement of each check in use, and what it is made from. Threads may share one."""

    def __init__(self) -> None:
        turn = BoundedSemaphore(AT_ONCE)
        self._judgements: Memory[Judgement] = Memory(turn)
        self._words: Memory[Word] = Memory(turn)
        self._doubts: Memory[Doubts] = Memory(turn)
        self._reads: Memory[Read] = Memory(nullcontext())
        self._results: Memory[Result] = Memory(nullcontext())

    def of(self, view: JobView, check: str) -> Judgement:
        """The judgement of a check of this job. Raises UnknownBook."""
        found = view.state.checks.get(check)
        if found is None:
            raise UnknownBook(say("ledger.unknown_check", check=check))
        method = method_named(found.method)
        against = self._against(view, check)
        words = self.words(view, without=check)
        holds = self._holds(view, check, method, {**words, check: "within limits"})

        def make() -> Judgement:
            judgement = judge_check(found, view.card, holds, against, self._result(view, found))
            if judgement.verdict != "within limits":
                others = self._holds(view, check, method, {**words, check: judgement.verdict})
                judgement = replace(judgement, holds=others)
            if judgement.stale:
                judgement = replace(judgement, bearing=chain(view.state, words, view.card).bearing)
            return judgement

        return self._judgements.of((view.state.book, check), (found, view.card, holds, against), make)

    @staticmethod
    def _holds(view: JobView, check: str, method: Method, words: Words) -> tuple[HoldShown, ...]:
        return holds_of(view.state, check, method, chain(view.state, words, view.card))

    def words(self, view: JobView, without: str = "") -> Words:
        """The verdicts of the checks of this job that speak for something. without: a check left out."""
        speaking = dict.fromkeys(check for checks in view.state.deciding.values() for check in checks)
        return {check: self._verdict(view, check) for check in speaking if check != without}

    def chain(self, view: JobView) -> Chain:
        """The chain of trust of this job."""
        return chain(view.state, self.words(view), view.card)

    def _verdict(self, view: JobView, check: str) -> Word:
        """The word of a check, whatever its hold points."""
        state, against = view.state.checks[check], self._against(view, check)
        return self._words.of(
            (view.state.book, check),
            (state, view.card, against),
            lambda: word_of(state, view.card, against, self._result(view, state)),
        )

    def _against(self, view: JobView, check: str) -> tuple[Finding, ...]:
        """What the rest of the job says against a check."""
        said = (*self.doubts(view).get(check, ()), *as_found.findings(view.state, check))
        return (*said, *closing_up.otherwise(view.state, view.card, check))

    def doubts(self, view: JobView) -> Doubts:
        """What the checks of this job say against each other, by check."""

        def make() -> Doubts:
            return doubts_of(view.state, view.card, lambda _, check, title: self._read(view, check, title))

        return self._doubts.of(view.state.book, (view.state.checks, view.card), make)

    def _read(self, view: JobView, check: CheckState, title: str) -> Read:
        """A check as it is put beside the others: again only when it changed itself."""
        return self._reads.of(
            (view.state.book, check.check), (check, view.card, title),
            lambda: read_from(check, self._result(view, check), title),
        )  # fmt: skip

    def _result(self, view: JobView, check: CheckState) -> Result:
        """What a check's method makes of its readings: the checks beside the one that is read stay as they
        are."""
        made_from = (check.method, check.places, check.facts, check.readings, view.card)
        return self._results.of(
            (view.state.book, check.check), made_from, lambda: evaluated(view.card, check)
        )

    def forget(self) -> None:
        """Let go of every judgement."""
        for memory in (self._judgements, self._words, self._doubts, self._reads, self._results):
            memory.forget()
