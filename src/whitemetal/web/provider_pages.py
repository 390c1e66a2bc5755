"""Signing in by the plant's own provider: the way there, the way back, the first time, and confirming.

The provider sends the browser back by a navigation from another site, on which cookies that are for this site
only do not travel. So the way back is a page that sends what it was given on, from this site: there the
errand's cookie is at hand, and the device keeps its name.
"""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk import by_provider
from whitemetal.desk.by_provider import Answer, Came, From
from whitemetal.desk.provider import Provider
from whitemetal.errors import InputError, Problem, ProviderError
from whitemetal.people.provider import BACK
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.confirming import provider_of, visitor_at
from whitemetal.web.plant_pages import local
from whitemetal.web.render import page
from whitemetal.web.sign_in_pages import begun, show_sign_in_again
from whitemetal.words import say

router = APIRouter()
ERRAND, STANDS = "whitemetal_errand", "whitemetal_stands"
"""Cookies: of the errand, and of somebody who has no account yet."""

NAMED = ("code", "state", "iss", "error")
"""What the provider may send back: RFC 6749, sections 4.1.2 and 4.1.2.1, and RFC 9207, section 2."""


def _provider(request: Request) -> Provider:
    found = provider_of(request)
    if found is None:
        raise ProviderError(say("provider.none"))
    return found


@router.get("/sign-in/provider")
def go_there(request: Request) -> Response:
    """To the provider, to sign in."""
    back = local(request.query_params.get("back", "")) or "/"
    return _sent(request, back, lambda provider: by_provider.go(desk_of(request), provider, back))


@router.get("/me/confirm")
def go_and_confirm(request: Request) -> Response:
    """To the provider, to confirm that one is who is signed in."""
    back, visitor = local(request.query_params.get("back", "")) or "/me", visitor_at(request)
    return _sent(
        request, back, lambda provider: by_provider.go_and_confirm(desk_of(request), provider, visitor, back)
    )


def _sent(request: Request, back: str, go: Callable[[Provider], tuple[str, str]]) -> Response:
    """A page of another site that sends people here does not send them further."""
    try:
        if request.headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
            raise ProviderError(say("provider.press_again"))
        to, cookie = go(_provider(request))
    except ProviderError as bad:
        return _refused(request, back, bad)
    answer = RedirectResponse(to, status_code=303)
    _keep(request, answer, ERRAND, cookie)
    return answer


@router.get(BACK)
def come_back(request: Request) -> Response:
    """Back from the provider: a page that sends on what it was given."""
    request.state.unnamed = True
    given = {
        name: text for name in NAMED
        if (text := request.query_params.get(name, "")) and len(text) <= by_provider.LONGEST_TEXT
    }  # fmt: skip
    return page(request, "provider_back.html", given=given, back=BACK)


@router.post(BACK)
async def take_in(request: Request) -> Response:
    """What the provider sent back, from a page of this site."""
    form = await request.form()
    return await run_in_threadpool(_taken_in, request, form)


def _taken_in(request: Request, form: FormData) -> Response:
    code, state, issuer, error = (str(form.get(name, ""))[: by_provider.LONGEST_TEXT] for name in NAMED)
    said = Answer(code, state, issuer, error)
    try:
        came = by_provider.come_back(
            desk_of(request), _provider(request), request.cookies.get(_cookie(request, ERRAND), ""), said,
            visitor_at(request), _from(request),
        )  # fmt: skip
    except ProviderError as bad:
        return _let_go(request, _refused(request, "/", bad), ERRAND)
    except InputError as bad:
        return show_sign_in_again(request, {}, bad.problems)
    return _let_go(request, _on(request, came), ERRAND)


def _on(request: Request, came: Came) -> Response:
    if came.session:
        return begun(request, came.session, came.errand.back)
    if came.stands:
        answer = RedirectResponse("/sign-in/code", status_code=303)
        _keep(request, answer, STANDS, came.stands)
        return answer
    return RedirectResponse(came.errand.back, status_code=303)


@router.get("/sign-in/code")
def show_code(request: Request) -> Response:
    """Where somebody of the provider who has no account yet says the code they were given."""
    return _code_page(request, ())


def _code_page(request: Request, problems: tuple[Problem, ...]) -> Response:
    stands = by_provider.standing(desk_of(request), request.cookies.get(_cookie(request, STANDS), ""))
    provider = provider_of(request)
    return page(
        request, "provider_code.html", 422 if problems else 200, stands=stands, problems=problems,
        provider=provider.settings.name if provider is not None else "",
    )  # fmt: skip


@router.post("/sign-in/code")
async def use_code(request: Request) -> Response:
    """Tie the account whose code this is, and be signed in."""
    form = await request.form()
    return await run_in_threadpool(_code_used, request, str(form.get("code", ""))[:80])


def _code_used(request: Request, code: str) -> Response:
    stands = request.cookies.get(_cookie(request, STANDS), "")
    try:
        session = by_provider.use_code(desk_of(request), _provider(request), stands, code, _from(request))
    except InputError as bad:
        return _code_page(request, bad.problems)
    except ProviderError as bad:
        return _refused(request, "/", bad)
    return _let_go(request, begun(request, session, "/"), STANDS)


def _refused(request: Request, back: str, bad: ProviderError) -> Response:
    """The page to sign in at, or one's own account, with what went wrong: passwords work as ever."""
    return show_sign_in_again(request, {"back": back}, (), str(bad))


def _from(request: Request) -> From:
    address = request.client.host if request.client else ""
    return From(request.state.device, request.headers.get("user-agent", ""), address)


def _cookie(request: Request, name: str) -> str:
    return f"__Host-{name}" if request.url.scheme == "https" else name


def _keep(request: Request, answer: Response, name: str, value: str) -> None:
    """A cookie for this site only, out of reach of scripts, for as long as an errand takes."""
    answer.set_cookie(
        _cookie(request, name), value, max_age=by_provider.STANDS, httponly=True, samesite="strict",
        secure=request.url.scheme == "https", path="/",
    )  # fmt: skip


def _let_go(request: Request, answer: Response, name: str) -> Response:
    answer.delete_cookie(_cookie(request, name), path="/", secure=request.url.scheme == "https")
    return answer
