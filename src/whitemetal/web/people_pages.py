"""The accounts, for their keeper: open, give roles, give a new code, sign out, close; and what people did."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from whitemetal.desk import Desk, people, signing_in, ties
from whitemetal.desk.people import Acting
from whitemetal.desk.signing_in import Visitor
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.people.accounts import Account
from whitemetal.people.roles import LEAVES, ROLES, in_words, roles_of
from whitemetal.web.bench_pages import desk_of
from whitemetal.web.confirming import provider_of
from whitemetal.web.render import page
from whitemetal.words import say

router = APIRouter()
SHOWN = 100
"""Lines of what people did that are shown. Our own."""


@router.get("/people")
def show_people(request: Request) -> Response:
    """The accounts."""
    return _people(request, {}, (), None)


def _people(
    request: Request, typed: Mapping[str, str], problems: tuple[Problem, ...], given: tuple[str, str] | None
) -> Response:
    """given: a name and the code to hand to them, shown this once."""
    desk, visitor = desk_of(request), request.state.visitor
    if visitor is None:
        return page(request, "people_none.html", 422 if problems else 200)
    held, provider = people.all_accounts(desk), provider_of(request)
    return page(
        request, "people.html", 422 if problems else 200, accounts=held, roles=ROLES, names=names_of(held),
        leaves=LEAVES, in_words=in_words, typed=typed, problems=problems, given=given,
        history=signing_in.history(desk)[:SHOWN], tied=ties.issuers(desk),
        provider=provider.settings.name if provider is not None else "",
    )  # fmt: skip


def names_of(held: Iterable[Account]) -> dict[str, str]:
    """Names by account."""
    return {one.id: one.name for one in held}


@router.post("/people")
async def add_person(request: Request) -> Response:
    """Open an account; the answer shows the code to hand over, once."""
    form = await request.form()
    return await run_in_threadpool(_add, request, form)


def _add(request: Request, form: FormData) -> Response:
    typed = {name: str(text) for name, text in form.items()}
    roles = roles_of(" ".join(str(role) for role in form.getlist("roles")))
    try:
        held, code = people.add(desk_of(request), typed.get("name", ""), roles, _keeper(request))
    except InputError as bad:
        return _people(request, {**typed, "roles": in_words(roles)}, bad.problems, None)
    return _people(request, {}, (), (held.name, code))


@router.post("/people/{account}/{what}")
async def change_person(request: Request, account: str, what: str) -> Response:
    """Give an account other roles or a new code, sign its devices out, close it."""
    form = await request.form()
    return await run_in_threadpool(_change, request, account, what, form)


def _change(request: Request, account: str, what: str, form: FormData) -> Response:
    if what not in VERBS:
        raise UnknownBook(what)
    desk = desk_of(request)
    try:
        code = VERBS[what](desk, account, form, _keeper(request))
        if code:
            return _people(request, {}, (), (people.account(desk, account).name, code))
    except InputError as bad:
        ticked = " ".join(str(role) for role in form.getlist("roles"))
        typed = {"of": account, "ticked": ticked} if what == "roles" else {}
        return _people(request, typed, bad.problems, None)
    return RedirectResponse("/people", status_code=303)


def _keeper(request: Request) -> Acting:
    """Who changes accounts. Raises InputError where there are none: the first one needs a code."""
    visitor: Visitor | None = request.state.visitor
    if visitor is None:
        raise InputError(Problem("account", "", say("people.no_account")))
    return visitor.acting


def _roles(desk: Desk, account: str, form: FormData, by: Acting) -> str:
    people.set_roles(desk, account, roles_of(" ".join(str(role) for role in form.getlist("roles"))), by)
    return ""


def _code(desk: Desk, account: str, form: FormData, by: Acting) -> str:
    return people.new_code(desk, account, by)


def _sign_out(desk: Desk, account: str, form: FormData, by: Acting) -> str:
    signing_in.sign_out_everywhere(desk, account, by)
    return ""


def _untie(desk: Desk, account: str, form: FormData, by: Acting) -> str:
    ties.untie(desk, account, by)
    return ""


def _password_off(desk: Desk, account: str, form: FormData, by: Acting) -> str:
    ties.password_off(desk, account, by)
    return ""


def _close(desk: Desk, account: str, form: FormData, by: Acting) -> str:
    people.close(desk, account, by)
    return ""


VERBS: Mapping[str, Callable[[Desk, str, FormData, Acting], str]] = {
    "roles": _roles, "code": _code, "sign-out": _sign_out, "untie": _untie,
    "password-off": _password_off, "close": _close,
}  # fmt: skip
"""By the last word of the address; what comes back is shown once, a code."""


@router.get("/api/1/people")
def all_people(request: Request) -> list[dict[str, Any]]:
    """The accounts: id, name, roles, public key, since when closed, the provider they are tied to."""
    tied = ties.issuers(desk_of(request))
    return [
        {
            "account": one.id, "name": one.name, "roles": in_words(one.roles).split(), "key": one.key.public,
            "closed": one.closed, "joined": bool(one.password) or one.id in tied,
            "provider": tied.get(one.id, ""),
        }
        for one in people.all_accounts(desk_of(request))
    ]  # fmt: skip
