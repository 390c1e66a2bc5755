"""The web face: one FastAPI application over a desk."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from functools import partial

from fastapi import Depends, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.staticfiles import StaticFiles

from whitemetal.desk import Desk
from whitemetal.desk.provider import Provider
from whitemetal.errors import InputError, LedgerError, Problem, UnknownBook, WhitemetalError
from whitemetal.web import (
    agreement_pages,
    api,
    api_job,
    api_plant,
    begin_pages,
    bench_pages,
    birth_pages,
    card_pages,
    carried_pages,
    closing_pages,
    doors,
    filing_pages,
    film_pages,
    fit_pages,
    found_pages,
    inspection_pages,
    job_file_pages,
    job_pages,
    life_pages,
    live_api,
    news_api,
    nut_pages,
    openings_pages,
    paper_pages,
    people_pages,
    photo_pages,
    plan_pages,
    plant_pages,
    procedure_pages,
    provider_pages,
    record_pages,
    run_pages,
    sign_in_pages,
    sign_pages,
    torque_pages,
)
from whitemetal.web.again import Again
from whitemetal.web.arriving import Measured
from whitemetal.web.gate import Closed, Elsewhere, Gate, admit
from whitemetal.web.guard import Guard, secure
from whitemetal.web.render import HERE, WORD, page
from whitemetal.web.turns import Turns
from whitemetal.web.visitor import wants_json
from whitemetal.words import say

ROOMS = (
    news_api,
    live_api,
    carried_pages,
    begin_pages,
    agreement_pages,
    plan_pages,
    plant_pages,
    photo_pages,
    found_pages,
    inspection_pages,
    job_file_pages,
    card_pages,
    birth_pages,
    nut_pages,
    closing_pages,
    torque_pages,
    bench_pages,
    film_pages,
    fit_pages,
    life_pages,
    openings_pages,
    paper_pages,
    procedure_pages,
    run_pages,
    sign_pages,
    filing_pages,
    people_pages,
    provider_pages,
    sign_in_pages,
    job_pages,
    record_pages,
    api,
    api_plant,
    api_job,
)
log = logging.getLogger("whitemetal.web")


def make_app(
    desk: Desk, hosts: Sequence[str] = (), *, demand: bool = False, provider: Provider | None = None
) -> FastAPI:
    """The application. hosts: further names under which it may be asked on the loopback address. demand:
    everybody signs in, also while there is no account yet. provider: the plant's own, to sign in by."""
    app = FastAPI(
        title="whitemetal", docs_url=None, redoc_url=None, openapi_url="/api/1/openapi.json",
        redirect_slashes=False,
    )  # fmt: skip
    app.openapi = partial(doors.described, app)  # type: ignore[method-assign]
    app.state.desk = desk
    app.state.gate = Gate(desk, demand or provider is not None)
    app.state.provider = provider
    app.state.judged = bench_pages.Judged()
    app.state.turns = Turns()
    app.state.along = carried_pages.Along()
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    for room in ROOMS:
        app.include_router(room.router, dependencies=[Depends(admit)])
    app.add_exception_handler(Elsewhere, _sent_on)
    app.add_exception_handler(Closed, _closed)
    app.add_exception_handler(WhitemetalError, _refused)
    app.add_exception_handler(HTTPException, _no_such_page)
    app.add_exception_handler(RequestValidationError, _no_such_page)
    app.add_exception_handler(ClientDisconnect, _gone_away)
    app.add_exception_handler(Exception, _gone_wrong)
    app.add_middleware(Measured)
    app.add_middleware(Again)
    app.add_middleware(Guard, hosts=hosts)
    return app


async def _refused(request: Request, error: Exception) -> Response:
    """An error a user can cause or must know of: its message, and what was typed, nothing else."""
    if isinstance(error, UnknownBook):
        return await _no_such_page(request, error)
    if isinstance(error, InputError):
        return await _said(request, 422, say("web.h_refused_input"), "", error.problems)
    if isinstance(error, LedgerError):
        return await _said(request, 503, say("web.h_not_kept"), say("web.not_kept", why=error))
    return await _said(request, 422, say("web.h_refused_input"), str(error))


async def _sent_on(request: Request, error: Exception) -> Response:
    """To where one signs in, and back from there."""
    return RedirectResponse(error.to if isinstance(error, Elsewhere) else "/sign-in", status_code=303)


async def _closed(request: Request, error: Exception) -> Response:
    """Not signed in, or not for this account: what was typed is handed back."""
    status = error.status if isinstance(error, Closed) else 403
    answer = await _said(request, status, say("people.h_closed"), str(error))
    if status == 401:
        answer.headers["www-authenticate"] = 'Bearer realm="whitemetal"'
    return answer


async def _no_such_page(request: Request, error: Exception) -> Response:
    status = getattr(error, "status_code", 404)
    text = say("web.not_allowed") if status == 405 else say("web.not_found")
    return await _said(request, status, say("web.h_not_found"), text)


async def _gone_away(request: Request, error: Exception) -> Response:
    """Cut off in the middle: nobody reads the answer, and nothing of it was kept."""
    return Response(status_code=400)


async def _gone_wrong(request: Request, error: Exception) -> Response:
    log.exception("while answering %s %s", request.method, request.url.path, exc_info=error)
    answer = await _said(request, 500, say("web.h_wrong"), say("web.wrong"))
    secure(answer.headers, request.state.nonce)
    return answer


async def _said(
    request: Request, status: int, title: str, text: str, problems: Sequence[Problem] = ()
) -> Response:
    if wants_json(request) or request.url.path.startswith("/api/"):
        told = [vars(problem) for problem in problems]
        said = "; ".join(f"{p.field}: {say('web.expected')} {p.expected}" for p in problems) or text
        return JSONResponse({"kept": False, "problem": said, "problems": told}, status_code=status)
    typed = await _typed(request) if request.method == "POST" else []
    return page(request, "error.html", status, title=title, text=text, problems=problems, typed=typed)


async def _typed(request: Request) -> list[tuple[str, str]]:
    """What a form sent, so that the error page can hand it back."""
    form = getattr(request, "_form", None)
    if not isinstance(form, FormData):
        try:
            form = await request.form()
        except Exception:
            return []
        await form.close()
    told = [(name, text) for name, text in form.multi_items() if isinstance(text, str)]
    return [(name, text) for name, text in told if name != WORD and "password" not in name]
