"""The JSON interface under ``/api/1/``: what the pages do, for programs."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response

from whitemetal.desk import Desk
from whitemetal.desk.changes import MOST, entries_after
from whitemetal.desk.numbers import same_number
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.job.entry import content
from whitemetal.job.judgement_json import as_json
from whitemetal.web.api_job import writer_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.keeping import cells_from, keep_cells, keep_sent, sent_from
from whitemetal.web.visitor import json_body
from whitemetal.words import say

router = APIRouter(prefix="/api/1")
CHECK = "/jobs/{job}/checks/{check}"


@router.get("/plant")
def plant(request: Request) -> list[dict[str, Any]]:
    """Machines with their bearings and jobs."""
    return [
        {
            "tag": machine.tag, "name": machine.name, "kind": machine.kind,
            "bearings": [
                {
                    "book": bearing.book, "position": bearing.position, "card": bearing.card,
                    "jobs": [{"book": j.book, "number": j.number, "title": j.title} for j in bearing.jobs],
                }
                for bearing in machine.bearings
            ],
        }
        for machine in desk_of(request).plant()
    ]  # fmt: skip


@router.get("/jobs/{job}")
def job(request: Request, job: str) -> dict[str, Any]:
    """A job: its checks and the heads to send back as ``seen``. same_number: other jobs of its bearing that
    carry its number too."""
    desk = desk_of(request)
    state = desk.job(job).state
    return {
        "book": state.book, "number": state.number, "title": state.title, "bearing": state.bearing,
        "card": state.card, "heads": list(state.heads), "digest": state.digest, "entries": state.entries,
        "same_number": [vars(one) for one in same_number(desk, state.bearing, state.number, job)],
        "checks": [
            {
                "check": key, "method": check.method, "purpose": check.purpose,
                "places": [place.label for place in check.places], "stale": list(check.stale),
                "contradictions": list(check.contradictions),
            }
            for key, check in state.checks.items()
        ],
    }  # fmt: skip


@router.get("/books/{book}/entries")
def entries(
    request: Request, response: Response, book: str, after: str = "", most: str = ""
) -> list[dict[str, Any]]:
    """Entries of a book as stored, with their digests, in order of arrival: all of them, or with ``most`` a
    page that begins after the receipt ``after``. The header ``next-after`` says where the next one begins;
    there is none behind the last page. Nothing is missed and nothing comes twice while others write."""
    if not most and not after:
        return [{**content(entry), "digest": entry.digest} for entry in desk_of(request).entries(book)]
    if (after and not after.isdecimal()) or len(after) > 15:
        raise InputError(Problem("after", after, say("live.receipt")))
    if (most and not most.isdecimal()) or len(most) > 6:
        raise InputError(Problem("most", most, say("live.how_many", most=MOST)))
    page = entries_after(desk_of(request), book, int(after or "0"), int(most or MOST))
    if page.more:
        response.headers["next-after"] = str(page.after)
    return [{**content(entry), "digest": entry.digest} for entry in page.entries]


@router.get(CHECK + "/judgement")
def judgement(request: Request, job: str, check: str) -> dict[str, Any]:
    """The judgement of a check, in the format ``whitemetal.judgement/1``."""
    desk = desk_of(request)
    if check not in desk.job(job).state.checks:
        raise UnknownBook(check)
    return as_json(desk.judgement(job, check))


@router.post(CHECK + "/readings")
async def keep_reading(request: Request, job: str, check: str) -> Response:
    """Keep a reading: {id, place, text, unit, squeeze, instrument, entry, mode, why, seen, name}; or the
    cells of a grid at once: {cells: [{id, place, text, entry}], squeeze, instrument, seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_reading, request, job, check, body)


def _known(desk: Desk, job: str, check: str) -> None:
    if check not in desk.job(job).state.checks:
        raise UnknownBook(check)


def _reading(request: Request, job: str, check: str, body: dict[str, Any]) -> Response:
    desk = desk_of(request)
    _known(desk, job, check)
    if "cells" in body:
        problems, refused = keep_cells(desk, job, check, cells_from(body), writer_from(request, body))
        wrong = {place: vars(problem) for place, problem in problems.items()}
        heads = list(desk.job(job).state.heads)
        return JSONResponse({"kept": True, "problems": wrong, "refused": refused, "heads": heads}, 201)
    outcome = keep_sent(desk, job, check, sent_from(body), writer_from(request, body))
    problem = vars(outcome.problem) if outcome.problem else None
    heads = list(desk.job(job).state.heads)
    told = {"kept": outcome.kept, "ask": outcome.ask, "problem": problem, "heads": heads}
    return JSONResponse(told, 201 if outcome.kept else 409 if outcome.ask else 422)


@router.post(CHECK + "/facts")
async def keep_fact(request: Request, job: str, check: str) -> Response:
    """Keep a fact: {id, key, text, unit, seen, name}; unit: of a number typed without one."""
    body = await json_body(request)
    return await run_in_threadpool(_fact, request, job, check, body)


def _fact(request: Request, job: str, check: str, body: dict[str, Any]) -> Response:
    desk = desk_of(request)
    _known(desk, job, check)
    key, text, unit, id = (str(body.get(name, "")) for name in ("key", "text", "unit", "id"))
    kept = desk.keep_fact(job, check, key, text, writer_from(request, body), id=id or None, unit=unit)
    problem = vars(kept.problem) if kept.problem else None
    told = {"kept": kept.entry is not None, "problem": problem, "heads": list(desk.job(job).state.heads)}
    return JSONResponse(told, 201)


@router.post(CHECK + "/strikes")
async def strike(request: Request, job: str, check: str) -> Response:
    """Strike an entry out: {entry, why, seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_strike, request, job, check, body)


def _strike(request: Request, job: str, check: str, body: dict[str, Any]) -> Response:
    desk = desk_of(request)
    _known(desk, job, check)
    entry, why = str(body.get("entry", "")), str(body.get("why", "")).strip()
    if not why:
        raise InputError(Problem("why", "", say("web.why_expected")))
    kept = desk.strike(job, entry, why, writer_from(request, body))
    if kept.problem:
        raise InputError(kept.problem)
    return JSONResponse({"kept": True, "problem": None, "heads": list(desk.job(job).state.heads)}, 201)


@router.get("/verify")
def verify(request: Request) -> dict[str, Any]:
    """The walk along every chain, and the first fault of each device."""
    found = desk_of(request).walk()
    return {
        "books": found.books, "chains": found.chains, "entries": found.entries,
        "faults": [vars(fault) for fault in found.faults],
    }  # fmt: skip
