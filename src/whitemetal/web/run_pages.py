"""The run-in of a job: the curve and its warnings as readings come, what has to be seen, a logger's files."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.responses import JSONResponse, RedirectResponse, Response

from whitemetal.closing.run_in.logger_file import MOST_BYTES
from whitemetal.closing.run_in.logger_propose import propose
from whitemetal.closing.run_in.logger_read_as import WHATS
from whitemetal.closing.run_in.logger_table import SEPARATORS
from whitemetal.closing.run_in.logger_time import FORMS
from whitemetal.desk import Desk, JobView, Writer
from whitemetal.desk.run_in import (
    STATES,
    begin_run,
    keep_log,
    keep_run_reading,
    log_of,
    moment_from,
    read_log_so,
    runs,
    see,
    strike_line,
)
from whitemetal.drawing.run_curve import run_curve_svg
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.job.run_drawn import curve_of
from whitemetal.job.run_in import LogShown, PlaceShown, RunShown, said_of_run
from whitemetal.job.run_json import run_json
from whitemetal.job.shown import stands_on
from whitemetal.units import show
from whitemetal.web.api_job import writer_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import fragment, page, segment
from whitemetal.web.run_forms import form_of, local, said_from
from whitemetal.web.stage import Stage, Standing
from whitemetal.web.visitor import heads_from, heads_text, json_body, offset_of, writer_of
from whitemetal.words import say

router = APIRouter()
Typed = Mapping[str, str]

KINDS_OF_RUN = ("uncoupled", "coupled", "coupled, under load")
LINES_SHOWN = 400
"""Lines of a file that are listed one by one; of more, those that are no readings come first. Our own."""


def stage(desk: Desk, view: JobView) -> Stage | None:
    """The run-in as a stage of the job."""
    href = f"/jobs/{segment(view.state.book)}/run-in"
    if not view.state.runs:
        return Stage("run-in", say("run_in.title"), say("run_in.not_begun"), href, "open")
    last = runs(desk, view)[-1]
    urgent = [one.text for _, one in last.warned if one.weight != "note"]
    asks = urgent or last.run.contradictions or last.run.stale
    stands: Standing = "attention" if asks else "done" if last.done else "open"
    said = " ".join((*urgent[:1], *((said_of_run(last),) if last.run.stale or not urgent else ())))
    return Stage("run-in", say("run_in.title"), said, href, stands)


def _picture(place: PlaceShown) -> Markup:
    return Markup(run_curve_svg(curve_of(place)))


@router.get("/jobs/{job}/run-in")
def show_runs(request: Request, job: str) -> Response:
    """The run-ins of a job; the newest, or the one asked for, in full."""
    return _page(request, job, dict(request.query_params), ())


def _page(request: Request, job: str, typed: Typed, problems: Sequence[Problem]) -> Response:
    desk = desk_of(request)
    view = desk.job(job)
    found = runs(desk, view)
    chosen = next((one for one in found if one.run.run == typed.get("run")), found[-1] if found else None)
    offset = offset_of(request)
    return page(
        request, "run_in.html", 422 if problems else 200, state=view.state, card=view.card, typed=typed,
        problems=problems, runs=found, chosen=chosen, kinds=KINDS_OF_RUN, whats=WHATS, states=STATES,
        clock=say("run_in.clock", hours=_hours(offset)), follow=typed.get("follow") == "1",
        **_shown(chosen, offset),
    )  # fmt: skip


def _shown(chosen: RunShown | None, offset: int) -> dict[str, Any]:
    """What the live part of the page is made with."""
    return {
        "picture": _picture, "stands_on": stands_on, "degrees": _degrees,
        "said": chosen and said_of_run(chosen),
        "local": lambda at: local(at, offset).strftime("%H:%M"), "minutes": lambda s: f"{s / 60.0:.0f}",
        "begun": local(chosen.start, offset).strftime("%Y-%m-%d %H:%M") if chosen and chosen.start else "",
        "speed": lambda value: show(value, "mm/s", "velocity", digits=2), "marks": _marks(chosen),
    }  # fmt: skip


def _marks(chosen: RunShown | None) -> str:
    """What the page shows outside its live part, as one word: when it changes, the page says so."""
    if chosen is None:
        return ""
    shown = [*(one.said for one in chosen.points), *(one.struck + one.entry for one in chosen.run.readings)]
    logs = [f"{one.log.log}{one.log.struck}{bool(one.read)}{len(one.log.lines)}" for one in chosen.logs]
    return hashlib.sha256("\n".join([*shown, *logs]).encode()).hexdigest()[:16]


def _degrees(value: float) -> str:
    return show(value, "degC", "temperature", step=0.1)


def _hours(offset: int) -> str:
    sign = "-" if offset < 0 else "+"
    return f"UTC{sign}{abs(offset) // 60:02d}:{abs(offset) % 60:02d}"


@router.get("/jobs/{job}/run-in/live")
def show_live(request: Request, job: str) -> Response:
    """The live part of the page when the record has moved on from the heads it was shown; else 204."""
    desk = desk_of(request)
    view = desk.job(job)
    if heads_from(request.query_params.get("seen", "")) == tuple(view.state.heads):
        return Response(status_code=204)
    found = runs(desk, view)
    chosen = next((one for one in found if one.run.run == request.query_params.get("run")), None)
    if chosen is None:
        return JSONResponse({"seen": heads_text(view.state.heads), "standing": "nothing yet", "html": ""})
    html = fragment("_run_live.html", chosen=chosen, **_shown(chosen, offset_of(request)))
    return JSONResponse(
        {
            "seen": heads_text(view.state.heads),
            "standing": chosen.standing,
            "html": html,
            "marks": _marks(chosen),
        }
    )


@router.post("/jobs/{job}/run-in")
async def begin(request: Request, job: str) -> Response:
    """Begin a run-in, or write down again when it began."""
    return await run_in_threadpool(_keep, request, job, "begin", await request.form())


@router.post("/jobs/{job}/run-in/{what}")
async def keep(request: Request, job: str, what: str) -> Response:
    """A reading, something seen, a strike, a logger's file, or how it is to be read."""
    if what == "logs" and int(request.headers.get("content-length") or 0) > MOST_BYTES + 100_000:
        most = say("run_in.log_too_large", most=MOST_BYTES // 1_000_000)
        return await run_in_threadpool(_page, request, job, {}, (Problem(say("run_in.file"), "", most),))
    async with request.form() as form:
        return await run_in_threadpool(_keep, request, job, what, form)


def _keep(request: Request, job: str, what: str, form: FormData) -> Response:
    if what not in VERBS:
        raise UnknownBook(what)
    typed = {name: value for name, value in form.items() if isinstance(value, str)}
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")))
        at = VERBS[what](request, job, typed, form, writer)
    except InputError as bad:
        if what in ("read", "lines"):
            return _log_page(request, job, typed, bad.problems)
        return _page(request, job, typed, bad.problems)
    return RedirectResponse(f"/jobs/{segment(job)}/run-in{at}", status_code=303)


def _begin(request: Request, job: str, typed: Typed, form: FormData, writer: Writer) -> str:
    what = typed.get("other", "").strip() or typed.get("what", "")
    start = moment_from(typed.get("start", ""), writer.offset, datetime.now(UTC), say("run_in.began"))
    ambient = _with_unit(typed.get("ambient", ""))
    kept = begin_run(desk_of(request), job, what, start, ambient, writer, run=typed.get("run", ""))
    return f"?run={segment(kept.entry.body['run'])}" if kept.entry else ""


def _with_unit(text: str) -> str:
    return f"{text.strip()} degC" if text.strip()[-1:].isdigit() else text.strip()


def _reading(request: Request, job: str, typed: Typed, form: FormData, writer: Writer) -> str:
    at = moment_from(typed.get("time", ""), writer.offset, datetime.now(UTC), say("run_in.time"))
    what = typed.get("what", "")
    unit = typed.get("unit", "") or ("mm/s" if what == "vibration" else "degC")
    kept = keep_run_reading(
        desk_of(request), job, typed.get("run", ""), what, at, typed.get("text", ""), writer, unit=unit,
        point=typed.get("point", ""), id=typed.get("id") or None,
    )  # fmt: skip
    if kept.problem is not None:
        raise InputError(kept.problem)
    return f"?run={segment(typed.get('run', ''))}&what={segment(what)}#read"


def _see(request: Request, job: str, typed: Typed, form: FormData, writer: Writer) -> str:
    run = typed.get("run", "")
    see(
        desk_of(request),
        job,
        run,
        typed.get("point", ""),
        typed.get("state", ""),
        typed.get("text", ""),
        writer,
    )
    return f"?run={segment(run)}#points"


def _strike(request: Request, job: str, typed: Typed, form: FormData, writer: Writer) -> str:
    desk_of(request).strike(job, typed.get("entry", ""), typed.get("why", "").strip(), writer)
    return f"?run={segment(typed.get('run', ''))}#readings"


def _log(request: Request, job: str, typed: Typed, form: FormData, writer: Writer) -> str:
    sent = form.get("file")
    if not isinstance(sent, UploadFile) or not sent.filename:
        raise InputError(Problem(say("run_in.file"), "", say("run_in.a_file")))
    data = sent.file.read(MOST_BYTES + 1)
    log = keep_log(desk_of(request), job, typed.get("run", ""), sent.filename, data, writer)
    return f"/log?log={segment(log)}"


def _read(request: Request, job: str, typed: Typed, form: FormData, writer: Writer) -> str:
    run, log = _log_at(desk_of(request).job(job), typed.get("log", ""))
    read_log_so(desk_of(request), job, run, log, said_from(typed), writer)
    return f"/log?log={segment(log)}#lines"


def _line(request: Request, job: str, typed: Typed, form: FormData, writer: Writer) -> str:
    run, log = _log_at(desk_of(request).job(job), typed.get("log", ""))
    strike_line(desk_of(request), job, run, log, typed.get("line", ""), typed.get("why", ""), writer)
    return f"/log?log={segment(log)}#struck"


Keeping = Callable[[Request, str, Typed, FormData, Writer], str]
VERBS: Mapping[str, Keeping] = {
    "begin": _begin, "readings": _reading, "points": _see, "strikes": _strike, "logs": _log, "read": _read,
    "lines": _line,
}  # fmt: skip


def _log_at(view: JobView, log: str) -> tuple[str, str]:
    """The run and the file of an id. Raises UnknownBook."""
    for run in view.state.runs:
        if any(one.log == log for one in run.logs):
            return run.run, log
    raise UnknownBook(log)


@router.get("/jobs/{job}/run-in/log")
def show_log(request: Request, job: str) -> Response:
    """A logger's file: how it is read, and what became of every line."""
    if "log" not in request.query_params:
        return RedirectResponse(f"/jobs/{segment(job)}/run-in", status_code=303)
    return _log_page(request, job, dict(request.query_params), ())


def _log_page(request: Request, job: str, typed: Typed, problems: Sequence[Problem]) -> Response:
    desk = desk_of(request)
    view = desk.job(job)
    run, log = _log_at(view, typed.get("log", ""))
    chosen = next(one for one in runs(desk, view) if one.run.run == run)
    shown = next(one for one in chosen.logs if one.log.log == log)
    proposed = propose(log_of(chosen.run, log).text)
    answers = {**form_of(proposed, shown.log.said), **({} if not problems else typed)}
    return page(
        request, "run_log.html", 422 if problems else 200, state=view.state, card=view.card, run=chosen.run,
        shown=shown, proposed=proposed, answers=answers, problems=problems, whats=WHATS, forms=FORMS,
        separators=tuple(SEPARATORS), lines=_lines(shown), first=shown.log.text.splitlines()[:12],
        counts=_counts(shown), typed=typed,
    )  # fmt: skip


def _lines(shown: LogShown) -> tuple[Any, ...]:
    if shown.read is None:
        return ()
    odd = [one for one in shown.read.lines if one.fate != "reading"]
    return tuple([*odd, *(one for one in shown.read.lines if one.fate == "reading")][:LINES_SHOWN])


def _counts(shown: LogShown) -> tuple[tuple[str, int], ...]:
    if shown.read is None:
        return ()
    fates = dict.fromkeys(one.fate for one in shown.read.lines)
    return tuple((fate, shown.read.count(fate)) for fate in fates)


@router.get("/api/1/jobs/{job}/run-in")
def run_ins(request: Request, job: str) -> dict[str, Any]:
    """The run-ins of a job, each in the format ``whitemetal.run_in/1``."""
    desk = desk_of(request)
    return {"format": "whitemetal.run_ins/1", "runs": [run_json(one) for one in runs(desk, desk.job(job))]}


@router.post("/api/1/jobs/{job}/run-in/{what}")
async def keep_json(request: Request, job: str, what: str) -> Response:
    """The same by JSON: begin {what, start, ambient}, readings {run, what, at, text, unit, point}, points
    {run, point, state, text}, logs {run, file, text}, read {log, separator, ...}, lines {log, line, why}."""
    return await run_in_threadpool(_keep_json, request, job, what, await json_body(request))


def _keep_json(request: Request, job: str, what: str, body: Mapping[str, Any]) -> Response:
    desk = desk_of(request)
    words = {key: value for key, value in body.items() if isinstance(value, str)}

    def word(name: str) -> str:
        return words.get(name, "")

    seen = body.get("seen", [])
    said = {**body, "seen": list(heads_from(seen)) if isinstance(seen, str) else seen}
    writer = writer_from(request, said)
    if what == "begin":
        kept = begin_run(desk, job, word("what"), word("start"), word("ambient"), writer, run=word("run"))
        return _kept(kept.entry, kept.problem, run=kept.entry.body["run"] if kept.entry else None)
    if what == "readings":
        kept = keep_run_reading(
            desk, job, word("run"), word("what"), word("at"), word("text"), writer, unit=word("unit"),
            point=word("point"), id=word("id") or None,
        )  # fmt: skip
        return _kept(kept.entry, kept.problem)
    if what == "points":
        kept = see(desk, job, word("run"), word("point"), word("state"), word("text"), writer)
        return _kept(kept.entry, kept.problem)
    if what == "logs":
        log = keep_log(desk, job, word("run"), word("file"), word("text").encode(), writer)
        return JSONResponse({"kept": True, "log": log, "problem": None})
    if what == "read":
        run, log = _log_at(desk.job(job), word("log"))
        kept = read_log_so(desk, job, run, log, body, writer)
        return _kept(kept.entry, kept.problem)
    if what == "lines":
        run, log = _log_at(desk.job(job), word("log"))
        line = body.get("line", "")
        struck = strike_line(desk, job, run, log, str(line), word("why"), writer)
        return _kept(struck.entry, struck.problem)
    raise UnknownBook(what)


def _kept(entry: Any, problem: Problem | None, **more: Any) -> Response:
    said = None if problem is None else f"{problem.field}: {say('web.expected')} {problem.expected}"
    return JSONResponse({"kept": entry is not None, "entry": entry and entry.id, "problem": said, **more})
