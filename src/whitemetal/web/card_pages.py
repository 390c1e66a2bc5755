"""A bearing's card: read, changed as a form or as text, kept as a new revision."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.card import Card, card_from_texts, card_warnings, texts_of, write_card
from whitemetal.desk.cards_apart import cards_apart
from whitemetal.desk.plant_page import heads_of_book
from whitemetal.errors import CardError, InputError, Problem
from whitemetal.web import card_form
from whitemetal.web.adopting import limit_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import page, segment
from whitemetal.web.visitor import heads_from, writer_of

router = APIRouter()


@router.get("/bearings/new")
def new_card(request: Request) -> Response:
    """An empty card, as a form or as text."""
    as_text = request.query_params.get("as") == "text"
    return _form(request, "", "", {}, "", as_text=as_text)


@router.post("/bearings/new")
async def keep_new_card(request: Request) -> Response:
    """Keep the first card of a bearing."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, "", form)


@router.get("/bearings/{book}")
def show_bearing(request: Request, book: str) -> Response:
    """A bearing with its newest card, revisions and jobs."""
    found = desk_of(request).bearing(book)
    return _card_page(request, found, found.card)


@router.get("/bearings/{book}/revisions/{digest}")
def show_revision(request: Request, book: str, digest: str) -> Response:
    """An older revision of the card."""
    desk = desk_of(request)
    return _card_page(request, desk.bearing(book), desk.card(digest))


def _card_page(request: Request, found: Any, card: Card) -> Response:
    return page(
        request, "card.html", bearing=found, card=card, groups=card_form.shown(card),
        warnings=card_warnings(card), apart=cards_apart(desk_of(request), found.book),
    )  # fmt: skip


@router.get("/cards/{digest}.toml")
def card_text(request: Request, digest: str) -> Response:
    """A revision as the TOML text that was typed."""
    text = desk_of(request).card_text(digest)
    return Response(
        text, media_type="application/toml",
        headers={"content-disposition": f'attachment; filename="card-{digest[:8]}.toml"'},
    )  # fmt: skip


@router.get("/bearings/{book}/edit")
def edit_card(request: Request, book: str) -> Response:
    """The newest card, ready to be changed."""
    desk = desk_of(request)
    card = desk.bearing(book).card
    as_text = request.query_params.get("as") == "text"
    text = desk.card_text(card.digest) if as_text else ""
    limit = limit_from(request.query_params)
    texts = card_form.with_limit(texts_of(card), limit) if limit else texts_of(card)
    return _form(request, book, _title(card), texts, text, as_text=as_text, new=bool(limit))


@router.post("/bearings/{book}/edit")
async def keep_changed_card(request: Request, book: str) -> Response:
    """Keep a changed card as a new revision."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, book, form)


@router.get("/bearings/{book}/blank-sheet.pdf")
def blank_sheet(request: Request, book: str) -> Response:
    """The blank sheet for writing by hand."""
    method = request.query_params.get("method", "wire")
    return pdf(desk_of(request).blank_sheet(book, method=method), f"blank-sheet-{method}.pdf")


def plain_name(text: str) -> str:
    """A text as part of a file's name."""
    return "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in text).strip("-")


def pdf(content: bytes, name: str) -> Response:
    """A PDF to keep under a name."""
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type="application/pdf", headers=headers)


def _title(card: Card) -> str:
    return f"{card.machine.tag} · {card.bearing.position}"


def _keep(request: Request, book: str, form: FormData) -> Response:
    """Keep the card as a new revision; with problems, the form again with what was typed."""
    desk = desk_of(request)
    as_text = "text" in form
    texts, text = card_form.texts_from(form.multi_items()), str(form.get("text", ""))
    title = _title(desk.bearing(book).card) if book else ""
    if "add" in form:
        return _form(request, book, title, texts, text, as_text=False, limits=card_form.limits_in(texts) + 2)
    try:
        toml = text if as_text else write_card(card_from_texts(texts))
        kept = desk.keep_card(toml, writer_of(request, heads_from(str(form.get("seen", "")))))
    except (CardError, InputError) as bad:
        return _form(request, book, title, texts, text, as_text=as_text, problems=bad.problems)
    return RedirectResponse(f"/bearings/{segment(kept.bearing)}", status_code=303)


def _form(
    request: Request, book: str, title: str, texts: Mapping[str, str], text: str, *, as_text: bool,
    problems: Iterable[Problem] = (), limits: int = 1, new: bool = False,
) -> Response:  # fmt: skip
    problems = tuple(problems)
    made = card_form.groups(texts, problems, limits)
    shown = problems if as_text else card_form.labelled(problems, made)
    seen = heads_of_book(desk_of(request), book) if book else ()
    return page(
        request, "card_edit.html", 422 if problems else 200, book=book, card_title=title, groups=made,
        text=text, as_text=as_text, problems=shown, seen=seen, quantities=card_form.quantities(),
        new=f"limit.{card_form.limits_in(texts)}" if new else "",
        to=f"/bearings/{segment(book)}/edit" if book else "/bearings/new",
    )  # fmt: skip
