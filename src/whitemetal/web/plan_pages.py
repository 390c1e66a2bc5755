"""The plan of a check: what to do, before and after, work of one's own; and the order that goes with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, Response

from whitemetal.desk import JobView
from whitemetal.desk.papers import order_sheet
from whitemetal.drawing import Band, GapPoint
from whitemetal.drawing.before_after import before_after_svg
from whitemetal.errors import InputError, Problem, UnknownBook, WhitemetalError
from whitemetal.fitting import bore_order_words
from whitemetal.fitting.bore_order import Part
from whitemetal.fitting.plan import Plan
from whitemetal.fitting.plan_film import film_then
from whitemetal.fitting.plan_present import default_stock
from whitemetal.fitting.shim_effect import joints_for_shims
from whitemetal.fitting.verdict import acceptance_edges
from whitemetal.job.plan_json import order_json, plan_json
from whitemetal.job.planning import doubts_of_check, order_of, own_of, plan_of
from whitemetal.quantity import coverage_factor
from whitemetal.units import clearance_step, show
from whitemetal.version import VERSION
from whitemetal.web.bench_pages import BENCH, base_of, desk_of
from whitemetal.web.card_pages import pdf
from whitemetal.web.render import fragment, page
from whitemetal.words import say

router = APIRouter()


@router.get(BENCH + "/plan")
def show_plan(request: Request, job: str, check: str) -> Response:
    """The plan, with a form for what was not said and for work of one's own."""
    context = _context(request, job, check)
    return page(request, "plan.html", job=job, check=check, base=base_of(job, check), **context)


@router.get(BENCH + "/plan/part")
def show_own(request: Request, job: str, check: str) -> Response:
    """What work of one's own comes to, as a part of the page."""
    context = _context(request, job, check, best=False)
    return HTMLResponse(fragment("_plan_own.html", base=base_of(job, check), **context))


@router.get(BENCH + "/plan/film/part")
def show_film(request: Request, job: str, check: str) -> Response:
    """The oil film after the work, from the curve of this check, as a part of the page."""
    context = _context(request, job, check, best=False)
    plan = context["own"]
    said = _film(request, job, check, context["card"], plan) if plan is not None else ""
    return HTMLResponse(fragment("_plan_film.html", said=said))


@router.get("/api/1" + BENCH + "/plan")
def plan_as_json(request: Request, job: str, check: str) -> dict[str, Any]:
    """The plan, or the work of one's own where some was asked for, in the format ``whitemetal.plan/1``."""
    view = _view(request, job, check)
    plan, own = plan_of(view.state, view.card, check, dict(request.query_params))
    return plan_json(own if own is not None else plan)


@router.get("/jobs/{job}/order")
def show_order(request: Request, job: str, part: str = "bore", grade: str = "") -> Response:
    """The order to the machine shop."""
    view = desk_of(request).job(job)
    problems: tuple[Problem, ...] = ()
    order, refused = None, ""
    try:
        order = order_of(view.state, view.card, _part(part), grade)
    except InputError as bad:
        problems = bad.problems
    except WhitemetalError as bad:
        refused = str(bad)
    lines = bore_order_words.lines(view.card, order) if order is not None else ()
    warned = bore_order_words.warnings(view.card, order) if order is not None else ()
    return page(
        request, "order.html", job=job, card=view.card, part=part, grade=grade, order=order, lines=lines,
        warned=warned, problems=problems, refused=refused, query=str(request.url.query),
    )  # fmt: skip


@router.get("/jobs/{job}/order.pdf")
def order_pdf(request: Request, job: str, part: str = "bore", grade: str = "") -> Response:
    """The order on paper."""
    view = desk_of(request).job(job)
    wanted = _part(part)
    order = order_of(view.state, view.card, wanted, grade)
    return pdf(order_sheet(view, order, VERSION), f"order-{wanted}.pdf")


@router.get("/api/1/jobs/{job}/order")
def order_as_json(request: Request, job: str, part: str = "bore", grade: str = "") -> dict[str, Any]:
    """The order in the format ``whitemetal.bore-order/1``."""
    view = desk_of(request).job(job)
    return order_json(view.card, order_of(view.state, view.card, _part(part), grade))


def _part(text: str) -> Part:
    return "journal" if text == "journal" else "bore"


def _view(request: Request, job: str, check: str) -> JobView:
    view = desk_of(request).job(job)
    if check not in view.state.checks:
        raise UnknownBook(check)
    return view


def _context(request: Request, job: str, check: str, *, best: bool = True) -> dict[str, Any]:
    """The plan (where the best is asked for) and the work of one's own, or what is wrong with what was typed,
    or why there is no plan."""
    view = _view(request, job, check)
    typed = dict(request.query_params)
    problems: tuple[Problem, ...] = ()
    plan: Plan | None = None
    own: Plan | None = None
    refused = ""
    try:
        if best:
            plan, own = plan_of(view.state, view.card, check, typed)
        else:
            own = own_of(view.state, view.card, check, typed)
    except InputError as bad:
        problems = bad.problems
    except WhitemetalError as bad:
        refused = str(bad)
    return {
        "card": view.card, "state": view.state, "plan": plan, "own": own, "problems": problems,
        "refused": refused, "typed": typed, "fields": _fields(view, typed),
        "picture": _picture(view, plan), "own_picture": _picture(view, own),
        "sliders": _sliders(view, plan, own), "stale": " ".join(view.state.checks[check].stale),
        "doubts": doubts_of_check(desk_of(request).judgement(job, check, view)),
        "query": str(request.url.query),
    }  # fmt: skip


def _fields(view: JobView, typed: Mapping[str, str]) -> list[dict[str, str]]:
    """What a person may say beside the checks: key, label, what was typed, what is taken where nothing is."""
    card = view.card
    unit = card.bearing.unit
    stock = ", ".join(show(one, unit, "length", step=clearance_step(unit)) for one in default_stock(card))
    fields = [("stock", say("plan.field_stock"), stock)] if joints_for_shims(card) else []
    fields += [
        (f"in.{joint}", say("plan.field_in", joint=joint), say("plan.field_in_hint"))
        for joint in joints_for_shims(card)
    ]
    fields.append(("lining", say("plan.field_lining"), ""))
    return [
        {"key": key, "label": label, "hint": hint, "typed": typed.get(key, "")}
        for key, label, hint in fields
    ]  # fmt: skip


def _sliders(view: JobView, plan: Plan | None, own: Plan | None) -> list[dict[str, Any]]:
    """Sliders of the work of one's own: shims in the card's unit, passes as counts. They stand where the work
    of one's own does, else where the plan does."""
    if plan is None:
        return []
    unit, present = view.card.bearing.unit, plan.present
    work = (own or plan).work
    size, step = {"mm": (1e-3, 0.01), "in": (25.4e-3, 0.0005), "thou": (25.4e-6, 0.5)}[unit]
    changes = {one.joint: one.change for one in work.shims}
    found = [
        {
            "key": f"shim.{pack.joint}", "label": say("plan.slide_shim", joint=pack.joint, unit=unit),
            "low": _plain(-pack.thickness / size), "high": _plain(0.5e-3 / size), "step": f"{step:g}",
            "value": _plain(changes.get(pack.joint, 0.0) / size),
        }
        for pack in present.packs
    ]  # fmt: skip
    counts = {one.station: one for one in work.passes}
    for station in present.stations:
        for kind in ("rough", "finishing"):
            count = getattr(counts.get(station), kind, 0)
            label = say(f"plan.slide_{kind}", station=station)
            found.append(
                {"key": f"{kind}.{station}", "label": label, "low": "0", "high": "8", "step": "1",
                 "value": str(count)}
            )  # fmt: skip
    return found


def _plain(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text


def _picture(view: JobView, plan: Plan | None) -> Markup | None:
    if plan is None:
        return None
    present = plan.present
    k = coverage_factor(present.clearance.dof)
    angles = {spot.label: spot.angle for spot in present.spots}
    seen = plan.prediction.clearance
    before = [GapPoint(one.where, one.axial, angles[one.where], one.before, 0.0) for one in seen]
    after = [
        GapPoint(one.where, one.axial, angles[one.where], one.after, k * one.u, one.word or "")
        for one in seen
    ]
    edges = acceptance_edges(float(present.clearance.u.max()), present.clearance.dof, present.band)
    low, high = edges if edges is not None else (None, None)
    band = Band("", present.band.low, present.band.high, accept_from=low, accept_to=high)
    return Markup(before_after_svg(view.card, before, after, band))  # text in it is escaped


def _film(request: Request, job: str, check: str, card: Any, plan: Plan) -> str:
    """A sentence on the film at the mean clearance after the work."""
    from whitemetal.fitting.consequence_words import clearance_text, film_text, temperature_text

    seen = plan.prediction.clearance
    mean = sum(one.after for one in seen) / len(seen)
    try:
        film = desk_of(request).film(job, check)
    except InputError as bad:
        lacks = "; ".join(f"{problem.field}: {problem.expected}" for problem in bad.problems)
        return say("plan.film_lacks", lacks=lacks)
    except WhitemetalError as bad:
        return say("plan.film_refused", why=bad)
    then = film_then(film, mean)
    if then is None:
        return say("plan.film_off", clearance=clearance_text(card, mean))
    word = say("plan.film_ok") if then.ok else say("plan.film_not_ok", worst=say(f"film.named_{then.worst}"))
    return say(
        "plan.film_then", clearance=clearance_text(card, mean), film=film_text(card, then.least_film),
        hot=temperature_text(then.temperature), word=word,
    )  # fmt: skip
