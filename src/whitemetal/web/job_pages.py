"""A job: opened, its checks, hold points, fit changes and card revision; the judgement and the sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.card import Card
from whitemetal.desk import Desk
from whitemetal.desk.numbers import Named, same_number, to_ask
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.gauging.order import in_short, method_groups
from whitemetal.job import as_found
from whitemetal.job.agreement import doubts_of
from whitemetal.job.judge import judge_check
from whitemetal.job.judgement import Judgement
from whitemetal.job.state import JobState
from whitemetal.web import pictures
from whitemetal.web.bench_pages import BENCH, base_of, bench_for, desk_of, look_from
from whitemetal.web.boxes import Row
from whitemetal.web.card_pages import pdf, plain_name
from whitemetal.web.keeping import Sent, keep_sent
from whitemetal.web.photo_pages import shots_of
from whitemetal.web.render import page, segment
from whitemetal.web.stages import stages_of
from whitemetal.web.visitor import NAME_COOKIE, heads_from, keep_cookie, writer_of
from whitemetal.words import say

router = APIRouter()
PURPOSES = ("as found", "as left")
RULES = ("simple acceptance",)


@router.get("/bearings/{book}/jobs/new")
def new_job(request: Request, book: str) -> Response:
    """The form that opens a job."""
    return _new_job(request, book, {}, ())


def _new_job(
    request: Request, book: str, typed: Mapping[str, str], problems: tuple[Problem, ...],
    others: tuple[Named, ...] = (),
) -> Response:  # fmt: skip
    return page(
        request, "job_new.html", 422 if problems or others else 200, others=others,
        bearing=desk_of(request).bearing(book), typed=typed, problems=problems, groups=method_groups(),
        in_short=in_short, purposes=PURPOSES,
    )  # fmt: skip


@router.post("/bearings/{book}/jobs/new")
async def open_job(request: Request, book: str) -> Response:
    """Open a job."""
    form = await request.form()
    return await run_in_threadpool(_open_job, request, book, form)


def _open_job(request: Request, book: str, form: FormData) -> Response:
    """Open the job and, when one is asked for, begin its first check."""
    typed = {name: str(text) for name, text in form.items()}
    number = typed.get("number", "").strip()
    try:
        if not number:
            raise InputError(Problem(say("web.job_number"), "", say("web.name_expected_job")))
        writer = writer_of(request, name=typed.get("name", ""))
        desk = desk_of(request)
        others = to_ask(desk, book, number)
        if others and typed.get("another") != "yes":
            return _new_job(request, book, typed, (), others)
        job = desk.open_job(book, number, typed.get("title", "").strip(), writer)
        method, purpose = typed.get("method", ""), typed.get("purpose", "") or PURPOSES[0]
        check = desk.start_check(job, method, purpose, writer) if method else ""
    except InputError as bad:
        return _new_job(request, book, typed, bad.problems)
    answer = RedirectResponse(base_of(job, check) if check else f"/jobs/{segment(job)}", status_code=303)
    if typed.get("name"):
        keep_cookie(answer, NAME_COOKIE, writer.name, request.url.scheme == "https")
    return answer


@router.get("/jobs/{job}")
def show_job(request: Request, job: str) -> Response:
    """A job with everything in it."""
    return _job(request, job, {}, ())


def _job(request: Request, job: str, typed: Mapping[str, str], problems: tuple[Problem, ...]) -> Response:
    desk = desk_of(request)
    view = desk.job(job)
    judged = {check: desk.judgement(job, check) for check in view.state.checks}
    newer = view.newest_card if view.newest_card != view.state.card else ""
    return page(
        request, "job.html", 422 if problems else 200, job=view, state=view.state, card=view.card,
        judged=judged, newer=newer, would=_with_newer(desk, view, judged, newer), groups=method_groups(),
        in_short=in_short, chain=desk.chain(job, view), usual_purpose=_usual_purpose(view.state),
        purposes=PURPOSES, typed=typed, problems=problems, as_found_asked=as_found.question(view.state),
        as_found_missed=as_found.why_missed(view.state), stages=stages_of(desk, view),
        same_number=same_number(desk, view.state.bearing, view.state.number, job),
    )  # fmt: skip


def _usual_purpose(state: JobState) -> str:
    """What the next check is probably for: as found until something was changed."""
    return PURPOSES[1] if state.fit_changes or state.as_found != "due" else PURPOSES[0]


def _with_newer(desk: Desk, view: Any, judged: Mapping[str, Judgement], newer: str) -> dict[str, Judgement]:
    """What each check would be with the newer revision, so that nobody adopts a changed limit blindly."""
    if not newer:
        return {}
    card: Card = desk.card(newer)
    against = doubts_of(view.state, card)
    return {
        key: judge_check(view.state.checks[key], card, old.holds, against.get(key, ()))
        for key, old in judged.items()
    }


@router.post("/jobs/{job}/{what}")
async def keep_in_job(request: Request, job: str, what: str) -> Response:
    """A check begun, a hold point, a card revision, a note, something struck out."""
    form = await request.form()
    return await run_in_threadpool(_keep_in_job, request, job, what, form)


def _keep_in_job(request: Request, job: str, what: str, form: FormData) -> Response:
    desk = desk_of(request)
    typed = {name: str(text) for name, text in form.items()}
    here = f"/jobs/{segment(job)}"
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")))
        if what == "checks":
            purpose = typed.get("purpose", "") or PURPOSES[0]
            method, id = typed.get("method", ""), typed.get("id", "") or None
            check = desk.start_check(job, method, purpose, writer, id=id)
            return RedirectResponse(base_of(job, check), status_code=303)
        kept = _kept(desk, job, what, typed, writer)
    except InputError as bad:
        return _job(request, job, typed, bad.problems)
    if kept.problem is not None:
        return _job(request, job, typed, (kept.problem,))
    return RedirectResponse(here, status_code=303)


def _kept(desk: Desk, job: str, what: str, typed: Mapping[str, str], writer: Any) -> Any:
    def get(name: str) -> str:
        return typed.get(name, "").strip()

    if what == "adopt":
        return desk.adopt_card(job, get("card"), get("reason"), writer)
    if what == "holds":
        return desk.set_hold(job, get("hold"), get("state"), get("text"), writer, check=get("check"))
    if what == "notes":
        return desk.keep_note(job, get("note"), writer)
    if what == "strikes":
        return desk.strike(job, get("entry"), get("why"), writer)
    raise UnknownBook(what)


@router.get(BENCH + "/places/{place}")
def show_place(request: Request, job: str, check: str, place: str) -> Response:
    """Everything read at one place."""
    return _place(request, job, check, place, {}, ())


def _place(
    request: Request, job: str, check: str, place: str, typed: Mapping[str, str],
    problems: tuple[Problem, ...],
) -> Response:  # fmt: skip
    desk = desk_of(request)
    look = look_from(request, {**request.query_params, **typed}, desk)
    bench = bench_for(request, job, check, look)
    box = next((box for box in bench.boxes if box.label == place), None)
    if box is None:
        raise UnknownBook(place)
    empty = Row(place, (), (), (), "", "", "")
    row = next((row for row in bench.rows if row.label == place), empty)
    unread = [u for u in desk.job(job).state.checks[check].unreadable if u[1] == place]
    return page(
        request, "place.html", 422 if problems else 200, bench=bench, row=row, at=box, unread=unread,
        base=base_of(job, check), typed=typed, problems=problems,
    )  # fmt: skip


@router.post(BENCH + "/places/{place}")
async def keep_at_place(request: Request, job: str, check: str, place: str) -> Response:
    """A reading repeated or struck at one place."""
    form = await request.form()
    return await run_in_threadpool(_keep_at_place, request, job, check, place, form)


def _keep_at_place(request: Request, job: str, check: str, place: str, form: FormData) -> Response:
    """Without a script: a reading measured again, or one struck out and, given a text, written again."""
    desk = desk_of(request)
    typed = {name: str(text) for name, text in form.items()}
    look = look_from(request, typed, desk)
    text, entry, why = typed.get("text", ""), typed.get("entry", ""), typed.get("why", "").strip()
    problem = None
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")))
        if typed.get("mode") == "strike" and not why:
            raise InputError(Problem(say("web.ask_why"), "", say("web.why_expected")))
        if typed.get("mode") == "strike" and not text.strip():
            desk.strike(job, entry, why, writer)
        else:
            mode = typed.get("mode", "")
            sent = Sent(
                typed.get("id", ""),
                place,
                text,
                typed.get("unit", ""),
                look.squeeze,
                look.gauge,
                entry,
                mode,
                why,
            )
            problem = keep_sent(desk, job, check, sent, writer).problem
    except InputError as bad:
        return _place(request, job, check, place, typed, bad.problems)
    if problem is not None:
        return _place(request, job, check, place, typed, (problem,))
    where = f"squeeze={look.squeeze}&gauge={segment(look.gauge)}#readings"
    return RedirectResponse(f"{base_of(job, check)}?{where}", status_code=303)


@router.get(BENCH + "/judgement")
def show_judgement(request: Request, job: str, check: str) -> Response:
    """The finished judgement."""
    return _judgement(request, job, check, {}, ())


def _judgement(
    request: Request, job: str, check: str, typed: Mapping[str, str], problems: tuple[Problem, ...]
) -> Response:  # fmt: skip
    desk = desk_of(request)
    bench = bench_for(request, job, check, look_from(request, request.query_params, desk))
    view = desk.job(job)
    found = view.state.checks[check]
    return page(
        request, "judgement.html", 422 if problems else 200, bench=bench, j=bench.judgement, found=found,
        base=base_of(job, check), rules=RULES, typed=typed, problems=problems, bearing=view.state.bearing,
        shots=shots_of(desk, view.state, check),
        pictures=pictures.of_judgement(view.card, found, bench.judgement, bench.turned),
    )  # fmt: skip


@router.post(BENCH + "/rule")
async def choose_rule(request: Request, job: str, check: str) -> Response:
    """Another decision rule, recorded with who and why."""
    form = await request.form()
    return await run_in_threadpool(_choose_rule, request, job, check, form)


def _choose_rule(request: Request, job: str, check: str, form: FormData) -> Response:
    typed = {name: str(text) for name, text in form.items()}
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")))
        why = typed.get("why", "").strip()
        if not why:
            raise InputError(Problem(say("web.rule_why"), "", say("web.rule_expected")))
        kept = desk_of(request).choose_rule(job, check, typed.get("rule", ""), why, writer)
        if kept.problem is not None:
            raise InputError(kept.problem)
    except InputError as bad:
        return _judgement(request, job, check, typed, bad.problems)
    return RedirectResponse(base_of(job, check) + "/judgement", status_code=303)


@router.get(BENCH + "/sheet.pdf")
def data_sheet(request: Request, job: str, check: str) -> Response:
    """A check's data sheet as PDF."""
    desk = desk_of(request)
    number = desk.job(job).state.number
    return pdf(desk.sheet(job, check), f"data-sheet-{plain_name(number)}.pdf")
