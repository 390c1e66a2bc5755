"""The report of a job, put together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any

from whitemetal.desk.desk import Desk
from whitemetal.desk.inspection import inspected
from whitemetal.desk.life import life_of
from whitemetal.desk.rows import JobView
from whitemetal.desk.run_in import runs
from whitemetal.desk.signing import found_different, standing
from whitemetal.errors import ChainBroken, InputError, WhitemetalError
from whitemetal.gauging import method_named
from whitemetal.job import life_words
from whitemetal.job.entry import Entry
from whitemetal.job.fit_matrix import CLEARANCE
from whitemetal.job.front import front
from whitemetal.job.judgement import Judgement
from whitemetal.job.judgement_json import as_json
from whitemetal.job.run_in import RunShown, run_in_lines
from whitemetal.job.state import Photograph
from whitemetal.job.typed import method_or_none
from whitemetal.version import VERSION
from whitemetal.words import say


def report(desk: Desk, job: str, *, film: bool = True) -> bytes:
    """The report of a job as PDF. film: with the oil film; the first one takes a minute or two. Raises
    UnknownBook."""
    from whitemetal.sheets import JobHead
    from whitemetal.sheets import report as sheet

    view = desk.job(job)
    state = view.state
    judged = {check: desk.judgement(job, check, view) for check in state.checks}
    stands = standing(desk, view)
    entries = desk.entries(job)
    sentence, filmed = film_of(desk, view) if film else (say("report.film_left_out"), {})
    head = JobHead(state.number, state.title, "", state.book, state.digest, stands)
    damaged = tuple(say("report.damaged", what=fault.text) for fault in desk.verify(job))
    ran = runs(desk, view)
    shown = front(
        state, desk.chain(job, view), judged, stands, damage=inspected(desk, view),
        run_in=run_in_lines(ran),
    )  # fmt: skip
    return sheet.report(
        replace(shown, said=(*damaged, *shown.said)),
        view.card,
        head,
        film=sentence,
        ahead=ahead(desk, view),
        sheets=[_sheet(view, check, one, head, entries, filmed.get(check)) for check, one in judged.items()],
        run_ins=[_run_in(view, head, one) for one in ran],
        entries=entries,
        photographs=list(_shots(desk, job)),
        notes=[f"{note.text} ({note.by}, {note.at[:10]})" for note in state.notes if not note.struck],
        different=list(dict.fromkeys(_different(desk, view))),
        signed=state.signing.signed,
        version=VERSION,
    )


def film_of(desk: Desk, view: JobView) -> tuple[str, dict[str, Any]]:
    """What the clearance as left means for the oil, a sentence, and the film by its check; why there is none
    where it cannot be said."""
    check = _of_clearance(view)
    if not check:
        return say("report.film_no_check"), {}
    try:
        found = desk.film(view.state.book, check, view)
    except InputError as lacks:
        what = ", ".join(dict.fromkeys(problem.field for problem in lacks.problems))
        return say("report.film_lacks", what=what), {}
    except WhitemetalError as why:
        return say("report.film_fails", why=why), {}
    return str(found.sentence), {check: found}


def _of_clearance(view: JobView) -> str:
    """The check that speaks for the clearance, else the one begun last that measures it; "" for none."""
    deciding = view.state.deciding.get(CLEARANCE, ())
    if deciding:
        return deciding[-1]
    for check, found in reversed(list(view.state.checks.items())):
        method = method_or_none(found.method)
        if method is not None and method.proves == CLEARANCE and found.readings:
            return check
    return ""


def ahead(desk: Desk, view: JobView) -> tuple[str, ...]:
    """When to open the bearing next, what decides it and what stands behind it, in sentences."""
    life = life_of(desk, view.state.bearing)
    return (*life_words.headline(life), *life_words.sentences(view.card, life), *life.problems)


def _sheet(
    view: JobView, check: str, judged: Judgement, head: Any, entries: Sequence[Entry], film: Any
) -> tuple[Any, Any]:
    from whitemetal.sheets.data_sheet import data_sheet_part

    found = view.state.checks[check]
    return data_sheet_part(
        as_json(judged), view.card, method_named(found.method), places=found.places, readings=found.readings,
        facts=found.facts, entries=[one for one in entries if one.body.get("check") in (None, "", check)],
        job=replace(head, purpose=found.purpose), unreadable=found.unreadable,
        contradictions=found.contradictions, version=VERSION, film=film,
    )  # fmt: skip


def _run_in(view: JobView, head: Any, shown: RunShown) -> tuple[Any, Any]:
    from whitemetal.sheets.run_in_sheet import run_in_part

    return run_in_part(view.card, head, shown, VERSION)


def _shots(desk: Desk, job: str) -> Iterator[Any]:
    from whitemetal.sheets.report import Shot

    """Photographs with their files; without the one that was altered, of which the first page tells."""
    for one in desk.job(job).state.photographs:
        if one.struck:
            continue
        file = None
        with suppress(ChainBroken):
            file = desk.files.of(one.digest)
        yield Shot(one.digest, _caption(one), file.content if file else None, one.width, one.height)


def _caption(one: Photograph) -> str:
    taken = (one.taken or one.at)[:16].replace("T", " ")
    caption = one.caption or say("report.no_caption")
    place = f"{one.place}: " if one.place else ""
    return place + say("report.of_photograph", caption=caption, by=one.by, taken=taken)


def _different(desk: Desk, view: JobView) -> Iterator[str]:
    found: Mapping[str, tuple[str, ...]] = found_different(desk, view)
    for said in found.values():
        yield from said
