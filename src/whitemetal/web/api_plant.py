"""What is written to the plant and to a bearing, as JSON under ``/api/1/``: cards, jobs, gauges, values of
birth, the plant's changes of the procedure; and the two verbs of a job that had no twin."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response

from whitemetal.card import texts_of as texts_of_card
from whitemetal.desk.numbers import same_number
from whitemetal.desk.plant_page import heads_of_book
from whitemetal.desk.procedure import keep_plant_file
from whitemetal.errors import InputError, Problem
from whitemetal.job.births import Birth
from whitemetal.web.api_job import texts_of, told, writer_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.plant_pages import PLANT, instrument_from
from whitemetal.web.visitor import json_body
from whitemetal.words import say

router = APIRouter(prefix="/api/1")
Body = Mapping[str, Any]


@router.get("/bearings/{book}")
def bearing(request: Request, book: str) -> dict[str, Any]:
    """A bearing: its newest card as texts, revisions, jobs, and the heads to send back as ``seen``."""
    desk = desk_of(request)
    found = desk.bearing(book)
    return {
        "book": found.book, "machine": found.card.machine.tag, "position": found.card.bearing.position,
        "card": found.card.digest, "texts": texts_of_card(found.card),
        "revisions": [one.digest for one in found.revisions],
        "jobs": [{"book": one.book, "number": one.number, "title": one.title} for one in found.jobs],
        "heads": list(heads_of_book(desk, book)),
    }  # fmt: skip


@router.post("/bearings/new")
async def keep_card(request: Request) -> Response:
    """Keep a card: {card: its TOML text, seen, name}. A new bearing, or a new revision where its machine and
    position are known; "new" is false where this very revision was kept before."""
    return await run_in_threadpool(_card, request, await json_body(request))


def _card(request: Request, body: Body) -> Response:
    kept = desk_of(request).keep_card(_long(body, "card"), writer_from(request, body))
    told = {"kept": True, "bearing": kept.bearing, "card": kept.digest, "new": kept.new}
    return JSONResponse(told, 201)


@router.post("/bearings/{book}/jobs")
async def open_job(request: Request, book: str) -> Response:
    """Open a job: {number, title, name}. "same_number" in the answer: other jobs of this bearing that carry
    the number too; it is opened all the same."""
    return await run_in_threadpool(_open, request, book, await json_body(request))


def _open(request: Request, book: str, body: Body) -> Response:
    desk, texts = desk_of(request), texts_of(body, ("number", "title"))
    if not texts["number"]:
        raise InputError(Problem("number", "", say("web.name_expected_job")))
    job = desk.open_job(book, texts["number"], texts["title"], writer_from(request, body))
    heads, others = list(desk.job(job).state.heads), same_number(desk, book, texts["number"], job)
    answer = {"kept": True, "job": job, "heads": heads, "same_number": [vars(one) for one in others]}
    return JSONResponse(answer, 201)


@router.get("/bearings/{book}/births")
def births(request: Request, book: str) -> dict[str, Any]:
    """The values of birth of a bearing, also those struck."""
    desk = desk_of(request)
    found = desk.bearing(book).births
    return {"births": [_birth(one) for one in found], "heads": list(heads_of_book(desk, book))}


def _birth(one: Birth) -> dict[str, Any]:
    names = ("entry", "method", "place", "text", "source", "by", "at", "struck", "disputed")
    return {name: getattr(one, name) for name in names}


@router.post("/bearings/{book}/births")
async def keep_birth(request: Request, book: str) -> Response:
    """Keep a value of birth: {method, place, text, unit, source, seen, name}."""
    return await run_in_threadpool(_keep_birth, request, book, await json_body(request))


def _keep_birth(request: Request, book: str, body: Body) -> Response:
    desk, t = desk_of(request), texts_of(body, ("method", "place", "text", "unit", "source"))
    if not t["source"]:
        raise InputError(Problem("source", "", say("birth.source_expected")))
    writer = writer_from(request, body)
    kept = desk.keep_birth(
        book, t["method"], t["place"], t["text"], writer, unit=t["unit"], source=t["source"]
    )
    return told(desk, book, kept)


@router.post("/bearings/{book}/births/strikes")
async def strike_birth(request: Request, book: str) -> Response:
    """Strike a value of birth: {entry, why, seen, name}."""
    return await run_in_threadpool(_strike_birth, request, book, await json_body(request))


def _strike_birth(request: Request, book: str, body: Body) -> Response:
    desk, t = desk_of(request), texts_of(body, ("entry", "why"))
    kept = desk.strike_birth(book, t["entry"], t["why"], writer_from(request, body))
    return told(desk, book, kept)


@router.get("/instruments")
def instruments(request: Request) -> dict[str, Any]:
    """The gauges of the plant: their facts by id."""
    desk = desk_of(request)
    held = {id: dict(facts) for id, facts in desk.instruments().items()}
    return {"instruments": held, "heads": list(heads_of_book(desk, PLANT))}


@router.post("/instruments")
async def keep_instrument(request: Request) -> Response:
    """Keep a gauge: {id, facts: {key: text}, seen, name}; they replace all that was kept under this id."""
    return await run_in_threadpool(_keep_instrument, request, await json_body(request))


def _keep_instrument(request: Request, body: Body) -> Response:
    desk, id, given = desk_of(request), texts_of(body, ("id",))["id"], body.get("facts", {})
    if not isinstance(given, dict):
        raise InputError(Problem("facts", repr(given)[:80], say("web.facts_expected")))
    facts, problems = instrument_from(id, texts_of(given, tuple(given)))
    if problems:
        raise InputError(*problems)
    kept = desk.keep_instrument(id, facts, writer_from(request, body))
    return told(desk, PLANT, kept)


@router.post("/procedure")
async def keep_procedure(request: Request) -> Response:
    """Keep the plant's changes of the procedure: {text: TOML, replaces: [entries], seen, name}."""
    return await run_in_threadpool(_procedure, request, await json_body(request))


def _procedure(request: Request, body: Body) -> Response:
    desk, replaces = desk_of(request), body.get("replaces", [])
    if not isinstance(replaces, list) or not all(isinstance(one, str) for one in replaces):
        raise InputError(Problem("replaces", repr(replaces)[:80], say("web.text_expected")))
    kept = keep_plant_file(desk, _long(body, "text"), writer_from(request, body), replaces)
    return told(desk, PLANT, kept)


@router.post("/jobs/{job}/checks/{check}/rule")
async def choose_rule(request: Request, job: str, check: str) -> Response:
    """Choose another rule of decision for a check: {rule, why, seen, name}."""
    return await run_in_threadpool(_rule, request, job, check, await json_body(request))


def _rule(request: Request, job: str, check: str, body: Body) -> Response:
    desk, t = desk_of(request), texts_of(body, ("rule", "why"))
    if not t["why"]:
        raise InputError(Problem("why", "", say("web.rule_expected")))
    kept = desk.choose_rule(job, check, t["rule"], t["why"], writer_from(request, body))
    return told(desk, job, kept)


def _long(body: Body, name: str) -> str:
    """A text whose white space is part of it. Raises InputError on anything else."""
    text = body.get(name)
    if not isinstance(text, str):
        raise InputError(Problem(name, "" if text is None else repr(text)[:80], say("web.text_expected")))
    return text
