"""Signing in and out, the first account, and one's own account: password, devices, tokens, key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk import Desk, by_provider, people, signing_in, ties
from whitemetal.desk.provider import Provider
from whitemetal.desk.signing_in import Visitor
from whitemetal.errors import InputError, Problem
from whitemetal.people import passwords, tokens
from whitemetal.people.roles import in_words
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.confirming import way_to_confirm
from whitemetal.web.gate import Closed, Gate, session_cookie
from whitemetal.web.people_pages import names_of
from whitemetal.web.plant_pages import local
from whitemetal.web.render import page
from whitemetal.words import say

router = APIRouter()
Typed = Mapping[str, str]
SHOWN = 30
"""Lines of one's own history that are shown. Our own."""


@router.get("/sign-in")
def show_sign_in(request: Request) -> Response:
    """The form to sign in with."""
    return show_sign_in_again(request, dict(request.query_params), ())


def show_sign_in_again(
    request: Request, typed: Typed, problems: tuple[Problem, ...], said: str = ""
) -> Response:
    """The form to sign in with, and what was wrong. said: what is wrong with the plant's provider, in words,
    "" for nothing: then passwords work as ever."""
    gate: Gate = request.app.state.gate
    provider: Provider | None = request.app.state.provider
    out = provider.way_out() if provider is not None and "out" in typed else ""
    return page(
        request, "sign_in.html", 422 if problems or said else 200, typed=typed, problems=problems, said=said,
        back=local(typed.get("back", "")) or "/", accounts=gate.accounts(), out=out,
        provider=provider.settings.name if provider is not None else "",
    )  # fmt: skip


@router.post("/sign-in")
async def sign_in(request: Request) -> Response:
    """Sign in."""
    form = await request.form()
    return await run_in_threadpool(_sign_in, request, form)


def _sign_in(request: Request, form: FormData) -> Response:
    typed = _texts(form)
    try:
        secret = signing_in.sign_in(
            desk_of(request), typed.get("name", ""), _word(form, "password"), device=request.state.device,
            browser=request.headers.get("user-agent", ""),
            address=request.client.host if request.client else "",
        )  # fmt: skip
    except InputError as bad:
        return show_sign_in_again(request, typed, bad.problems)
    return begun(request, secret, local(typed.get("back", "")) or "/")


def begun(request: Request, secret: str, to: str) -> Response:
    """The way on, with the session's cookie: gone when the browser is closed, out of reach of scripts. A
    session this browser had before ends."""
    before: Visitor | None = request.state.visitor
    if before is not None:
        signing_in.sign_out(desk_of(request), before)
    answer = RedirectResponse(to, status_code=303)
    encrypted = request.url.scheme == "https"
    answer.set_cookie(
        session_cookie(request), secret, httponly=True, samesite="strict", secure=encrypted, path="/"
    )
    return answer


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    """End this session."""
    visitor: Visitor | None = request.state.visitor
    out = ""
    if visitor is not None:
        signing_in.sign_out(desk_of(request), visitor)
        out = "?out=provider" if ties.issuer_of(desk_of(request), visitor.account.id) else ""
    answer = RedirectResponse(f"/sign-in{out}", status_code=303)
    answer.delete_cookie(session_cookie(request), path="/", secure=request.url.scheme == "https")
    return answer


@router.get("/people/first")
def show_first(request: Request) -> Response:
    """The form for the first account of all."""
    return _choose(request, "first", {}, ())


@router.get("/people/join")
def show_join(request: Request) -> Response:
    """The form to choose a password with a code."""
    return _choose(request, "join", dict(request.query_params), ())


def _choose(request: Request, what: str, typed: Typed, problems: tuple[Problem, ...]) -> Response:
    gate: Gate = request.app.state.gate
    return page(
        request, "people_join.html", 422 if problems else 200, what=what, typed=typed, problems=problems,
        accounts=gate.accounts(), least=passwords.SHORTEST,
    )  # fmt: skip


@router.post("/people/first")
async def open_first(request: Request) -> Response:
    """Open the first account, with the code the program said at its terminal."""
    form = await request.form()
    return await run_in_threadpool(_chosen, request, "first", form)


@router.post("/people/join")
async def join(request: Request) -> Response:
    """Choose a password with a code, and be signed in."""
    form = await request.form()
    return await run_in_threadpool(_chosen, request, "join", form)


def _chosen(request: Request, what: str, form: FormData) -> Response:
    typed, desk = _texts(form), desk_of(request)
    name, code, device = typed.get("name", ""), typed.get("code", ""), request.state.device
    try:
        password = _twice(form)
        if what == "first":
            people.open_first(desk, name, password, code, device)
        else:
            people.join(desk, name, code, password, device)
        browser = request.headers.get("user-agent", "")
        secret = signing_in.sign_in(desk, name, password, device=device, browser=browser)
    except InputError as bad:
        return _choose(request, what, typed, bad.problems)
    return begun(request, secret, "/")


def _twice(form: FormData) -> str:
    """The new password, typed alike twice. Raises InputError."""
    password = _word(form, "new_password")
    if password != _word(form, "again_password"):
        raise InputError(Problem("password", "", say("people.twice_alike")))
    return password


@router.get("/me")
def show_me(request: Request) -> Response:
    """One's own account."""
    return _me(request, {}, (), "")


def _me(request: Request, typed: Typed, problems: tuple[Problem, ...], token: str) -> Response:
    visitor: Visitor | None = request.state.visitor
    if visitor is None:
        return page(request, "people_none.html")
    desk, held = desk_of(request), people.account(desk_of(request), visitor.account.id)
    return page(
        request, "me.html", 422 if problems else 200, held=held, roles=in_words(held.roles), typed=typed,
        sessions=signing_in.sessions_of(desk, held.id), tokens=signing_in.tokens_of(desk, held.id),
        mine=visitor.session.digest if visitor.session else "", problems=problems, token=token,
        day=day_of, scopes=tuple(leave for leave in tokens.SCOPES if leave in visitor.leaves),
        history=signing_in.history(desk, held.id)[:SHOWN], longest=tokens.LONGEST_DAYS,
        confirm=way_to_confirm(request, "/me"), tied=ties.issuer_of(desk, held.id),
        names=names_of(people.all_accounts(desk)), least=passwords.SHORTEST,
    )  # fmt: skip


def day_of(seconds: int) -> str:
    """A moment in seconds since 1970 as day and minute, UTC."""
    from datetime import UTC, datetime

    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%d %H:%M")


@router.post("/me/{what}")
async def change_me(request: Request, what: str) -> Response:
    """Change one's own account: password, key; end a session; make or strike a token."""
    form = await request.form()
    return await run_in_threadpool(_change_me, request, what, form)


def _change_me(request: Request, what: str, form: FormData) -> Response:
    visitor: Visitor | None = request.state.visitor
    if visitor is None:
        raise InputError(Problem("account", "", say("people.no_account")))
    if visitor.session is None or what not in MINE:
        raise Closed(403, say("people.not_by_token"))
    typed = _texts(form)
    try:
        shown = MINE[what](desk_of(request), visitor, form)
    except InputError as bad:
        ticked = " ".join(str(one) for one in form.getlist("scope"))
        return _me(request, {**typed, "form": what, "ticked": ticked}, bad.problems, "")
    if shown:
        return _me(request, {}, (), shown)
    return RedirectResponse("/sign-in" if what == "password" else "/me", status_code=303)


def _password(desk: Desk, visitor: Visitor, form: FormData) -> str:
    signing_in.change_password(desk, visitor, _word(form, "password"), _twice(form))
    return ""


def _session(desk: Desk, visitor: Visitor, form: FormData) -> str:
    if not signing_in.sign_out(desk, visitor, _word(form, "session")):
        raise InputError(Problem("session", "", say("people.no_session")))
    return ""


def _everywhere(desk: Desk, visitor: Visitor, form: FormData) -> str:
    signing_in.sign_out_everywhere(desk, visitor.account.id, visitor.acting)
    return ""


def _token(desk: Desk, visitor: Visitor, form: FormData) -> str:
    scope = frozenset(leave for leave in tokens.SCOPES if leave in form.getlist("scope"))
    days = _word(form, "days").strip()
    if not (days.isdecimal() and len(days) <= 4):
        most = tokens.LONGEST_DAYS
        raise InputError(Problem("days", days[:40], say("people.days_expected", most=most)))
    by_provider.must_be_sure(desk, visitor, _word(form, "password"))
    return signing_in.new_token(desk, visitor, _word(form, "title"), scope, int(days))


def _strike_token(desk: Desk, visitor: Visitor, form: FormData) -> str:
    if not signing_in.strike_token(desk, visitor, _word(form, "named")):
        raise InputError(Problem("token", "", say("people.no_token")))
    return ""


def _key(desk: Desk, visitor: Visitor, form: FormData) -> str:
    by_provider.must_be_sure(desk, visitor, _word(form, "password"))
    people.bring_key(desk, visitor.account.id, _word(form, "key"), visitor.acting)
    return ""


MINE: Mapping[str, Callable[[Desk, Visitor, FormData], str]] = {
    "password": _password, "session": _session, "everywhere": _everywhere, "token": _token,
    "strike-token": _strike_token, "key": _key,
}  # fmt: skip
"""By the last word of the address; what comes back is shown once, a token."""


@router.get("/api/1/me")
def me(request: Request) -> dict[str, Any]:
    """Who asks and what they may do; all of it empty where there are no accounts."""
    visitor: Visitor | None = request.state.visitor
    if visitor is None:
        return {"account": "", "name": "", "roles": [], "leaves": [], "key": ""}
    held = visitor.account
    return {
        "account": held.id, "name": held.name, "roles": in_words(held.roles).split(),
        "leaves": sorted(visitor.leaves), "key": held.key.public,
    }  # fmt: skip


def _word(form: FormData, name: str) -> str:
    return str(form.get(name, ""))


def _texts(form: FormData) -> dict[str, str]:
    """What may be handed back of a form: never a password."""
    return {name: str(text) for name, text in form.items() if "password" not in name}
