"""What a job is filed as: its report, everything of it as files, its bearing's days for a calendar."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from typing import IO

from fastapi import APIRouter, Request
from starlette.responses import Response, StreamingResponse

from whitemetal.desk.exports import MEDIA, days_of, export_job, export_plant
from whitemetal.desk.report import report as make_report
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.card_pages import pdf, plain_name

router = APIRouter()
BLOCK = 1 << 18
"""Bytes sent at a time. Our own."""

IN_MEMORY = 16_000_000
"""Bytes of a file kept in memory before it goes to a temporary one. Our own."""


@router.get("/jobs/{job}/report.pdf")
def report(request: Request, job: str) -> Response:
    """The report of a job as PDF; ``?film=no`` leaves the oil film out, which takes a while at first."""
    desk = desk_of(request)
    number = desk.job(job).state.number
    made = make_report(desk, job, film=request.query_params.get("film") != "no")
    return pdf(made, f"report-{plain_name(number)}.pdf")


@router.get("/jobs/{job}/export.zip")
def job_csv(request: Request, job: str) -> Response:
    """Everything of a job as CSV, with its photographs."""
    return _of_job(request, job, "csv")


@router.get("/jobs/{job}/export.xlsx")
def job_xlsx(request: Request, job: str) -> Response:
    """Everything of a job as a workbook."""
    return _of_job(request, job, "xlsx")


@router.get("/jobs/{job}/export.json")
def job_json(request: Request, job: str) -> Response:
    """Everything of a job in the format ``whitemetal.export/1``."""
    return _of_job(request, job, "json")


@router.get("/export.zip")
def plant_csv(request: Request) -> Response:
    """Everything of the record as CSV, with all photographs."""
    return _of_plant(request, "csv")


@router.get("/export.xlsx")
def plant_xlsx(request: Request) -> Response:
    """Everything of the record as a workbook."""
    return _of_plant(request, "xlsx")


@router.get("/export.json")
def plant_json(request: Request) -> Response:
    """Everything of the record in the format ``whitemetal.export/1``."""
    return _of_plant(request, "json")


@router.get("/bearings/{book}/days.ics")
def days(request: Request, book: str) -> Response:
    """The bearing's days as an iCalendar file: its next opening, the ends of its concessions."""
    made = days_of(desk_of(request), book)
    headers = {"content-disposition": 'attachment; filename="days.ics"'}
    return Response(made, media_type=MEDIA["ics"][0], headers=headers)


def _of_job(request: Request, job: str, kind: str) -> Response:
    desk = desk_of(request)
    name = f"job-{plain_name(desk.job(job).state.number)}"
    return _sent(kind, name, lambda out: export_job(desk, job, kind, out))


def _of_plant(request: Request, kind: str) -> Response:
    desk = desk_of(request)
    return _sent(kind, "record", lambda out: export_plant(desk, kind, out))


def _sent(kind: str, name: str, write: Callable[[IO[bytes]], None]) -> Response:
    """A file written whole before the first byte of it is sent, so that one that fails is no file."""
    made: IO[bytes] = tempfile.SpooledTemporaryFile(IN_MEMORY)  # noqa: SIM115
    try:
        write(made)
    except BaseException:
        made.close()
        raise
    media, ending = MEDIA[kind]
    headers = {"content-disposition": f'attachment; filename="{name}.{ending}"'}
    return StreamingResponse(_blocks(made), media_type=media, headers=headers)


def _blocks(made: IO[bytes]) -> Iterator[bytes]:
    with made:
        made.seek(0)
        while block := made.read(BLOCK):
            yield block
