"""A torque where the maker gives none: proposed from bolt and thread, signed by an engineer onto the card."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, RedirectResponse, Response

from whitemetal.card import Card
from whitemetal.closing.bolts import GRADES
from whitemetal.closing.proposal import (
    ASKED,
    Proposal,
    makers,
    proposed,
    stands_by_the_maker,
    texts_of_card,
)
from whitemetal.closing.torque import HOUSINGS, LUBRICATED
from whitemetal.desk.plant_page import heads_of_book
from whitemetal.desk.torque import sign_torque
from whitemetal.errors import InputError, Problem
from whitemetal.gauging.tightening.layout import shares
from whitemetal.units import show
from whitemetal.web.api_job import texts_of, writer_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import page, segment
from whitemetal.web.visitor import heads_from, json_body, name_of, writer_of

router = APIRouter()
TORQUE = "/bearings/{book}/torque"
FORMAT = "whitemetal.torque/1"
SIGNED = (*ASKED, "torque", "signed_by")
CHOICES = {"lubricant": tuple(LUBRICATED), "housing": tuple(HOUSINGS), "grade": tuple(GRADES)}


@router.get(TORQUE)
def show_torque(request: Request, book: str) -> Response:
    """The proposal for what the card says, or for what the address asks."""
    asked = {key: text for key, text in request.query_params.items() if key in SIGNED}
    return _torque(request, book, asked, (), bool(asked))


def _torque(
    request: Request, book: str, asked: Mapping[str, str], problems: tuple[Problem, ...], tried: bool
) -> Response:
    desk = desk_of(request)
    view = desk.bearing(book)
    texts = {**texts_of_card(view.card), **asked}
    made, wrong = _tried(texts)
    said = problems or (wrong if tried else ())
    return page(
        request, "torque.html", 422 if said else 200, book=book, card=view.card, texts=texts, problems=said,
        made=made, makers=makers(view.card), by_maker=stands_by_the_maker(view.card), asked=ASKED,
        choices=CHOICES, passes=shares(view.card), lubricated=LUBRICATED.values(), housings=HOUSINGS.values(),
        grades=GRADES.values(),
        sign_as=asked.get("signed_by") or name_of(request), round_down=_round_down, show=show,
        seen=heads_of_book(desk, book),
    )  # fmt: skip


def _tried(texts: Mapping[str, str]) -> tuple[Proposal | None, tuple[Problem, ...]]:
    try:
        return proposed(texts), ()
    except InputError as bad:
        return None, bad.problems


def _round_down(torque: float) -> str:
    """A torque one can set a wrench to, never above what was worked out: whole N m, fives from 100."""
    step = 5 if torque >= 100.0 else 1
    return f"{int(torque // step * step)} N m" if torque >= step else show(torque, "N m", "torque")


@router.post(TORQUE)
async def sign(request: Request, book: str) -> Response:
    """An engineer signs a torque: a new revision of the card."""
    form = await request.form()
    return await run_in_threadpool(_sign, request, book, {name: str(text) for name, text in form.items()})


def _sign(request: Request, book: str, typed: Mapping[str, str]) -> Response:
    asked = {key: typed.get(key, "") for key in SIGNED}
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")))
        sign_torque(desk_of(request), book, typed.get("revision", ""), asked, writer)
    except InputError as bad:
        return _torque(request, book, asked, bad.problems, tried=True)
    return RedirectResponse(f"/bearings/{segment(book)}#t-fasteners", status_code=303)


@router.get("/api/1" + TORQUE)
def torque(request: Request, book: str) -> dict[str, Any]:
    """The proposal in the format ``whitemetal.torque/1``; what lacks of it where there is none."""
    card = desk_of(request).bearing(book).card
    asked = {key: text for key, text in request.query_params.items() if key in ASKED}
    texts = {**texts_of_card(card), **asked}
    made, wrong = _tried(texts)
    return {
        "format": FORMAT, "card": card.digest, "asked": texts, "makers": _makers(card),
        "governs": "maker" if stands_by_the_maker(card) else "engineer",
        "proposal": None if made is None else as_json(made, shares(card)),
        "problems": [{"field": one.field, "typed": one.typed, "expected": one.expected} for one in wrong],
    }  # fmt: skip


def as_json(made: Proposal, passes: tuple[float, ...]) -> dict[str, Any]:
    """A proposal as plain JSON values, SI. passes: shares of the final torque."""
    found = made.torque
    return {
        "torque_N_m": found.torque, "preload_N": found.preload, "least_N": found.least,
        "greatest_N": found.greatest, "bolt_bears_N": found.bolt_bears, "thread_bears_N": found.thread_bears,
        "governed_by": found.governed_by, "nut_factor": found.nut_factor, "share_of_proof": made.share,
        "passes_N_m": [share * found.torque for share in passes],
        "stretch_m": None if made.stretch is None else list(made.stretch),
        "hydraulic_tool": made.hydraulic, "document": made.document, "sources": list(found.sources),
    }  # fmt: skip


def _makers(card: Card) -> dict[str, Any] | None:
    found = makers(card)
    if found is None:
        return None
    least, middle, greatest = found.preload
    return {
        "torque_N_m": found.torque, "preload_N": middle, "least_N": least, "greatest_N": greatest,
        "share_of_proof": found.of_proof, "share_of_stripping": found.of_thread,
    }  # fmt: skip


@router.post("/api/1" + TORQUE)
async def sign_by_json(request: Request, book: str) -> Response:
    """Sign a torque: the texts of the form, with "revision", "torque" and "signed_by"."""
    body = await json_body(request)
    return await run_in_threadpool(_sign_by_json, request, book, body)


def _sign_by_json(request: Request, book: str, body: Mapping[str, Any]) -> Response:
    texts = texts_of(body, (*SIGNED, "revision"))
    asked = {key: texts[key] for key in SIGNED}
    kept = sign_torque(desk_of(request), book, texts["revision"], asked, writer_from(request, body))
    return JSONResponse({"kept": True, "card": kept.digest}, 201)
