"""Signing a job: what is signed, who signed, by whose leave a bearing that is not fit runs, opening again."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk import Desk, JobView, Kept, Writer, by_provider, signing_in
from whitemetal.desk import signing as verbs
from whitemetal.desk.openings import opening_of
from whitemetal.desk.run_in import runs
from whitemetal.errors import InputError, Problem
from whitemetal.job import conceding
from whitemetal.job.as_shown import shown_digest
from whitemetal.job.judgement_json import plain
from whitemetal.job.run_in import run_in_lines
from whitemetal.job.signatures import LEAVES, OpenPoint, signed_by
from whitemetal.web.api_job import texts_of, told, writer_from
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.confirming import provider_of, visitor_at, way_to_confirm
from whitemetal.web.render import page, segment
from whitemetal.web.stage import Stage, Standing
from whitemetal.web.visitor import NAME_COOKIE, heads_from, json_body, keep_cookie, writer_of
from whitemetal.words import say

router = APIRouter()
Typed = Mapping[str, str]
FORMAT = "whitemetal.signing/1"


@router.get("/jobs/{job}/sign")
def show_signing(request: Request, job: str) -> Response:
    """What there is to sign, and who signed."""
    return _shown(request, job, {}, ())


def _shown(request: Request, job: str, typed: Typed, problems: tuple[Problem, ...]) -> Response:
    desk = desk_of(request)
    view = desk.job(job)
    chain, found = desk.chain(job, view), view.state.signing
    points = conceding.open_points(chain)
    today, now = desk.moment()[:10], verbs.shown_now(desk, view)
    left = conceding.not_covered(found.concessions, points, today)
    return page(
        request, "sign.html", 422 if problems else 200, state=view.state, card=view.card, chain=chain,
        signing=found, points=points, left=left, seen_now=now, shown=shown_digest(now), typed=typed,
        problems=problems, different=verbs.found_different(desk, view), today=today,
        run_in_held=bool(verbs.run_in_lacks(desk, view)),
        seals=signing_in.seals_of(desk, job), faults=desk.verify(job), has_days=_has_days(desk, view),
        leaves=("fit",) if not points else LEAVES[1:], outside=_outside(points),
        confirm=way_to_confirm(request, f"/jobs/{segment(job)}/sign"),
    )  # fmt: skip


def _has_days(desk: Desk, view: JobView) -> bool:
    """Whether there is a day to remember: a concession's end, or a next opening."""
    given = any(not one.struck for one in view.state.signing.concessions)
    return given or bool(opening_of(desk, view.state.bearing).due)


def _outside(points: tuple[OpenPoint, ...]) -> bool:
    return any(point.word == "outside limits" for point in points)


@router.post("/jobs/{job}/sign")
async def sign(request: Request, job: str) -> Response:
    """Sign for a part of the job."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, "sign", form)


@router.post("/jobs/{job}/concession")
async def concede(request: Request, job: str) -> Response:
    """Keep an engineer's concession against what is open."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, "concession", form)


@router.post("/jobs/{job}/sign/withdraw")
async def withdraw(request: Request, job: str) -> Response:
    """Withdraw a concession."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, "withdraw", form)


@router.post("/jobs/{job}/sign/reopen")
async def reopen(request: Request, job: str) -> Response:
    """Open a signed job again."""
    form = await request.form()
    return await run_in_threadpool(_keep, request, job, "reopen", form)


def _keep(request: Request, job: str, what: str, form: FormData) -> Response:
    typed = {name: str(text) for name, text in form.items()}
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")), typed.get("name", ""))
        _do(request, job, what, typed, writer)
    except InputError as bad:
        typed.pop("password", None)
        return _shown(request, job, {**typed, "form": what}, bad.problems)
    answer = RedirectResponse(f"/jobs/{segment(job)}/sign", status_code=303)
    if typed.get("name", "").strip():
        keep_cookie(answer, NAME_COOKIE, writer.name, request.url.scheme == "https")
    return answer


def _do(request: Request, job: str, what: str, typed: Typed, writer: Writer) -> Kept:
    """One of the verbs, sealed with the writer's key where they have an account."""
    desk, visitor = desk_of(request), visitor_at(request)
    second = what == "sign" and typed.get("part") == "checked"
    if second and not signing_in.may_sign_second(visitor):
        raise InputError(Problem("part", "checked", say("signing.may_not_check")))
    with by_provider.kept_beside(desk, provider_of(request), visitor) as beside:
        seal = signing_in.sealer(desk, job, writer, typed.get("password", ""), beside)
        return VERBS[what](desk, job, typed, writer, seal)


def _sign(desk: Desk, job: str, typed: Typed, writer: Writer, seal: verbs.Seal) -> Kept:
    part, leaves, shown = (typed.get(name, "") for name in TEXTS["sign"])
    return verbs.sign(desk, job, part, leaves, writer, shown=shown, seal=seal)


def _concede(desk: Desk, job: str, typed: Typed, writer: Writer, seal: verbs.Seal) -> Kept:
    return verbs.concede(desk, job, typed, writer, seal=seal)


def _withdraw(desk: Desk, job: str, typed: Typed, writer: Writer, seal: verbs.Seal) -> Kept:
    return desk.strike(job, typed.get("entry", ""), typed.get("why", ""), writer, concession=True)


def _reopen(desk: Desk, job: str, typed: Typed, writer: Writer, seal: verbs.Seal) -> Kept:
    return verbs.reopen(desk, job, typed.get("why", ""), writer, seal=seal)


VERBS: Mapping[str, Callable[[Desk, str, Typed, Writer, verbs.Seal], Kept]] = {
    "sign": _sign, "concession": _concede, "withdraw": _withdraw, "reopen": _reopen,
}  # fmt: skip
TEXTS: Mapping[str, tuple[str, ...]] = {
    "sign": ("part", "leaves", "shown"),
    "concession": ("reason", "restrictions", "until", "engineer"),
    "withdraw": ("entry", "why"),
    "reopen": ("why",),
}
"""What each of them takes."""


@router.get("/api/1/jobs/{job}/sign")
def signing(request: Request, job: str) -> dict[str, Any]:
    """Signatures, concessions and reopenings of a job in the format ``whitemetal.signing/1``, how the bearing
    stands, and what recomputing finds different from what was signed."""
    desk = desk_of(request)
    view = desk.job(job)
    found = view.state.signing
    chain = desk.chain(job, view)
    left = conceding.not_covered(found.concessions, conceding.open_points(chain), desk.moment()[:10])
    return {
        "format": FORMAT, "bearing": chain.bearing, "standing": verbs.standing(desk, view),
        "open": plain(conceding.open_points(chain)), "not_covered": plain(left),
        "run_in": list(run_in_lines(runs(desk, view))), "run_in_lacks": verbs.run_in_lacks(desk, view),
        **plain(found), "needed": list(found.needed()),
        "different": {entry: list(said) for entry, said in verbs.found_different(desk, view).items()},
        "shown": shown_digest(verbs.shown_now(desk, view)), "heads": list(view.state.heads),
    }  # fmt: skip


@router.post("/api/1/jobs/{job}/sign")
async def sign_json(request: Request, job: str) -> Response:
    """Sign: {part, leaves, seen, shown, name}; seen must be all the heads there are, and shown, where it is
    given, what the judgement came to when it was looked at."""
    body = await json_body(request)
    return await run_in_threadpool(_keep_json, request, job, "sign", body)


@router.post("/api/1/jobs/{job}/concession")
async def concede_json(request: Request, job: str) -> Response:
    """Concede: {reason, restrictions, until, engineer, seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_keep_json, request, job, "concession", body)


@router.post("/api/1/jobs/{job}/sign/withdraw")
async def withdraw_json(request: Request, job: str) -> Response:
    """Withdraw a concession: {entry, why, seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_keep_json, request, job, "withdraw", body)


@router.post("/api/1/jobs/{job}/sign/reopen")
async def reopen_json(request: Request, job: str) -> Response:
    """Open again: {why, seen, name}."""
    body = await json_body(request)
    return await run_in_threadpool(_keep_json, request, job, "reopen", body)


def _keep_json(request: Request, job: str, what: str, body: Mapping[str, Any]) -> Response:
    desk, texts = desk_of(request), texts_of(body, (*TEXTS[what], "password"))
    kept = _do(request, job, what, texts, writer_from(request, body))
    return told(desk, job, kept)


def stage(desk: Desk, view: JobView) -> Stage | None:
    """Signing as a stage of the job."""
    found = view.state.signing
    stands: Standing = "attention" if found.says else "done" if found.signed else "open"
    if found.signed:
        said = say("signing.stage_signed", who=signed_by(found.standing))
    elif found.says:
        said = say("signing.stage_look")
    elif found.standing:
        said = say("signing.stage_half", who=signed_by(found.standing))
    else:
        said = say("signing.stage_open")
    href = f"/jobs/{segment(view.state.book)}/sign"
    return Stage("sign", say("signing.title"), said, href, stands)
