"""Closing up a bearing: order and torque of the nuts, loosening, the checks of it, the cap opened again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.responses import RedirectResponse, Response

from whitemetal.card import Card
from whitemetal.closing.sequence import Sequence
from whitemetal.desk import Desk, JobView
from whitemetal.desk.procedure import keep_step
from whitemetal.drawing import Spot, cap_svg
from whitemetal.errors import InputError, Problem
from whitemetal.gauging import METHODS
from whitemetal.gauging.closed_up import CLOSED_UP
from whitemetal.gauging.tightening import TIGHTENING
from whitemetal.gauging.tightening.doubts import shown
from whitemetal.gauging.tightening.layout import nuts, sequence_of, turns
from whitemetal.gauging.tightening.stretch import STUD_STRETCH
from whitemetal.job.chain import Chain, Link
from whitemetal.job.closing_up import final_torque, otherwise
from whitemetal.job.fit_matrix import CAP_OPENED
from whitemetal.job.judgement import Word
from whitemetal.job.procedure.loosening import loosened_before, loosening_steps
from whitemetal.job.procedure.standing import Standing as StepStanding
from whitemetal.job.procedure.standing import standings
from whitemetal.web.bench_pages import base_of, desk_of
from whitemetal.web.nut_pages import pass_json, target_of
from whitemetal.web.render import page, segment
from whitemetal.web.stage import Stage, Standing
from whitemetal.web.visitor import heads_from, writer_of
from whitemetal.words import say

router = APIRouter()
CLOSE_UP = "/jobs/{job}/close-up"
FORMAT = "whitemetal.close-up/1"
OFFERED = (TIGHTENING, STUD_STRETCH, CLOSED_UP)
PURPOSE = "as left"


@dataclass(frozen=True)
class CheckShown:
    """A check of closing up. href: where it is done."""

    check: str
    title: str
    purpose: str
    verdict: Word
    stale: str
    by: str
    href: str


def stage(desk: Desk, view: JobView) -> Stage | None:
    """Closing up as a stage of the job."""
    found = desk.chain(view.state.book, view)
    link = _link(found)
    counted = [one for one in found.others if _is(view, one.check, CLOSED_UP.key) and one.closes]
    stands: Standing = "done" if link.stands and counted and not found.counting else "open"
    if link.contradiction or any(one.stale or one.verdict == "outside limits" for one in link.checks):
        stands = "attention"
    if found.counting and any(_is(view, check, CLOSED_UP.key) for check in view.state.checks):
        stands = "attention"
    nuts_said = say("closing.nuts_tight" if link.stands else "closing.nuts_open")
    counts_said = say("closing.counted_out" if counted and not found.counting else "closing.not_counted")
    href = f"/jobs/{segment(view.state.book)}/close-up"
    return Stage("close-up", say("closing.title"), f"{nuts_said}; {counts_said}", href, stands)


def _link(found: Chain) -> Link:
    return next(link for link in found.links if link.key == TIGHTENING.proves)


def _is(view: JobView, check: str, method: str) -> bool:
    return view.state.checks[check].method == method


@router.get(CLOSE_UP)
def show_close_up(request: Request, job: str) -> Response:
    """Everything about closing the bearing of a job."""
    return _close_up(request, job, dict(request.query_params), ())


def _close_up(
    request: Request, job: str, typed: Mapping[str, str], problems: tuple[Problem, ...]
) -> Response:
    desk = desk_of(request)
    view = desk.job(job)
    order, found = sequence_of(view.card), desk.chain(job, view)
    return page(
        request, "close_up.html", 422 if problems else 200, state=view.state, card=view.card, typed=typed,
        problems=problems, order=order, link=_link(found), counting=found.counting,
        checks=checks_of(desk, view), odd=_odd(view), final=_final(view), offered=OFFERED,
        targets=[target_of(view.card, one) for one in order.passes] if order else [],
        picture=_picture(view.card, order), loosening=_loosening(view, found),
        loosened_before=tuple(loosened_before(view.state)), shown=shown,
    )  # fmt: skip


def _picture(card: Card, order: Sequence | None) -> Markup:
    if order is None:
        return Markup("")
    spots = [Spot(one.label, one.axial, one.angle, piece=one.piece) for one in nuts(card)]
    return Markup(cap_svg(card, spots, order=turns(order.passes[0]), box_height=22.0))


def _loosening(view: JobView, found: Chain) -> tuple[StepStanding, ...]:
    return standings(loosening_steps(view.card, view.state), view.state, found)


def _final(view: JobView) -> str:
    pulled = final_torque(view.state, view.card)
    return "" if pulled is None else shown(view.card, pulled)


def checks_of(desk: Desk, view: JobView) -> tuple[CheckShown, ...]:
    """The job's checks of closing up, in the order in which they were begun."""
    keys = {method.key for method in OFFERED}
    made = []
    for name, one in view.state.checks.items():
        if one.method in keys:
            at = base_of(view.state.book, name)
            href = f"{at}/nuts" if one.method == TIGHTENING.key else at
            verdict = desk.judgement(view.state.book, name, view).verdict
            stale, by = " ".join(one.stale), ", ".join(one.measured_by)
            made.append(CheckShown(name, METHODS[one.method].title, one.purpose, verdict, stale, by, href))
    return tuple(made)


def _odd(view: JobView) -> tuple[tuple[str, str, str], ...]:
    """Checks that were taken at another torque than the final one: title, address, sentence."""
    return tuple(
        (METHODS[one.method].title, base_of(view.state.book, name), finding.text)
        for name, one in view.state.checks.items()
        if one.method in METHODS
        for finding in otherwise(view.state, view.card, name)
    )


@router.post(CLOSE_UP)
async def close_up(request: Request, job: str) -> Response:
    """A check of closing up begun, a step of loosening ticked, or the cap opened again."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, {name: str(text) for name, text in form.items()})


def _keep(request: Request, job: str, typed: Mapping[str, str]) -> Response:
    desk = desk_of(request)
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")))
        if "method" in typed:
            return _begin(desk, job, typed, writer)
        if "step" in typed:
            return _loosen(desk, job, typed, writer)
        if not typed.get("opened", "").strip():
            raise InputError(Problem(say("closing.opened_why"), "", say("closing.opened_expected")))
        desk.change_fit(job, CAP_OPENED, "", "", typed["opened"].strip(), writer)
    except InputError as bad:
        return _close_up(request, job, typed, bad.problems)
    return RedirectResponse(f"/jobs/{segment(job)}/close-up#checks", status_code=303)


def _loosen(desk: Desk, job: str, typed: Mapping[str, str], writer: Any) -> Response:
    """A step of loosening ticked, or opened again."""
    keep_step(desk, job, typed["step"], typed.get("state", ""), "", writer)
    return RedirectResponse(f"/jobs/{segment(job)}/close-up#loosen", status_code=303)


def _begin(desk: Desk, job: str, typed: Mapping[str, str], writer: Any) -> Response:
    wanted = next((method for method in OFFERED if method.key == typed["method"]), None)
    if wanted is None:
        known = ", ".join(method.key for method in OFFERED)
        raise InputError(Problem("method", typed["method"], say("closing.one_of", known=known)))
    purpose, id = typed.get("purpose", "").strip() or PURPOSE, typed.get("id", "") or None
    check = desk.start_check(job, wanted.key, purpose, writer, id=id)
    at = base_of(job, check)
    return RedirectResponse(f"{at}/nuts" if wanted is TIGHTENING else at, status_code=303)


@router.get("/api/1" + CLOSE_UP)
def closing(request: Request, job: str) -> dict[str, Any]:
    """Closing up of a job in the format ``whitemetal.close-up/1``."""
    desk = desk_of(request)
    view = desk.job(job)
    order, found = sequence_of(view.card), desk.chain(job, view)
    return {
        "format": FORMAT, "job": job, "torque_N_m": view.card.fasteners.torque,
        "source": view.card.fasteners.source, "signed_by": view.card.fasteners.signed_by,
        "lubricant": view.card.fasteners.lubricant, "layout": view.card.fasteners.layout,
        "passes": [] if order is None else [pass_json(one) for one in order.passes],
        "loosening": [] if order is None else [pass_json(one) for one in order.loosening],
        "loosened": [
            {"step": one.step.key, "stands": one.stands, "by": one.by, "at": one.at}
            for one in _loosening(view, found)
        ],
        "pulled_to_N_m": final_torque(view.state, view.card), "tight": _link(found).stands,
        "checks": [vars(one) for one in checks_of(desk, view)],
        "counting": [one.why for one in found.counting],
        "other_torque": [{"check": title, "at": at, "said": said} for title, at, said in _odd(view)],
    }  # fmt: skip
