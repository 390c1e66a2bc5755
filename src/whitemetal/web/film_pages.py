"""The oil film of a check: a page of its own, and a part that the judgement page fetches."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, Response

from whitemetal.desk.film import in_memory
from whitemetal.errors import InputError, Problem, UnknownBook, WhitemetalError
from whitemetal.web.bench_pages import BENCH, base_of, desk_of, look_from
from whitemetal.web.card_pages import pdf
from whitemetal.web.render import fragment, page

router = APIRouter()


@router.get(BENCH + "/film")
def show_film(request: Request, job: str, check: str) -> Response:
    """What the gap means for the oil film."""
    shown = _shown(request, job, check)
    return page(request, "film.html", base=base_of(job, check), check=check, job=job, **shown)


@router.get(BENCH + "/film/part")
def show_part(request: Request, job: str, check: str) -> Response:
    """The same as a part of the judgement page."""
    return HTMLResponse(fragment("_film.html", base=base_of(job, check), **_shown(request, job, check)))


@router.get(BENCH + "/film/sheet.pdf")
def film_sheet(request: Request, job: str, check: str) -> Response:
    """The check's data sheet with its oil film, as PDF."""
    desk = desk_of(request)
    number = desk.job(job).state.number
    plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in number)
    return pdf(desk.sheet(job, check, film=True), f"data-sheet-film-{plain}.pdf")


def _shown(request: Request, job: str, check: str) -> dict[str, Any]:
    """The film and its pictures, or what the card lacks, or why there is none."""
    desk = desk_of(request)
    view = desk.job(job)
    if check not in view.state.checks:
        raise UnknownBook(check)
    turned: Any = look_from(request, request.query_params, desk).turned
    lacks: tuple[Problem, ...] = ()
    pictures: tuple[Markup, ...] = ()
    refused, film = "", None
    try:
        film = desk.film(job, check, view)
        pictures = _pictures(view.card, film, 180 if turned == 180 else 0)
    except UnknownBook:
        raise
    except InputError as bad:
        lacks = bad.problems
    except WhitemetalError as bad:
        refused = str(bad)
    memory = film is not None and in_memory()
    return {
        "card": view.card, "film": film, "pictures": pictures, "lacks": lacks, "refused": refused,
        "memory": memory,
    }  # fmt: skip


def _pictures(card: Any, film: Any, turned: Any) -> tuple[Markup, ...]:
    from whitemetal.sheets.film_pictures import film_pictures

    made = film_pictures(card, film, turned=turned)
    return tuple(
        Markup(svg) for svg in (made.window, made.section, made.maps) if svg
    )  # text in them is escaped
