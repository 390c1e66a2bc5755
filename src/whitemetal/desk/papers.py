"""Papers of a job: what the sheets need, put together."""

from __future__ import annotations

from collections.abc import Sequence

from whitemetal.card import Card
from whitemetal.desk.rows import JobView
from whitemetal.gauging.contract import Method
from whitemetal.job.entry import Entry
from whitemetal.job.judgement import Judgement


def data_sheet(view: JobView, check: str, judgement: Judgement, entries: Sequence[Entry]) -> bytes:
    """The data sheet of a check as PDF."""
    raise NotImplementedError


def blank_sheet(card: Card, method: Method) -> bytes:
    """A sheet to write on by hand at the machine, as PDF."""
    raise NotImplementedError
