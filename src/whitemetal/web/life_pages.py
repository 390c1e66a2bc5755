"""A bearing's life: openings, wear, when to open next; its counters and shells."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk import Desk, JobView
from whitemetal.desk import life as verbs
from whitemetal.desk.openings import opening_of
from whitemetal.desk.plant_page import heads_of_book
from whitemetal.drawing.wear_line import wear_line_svg
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.job import life_words
from whitemetal.job.life import Life
from whitemetal.job.life_json import life_json
from whitemetal.job.life_rule import risk_typed
from whitemetal.web.api_job import told, writer_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import page, segment
from whitemetal.web.stage import Stage
from whitemetal.web.visitor import heads_from, json_body, writer_of
from whitemetal.words import say

router = APIRouter()
LIFE = "/bearings/{book}/life"
Typed = Mapping[str, str]


@router.get(LIFE)
def show_life(request: Request, book: str) -> Response:
    """The life of a bearing. ``against``, ``risk``: as chosen; ``film``: also what the oil film allows."""
    return _life(request, book, {}, ())


@router.post(LIFE + "/{what}")
async def keep_of_life(request: Request, book: str, what: str) -> Response:
    """Keep a counter's reading or shells, or strike something."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, book, what, form)


@router.get("/api/1" + LIFE)
def life(request: Request, book: str) -> dict[str, Any]:
    """The life of a bearing in the format ``whitemetal.life/1``. ``against``, ``risk``: as on the page."""
    found, _ = _reckoned(request, book)
    return life_json(found)


@router.post("/api/1" + LIFE + "/{what}")
async def keep_by_program(request: Request, book: str, what: str) -> Response:
    """counters: {date, hours, starts, anew, source}; shells: {date, shells, why, job}; strikes: {entry,
    why}; each with {seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_keep_sent, request, book, what, body)


def _reckoned(request: Request, book: str) -> tuple[Life, tuple[Problem, ...]]:
    """The life as asked for; where what was asked cannot be, as usual, with what was wrong."""
    asked = request.query_params
    try:
        against = verbs.asked(asked.get("against", ""))
        risk = risk_typed(asked["risk"]) if asked.get("risk", "").strip() else None
    except InputError as bad:
        if request.url.path.startswith("/api/"):
            raise
        return verbs.life_of(desk_of(request), book), bad.problems
    return verbs.life_of(desk_of(request), book, against, risk), ()


def _life(request: Request, book: str, typed: Typed, problems: tuple[Problem, ...]) -> Response:
    desk = desk_of(request)
    found, wrong = _reckoned(request, book)
    bearing = desk.bearing(book)
    problems = (*problems, *wrong)
    film = verbs.film_limit_of(bearing.card) if request.query_params.get("film") else None
    drawn = life_words.drawn(found, film.widest if film and film.closed_by else None)
    return page(
        request, "life.html", 422 if problems else 200, bearing=bearing, card=bearing.card, life=found,
        head=life_words.headline(found), said=tuple(life_words.sentences(bearing.card, found)),
        runs=life_words.runs(bearing.card, found), openings=life_words.openings(bearing.card, found),
        picture=Markup(wear_line_svg(bearing.card, drawn)) if drawn else None, film=film,
        problems=problems, typed=typed, seen=heads_of_book(desk, book),
        asked={name: request.query_params.get(name, "") for name in ("against", "risk")},
        usual_risk=life_words.percent(found.next.risk),
    )  # fmt: skip


def _keep(request: Request, book: str, what: str, form: FormData) -> Response:
    typed = {name: str(text) for name, text in form.items()}
    if what not in verbs.VERBS:
        raise UnknownBook(what)
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")))
        verbs.VERBS[what](desk_of(request), book, typed, writer)
    except InputError as bad:
        return _life(request, book, {**typed, "what": what}, bad.problems)
    return RedirectResponse(f"/bearings/{segment(book)}/life#book", status_code=303)


def _keep_sent(request: Request, book: str, what: str, body: dict[str, Any]) -> Response:
    if what not in verbs.VERBS:
        raise UnknownBook(what)
    texts = {name: text for name, text in body.items() if isinstance(text, str)}
    desk = desk_of(request)
    return told(desk, book, verbs.VERBS[what](desk, book, texts, writer_from(request, body)))


def stage(desk: Desk, view: JobView) -> Stage | None:
    """Foresee: when to open next, as one line on the job's page."""
    found = opening_of(desk, view.state.bearing)
    said = say("life.due", day=found.due) if found.due else say("life.no_due")
    href = f"/bearings/{segment(view.state.bearing)}/life"
    return Stage("life", say("life.h_next"), said, href, "done" if found.due else "open")
