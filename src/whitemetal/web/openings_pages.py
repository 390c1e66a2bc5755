"""All bearings by their next opening, and the plant's own rule for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk.life import keep_rule, plant_rule
from whitemetal.desk.openings import openings
from whitemetal.desk.plant_page import heads_of_book
from whitemetal.errors import InputError, Problem
from whitemetal.job.life_words import percent
from whitemetal.web.api_job import told, writer_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import page
from whitemetal.web.visitor import heads_from, json_body, writer_of

router = APIRouter()
PLANT = "plant"
MOST_PAGES = 6
"""Digits of a page's number that are read. Our own."""


@router.get("/openings")
def show_openings(request: Request) -> Response:
    """The bearings by next opening. ``page``: which page of them."""
    return _openings(request, {}, ())


@router.post("/openings/rule")
async def set_rule(request: Request) -> Response:
    """Set the plant's rule."""
    form = await request.form()
    return await run_in_threadpool(_set_rule, request, form)


@router.get("/api/1/openings")
def list_openings(request: Request) -> dict[str, Any]:
    """A page of the bearings by next opening. ``page``: which."""
    return {"format": "whitemetal.openings/1", **asdict(openings(desk_of(request), number_from(request)))}


@router.post("/api/1/openings/rule")
async def set_rule_by_program(request: Request) -> Response:
    """Set the plant's rule: {months, risk, text, seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_set_sent, request, body)


def number_from(request: Request) -> int:
    """Which page is asked for; the first where that cannot be read."""
    asked = request.query_params.get("page", "")
    return int(asked) if asked.isdecimal() and len(asked) <= MOST_PAGES else 1


def _openings(request: Request, typed: Mapping[str, str], problems: tuple[Problem, ...]) -> Response:
    desk = desk_of(request)
    rule = plant_rule(desk)
    return page(
        request, "openings.html", 422 if problems else 200, found=openings(desk, number_from(request)),
        rule=rule, risk=percent(rule.risk), typed=typed, problems=problems, percent=percent,
        seen=heads_of_book(desk, PLANT),
    )  # fmt: skip


def _set_rule(request: Request, form: FormData) -> Response:
    typed = {name: str(text) for name, text in form.items()}
    try:
        keep_rule(desk_of(request), typed, writer_of(request, heads_from(typed.get("seen", ""))))
    except InputError as bad:
        return _openings(request, typed, bad.problems)
    return RedirectResponse("/openings", status_code=303)


def _set_sent(request: Request, body: dict[str, Any]) -> Response:
    texts = {name: text for name, text in body.items() if isinstance(text, str)}
    desk = desk_of(request)
    return told(desk, PLANT, keep_rule(desk, texts, writer_from(request, body)))
