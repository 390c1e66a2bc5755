"""What is taken before a bearing is stripped down: what is there, what still lacks, how to begin it."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from whitemetal.desk import Desk, JobView
from whitemetal.job.found_set import CONDITION, FoundPart, found_set, lacking
from whitemetal.job.kinds import AS_FOUND, is_as_found
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.photo_pages import shots_of
from whitemetal.web.render import page, segment
from whitemetal.web.stage import Stage
from whitemetal.words import say

router = APIRouter()


def stage(desk: Desk, view: JobView) -> Stage | None:
    """The stage of the job's page."""
    parts = found_set(view.state, view.card)
    still = lacking(parts)
    missing = [part for part in parts if part.standing == "too late"]
    href = f"/jobs/{segment(view.state.book)}/as-found"
    return Stage(
        "found", say("found.stage"), summary(parts), href, "done" if not still and not missing else "open"
    )


def summary(parts: tuple[FoundPart, ...]) -> str:
    """Where the set stands, in a sentence or two."""
    said = []
    for standing, name in (("lacking", "found.still_lacks"), ("too late", "found.missing")):
        texts = [part.text for part in parts if part.standing == standing]
        said += [say(name, what=", ".join(texts))] if texts else []
    return " ".join(said) or say("found.all_taken")


@router.get("/jobs/{job}/as-found")
def show_found(request: Request, job: str) -> Response:
    """The set as found of a job."""
    desk = desk_of(request)
    view = desk.job(job)
    parts = found_set(view.state, view.card)
    conditions = [
        one.check
        for one in view.state.checks.values()
        if one.method == CONDITION and is_as_found(one.purpose)
    ]
    marks = conditions[-1] if conditions else ""
    return page(
        request, "found.html", state=view.state, card=view.card, parts=parts, summary=summary(parts),
        purpose=AS_FOUND, marks=marks, shots=shots_of(desk, view.state, marks) if marks else (),
        still=lacking(parts), stripped=[one for one in view.state.stripped if not one.struck],
    )  # fmt: skip


@router.get("/api/1/jobs/{job}/as-found")
def as_found(request: Request, job: str) -> dict[str, Any]:
    """The set as found in the format ``whitemetal.as-found/1``: each part with where it stands."""
    view = desk_of(request).job(job)
    parts = found_set(view.state, view.card)
    return {"format": "whitemetal.as-found/1", "parts": [vars(part) for part in parts]}
