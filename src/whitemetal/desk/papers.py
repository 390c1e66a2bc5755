"""Papers of a job: what the sheets need, put together."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from whitemetal.card import Card
from whitemetal.desk.rows import JobView
from whitemetal.fitting import wire_choice
from whitemetal.fitting.bore_order import Order
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Method
from whitemetal.job.entry import Entry
from whitemetal.job.judgement import Judgement
from whitemetal.job.judgement_json import as_json

if TYPE_CHECKING:
    from whitemetal.fitting.consequence_parts import Consequence

ADVISERS: Mapping[str, Callable[[Card], wire_choice.Advice]] = {"wire": wire_choice.advise}
"""What a method advises before it is begun, by method key."""


def data_sheet(
    view: JobView,
    check: str,
    judgement: Judgement,
    entries: Sequence[Entry],
    version: str,
    film: Consequence | None = None,
    standing: str = "",
) -> bytes:
    """The data sheet of a check as PDF. entries: of the job; those of other checks are not listed. film: what
    the gap means for the oil, when it is to stand on the sheet. standing: who signed, or by whose leave it
    runs."""
    from whitemetal import sheets

    state, found = view.state, view.state.checks[check]
    return sheets.data_sheet(
        as_json(judgement),
        view.card,
        method_named(found.method),
        places=found.places,
        readings=found.readings,
        facts=found.facts,
        job=sheets.JobHead(state.number, state.title, found.purpose, state.book, state.digest, standing),
        entries=[entry for entry in entries if entry.body.get("check") in (None, "", check)],
        unreadable=found.unreadable,
        contradictions=found.contradictions,
        version=version,
        film=film,
    )


def blank_sheet(card: Card, method: Method, version: str) -> bytes:
    """A sheet to write on by hand at the machine, as PDF."""
    from whitemetal import sheets

    adviser = ADVISERS.get(method.key)
    advice = adviser(card).sentences if adviser is not None else ()
    return sheets.blank_sheet(card, method, advice=advice, version=version)


def order_sheet(view: JobView, order: Order, version: str) -> bytes:
    """The order to the machine shop as PDF."""
    from whitemetal import sheets
    from whitemetal.sheets.bore_order import bore_order_sheet

    state = view.state
    job = sheets.JobHead(state.number, state.title, "", state.book, state.digest)
    return bore_order_sheet(view.card, order, job=job, version=version)
