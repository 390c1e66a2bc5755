"""Values of birth of a bearing: shown with what was struck, kept from a form, struck with a reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk import BearingView
from whitemetal.desk.plant_page import heads_of_book
from whitemetal.errors import InputError, Problem
from whitemetal.gauging import METHODS
from whitemetal.gauging.birth import birth_key
from whitemetal.job.births import Birth
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import page, segment
from whitemetal.web.visitor import heads_from, writer_of
from whitemetal.words import say

router = APIRouter()


@dataclass(frozen=True)
class Mark:
    """A place with values of birth. name: of its box. title: in full words. held: what was kept of it."""

    name: str
    label: str
    title: str
    held: tuple[Birth, ...]


def marks_of(found: BearingView) -> dict[str, tuple[Mark, ...]]:
    """The places of this bearing that have values of birth, by the title of their method."""
    return {
        method.title: tuple(
            Mark(
                birth_key(method.key, place.label),
                place.label,
                place.title,
                tuple(one for one in found.births if (one.method, one.place) == (method.key, place.label)),
            )
            for place in method.default_places(found.card)
        )
        for method in METHODS.values()
        if method.births
    }


@router.get("/bearings/{book}/births")
def show_births(request: Request, book: str) -> Response:
    """The values of birth of a bearing, and boxes for those not kept yet."""
    return _shown(request, book, {})


@router.post("/bearings/{book}/births")
async def keep_births(request: Request, book: str) -> Response:
    """Keep every value of birth that was typed."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, book, form)


@router.post("/bearings/{book}/births/{entry}/strike")
async def strike_birth(request: Request, book: str, entry: str) -> Response:
    """Strike a value of birth, with the reason."""
    form = await request.form()
    return await run_in_threadpool(_strike, request, book, entry, form)


def _shown(request: Request, book: str, typed: dict[str, str], problems: Iterable[Problem] = ()) -> Response:
    desk, problems = desk_of(request), tuple(problems)
    found = desk.bearing(book)
    return page(
        request, "births.html", 422 if problems else 200, bearing=found, card=found.card,
        marks=marks_of(found), typed=typed, problems=problems,
        said={problem.field: problem.expected for problem in problems},
        seen=heads_of_book(desk, book),
    )  # fmt: skip


def _keep(request: Request, book: str, form: FormData) -> Response:
    """Keep what was typed; what cannot be read is asked for again, with the rest kept."""
    typed = {name: str(text).strip() for name, text in form.items()}
    desk, problems, left = desk_of(request), [], dict[str, str]()
    found = desk.bearing(book)
    seen, source = heads_from(typed.get("seen", "")), typed.get("source", "")
    unit = found.card.bearing.unit
    filled = [one for marks in marks_of(found).values() for one in marks if typed.get(one.name)]
    if filled and not source:
        problems.append(Problem(say("birth.source"), "", say("birth.source_expected")))
        return _shown(request, book, typed, problems)
    try:
        writer = writer_of(request, seen)
        for one in filled:
            _, method, place = one.name.split(".", 2)
            kept = desk.keep_birth(book, method, place, typed[one.name], writer, unit=unit, source=source)
            if kept.problem is not None:
                problems.append(kept.problem)
                if kept.entry is None:
                    left[one.name] = typed[one.name]
    except InputError as bad:
        return _shown(request, book, typed, bad.problems)
    if problems:
        return _shown(request, book, {**left, "source": source}, problems)
    return _back(book)


def _strike(request: Request, book: str, entry: str, form: FormData) -> Response:
    try:
        writer = writer_of(request, heads_from(str(form.get("seen", ""))))
        desk_of(request).strike_birth(book, entry, str(form.get("why", "")).strip(), writer)
    except InputError as bad:
        return _shown(request, book, {}, bad.problems)
    return _back(book)


def _back(book: str) -> Response:
    return RedirectResponse(f"/bearings/{segment(book)}/births", status_code=303)
