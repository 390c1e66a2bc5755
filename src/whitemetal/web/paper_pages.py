"""Old paper: one sheet typed in, or a whole table looked at line by line before it is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.responses import JSONResponse, RedirectResponse, Response

from whitemetal.desk import old_paper as verbs
from whitemetal.desk.life import book_of
from whitemetal.desk.plant_page import heads_of_book
from whitemetal.desk.spreadsheet import LARGEST, rows_of, rows_of_text, text_of
from whitemetal.errors import InputError, Problem
from whitemetal.gauging import METHODS
from whitemetal.job.old_paper import (
    COLUMNS,
    DATE_ORDERS,
    DECIMALS,
    LENGTHS,
    TEMPERATURES,
    Answers,
    Brought,
    ways,
)  # fmt: skip
from whitemetal.units import written
from whitemetal.web.api_job import writer_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import page, segment
from whitemetal.web.visitor import heads_from, json_body, writer_of
from whitemetal.words import say

router = APIRouter()
PAPER = "/bearings/{book}/paper"
Typed = Mapping[str, str]

QUICK = tuple(name for name in COLUMNS if name not in ("method", "remark", "temperature"))
"""Boxes of the quick sheet, in order; method, remark and temperature stand after them."""


@dataclass(frozen=True)
class Asked:
    """A question asked once a table. choices: (value, label)."""

    name: str
    label: str
    choices: tuple[tuple[str, str], ...]


def methods() -> tuple[tuple[str, str], ...]:
    """Ways in which a clearance may have been taken."""
    known = [(key, METHODS[key].title) for key in ways()]
    return (("", say("life.method_unknown")), *known)


def questions() -> tuple[Asked, ...]:
    """What is asked once a table; unit and basis have no usual answer."""
    plain = {"dates": DATE_ORDERS, "decimals": DECIMALS, "temperature": TEMPERATURES}
    nothing = ("", say("web.not_said"))
    return (
        Asked("unit", say("paper.unit"), (nothing, *((one, one) for one in LENGTHS))),
        Asked(
            "basis", say("paper.basis"),
            (nothing, ("diametral", say("paper.diametral")), ("radial", say("paper.radial"))),
        ),
        Asked("method", say("paper.method"), methods()),
        *(
            Asked(name, say(f"paper.{name}"), tuple((one, written(one)) for one in allowed))
            for name, allowed in plain.items()
        ),
    )  # fmt: skip


@router.get(PAPER)
def show_paper(request: Request, book: str) -> Response:
    """The quick sheet, the way to bring in a table, and what was transcribed so far."""
    return _shown(request, book, {}, ())


@router.get(PAPER + "/blank.csv")
def blank_table(request: Request, book: str) -> Response:
    """A table with the names of all columns and no row."""
    desk_of(request).bearing(book)
    text = ";".join(COLUMNS) + "\n"
    headers = {"content-disposition": 'attachment; filename="old-paper.csv"'}
    return Response("\ufeff" + text, media_type="text/csv; charset=utf-8", headers=headers)


@router.post(PAPER)
async def keep_sheet(request: Request, book: str) -> Response:
    """Keep one sheet as typed."""
    form = await request.form()
    return await run_in_threadpool(_keep_sheet, request, book, form)


@router.post(PAPER + "/table")
async def look_at_table(request: Request, book: str) -> Response:
    """A file, or a table as text: looked at, or kept where ``do`` says so."""
    form = await request.form(max_part_size=LARGEST)
    file = form.get("file")
    data = await file.read(LARGEST + 1) if isinstance(file, UploadFile) and file.filename else b""
    await form.close()
    return await run_in_threadpool(_table, request, book, form, data)


@router.post("/api/1" + PAPER)
async def bring_by_program(request: Request, book: str) -> Response:
    """Bring in a table: {table: text with a row of column names, unit, basis, dates, decimals,
    "temperature unit", method, source, seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_sent, request, book, body)


def answers_from(typed: Typed) -> Answers:
    """The answers asked once a table."""
    given = {name: typed.get(name, "").strip() for name in ("unit", "basis", "method", "source")}
    usual = Answers()
    return Answers(
        **given,
        dates=typed.get("dates", "") or usual.dates,
        decimals=typed.get("decimals", "") or usual.decimals,
        temperature=typed.get("temperature unit", "") or usual.temperature,
    )


def _texts(form: FormData) -> dict[str, str]:
    return {name: text for name, text in form.items() if isinstance(text, str)}


def _keep_sheet(request: Request, book: str, form: FormData) -> Response:
    typed = _texts(form)
    row = {name: typed.get(name, "").strip() for name in COLUMNS if typed.get(name, "").strip()}
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")))
        verbs.bring(desk_of(request), book, verbs.sheet(row), answers_from(typed), writer)
    except InputError as bad:
        return _shown(request, book, {**typed, "form": "sheet"}, (_without_line(one) for one in bad.problems))
    return _back(book)


def _without_line(problem: Problem) -> Problem:
    return Problem(problem.field, problem.typed, problem.expected)


def _table(request: Request, book: str, form: FormData, data: bytes) -> Response:
    typed, desk = _texts(form), desk_of(request)
    answers, text = answers_from(typed), typed.get("table", "")
    try:
        rows = rows_of(data, typed.get("sheet", "").strip()) if data else rows_of_text(text)
        text = text_of(rows) if data else text
    except InputError as bad:
        return _shown(request, book, {**typed, "form": "table"}, bad.problems)
    found = verbs.look(desk, book, rows, answers)
    if typed.get("do") != "keep" or found.problems:
        shown = {**typed, "table": text, "form": "table"}
        return _shown(request, book, shown, found.problems, found if not found.problems else None)
    try:
        verbs.bring(desk, book, rows, answers, writer_of(request, heads_from(typed.get("seen", ""))))
    except InputError as bad:
        return _shown(request, book, {**typed, "form": "table"}, bad.problems)
    return _back(book)


def _sent(request: Request, book: str, body: dict[str, Any]) -> Response:
    typed = {name: text for name, text in body.items() if isinstance(text, str)}
    typed.setdefault("temperature unit", typed.get("temperature", ""))
    rows = rows_of_text(typed.get("table", ""))
    made = verbs.bring(desk_of(request), book, rows, answers_from(typed), writer_from(request, body))
    return JSONResponse({"kept": True, "entries": made, "problem": None}, 201)


def _shown(
    request: Request, book: str, typed: Typed, problems: Iterable[Problem], found: Brought | None = None
) -> Response:
    desk, problems = desk_of(request), tuple(problems)
    bearing = desk.bearing(book)
    return page(
        request, "paper.html", 422 if problems else 200, bearing=bearing, card=bearing.card, typed=typed,
        problems=problems, found=found, quick=QUICK, methods=methods(), questions=questions(),
        papers=book_of(desk, book).papers, columns=", ".join(COLUMNS), seen=heads_of_book(desk, book),
    )  # fmt: skip


def _back(book: str) -> Response:
    return RedirectResponse(f"/bearings/{segment(book)}/paper#kept", status_code=303)
