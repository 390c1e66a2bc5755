"""The plant: machines with their bearings and jobs; the gauges; who writes."""

from __future__ import annotations

import re
from collections.abc import Mapping

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk.plant_page import heads_of_book, plant_page
from whitemetal.desk.record import now
from whitemetal.drawing import STYLE
from whitemetal.errors import InputError, Problem
from whitemetal.gauging import METHODS
from whitemetal.gauging.contract import Field, Method
from whitemetal.job.typed import read_fact
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.openings_pages import number_from
from whitemetal.web.render import page, segment
from whitemetal.web.visitor import (
    LONGEST_NAME,
    NAME_COOKIE,
    heads_from,
    keep_cookie,
    writer_of,
)
from whitemetal.words import say

router = APIRouter()
PLANT = "plant"
_LOCAL = re.compile(r"/(?!/)[\w\-./%~]*")


@router.get("/")
def show_plant(request: Request) -> Response:
    """Machines, bearings and jobs, a page at a time. ``page``: which; ``find``: a machine, bearing or job."""
    find = request.query_params.get("find", "").strip()[:LONGEST_NAME]
    found = plant_page(desk_of(request), number_from(request), find)
    return page(request, "plant.html", found=found, machines=found.machines, find=find)


@router.get("/drawing.css")
def drawing_style(request: Request) -> Response:
    """The drawings' own style sheet: ink and accent follow the page, light or dark."""
    return Response(STYLE, media_type="text/css", headers={"cache-control": "max-age=3600"})


@router.post("/who")
async def keep_name(request: Request) -> Response:
    """Keep the name of who writes in a cookie."""
    form = await request.form()
    name = " ".join(str(form.get("name", "")).split())[:LONGEST_NAME]
    if not name:
        raise InputError(Problem("name", "", say("web.name_expected")))
    answer = RedirectResponse(local(str(form.get("back", ""))) or "/", status_code=303)
    keep_cookie(answer, NAME_COOKIE, name, request.url.scheme == "https")
    return answer


def instrument_fields() -> tuple[Field, ...]:
    """What any method asks of an instrument and what belongs to the instrument rather than to one check."""
    found: dict[str, Field] = {}
    for method in METHODS.values():
        for field in method.fields:
            if field.scope == "instrument" and not field.key.startswith("zero_"):
                found.setdefault(field.key, field)
    return tuple(found.values())


def unit_on_box(field: Field) -> str:
    """The unit on the box of an instrument's fact: an instrument belongs to no bearing, so plain mm."""
    return "mm" if field.dimension == "length" and not field.unit else field.unit


@router.get("/instruments")
def show_instruments(request: Request) -> Response:
    """The gauges. ``back``: the bench somebody comes from, to which a gauge entered here is brought."""
    return _instruments(request, {"back": request.query_params.get("back", "")}, ())


def _instruments(request: Request, typed: Mapping[str, str], problems: tuple[Problem, ...]) -> Response:
    desk = desk_of(request)
    return page(
        request, "instruments.html", 422 if problems else 200, instruments=desk.instruments(),
        seen=heads_of_book(desk, PLANT), fields=instrument_fields(), typed=typed, problems=problems,
        said={problem.field: problem.expected for problem in problems}, unit_on_box=unit_on_box,
        back=local(typed.get("back", "")), today=now().date().isoformat(),
    )  # fmt: skip


@router.post("/instruments")
async def keep_instrument(request: Request) -> Response:
    """Keep a gauge's facts."""
    form = await request.form()
    return await run_in_threadpool(_keep_instrument, request, form)


def _keep_instrument(request: Request, form: FormData) -> Response:
    typed = {name: str(text).strip() for name, text in form.items()}
    facts, problems = instrument_from(typed.get("id", ""), typed)
    if problems:
        return _instruments(request, typed, problems)
    try:
        desk_of(request).keep_instrument(
            typed["id"], facts, writer_of(request, heads_from(typed.get("seen", "")))
        )
    except InputError as bad:
        return _instruments(request, typed, bad.problems)
    back = local(typed.get("back", ""))
    return RedirectResponse(
        f"{back}?gauge={segment(typed['id'])}#h-gauge" if back else "/instruments", status_code=303
    )


def instrument_from(id: str, typed: Mapping[str, str]) -> tuple[dict[str, str], tuple[Problem, ...]]:
    """A gauge's facts as they are kept, from what was typed, and what is wrong with it."""
    facts, problems = {"name": typed.get("name", "")}, []
    if not re.fullmatch(r"[\w\- ]{1,60}", id):
        problems.append(Problem(say("web.instrument_id"), id, say("web.id_expected")))
    for field in instrument_fields():
        text = typed.get(field.key, "")
        if text and isinstance(read_fact(_owner(field), f"instrument.x.{field.key}", text), Problem):
            text = f"{text} {unit_on_box(field)}".strip()
        read = read_fact(_owner(field), f"instrument.x.{field.key}", text)
        if isinstance(read, Problem):
            problems.append(read)
        elif text:
            facts[field.key] = text
    return facts, tuple(problems)


def local(address: str) -> str:
    """The address when it is one of this program's own, else ""."""
    return address if _LOCAL.fullmatch(address) else ""


def _owner(field: Field) -> Method:
    return next(method for method in METHODS.values() if field in method.fields)
