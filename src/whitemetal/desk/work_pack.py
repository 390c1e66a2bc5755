"""The work pack of a job: what its sheets need, put together, with the last readings of the same bearing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from whitemetal.card import Card
from whitemetal.desk.desk import Desk
from whitemetal.desk.papers import ADVISERS
from whitemetal.desk.procedure import procedure_for
from whitemetal.desk.rows import JobView
from whitemetal.errors import MethodRefused
from whitemetal.gauging import METHODS
from whitemetal.gauging.contract import Method
from whitemetal.job.procedure.step import Step
from whitemetal.job.state import CheckState, JobState
from whitemetal.sheets.facts import as_typed
from whitemetal.sheets.head import JobHead
from whitemetal.sheets.work_pack import LastTaken, work_pack
from whitemetal.version import VERSION

LOOKED_BACK = 12
"""So many earlier jobs of a bearing are looked through for its last readings. Our own."""


def pack_of_job(desk: Desk, job: str, address: str, sheets: Sequence[str] = ()) -> bytes:
    """The work pack of a job as PDF. address: of the job's page. sheets: words of the choice, as of
    `job.procedure.sheets_wanted.chosen`. Raises UnknownBook, InputError on a word that names no sheet."""
    view = desk.job(job)
    state = view.state
    head = JobHead(state.number, state.title, "", state.book, state.digest)
    steps = procedure_for(desk, view.card).steps
    return pack(view.card, steps, sheets, job=head, address=address, last=last_taken(desk, view))


def pack(
    card: Card, steps: Sequence[Step], sheets: Sequence[str] = (), *, job: JobHead | None = None,
    address: str = "", last: Mapping[str, LastTaken] | None = None,
) -> bytes:  # fmt: skip
    """The work pack for a card; see `sheets.work_pack`. sheets: as of `pack_of_job`."""
    return work_pack(
        card, steps, sheets, job=job, address=address, advice=_advice(card), last=last, version=VERSION
    )


def _advice(card: Card) -> dict[str, Sequence[str]]:
    advice: dict[str, Sequence[str]] = {}
    for method, adviser in ADVISERS.items():
        try:
            advice[method] = adviser(card).sentences
        except MethodRefused:
            continue
    return advice


def last_taken(desk: Desk, view: JobView) -> dict[str, LastTaken]:
    """The newest readings of every method in earlier jobs of the bearing, as left before as found."""
    bearing = view.state.bearing
    books = [row.book for row in desk.bearing(bearing).jobs if row.book != view.state.book]
    states = sorted((desk.job(book).state for book in books[-LOOKED_BACK:]), key=lambda one: one.opened_at)
    found: dict[str, LastTaken] = {}
    for state in reversed(states):
        for check in _newest_first(state):
            if check.method in METHODS and check.method not in found:
                rows = tuple(_rows(check, METHODS[check.method], view.card))
                if rows:
                    day = state.opened_at[:10]
                    found[check.method] = LastTaken(check.purpose, state.number, day, rows)
    return found


def _newest_first(state: JobState) -> list[CheckState]:
    """The checks of a job, those as left first."""
    checks = list(state.checks.values())[::-1]
    return sorted(checks, key=lambda check: check.purpose != "as left")


def _rows(check: CheckState, method: Method, card: Card) -> Iterator[tuple[str, str]]:
    """Places with their newest reading as typed, with the unit it was taken in, then facts that are readings
    of the parts."""
    field = method.reading_field
    texts = {reading.place: as_typed(field, reading.text, card) for reading in check.readings}
    yield from ((place.label, texts[place.label]) for place in check.places if place.label in texts)
    for asked in method.fields:
        fact = check.facts.get(asked.key)
        if asked.measured and fact is not None and fact.text.strip():
            yield asked.label, as_typed(asked, fact.text, card)
