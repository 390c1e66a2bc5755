"""Judgements stay in memory for as long as what they were made from stays the same.

A judgement is a function of the check, the card, the hold points and what the job's other checks say, so
the bench page that follows a saved reading need not reckon again what the answer to the reading already
said. Nothing is remembered that the entries do not give again.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import replace
from threading import Lock
from typing import Any

from whitemetal.desk.rows import JobView
from whitemetal.errors import UnknownBook
from whitemetal.gauging import Method, method_named
from whitemetal.gauging.contract import Finding
from whitemetal.job import as_found, closing_up
from whitemetal.job.agreement import doubts_of
from whitemetal.job.chain import Chain, Words, chain
from whitemetal.job.holds import holds_of
from whitemetal.job.judge import judge_check
from whitemetal.job.judgement import HoldShown, Judgement, Word
from whitemetal.words import say

KEPT = 64
"""Checks whose newest judgement stays in memory, and jobs whose doubts do. Our own."""

Doubts = Mapping[str, tuple[Finding, ...]]


class Judged:
    """The newest judgement of each check in use. Threads may share one."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._kept: OrderedDict[tuple[str, str], tuple[tuple[Any, ...], Judgement]] = OrderedDict()
        self._doubts: OrderedDict[str, tuple[tuple[Any, ...], Doubts]] = OrderedDict()
        self._words: OrderedDict[tuple[str, str], tuple[tuple[Any, ...], Word]] = OrderedDict()

    def of(self, view: JobView, check: str) -> Judgement:
        """The judgement of a check of this job. Raises UnknownBook."""
        found = view.state.checks.get(check)
        if found is None:
            raise UnknownBook(say("ledger.unknown_check", check=check))
        method = method_named(found.method)
        against = self._against(view, check)
        words = self.words(view, without=check)
        holds = self._holds(view, check, method, {**words, check: "within limits"})
        made_from = (found, view.card, holds, against)
        name = (view.state.book, check)
        with self._lock:
            before = self._kept.get(name)
        if before is not None and before[0] == made_from:
            return before[1]
        judgement = judge_check(*made_from)
        if judgement.verdict != "within limits":
            holds = self._holds(view, check, method, {**words, check: judgement.verdict})
            judgement = replace(judgement, holds=holds)
        if judgement.stale:
            judgement = replace(judgement, bearing=chain(view.state, words, view.card).bearing)
        with self._lock:
            self._kept[name] = made_from, judgement
            self._kept.move_to_end(name)
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return judgement

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
        state = view.state.checks[check]
        made_from = (state, view.card, self._against(view, check))
        name = (view.state.book, check)
        with self._lock:
            before = self._words.get(name)
        if before is not None and before[0] == made_from:
            return before[1]
        word = judge_check(state, view.card, (), made_from[2]).verdict
        with self._lock:
            self._words[name] = made_from, word
            self._words.move_to_end(name)
            while len(self._words) > 4 * KEPT:
                self._words.popitem(last=False)
        return word

    def _against(self, view: JobView, check: str) -> tuple[Finding, ...]:
        """What the rest of the job says against a check."""
        said = (*self.doubts(view).get(check, ()), *as_found.findings(view.state, check))
        return (*said, *closing_up.otherwise(view.state, view.card, check))

    def doubts(self, view: JobView) -> Doubts:
        """What the checks of this job say against each other, by check."""
        made_from, name = (view.state.checks, view.card), view.state.book
        with self._lock:
            before = self._doubts.get(name)
        if before is not None and before[0] == made_from:
            return before[1]
        found = doubts_of(view.state, view.card)
        with self._lock:
            self._doubts[name] = made_from, found
            self._doubts.move_to_end(name)
            while len(self._doubts) > KEPT:
                self._doubts.popitem(last=False)
        return found

    def forget(self) -> None:
        """Let go of every judgement."""
        with self._lock:
            self._kept.clear()
            self._doubts.clear()
            self._words.clear()
