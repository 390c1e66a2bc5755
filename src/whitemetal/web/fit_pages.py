"""The fit of a job: the chain of trust with what is open and why, what was changed and what that made stale,
and what can no longer be taken as found."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk import Desk, JobView, Kept, Writer
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.gauging import METHODS
from whitemetal.job import as_found
from whitemetal.job.chain import Chain, chain_json
from whitemetal.job.fit_matrix import (
    FIT_CHANGES,
    HALVES,
    JOINTS,
    half_matters,
    in_words,
    joint_matters,
    touched,
)  # fmt: skip
from whitemetal.job.found_set import found_set, lacking
from whitemetal.job.state import FitChange
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.photo_pages import Shot, shots_of
from whitemetal.web.render import page, segment
from whitemetal.web.visitor import heads_from, writer_of
from whitemetal.words import say

router = APIRouter()
Typed = Mapping[str, str]


@dataclass(frozen=True)
class Done:
    """A change of the fit as it is told. touches: in words. stale: checks that it makes stale now, each with
    its purpose. not_said: what had to be taken for more than it may have been, because it was not said."""

    change: FitChange
    touches: str
    stale: tuple[str, ...]
    not_said: str


@dataclass(frozen=True)
class Choice:
    """One answer to "which half" or "which joint". makes: what it would touch, in words."""

    value: str
    label: str
    makes: str


@router.get("/jobs/{job}/fit")
def show_fit(request: Request, job: str) -> Response:
    """The chain of trust of a job and the changes of its fit."""
    return _fit(request, job, dict(request.query_params), ())


def _fit(request: Request, job: str, typed: Typed, problems: tuple[Problem, ...]) -> Response:
    desk = desk_of(request)
    view = desk.job(job)
    what = typed.get("what", "") if typed.get("what", "") in FIT_CHANGES else ""
    return page(
        request, "fit.html", 422 if problems else 200, state=view.state, card=view.card, typed=typed,
        problems=problems, chain=desk.chain(job, view), done=history(view), fit_changes=FIT_CHANGES,
        what=what, choices=choices(what, view.card.duty.loaded_half), makes=_makes(what, "", "", view),
        asked=as_found.question(view.state), missed=as_found.why_missed(view.state),
        about=as_found.OF_CLEARANCE, shots=_shots(desk, view),
        lacks=", ".join(part.text for part in lacking(found_set(view.state, view.card))),
    )  # fmt: skip


def _shots(desk: Desk, view: JobView) -> dict[str, tuple[Shot, ...]]:
    """The photographs of each change of the fit."""
    return {one.entry: shots_of(desk, view.state, one.entry) for one in view.state.fit_changes}


def history(view: JobView) -> tuple[Done, ...]:
    """The changes of the fit in the order of the links, each with what it touched."""
    return tuple(
        Done(change, in_words(change.touches), _stale(view, change), _not_said(change))
        for change in view.state.fit_changes
    )


def _stale(view: JobView, change: FitChange) -> tuple[str, ...]:
    checks = [
        f"{METHODS[check.method].title if check.method in METHODS else check.method} ({check.purpose})"
        for check in view.state.checks.values()
        if change.entry in check.stale_by
    ]
    ran = [run.what for run in view.state.runs if change.entry in run.stale_by]
    return (*checks, *(f"{say('run_in.title')} ({what})" for what in ran))


def _not_said(change: FitChange) -> str:
    if joint_matters(change.what) and change.joint not in JOINTS[1:]:
        return say("fit.joint_not_said")
    if change.what == "scraping" and change.half not in HALVES[1:]:
        return say("fit.half_not_said")
    return ""


def choices(what: str, loaded: str) -> dict[str, tuple[Choice, ...]]:
    """The further questions about a change, by field: only those whose answer says what goes stale."""
    asked = {}
    if half_matters(what):
        asked["half"] = tuple(
            Choice(half, _half(half, loaded), in_words(touched(what, half, "", loaded))) for half in HALVES
        )
    if joint_matters(what):
        asked["joint"] = tuple(
            Choice(joint, joint or say("web.not_said"), in_words(touched(what, "", joint, loaded)))
            for joint in JOINTS
        )
    return asked


def _half(half: str, loaded: str) -> str:
    if half in ("upper", "lower"):
        return say("fit.half_loaded" if half == loaded else "fit.half_unloaded", half=half)
    return half or say("web.not_said")


def _makes(what: str, half: str, joint: str, view: JobView) -> str:
    return in_words(touched(what, half, joint, view.card.duty.loaded_half)) if what else ""


@router.post("/jobs/{job}/fit")
async def change_fit(request: Request, job: str) -> Response:
    """A change of the fit."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, "change", form)


@router.post("/jobs/{job}/fit/{what}")
async def keep_in_fit(request: Request, job: str, what: str) -> Response:
    """A hold point, a strike, that it was stripped, or why something was missed."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, what, form)


def _keep(request: Request, job: str, what: str, form: FormData) -> Response:
    typed = {name: str(text) for name, text in form.items()}
    if what not in VERBS:
        raise UnknownBook(what)
    try:
        kept = VERBS[what](
            desk_of(request), job, typed, writer_of(request, heads_from(typed.get("seen", "")))
        )
    except InputError as bad:
        return _fit(request, job, typed, bad.problems)
    if kept.problem is not None and kept.ask != as_found.ASK:
        return _fit(request, job, typed, (kept.problem,))
    anchor = "as-found" if kept.ask else WHERE[what]
    return RedirectResponse(f"/jobs/{segment(job)}/fit#{anchor}", status_code=303)


def _change(desk: Desk, job: str, typed: Typed, writer: Writer) -> Kept:
    if not _word(typed, "text"):
        raise InputError(Problem(say("web.fit_text"), "", say("web.fit_expected")))
    half, joint = _word(typed, "half"), _word(typed, "joint")
    return desk.change_fit(job, _word(typed, "what"), half, joint, _word(typed, "text"), writer)


def _strip(desk: Desk, job: str, typed: Typed, writer: Writer) -> Kept:
    return desk.strip_down(job, _word(typed, "text"), writer)


def _miss(desk: Desk, job: str, typed: Typed, writer: Writer) -> Kept:
    return desk.note_missed(job, as_found.OF_CLEARANCE, _word(typed, "why"), writer)


def _strike(desk: Desk, job: str, typed: Typed, writer: Writer) -> Kept:
    return desk.strike(job, _word(typed, "entry"), _word(typed, "why"), writer)


def _hold(desk: Desk, job: str, typed: Typed, writer: Writer) -> Kept:
    hold, state, text = _word(typed, "hold"), _word(typed, "state"), _word(typed, "text")
    if state == "closed" and not text:
        raise InputError(Problem(say("fit.note_seen"), "", say("fit.note_expected")))
    return desk.set_hold(job, hold, state, text, writer)


def _word(typed: Typed, name: str) -> str:
    return typed.get(name, "").strip()


VERBS: Mapping[str, Callable[[Desk, str, Typed, Writer], Kept]] = {
    "change": _change, "stripped": _strip, "missed": _miss, "strikes": _strike, "holds": _hold,
}  # fmt: skip
WHERE = {"change": "done", "stripped": "as-found", "missed": "as-found", "strikes": "done", "holds": "chain"}
"""Where on the page one comes back to."""


@router.get("/api/1/jobs/{job}/fit")
def fit(request: Request, job: str) -> dict[str, Any]:
    """The chain of trust of a job in the format ``whitemetal.chain/1``."""
    found: Chain = desk_of(request).chain(job)
    return chain_json(found)
