"""The oil film of a check: a page of its own, and a part that the judgement page fetches."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, Response

from whitemetal.card import Card
from whitemetal.desk import JobView
from whitemetal.desk.film import in_memory
from whitemetal.errors import InputError, Problem, UnknownBook, WhitemetalError
from whitemetal.units import Dimension, find_unit, read
from whitemetal.web.bench_pages import BENCH, base_of, desk_of, look_from
from whitemetal.web.card_pages import pdf, plain_name
from whitemetal.web.render import fragment, page

router = APIRouter()


@router.get(BENCH + "/film")
def show_film(request: Request, job: str, check: str) -> Response:
    """What the gap means for the oil film, and a form to try another oil, load or clearance."""
    shown = _shown(request, job, check)
    tried = _tried(request, job, check, shown["view"])
    return page(request, "film.html", base=base_of(job, check), check=check, job=job, **shown, **tried)


@router.get(BENCH + "/film/part")
def show_part(request: Request, job: str, check: str) -> Response:
    """The same as a part of the judgement page."""
    return HTMLResponse(fragment("_film.html", base=base_of(job, check), **_shown(request, job, check)))


@router.get(BENCH + "/film/tried/part")
def show_tried(request: Request, job: str, check: str) -> Response:
    """What a trial comes to, as a part of the film's page."""
    view = _view(request, job, check)
    return HTMLResponse(fragment("_film_tried.html", **_tried(request, job, check, view)))


@router.get(BENCH + "/film/sheet.pdf")
def film_sheet(request: Request, job: str, check: str) -> Response:
    """The check's data sheet with its oil film, as PDF."""
    desk = desk_of(request)
    number = desk.job(job).state.number
    return pdf(desk.sheet(job, check, film=True), f"data-sheet-film-{plain_name(number)}.pdf")


def _view(request: Request, job: str, check: str) -> JobView:
    view = desk_of(request).job(job)
    if check not in view.state.checks:
        raise UnknownBook(check)
    return view


def _shown(request: Request, job: str, check: str) -> dict[str, Any]:
    """The film and its pictures, or what the card lacks, or why there is none."""
    desk, view = desk_of(request), _view(request, job, check)
    lacks: tuple[Problem, ...] = ()
    pictures: tuple[Markup, ...] = ()
    refused, film, lines = "", None, ()
    try:
        film = desk.film(job, check, view)
        pictures, lines = _pictures(view.card, film, _turned(request)), _lines(view.card, film)
    except UnknownBook:
        raise
    except InputError as bad:
        lacks = bad.problems
    except WhitemetalError as bad:
        refused = str(bad)
    memory = film is not None and in_memory()
    return {
        "card": view.card, "view": view, "film": film, "pictures": pictures, "lacks": lacks,
        "refused": refused, "memory": memory, "lines": lines,
    }  # fmt: skip


def _turned(request: Request) -> Any:
    turned = look_from(request, request.query_params, desk_of(request)).turned
    return 180 if turned == 180 else 0


def _tried(request: Request, job: str, check: str, view: JobView) -> dict[str, Any]:
    """The form's fields, and the film of what was typed into them, or what is wrong with it. Nothing typed,
    nothing tried."""
    asked = request.query_params
    typed = {name: asked.get(f"try_{name}", "").strip() for name in ("oil", "load", "clearance")}
    found: dict[str, Any] = {
        "tried": None, "wrong": (), "try_refused": "", "try_picture": None, "try_lines": (),
        "typed": typed, "slide": _slide(view.card),
    }  # fmt: skip
    if not any(typed.values()):
        return found
    try:
        trial = trial_of(view.card, typed)
        film = desk_of(request).film(job, check, view, trial)
        found["tried"], found["try_lines"] = film, _lines(view.card, film)
        found["try_picture"] = _pictures(view.card, film, _turned(request))[0]
    except UnknownBook:
        raise
    except InputError as bad:
        found["wrong"] = bad.problems
    except WhitemetalError as bad:
        found["try_refused"] = str(bad)
    return found


def trial_of(card: Card, typed: Mapping[str, str]) -> Any:
    """What was typed as a `WhatIf`. Raises InputError with everything that cannot be read."""
    from whitemetal.fitting.what_if import WhatIf

    found: dict[str, float] = {}
    problems: list[Problem] = []
    wanted: tuple[tuple[str, Dimension, str], ...] = (
        ("load", "force", "kN"), ("clearance", "length", card.bearing.unit),
    )  # fmt: skip
    for name, dimension, unit in wanted:
        if not typed[name]:
            continue
        try:
            found[name] = read(typed[name], dimension, field=name, default_unit=unit).value
        except InputError as bad:
            problems += bad.problems
    if problems:
        raise InputError(*problems)
    return WhatIf(oil=typed["oil"] or None, load=found.get("load"), clearance=found.get("clearance"))


def _slide(card: Card) -> dict[str, str]:
    """Ends, step and middle of the clearance to try, in the card's unit: from narrow to wide of what the
    window looks at."""
    from whitemetal.film.nominal import expected_clearance
    from whitemetal.film.window import NARROWEST, WIDEST

    unit = find_unit(card.bearing.unit, "length")
    size = unit.scale if unit is not None else 1e-3
    step = {"mm": 0.01, "in": 0.0005, "thou": 0.5}[card.bearing.unit]
    ends = (NARROWEST * card.bearing.journal_diameter, WIDEST * card.bearing.journal_diameter)
    low, high = (max(1, round(each / size / step)) * step for each in ends)
    middle = round(expected_clearance(card) / size / step) * step
    found = {"low": low, "high": high, "step": step, "middle": middle}
    return {name: f"{value:.4f}".rstrip("0").rstrip(".") for name, value in found.items()}


def _lines(card: Card, film: Any) -> Any:
    from whitemetal.fitting.criteria_shown import lines_of

    return lines_of(card, film)


def _pictures(card: Any, film: Any, turned: Any) -> tuple[Markup, ...]:
    from whitemetal.sheets.film_pictures import film_pictures

    made = film_pictures(card, film, turned=turned)
    return tuple(
        Markup(svg) for svg in (made.window, made.section, made.maps) if svg
    )  # text in them is escaped
