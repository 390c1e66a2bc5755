"""A job as a file: handed out from its page, and brought in by a form or a script."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from whitemetal.desk.job_file import MOST_BYTES, Brought, bring, job_file
from whitemetal.errors import ChainBroken, InputError, Problem
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.card_pages import plain_name
from whitemetal.web.render import page, segment
from whitemetal.web.visitor import writer_of
from whitemetal.words import say

router = APIRouter()

MEDIA = "application/zip"


@router.get("/jobs/{job}/job-file.zip")
@router.get("/api/1/jobs/{job}/job-file.zip")
def hand_out(request: Request, job: str) -> Response:
    """A job as a file."""
    desk = desk_of(request)
    data = job_file(desk, job)
    name = plain_name(desk.job(job).state.number)[:40]
    given = {"content-disposition": f'attachment; filename="job-{name}.zip"'}
    return Response(data, media_type=MEDIA, headers=given)


@router.get("/bring")
def show_bring(request: Request) -> Response:
    """The form that takes a job's file."""
    return _form(request)


def _form(request: Request, why: str = "", done: Brought | None = None) -> Response:
    return page(
        request, "bring.html", 422 if why else 200, why=why, done=done, most=MOST_BYTES // (1024 * 1024)
    )


@router.post("/bring")
async def take(request: Request) -> Response:
    """Take in the file of a form."""
    try:
        data = await _sent(request)
        done = await run_in_threadpool(_bring, request, data)
    except (InputError, ChainBroken) as bad:
        why = "; ".join(map(str, bad.problems)) if isinstance(bad, InputError) else str(bad)
        return await run_in_threadpool(_form, request, why)
    if done.notes:
        return await run_in_threadpool(_form, request, "", done)
    return RedirectResponse(f"/jobs/{segment(done.job)}", status_code=303)


def _bring(request: Request, data: bytes) -> Brought:
    return bring(desk_of(request), data, writer_of(request))


async def _sent(request: Request) -> bytes:
    """The bytes of the form's file. Raises InputError where there is none, or more than may be."""
    length = request.headers.get("content-length", "")
    if not length.isdecimal() or int(length) > MOST_BYTES + 4096:
        raise InputError(Problem("file", "", say("job_file.too_large", most=MOST_BYTES // (1024 * 1024))))
    try:
        form = await request.form(max_files=1, max_fields=10)
    except HTTPException:
        raise InputError(Problem("file", "", say("job_file.a_zip"))) from None
    sent = form.get("file")
    if not isinstance(sent, UploadFile):
        raise InputError(Problem("file", "", say("job_file.a_zip")))
    try:
        return await sent.read()
    finally:
        await form.close()


@router.post("/api/1/bring")
async def take_from_script(request: Request) -> dict[str, Any]:
    """Take in a job's file, sent as the body or as the ``file`` of a form: what became of it."""
    length = request.headers.get("content-length", "")
    if request.headers.get("content-type", "").startswith("multipart/"):
        data = await _sent(request)
    elif not length.isdecimal() or int(length) > MOST_BYTES:
        raise InputError(Problem("file", "", say("job_file.too_large", most=MOST_BYTES // (1024 * 1024))))
    else:
        data = await request.body()
    done = await run_in_threadpool(_bring, request, data)
    return {
        "job": done.job, "new": done.new, "entries": done.entries, "photographs": done.photographs,
        "notes": list(done.notes),
    }  # fmt: skip
