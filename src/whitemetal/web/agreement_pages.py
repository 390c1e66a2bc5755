"""How the checks of a job agree: a page of its own, and the same as JSON."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from whitemetal.job.agreement import agreement_json, agreements, comparisons
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.render import page

router = APIRouter()


@router.get("/jobs/{job}/agreement")
def show_agreement(request: Request, job: str) -> Response:
    """Every measurand of the job's checks side by side, and what to do where they disagree."""
    view = desk_of(request).job(job)
    found = agreements(comparisons(view.state, view.card))
    return page(request, "agreement.html", state=view.state, card=view.card, found=found)


@router.get("/api/1/jobs/{job}/agreement")
def agreement(request: Request, job: str) -> dict[str, Any]:
    """How the checks of a job agree, in the format ``whitemetal.agreement/1``."""
    view = desk_of(request).job(job)
    return agreement_json(agreements(comparisons(view.state, view.card)))
