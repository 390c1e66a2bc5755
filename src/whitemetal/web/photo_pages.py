"""Photographs of a job: taken in from a form or a script, shown small, and each in full."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, RedirectResponse, Response

from whitemetal.desk import Desk
from whitemetal.desk.photographs import keep_photograph
from whitemetal.desk.picture_file import MOST_BYTES, within
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.job.photographs import PHOTO, may_be_of, shows
from whitemetal.job.state import JobState, Photograph
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import page, segment
from whitemetal.web.visitor import heads_from, writer_of
from whitemetal.words import say

router = APIRouter()

MOST_AT_ONCE = 12
"""Photographs that one form may send. Our own."""

MOST_SENT = 200 * 1024 * 1024
"""Bytes that one form may send: what a person has patience for on a mill's network. Our own."""

_DIGEST = re.compile("[0-9a-f]{64}")
_WAY_BACK = re.compile(r"/jobs/[\w./%?=&#:@+-]*", re.ASCII)


@dataclass(frozen=True)
class Shot:
    """A photograph as shown. shows: what it is of, in words. here: whether its file is here."""

    photograph: Photograph
    shows: str
    here: bool

    @property
    def said(self) -> str:
        """What is read out in its place."""
        return self.photograph.caption or self.shows


def shots_of(desk: Desk, state: JobState, *of: str) -> tuple[Shot, ...]:
    """The photographs of a job, or of these things in it, those that nobody struck first."""
    chosen = [one for one in state.photographs if not of or one.of in of]
    here = desk.files.here(one.digest for one in chosen) if chosen else frozenset()
    shown = [Shot(one, shows(state, one), one.digest in here) for one in chosen]
    return tuple(sorted(shown, key=lambda shot: bool(shot.photograph.struck)))


@router.get("/jobs/{job}/photographs")
def show_photographs(request: Request, job: str) -> Response:
    """The photographs of a job, and the form that takes more."""
    return _photographs(request, job, dict(request.query_params), ())


def _photographs(
    request: Request, job: str, typed: Mapping[str, str], problems: Sequence[Problem], kept: int = 0
) -> Response:
    desk = desk_of(request)
    view = desk.job(job)
    check = view.state.checks.get(typed.get("of", ""))
    return page(
        request, "photographs.html", 422 if problems else 200, state=view.state, card=view.card,
        typed=typed, problems=problems, kept=kept, shots=shots_of(desk, view.state),
        things=may_be_of(view.state), places=check.places if check else (),
        back=_back(job, typed.get("back", "")), most=MOST_BYTES // (1024 * 1024), most_at_once=MOST_AT_ONCE,
    )  # fmt: skip


def _back(job: str, address: str) -> str:
    """The page of this job that a form came from, "" for any other address."""
    root = f"/jobs/{segment(job)}"
    own = address == root or address.startswith((f"{root}/", f"{root}#", f"{root}?"))
    return address if own and _WAY_BACK.fullmatch(address) and "//" not in address else ""


@router.post("/jobs/{job}/photographs")
async def take_photographs(request: Request, job: str) -> Response:
    """Take in the photographs of a form. What can be kept is kept; of the rest it is said why not."""
    try:
        form = await _form(request)
    except InputError as bad:
        return await run_in_threadpool(_photographs, request, job, dict(request.query_params), bad.problems)
    try:
        return await run_in_threadpool(_take, request, job, form)
    finally:
        await form.close()


async def _form(request: Request) -> FormData:
    """The form with its files. Raises InputError on more than one form may send; it is then not read."""
    length = request.headers.get("content-length", "")
    if not length.isdecimal() or int(length) > MOST_SENT:
        told = f"{int(length) / 1e6:.0f} MB" if length.isdecimal() else ""
        said = say("photo.too_much", most=MOST_SENT // (1024 * 1024))
        raise InputError(Problem("photograph", told, said))
    try:
        return await request.form(max_files=MOST_AT_ONCE, max_fields=40)
    except HTTPException as bad:
        many = "many files" in str(bad.detail)
        said = say("photo.too_many_files", most=MOST_AT_ONCE) if many else say("photo.form")
        raise InputError(Problem("photograph", "", said)) from None


def _take(request: Request, job: str, form: FormData) -> Response:
    typed = {name: text for name, text in form.items() if isinstance(text, str)}
    kept, problems = _kept(request, job, form, typed)
    if problems:
        return _photographs(request, job, typed, problems, len(kept))
    back = _back(job, typed.get("back", "")) or f"/jobs/{segment(job)}/photographs#p-{segment(kept[-1])}"
    return RedirectResponse(back, status_code=303)


def _kept(
    request: Request, job: str, form: FormData, typed: Mapping[str, str]
) -> tuple[list[str], list[Problem]]:
    """Entries of what was kept, and what was wrong with the rest."""
    desk = desk_of(request)
    kept: list[str] = []
    problems: list[Problem] = []
    sent = [one for one in form.getlist("photograph") if isinstance(one, UploadFile)]
    sent = [one for one in sent if one.filename or one.size]
    try:
        writer = writer_of(request, heads_from(typed.get("seen", "")), typed.get("name", ""))
        if not sent:
            raise InputError(Problem("photograph", "", say("photo.needed")))
    except InputError as bad:
        return [], list(bad.problems)
    of, place, caption = (typed.get(name, "") for name in ("of", "place", "caption"))
    for one, taken in zip(sent, _taken(form, len(sent)), strict=True):
        try:
            within(one.size or 0, one.filename or "")
            found = keep_photograph(
                desk, job, one.file.read(), writer, of=of, place=place, caption=caption,
                name=one.filename or "", taken=taken,
            )  # fmt: skip
        except InputError as bad:
            problems.extend(problem for problem in bad.problems if problem not in problems)
        else:
            kept.extend([found.entry.id] if found.entry is not None else [])
            problems.extend([found.problem] if found.problem is not None else [])
    return kept, problems


def _taken(form: FormData, count: int) -> list[str]:
    """When each picture was taken as the device says: one time a picture, in their order; of any other number
    of times nobody can tell which picture they belong to."""
    told = [text for text in form.getlist("taken") if isinstance(text, str)]
    return told if len(told) == count else [""] * count


@router.post("/jobs/{job}/photographs/strikes")
async def strike_photograph(request: Request, job: str) -> Response:
    """Strike a photograph; it stays, with who and why."""
    form = await request.form()
    return await run_in_threadpool(_strike, request, job, form)


def _strike(request: Request, job: str, form: FormData) -> Response:
    typed = {name: str(text) for name, text in form.items()}
    entry, why = typed.get("entry", ""), typed.get("why", "").strip()
    try:
        desk = desk_of(request)
        if entry not in {one.entry for one in desk.job(job).state.photographs}:
            raise InputError(Problem("entry", entry, say("photo.one_of_job")))
        desk.strike(job, entry, why, writer_of(request, heads_from(typed.get("seen", ""))))
    except InputError as bad:
        return _photographs(request, job, typed, bad.problems)
    return RedirectResponse(f"/jobs/{segment(job)}/photographs#p-{segment(entry)}", status_code=303)


@router.get("/photographs/{photograph}.small.jpg")
def show_small(request: Request, photograph: str) -> Response:
    """A photograph, small, as JPEG."""
    if (known := _known(request, photograph)) is not None:
        return known
    found = desk_of(request).files.thumbnails([photograph])
    if photograph not in found:
        raise UnknownBook(photograph)
    return _picture(found[photograph], photograph)


@router.get("/photographs/{photograph}.jpg")
def show_file(request: Request, photograph: str) -> Response:
    """A photograph in full, as JPEG."""
    if (known := _known(request, photograph)) is not None:
        return known
    file = desk_of(request).files.of(photograph) if _DIGEST.fullmatch(photograph) else None
    if file is None:
        raise UnknownBook(photograph)
    return _picture(file.content, photograph)


CACHE = {"cache-control": "private, no-cache"}
"""A browser may keep a picture, and asks each time whether it may still show it."""


def _known(request: Request, digest: str) -> Response | None:
    """A file never changes: who has it need not have it again."""
    tag = f'"{digest}"'
    if request.headers.get("if-none-match") != tag or not desk_of(request).files.here([digest]):
        return None
    return Response(status_code=304, headers={"etag": tag, **CACHE})


def _picture(content: bytes, digest: str) -> Response:
    headers = {
        "etag": f'"{digest}"', **CACHE, "content-disposition": f'inline; filename="{digest[:12]}.jpg"'
    }  # fmt: skip
    return Response(content, media_type="image/jpeg", headers=headers)


@router.get("/api/1/jobs/{job}/photographs")
def photographs(request: Request, job: str) -> dict[str, Any]:
    """The photographs of a job in the format ``whitemetal.photographs/1``; "here": whether the file is."""
    desk = desk_of(request)
    return {
        "format": "whitemetal.photographs/1",
        "photographs": [_json(shot) for shot in shots_of(desk, desk.job(job).state)],
    }


def _json(shot: Shot) -> dict[str, Any]:
    one = shot.photograph
    return {
        "entry": one.entry, "digest": one.digest, "of": one.of, "place": one.place, "shows": shot.shows,
        "caption": one.caption, "taken": one.taken, "by": one.by, "at": one.at, "width_px": one.width,
        "height_px": one.height, "struck": one.struck, "here": shot.here,
        "file": f"/photographs/{one.digest}.jpg", "small": f"/photographs/{one.digest}.small.jpg",
    }  # fmt: skip


@router.post("/api/1/jobs/{job}/photographs")
async def take_from_script(request: Request, job: str) -> Response:
    """Keep photographs sent as multipart/form-data: ``photograph`` (files), ``taken`` (one a file: when it
    was taken, where the picture does not say), ``of``, ``place``, ``caption``, ``name``, ``seen``. 201 when
    all were kept, 422 with the problems when some were not; what could be kept is kept and named.
    """
    form = await _form(request)
    try:
        return await run_in_threadpool(_take_from_script, request, job, form)
    finally:
        await form.close()


def _take_from_script(request: Request, job: str, form: FormData) -> Response:
    typed = {name: text for name, text in form.items() if isinstance(text, str)}
    kept, problems = _kept(request, job, form, typed)
    told = [vars(problem) for problem in problems]
    heads = list(desk_of(request).job(job).state.heads)
    body = {"kept": not problems, "kind": PHOTO, "entries": kept, "problems": told, "heads": heads}
    return JSONResponse(body, status_code=422 if problems else 201)
