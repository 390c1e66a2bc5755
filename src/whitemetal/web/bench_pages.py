"""The bench page of a check: shown, and kept as it is typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.datastructures import FormData
from starlette.responses import JSONResponse, RedirectResponse, Response

from whitemetal.desk import Desk, JobView
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.gauging import method_named
from whitemetal.job.judgement import Judgement
from whitemetal.units import whole
from whitemetal.web.asked import View, in_hand
from whitemetal.web.bench import Bench, bench_of
from whitemetal.web.keeping import (
    Outcome,
    Sent,
    cells_from,
    check_of,
    keep_cells,
    keep_facts,
    keep_sent,
    sent_from,
    set_hold,
)
from whitemetal.web.render import fragment, page, segment
from whitemetal.web.turns import in_turn
from whitemetal.web.visitor import (
    STAND_COOKIE,
    heads_from,
    heads_text,
    json_body,
    keep_cookie,
    wants_json,
    writer_of,
)  # fmt: skip
from whitemetal.words import say

router = APIRouter()
BENCH = "/jobs/{job}/checks/{check}"


def desk_of(request: Request) -> Desk:
    """The desk the application serves."""
    desk: Desk = request.app.state.desk
    return desk


def look_from(request: Request, fields: Mapping[str, Any], desk: Desk) -> View:
    """Which squeeze and gauge are shown and how one stands; the only gauge there is, is in hand."""
    text = str(fields.get("squeeze", "1"))
    asked = whole(text) or 1
    squeeze = asked if 1 <= asked <= 99 else 1
    gauge = fields.get("gauge", fields.get("instrument"))
    known = list(desk.instruments()) if gauge is None else []
    if len(known) == 1:
        gauge = known[0]
    stand = str(fields.get("stand", request.cookies.get(STAND_COOKIE, "0")))
    return View(squeeze, str(gauge or ""), 180 if stand == "180" else 0, gauge_open=gauge is None)


class Judged:
    """The last judgement of each check, kept while neither the job's entries nor the gauges have changed:
    a judgement is a pure function of them."""

    def __init__(self, most: int = 256) -> None:
        self._most = most
        self._kept: dict[tuple[str, str], tuple[str, Any, Judgement]] = {}

    def of(self, desk: Desk, view: JobView, check: str, gauges: Any) -> Judgement:
        """The judgement of a check as the view shows it. Raises UnknownBook."""
        key, digest = (view.state.book, check), view.state.digest
        known = self._kept.get(key)
        if known is not None and known[0] == digest and known[1] is gauges:
            return known[2]
        judgement = desk.judgement(view.state.book, check, view)
        if len(self._kept) >= self._most:
            self._kept.clear()
        self._kept[key] = digest, gauges, judgement
        return judgement


def bench_for(request: Request, job: str, check: str, look: View) -> Bench:
    """What the bench page shows now. Raises UnknownBook when there is no such check."""
    desk, judged = desk_of(request), request.app.state.judged
    gauges = desk.instruments()
    view = desk.job(job)
    if check not in view.state.checks:
        raise UnknownBook(check)
    look = in_hand(view.state.checks[check], look)
    return bench_of(view, check, judged.of(desk, view, check, gauges), gauges, look)


def base_of(job: str, check: str) -> str:
    """A check's address."""
    return f"/jobs/{segment(job)}/checks/{segment(check)}"


@router.get(BENCH)
def show_bench(request: Request, job: str, check: str) -> Response:
    """The bench page."""
    desk = desk_of(request)
    look = look_from(request, request.query_params, desk)
    bench = bench_for(request, job, check, look)
    answer = page(request, "bench.html", bench=bench, base=base_of(job, check))
    if "stand" in request.query_params:
        keep_cookie(answer, STAND_COOKIE, str(look.turned))
    return answer


@router.get(BENCH + "/live")
def show_live(request: Request, job: str, check: str) -> Response:
    """The page's live parts, when the record has moved on from the heads it was shown; else 204."""
    desk = desk_of(request)
    seen = heads_from(request.query_params.get("seen", ""))
    if seen == tuple(desk.job(job).state.heads):
        return Response(status_code=204)
    return JSONResponse(_parts(request, job, check, look_from(request, request.query_params, desk)))


@router.post(BENCH + "/readings")
async def keep_readings(request: Request, job: str, check: str) -> Response:
    """A reading from a script, or every box of a plain form."""
    if wants_json(request):
        body = await json_body(request)
        return await in_turn(request, _keep_one, request, job, check, body)
    form = await request.form()
    return await in_turn(request, _keep_form, request, job, check, form)


def _keep_one(request: Request, job: str, check: str, body: dict[str, Any]) -> Response:
    desk = desk_of(request)
    writer = writer_of(request, heads_from(str(body.get("seen", ""))))
    if "cells" in body:
        problems, refused = keep_cells(desk, job, check, cells_from(body), writer)
        parts = _parts(request, job, check, look_from(request, body, desk))
        said = "; ".join(f"{place}: {_expected(problem)}" for place, problem in problems.items())
        return JSONResponse({**parts, "kept": True, "refused": refused, "problem": said or None})
    outcome = keep_sent(desk, job, check, sent_from(body), writer)
    if not outcome.kept:
        return JSONResponse(_refused(outcome), status_code=409 if outcome.ask else 422)
    parts = _parts(request, job, check, look_from(request, body, desk))
    return JSONResponse({**parts, "kept": True, "problem": _expected(outcome.problem)})


def _refused(outcome: Outcome) -> dict[str, Any]:
    return {"kept": False, "ask": outcome.ask, "problem": _expected(outcome.problem)}


def _expected(problem: Problem | None) -> str | None:
    return None if problem is None else f"{say('web.expected')} {problem.expected}"


def _parts(request: Request, job: str, check: str, look: View) -> dict[str, Any]:
    """The parts of the bench page that follow the record."""
    bench = bench_for(request, job, check, look)
    context = {"bench": bench, "base": base_of(job, check)}
    return {
        "seen": heads_text(bench.seen),
        "summary": bench.summary,
        "boxes": [
            {
                "place": b.label,
                "text": b.text,
                "entry": b.entry,
                "sign": b.sign,
                "said": b.said,
                "wrong": bool(b.problem),
            }
            for b in bench.boxes
        ],
        "parts": {
            "live": fragment("_live.html", **context),
            "table": fragment("_readings.html", **context),
            "holds-before": fragment("_holds.html", when="before", **context),
            "holds-after": fragment("_holds.html", when="after", **context),
        },
    }


def _keep_form(request: Request, job: str, check: str, form: FormData) -> Response:
    """A plain form sends every box; what differs from its kept reading is kept, the rest left alone."""
    desk = desk_of(request)
    typed = {name[8:]: str(text) for name, text in form.items() if name.startswith("reading.")}
    look = look_from(request, form, desk)
    problems: dict[str, Problem] = {}
    try:
        writer = writer_of(request, heads_from(str(form.get("seen", ""))))
    except InputError as bad:
        return _again(request, job, check, look, typed, {"": bad.problems[0]})
    found = check_of(desk, job, check)
    kept = {reading.entry: reading.text for reading in found.readings}
    words = method_named(found.method).reading_field.kind == "choice"
    unread = {(place, text) for _, place, text in found.unreadable}
    for place, text in typed.items():
        entry = str(form.get(f"entry.{place}", ""))
        same = _same_word(text, kept.get(entry, "")) if words else text == kept.get(entry)
        if (not text.strip() and not (words and entry)) or same or (place, text) in unread:
            continue
        id, unit = str(form.get(f"id.{place}", "")), str(form.get("unit", ""))
        sent = Sent(id, place, text, "" if words else unit, look.squeeze, look.gauge, entry)
        if words:
            problems |= keep_cells(desk, job, check, (sent,), writer)[0]
            continue
        outcome = keep_sent(desk, job, check, sent, writer)
        if outcome.problem is not None:
            problems[place] = outcome.problem
    if problems:
        left = {place: typed[place] for place in problems}
        return _again(request, job, check, look, left, problems)
    return RedirectResponse(f"{base_of(job, check)}?{_query(look)}#readings", status_code=303)


def _same_word(text: str, kept: str) -> bool:
    return text.strip().casefold() == kept.strip().casefold()


def _query(look: View) -> str:
    return f"squeeze={look.squeeze}&gauge={segment(look.gauge)}"


def _again(
    request: Request,
    job: str,
    check: str,
    look: View,
    typed: Mapping[str, str],
    problems: Mapping[str, Problem],
) -> Response:
    """The bench page again, with what was typed still in its boxes."""
    from dataclasses import replace

    said = {key: _expected(problem) or "" for key, problem in problems.items() if key}
    shown = replace(look, typed=typed, problems=said)
    bench = replace(bench_for(request, job, check, shown), problems=tuple(problems.values()))
    return page(request, "bench.html", 422, bench=bench, base=base_of(job, check))


@router.post(BENCH + "/facts")
async def keep_check_facts(request: Request, job: str, check: str) -> Response:
    """A fact from a script, or every fact of a plain form."""
    if wants_json(request):
        body = await json_body(request)
        return await in_turn(request, _keep_fact, request, job, check, body)
    form = await request.form()
    return await in_turn(request, _keep_fact_form, request, job, check, form)


def _keep_fact(request: Request, job: str, check: str, body: dict[str, Any]) -> Response:
    desk = desk_of(request)
    writer = writer_of(request, heads_from(str(body.get("seen", ""))))
    key, text = str(body.get("key", "")), str(body.get("text", ""))
    units = {key: str(body.get("unit", ""))}
    problems = keep_facts(desk, job, check, {key: text}, units, writer, str(body.get("id", "")) or None)
    parts = _parts(request, job, check, look_from(request, body, desk))
    return JSONResponse({**parts, "kept": True, "problem": _expected(problems.get(key))})


def _keep_fact_form(request: Request, job: str, check: str, form: FormData) -> Response:
    desk = desk_of(request)
    typed = {name[5:]: str(text) for name, text in form.items() if name.startswith("fact.")}
    units = {name[5:]: str(text) for name, text in form.items() if name.startswith("unit.")}
    look = look_from(request, form, desk)
    try:
        writer = writer_of(request, heads_from(str(form.get("seen", ""))))
    except InputError as bad:
        return _again(request, job, check, look, typed, {"": bad.problems[0]})
    problems = keep_facts(desk, job, check, typed, units, writer)
    if problems:
        return _again(request, job, check, look, {key: typed[key] for key in problems}, problems)
    return RedirectResponse(f"{base_of(job, check)}?{_query(look)}", status_code=303)


@router.post(BENCH + "/holds")
async def keep_hold(request: Request, job: str, check: str) -> Response:
    """A hold point closed or opened."""
    fields: Mapping[str, Any] = await json_body(request) if wants_json(request) else await request.form()
    return await in_turn(request, _keep_hold, request, job, check, fields)


def _keep_hold(request: Request, job: str, check: str, fields: Mapping[str, Any]) -> Response:
    desk = desk_of(request)
    writer = writer_of(request, heads_from(str(fields.get("seen", ""))))
    hold, state, text = (str(fields.get(name, "")) for name in ("hold", "state", "text"))
    problem = set_hold(desk, job, check, hold, state, text, writer)
    if problem is not None:
        raise InputError(problem)
    look = look_from(request, fields, desk)
    if wants_json(request):
        return JSONResponse({**_parts(request, job, check, look), "kept": True})
    where = "h-after" if fields.get("when") == "after" else "h-before"
    return RedirectResponse(f"{base_of(job, check)}#{where}", status_code=303)
