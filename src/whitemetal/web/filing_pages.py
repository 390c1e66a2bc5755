"""What a job is filed as: its report."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from whitemetal.desk.report import report as make_report
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.card_pages import pdf

router = APIRouter()


@router.get("/jobs/{job}/report.pdf")
def report(request: Request, job: str) -> Response:
    """The report of a job as PDF; ``?film=no`` leaves the oil film out, which takes a while at first."""
    desk = desk_of(request)
    number = desk.job(job).state.number
    made = make_report(desk, job, film=request.query_params.get("film") != "no")
    return pdf(made, f"report-{plain_name(number)}.pdf")


def plain_name(text: str) -> str:
    """A text as part of a file's name."""
    return "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in text)
