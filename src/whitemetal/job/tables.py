"""A job as tables: one row a fact, texts as typed beside values in SI, for whoever reads files.

A column that holds a length ends in ``_m``; ``value`` stands in the SI unit of the column ``si`` beside it.
Every entry is a row of ``entries`` with its body whole, so that nothing is left out because no table here
knows it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import rfc8785

from whitemetal.card import Card
from whitemetal.job.chain import Chain
from whitemetal.job.entry import Entry
from whitemetal.job.judgement import AssessedShown, Judgement
from whitemetal.job.state import CheckState, JobState
from whitemetal.words import say

Cell = str | int | float | None
Row = tuple[str, tuple[Cell, ...]]
"""Name of the table, and the cells."""

SI = {"length": "m", "angle": "rad", "slope": "m/m"}
"""SI units of what is told by dimension; another dimension is named as it is."""


@dataclass(frozen=True)
class Head:
    """A table: its name and columns."""

    name: str
    columns: tuple[str, ...]


_OF_JOB = ("job", "book")
HEADS = (
    Head("jobs", (
        *_OF_JOB, "title", "machine", "machine_name", "bearing", "bearing_book", "bearing_is", "standing",
        "opened_at", "entries", "state_digest", "card_digest",
    )),
    Head("checks", (
        *_OF_JOB, "check", "method", "title", "purpose", "verdict", "probability", "stale", "measured_by",
        "decision_rule", "rule_by", "diametral_m", "radial_m", "u_m", "expanded_m", "k", "dof", "limit_basis",
        "limit_minimum_m", "limit_maximum_m", "limit_renewal_m", "limit_rung", "limit_source",
    )),
    Head("places", (
        *_OF_JOB, "check", "place", "title", "axial_m", "angle_rad", "readings", "reading_m", "diametral_m",
        "radial_m", "u_m", "dof", "verdict", "probability",
    )),
    Head("results", (
        *_OF_JOB, "check", "quantity", "where", "value", "si", "u", "expanded", "verdict", "probability",
        "limit_minimum", "limit_maximum", "limit_rung", "limit_source",
    )),
    Head("readings", (
        *_OF_JOB, "check", "place", "squeeze", "text", "value", "instrument", "standing", "by", "at", "entry"
    )),
    Head("facts", (*_OF_JOB, "check", "key", "text", "value", "by", "entry")),
    Head("fit_changes", (
        *_OF_JOB, "what", "half", "joint", "text", "touches", "by", "at", "struck", "entry"
    )),
    Head("hold_points", (*_OF_JOB, "check", "hold", "closed", "text", "why", "by", "at", "entry")),
    Head("order_of_trust", (*_OF_JOB, "point", "text", "closed", "said")),
    Head("notes", (*_OF_JOB, "about", "text", "by", "at", "struck", "entry")),
    Head("signatures", (
        *_OF_JOB, "part", "by", "at", "leaves", "bearing_shown", "state_digest", "card_digest", "program",
        "void", "entry",
    )),
    Head("concessions", (
        *_OF_JOB, "by", "engineer", "at", "until", "against", "reason", "restrictions", "struck", "entry"
    )),
    Head("photographs", (
        *_OF_JOB, "digest", "of", "place", "caption", "taken", "by", "at", "struck", "entry"
    )),
    Head("reopened", (*_OF_JOB, "by", "at", "why", "entry")),
    Head("entries", (
        "book", "id", "kind", "device", "seq", "prev", "after", "at", "offset_min", "by", "by_id", "body",
        "digest",
    )),
)  # fmt: skip
"""Every table of a job. Times are UTC; a struck thing keeps its row and says who struck it and why."""


def rows_of_job(
    state: JobState, card: Card, chain: Chain, judged: Mapping[str, Judgement], standing: str,
    entries: Sequence[Entry],
) -> Iterator[Row]:  # fmt: skip
    """The rows of one job, table by table in the order of `HEADS`."""
    of = (state.number, state.book)
    machine = card.machine
    yield "jobs", (
        *of, state.title, machine.tag, machine.name, card.bearing.position, state.bearing, chain.bearing,
        standing, state.opened_at, state.entries, state.digest, state.card,
    )  # fmt: skip
    for check, one in judged.items():
        yield "checks", (*of, *_check(check, state.checks[check], one))
    for check, one in judged.items():
        yield from (("places", (*of, check, *cells)) for cells in _places(one))
    for check, one in judged.items():
        yield from (("results", (*of, check, *cells)) for cells in _results(one))
    by_id = {entry.id: entry for entry in entries}
    for found in state.checks.values():
        yield from (("readings", (*of, found.check, *cells)) for cells in _readings(found, by_id))
    for found in state.checks.values():
        for key, fact in found.facts.items():
            yield "facts", (*of, found.check, key, fact.text, _finite(fact.value), fact.by, fact.entry)
    yield from _of_the_fit(of, state, chain)
    yield from _of_the_rest(of, state)
    yield from (("entries", entry_cells(entry)) for entry in entries)


def entry_cells(entry: Entry) -> tuple[Cell, ...]:
    """An entry in the columns of "entries". The body as canonical JSON."""
    return (
        entry.book, entry.id, entry.kind, entry.device, entry.seq, entry.prev, " ".join(entry.after),
        entry.at, entry.offset, entry.by.get("name", ""), entry.by.get("id", ""),
        rfc8785.dumps(dict(entry.body)).decode(), entry.digest,
    )  # fmt: skip


def _check(check: str, state: CheckState, one: Judgement) -> tuple[Cell, ...]:
    found, limit = one.clearance, one.limits
    sizes: tuple[Cell, ...] = (None,) * 6
    if found is not None:
        sizes = (
            found.diametral_m, found.radial_m, found.u_m, found.expanded_m, found.k, _finite(found.dof)
        )  # fmt: skip
    limits: tuple[Cell, ...] = ("", None, None, None, "", "")
    if limit is not None:
        limits = (
            limit.basis, limit.minimum_m, limit.maximum_m, limit.renewal_m, limit.rung, limit.source
        )  # fmt: skip
    return (
        check, state.method, one.title, state.purpose, one.verdict, _finite(one.probability), one.stale,
        ", ".join(state.measured_by), one.decision_rule, state.rule_by, *sizes, *limits,
    )  # fmt: skip


def _places(one: Judgement) -> Iterator[tuple[Cell, ...]]:
    for place in one.clearance.places if one.clearance is not None else ():
        yield (
            place.label, place.title, place.axial_m, place.angle_rad, place.readings, place.reading_m,
            place.diametral_m, place.radial_m, place.u_m, _finite(place.dof), place.verdict,
            _finite(place.probability),
        )  # fmt: skip


def _results(one: Judgement) -> Iterator[tuple[Cell, ...]]:
    for named in one.clearance.named if one.clearance is not None else ():
        yield named.label, "", _finite(named.value), named.unit, _finite(named.u), *(None,) * 3, *_no_limit()
    for quantity in one.assessed:
        for value in quantity.values:
            yield (
                quantity.of, value.where, _finite(value.value),
                SI.get(quantity.dimension, quantity.dimension), _finite(value.u), _finite(value.expanded),
                value.word or "", _finite(value.probability), *_limit_of(quantity),
            )  # fmt: skip


def _no_limit() -> tuple[Cell, ...]:
    return None, None, "", ""


def _limit_of(quantity: AssessedShown) -> tuple[Cell, ...]:
    limit = quantity.limit
    return _no_limit() if limit is None else (limit.minimum, limit.maximum, limit.rung, limit.source)


def _readings(found: CheckState, by_id: Mapping[str, Entry]) -> Iterator[tuple[Cell, ...]]:
    """Live, struck and unreadable readings: none is left out."""
    for one in found.readings:
        yield _reading(
            by_id, one.entry, one.place, one.squeeze, one.text, _finite(one.value), one.instrument, ""
        )
    for struck in found.struck:
        one, said = struck.reading, say("ledger.struck_by", by=struck.by, why=struck.why)
        yield _reading(
            by_id, one.entry, one.place, one.squeeze, one.text, _finite(one.value), one.instrument, said
        )
    for entry, place, text in found.unreadable:
        yield _reading(by_id, entry, place, None, text, None, "", say("report.unreadable"))


def _reading(by_id: Mapping[str, Entry], entry: str, *cells: Cell) -> tuple[Cell, ...]:
    written = by_id.get(entry)
    by, at = (written.by.get("name", ""), written.at) if written is not None else ("", "")
    return (*cells, by, at, entry)


def _of_the_fit(of: tuple[str, str], state: JobState, chain: Chain) -> Iterator[Row]:
    for change in state.fit_changes:
        yield "fit_changes", (
            *of, change.what, change.half, change.joint, change.text, ", ".join(change.touches), change.by,
            change.at, change.struck, change.entry,
        )  # fmt: skip
    for key, held in state.holds.items():
        yield "hold_points", (
            *of, held.check, key.split("@")[0], _yes(held.closed), held.text, held.why, held.by, held.at,
            held.entry,
        )  # fmt: skip
    for link in chain.links:
        yield "order_of_trust", (*of, link.key, link.text, _yes(link.closed), link.full_why)
    for about, notes in (("note", state.notes), ("stripped", state.stripped)):
        for note in notes:
            yield "notes", (*of, about, note.text, note.by, note.at, note.struck, note.entry)
    for missed in state.missed:
        yield "notes", (*of, f"missed: {missed.what}", missed.why, missed.by, missed.at, "", missed.entry)


def _of_the_rest(of: tuple[str, str], state: JobState) -> Iterator[Row]:
    for one in state.signing.signatures:
        yield "signatures", (
            *of, one.part, one.by, one.at, one.leaves, str(one.shown.get("bearing", "")), one.state, one.card,
            one.program, one.void, one.entry,
        )  # fmt: skip
    for given in state.signing.concessions:
        against = "; ".join(f"{point.text} ({point.word})" for point in given.against)
        yield "concessions", (
            *of, given.by, given.engineer, given.at, given.until, against, given.reason, given.restrictions,
            given.struck, given.entry,
        )  # fmt: skip
    for shot in state.photographs:
        yield "photographs", (
            *of, shot.digest, shot.of, shot.place, shot.caption, shot.taken, shot.by, shot.at, shot.struck,
            shot.entry,
        )  # fmt: skip
    for opened in state.signing.reopened:
        yield "reopened", (*of, opened.by, opened.at, opened.why, opened.entry)


def _yes(closed: bool) -> str:
    return "yes" if closed else "no"


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
