"""What a device takes along: the weights of a check, and the addresses of a job's pages."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from threading import Lock
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, Response

from whitemetal.desk import Desk, JobView
from whitemetal.desk.judged import Memory
from whitemetal.errors import UnknownBook
from whitemetal.gauging import method_named
from whitemetal.gauging.tightening import TIGHTENING
from whitemetal.job import as_found
from whitemetal.job.agreement import doubts_of
from whitemetal.job.carried import Carried, carried, carried_json, squeezes_of, with_gauge, with_readings
from whitemetal.job.state import CheckState
from whitemetal.web.begin_pages import MOST_GAUGES, NOT_BEGUN, asks_gauge, to_begin
from whitemetal.web.bench_pages import base_of, desk_of
from whitemetal.web.nut_pages import nut_addresses
from whitemetal.web.render import HERE, page, segment
from whitemetal.web.stages import stages_of
from whitemetal.web.visitor import heads_text

router = APIRouter()


class Along:
    """Weights of checks, worked out anew only when what they are made from changed; it takes a second, and
    one after the other takes no longer than all at once."""

    def __init__(self) -> None:
        self._memory: Memory[Carried] = Memory(Lock())

    def of(self, view: Any, check: str, gauge: str, told: Mapping[str, str]) -> Carried:
        """The weights of a check. told: what is kept of the gauge. Raises UnknownBook."""
        found = view.state.checks.get(check)
        if found is None:
            raise UnknownBook(check)
        found = with_gauge(found, gauge, told)
        gauge = gauge if asks_gauge(method_named(found.method)) else ""
        doubts = (
            *doubts_of(view.state, view.card).get(check, ()),
            *as_found.findings(view.state, check),
        )
        made_from = (found.facts, found.places, found.stale, found.rule, found.rule_by, found.rule_why,
                     found.unreadable, found.contradictions, squeezes_of(found), view.card.digest,
                     doubts)  # fmt: skip
        book = (
            view.card.digest if check == NOT_BEGUN else view.state.book
        )  # every job of a bearing begins alike
        name = (book, check, gauge)
        made = self._memory.of(name, made_from, lambda: carried(found, view.card, gauge, doubts))
        return with_readings(made, found)


@router.get("/api/1/jobs/{job}/checks/{check}/carried")
def weights(request: Request, job: str, check: str, gauge: str = "") -> Response:
    """What a device needs to judge this check where there is no record to ask."""
    desk = desk_of(request)
    view = desk.job(job)
    found = request.app.state.along.of(view, check, gauge, desk.instruments().get(gauge, {}))
    return JSONResponse({**carried_json(found), "heads": list(view.state.heads)})


@router.get("/api/1/jobs/{job}/along")
def along(request: Request, job: str) -> Response:
    """The addresses of the pages that a job needs where there is no connection."""
    desk = desk_of(request)
    view = desk.job(job)
    here, of_bearing = f"/jobs/{segment(job)}", f"/bearings/{segment(view.state.bearing)}"
    pages = ["/", of_bearing, here, f"{here}/fit", f"{here}/photographs"]
    pages += [stage.href.partition("#")[0] for stage in stages_of(desk, view)]
    for check, found in view.state.checks.items():
        pages += [base_of(job, check), f"{base_of(job, check)}/judgement", *_by_gauge(desk, view, check)]
        pages += nut_addresses(view.card, base_of(job, check)) if found.method == TIGHTENING.key else []
        pages += [
            f"/api/1{base_of(job, check)}/carried?gauge={segment(name)}"
            for name in ("", *_gauges(desk, view, check))
        ]
    known = {"pages": list(dict.fromkeys(pages)), "begin": to_begin(request, desk, view)}
    return JSONResponse({**known, "seen": heads_text(view.state.heads)})


def _gauges(desk: Desk, view: JobView, check: str) -> list[str]:
    """The gauges that this check was read with or, before its first reading, those that may be in hand."""
    used = dict.fromkeys(one.instrument for one in view.state.checks[check].readings if one.instrument)
    return list(used) or list(desk.instruments())[:MOST_GAUGES]


def _by_gauge(desk: Desk, view: JobView, check: str) -> list[str]:
    """The bench with each gauge in hand, and with each squeeze that was read and the next: whoever closed the
    cap again reads it again."""
    found, method = view.state.checks[check], method_named(view.state.checks[check].method)
    asks = asks_gauge(method)
    squeezes = _squeezes(found) if method.repeats and found.places else [1]
    if len(squeezes) == 1 and (found.readings or not asks):
        return []
    at, gauges = base_of(view.state.book, check), (_gauges(desk, view, check) if asks else []) or [""]
    return [f"{at}?squeeze={n}&gauge={segment(name)}" for n in squeezes for name in gauges]


def _squeezes(found: CheckState) -> list[int]:
    """Those that were read, and the next."""
    return list(range(1, max((one.squeeze for one in found.readings), default=1) + 2))


@router.get("/api/1/jobs/{job}/heads")
def heads(request: Request, job: str) -> Response:
    """The heads of a job's chains: they differ from those a page was shown once others have written."""
    return JSONResponse({"seen": heads_text(desk_of(request).job(job).state.heads)})


@router.get("/worker.js")
def worker(request: Request) -> Response:
    """The script that shows pages opened before while the record cannot be reached. Its text carries a digest
    of all the scripts, so that a browser takes a new set whenever one changed."""
    text = (HERE / "static" / "worker.js").read_text(encoding="utf-8")
    return Response(
        text.replace("{version}", _static_digest()), media_type="text/javascript",
        headers={"cache-control": "no-cache", "service-worker-allowed": "/"},
    )  # fmt: skip


@cache
def _static_digest() -> str:
    files = sorted((HERE / "static").iterdir())
    return hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()[:16]


@router.get("/on-this-device")
def only_here(request: Request) -> Response:
    """What was entered on this device and is not in the record yet; the page works without a connection."""
    return page(request, "only_here.html")
