"""Pages of checks that nobody has begun yet: a device takes them along and begins a check where it stands.

Such a page is the bench of a check with nothing in it, under a name that no check has. The device that begins
one gives it an id of its own, puts that (and the purpose) in the name's place and keeps the page under the
address the check will have; the record hears of the check first and of its readings after it.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, Response

from whitemetal.desk import Desk, JobView
from whitemetal.errors import UnknownBook
from whitemetal.gauging import METHODS, Method
from whitemetal.gauging.tightening import TIGHTENING
from whitemetal.job.births import with_births
from whitemetal.job.carried import CARRIED, carried_json
from whitemetal.job.carried_kinds import KINDS
from whitemetal.job.state import CheckState
from whitemetal.people.roles import in_words
from whitemetal.version import VERSION
from whitemetal.web.asked import View
from whitemetal.web.bench import bench_of
from whitemetal.web.bench_pages import base_of, desk_of, look_from
from whitemetal.web.nut_pages import nut_addresses, nuts_page
from whitemetal.web.render import FORM_WORD, page, segment
from whitemetal.web.visitor import account_of, name_of

router = APIRouter()
NOT_BEGUN, NO_PURPOSE = "not-begun-yet", "purpose-not-said"
"""What stands for the id of the check and for its purpose until it is begun."""

BEGIN = "/jobs/{job}/begin/{method}"
MOST_GAUGES = 8
"""Gauges for each of which a device takes a page along. Our own."""


def asks_gauge(method: Method) -> bool:
    """Whether a method asks for facts of the gauge that it is read with."""
    return any(one.scope == "instrument" for one in method.fields)


def unbegun(desk: Desk, job: str, method: str) -> JobView:
    """A job with one more check, in which nothing was entered. Raises UnknownBook."""
    if method not in METHODS:
        raise UnknownBook(method)
    view = desk.job(job)
    check = CheckState(NOT_BEGUN, method, NO_PURPOSE, METHODS[method].default_places(view.card), {}, ())
    state = replace(view.state, checks={**view.state.checks, NOT_BEGUN: check})
    return replace(view, state=with_births(state, desk.bearing(state.bearing).births))


@router.get(BEGIN)
def show_unbegun(request: Request, job: str, method: str) -> Response:
    """The bench of a check of this method that nobody has begun."""
    desk = desk_of(request)
    view, base = unbegun(desk, job, method), base_of(job, NOT_BEGUN)
    look: View = look_from(request, request.query_params, desk)
    judgement = desk.judgement(job, NOT_BEGUN, view)
    bench = bench_of(view, NOT_BEGUN, judgement, desk.instruments(), look)
    return page(request, "bench.html", bench=bench, base=base, here=base)


@router.get(BEGIN + "/nuts")
def show_unbegun_nuts(request: Request, job: str, method: str) -> Response:
    """The nuts of a tightening that nobody has begun."""
    view = unbegun(desk_of(request), job, method)
    return nuts_page(
        request, view, NOT_BEGUN, dict(request.query_params), here=base_of(job, NOT_BEGUN) + "/nuts"
    )


@router.get("/api/1" + BEGIN + "/carried")
def weights(request: Request, job: str, method: str, gauge: str = "") -> Response:
    """What a device needs to judge a check of this method once it has begun one."""
    desk = desk_of(request)
    view = unbegun(desk, job, method)
    found = request.app.state.along.of(view, NOT_BEGUN, gauge, desk.instruments().get(gauge, {}))
    return JSONResponse({**carried_json(found), "heads": list(view.state.heads)})


def to_begin(request: Request, desk: Desk, view: JobView) -> dict[str, Any]:
    """The addresses of these pages for a job, and a key that changes when they do: also with who asks, whose
    name and form word they carry and for whom they are greyed."""
    gauges = list(desk.instruments())[:MOST_GAUGES]
    at, pages = f"/jobs/{segment(view.state.book)}/begin", []
    only = gauges if len(gauges) == 1 else []
    for method in METHODS.values():
        own, asks = f"{at}/{segment(method.key)}", asks_gauge(method)
        pages += [own, *(nut_addresses(view.card, own) if method is TIGHTENING else ())]
        again = (1, 2) if asks and method.key in KINDS else (1,) if asks else ()
        pages += [f"{own}?squeeze={n}&gauge={segment(name)}" for n in again for name in gauges]
        if method.key in KINDS:
            names = ["", *(gauges if asks else only)]
            pages += [] if asks else [f"{own}?squeeze=2&gauge={segment(name)}" for name in names]
            pages += [f"/api/1{own}/carried?gauge={segment(name)}" for name in names]
    account = account_of(request)
    whose = (FORM_WORD.get(), name_of(request), account and in_words(account.roles))
    births = desk.bearing(view.state.bearing).births
    made_from = (VERSION, CARRIED, view.card.digest, desk.instruments(), births, whose)
    return {"key": hashlib.sha256(repr(made_from).encode()).hexdigest()[:16], "pages": pages}
