"""Judgements stay in memory for as long as what they were made from stays the same.

A judgement is a function of the check, the card, the hold points and what the job's other checks say against
it, so the bench page that follows a saved reading need not reckon again what the answer to the reading already
said. Nothing is remembered that the entries do not give again.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from threading import Lock
from typing import Any

from whitemetal.desk.rows import JobView
from whitemetal.errors import UnknownBook
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Finding
from whitemetal.job.agreement import doubts_of
from whitemetal.job.holds import holds_of, with_clearance
from whitemetal.job.judge import judge_check
from whitemetal.job.judgement import Judgement
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

    def of(self, view: JobView, check: str) -> Judgement:
        """The judgement of a check of this job. Raises UnknownBook."""
        found = view.state.checks.get(check)
        if found is None:
            raise UnknownBook(say("ledger.unknown_check", check=check))
        method = method_named(found.method)
        against = self.doubts(view).get(check, ())
        made_from = (found, view.card, holds_of(view.state, check, method), against)
        name = (view.state.book, check)
        with self._lock:
            before = self._kept.get(name)
        if before is not None and before[0] == made_from:
            return before[1]
        judgement = with_clearance(judge_check(*made_from), method)
        with self._lock:
            self._kept[name] = made_from, judgement
            self._kept.move_to_end(name)
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return judgement

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
