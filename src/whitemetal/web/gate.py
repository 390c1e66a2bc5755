"""Who may go where: one table of rules by address, asked before every route; and the word forms carry.

A record without accounts on this machine alone stands open. As soon as there is an account, or the program
answers on anything but 127.0.0.1, everybody signs in, by a session's cookie or a token.
"""

from __future__ import annotations

import logging
import re
from collections.abc import AsyncIterator, Callable
from typing import Literal
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request

from whitemetal.desk import Desk, people, signing_in
from whitemetal.errors import WhitemetalError
from whitemetal.people import forms
from whitemetal.people.provider import BACK
from whitemetal.people.roles import Leave
from whitemetal.web.render import FORM_WORD, LACKING, WORD
from whitemetal.words import say

log = logging.getLogger("whitemetal.people")

Need = Leave | Literal["nothing"]
"""What one must have leave for; "nothing" where also those may go who are not signed in."""

SESSION = "whitemetal_session"
SAID = "x-form-word"
"""Header in which a script may give the word of forms."""

LARGEST_FORM = 256 * 1024 * 1024
"""Bytes of a form that are read to find its word. Our own: more than any page of ours sends."""

LARGEST_ANSWER = 1024 * 1024
"""Bytes of what comes back from the provider that are read. Our own: a code and some words."""

WRITING = ("POST", "PUT", "PATCH", "DELETE")
_OF_A_JOB = r"(/api/1)?/jobs/[^/]+"
_OF_A_BEARING = r"(/api/1)?/bearings"

RULES: tuple[tuple[Literal["read", "write", "any"], str, Need], ...] = (
    ("any", r"/(sign-in(/provider|/back|/code)?|sign-out|people/first|people/join)", "nothing"),
    ("read", r"/(drawing\.css|worker\.js|on-this-device)", "nothing"),
    ("any", r"(/api/1)?/me(/.*)?", "look"),
    ("any", r"(/api/1)?/people(/.*)?", "keep people"),
    ("read", r"/record/people|/api/1/books/people/.*", "keep people"),
    ("write", _OF_A_BEARING + r"/(new|[^/]+/(edit|torque|adopt).*)", "set limits"),
    ("write", r"(/api/1)?/(procedure|openings)(/.*)?", "set limits"),
    ("write", _OF_A_JOB + r"/(adopt|concession|sign/withdraw|checks/[^/]+/rule)", "set limits"),
    ("write", _OF_A_JOB + r"/sign(/.*)?", "sign"),
    ("write", _OF_A_JOB + r"(/.*)?", "write"),
    ("write", _OF_A_BEARING + r"/[^/]+(/.*)?", "write"),
    ("write", r"(/api/1)?/instruments(/.*)?", "write"),
    ("write", r"(/api/1)?/bring", "set limits"),
    ("read", r"(/api/1)?/bring", "look"),
    ("write", r"/who", "look"),
    ("read", r"/", "look"),
    ("read", r"/(instruments|verify|procedure|openings|export)(\.\w+|/.*)?", "look"),
    ("read", r"/export\.(zip|xlsx|json)", "look"),
    ("read", r"/(jobs|bearings|cards|photographs|record)/.*", "look"),
    ("read", r"/api/1/(plant|instruments|news|verify|methods|procedure|openings|export)(\.\w+|/.*)?", "look"),
    ("read", r"/api/1/(jobs|bearings|books|photographs)/.*", "look"),
)
"""The first that fits holds. What none of them names is closed to everybody."""

NO_WORD = (BACK,)
"""Where a form carries no word: what comes back from the provider was made where no cookie of this site is
seen. The errand's own state, tied to the browser by its cookie, does what the word does elsewhere."""

_COMPILED = tuple((what, re.compile(pattern), need) for what, pattern, need in RULES)


class Closed(WhitemetalError):
    """Somebody may not go there. status: 401 when they are not signed in, 403 when it is not theirs."""

    def __init__(self, status: int, text: str) -> None:
        super().__init__(text)
        self.status = status


class Elsewhere(WhitemetalError):
    """Somebody who opens a page must sign in first. to: the address."""

    def __init__(self, to: str) -> None:
        super().__init__(to)
        self.to = to


class Gate:
    """Whether the record stands open, asked once a request until it does not."""

    def __init__(self, desk: Desk, demand: bool) -> None:
        self.desk = desk
        self.demand = demand
        self._accounts = False
        self._secret = ""

    def accounts(self) -> bool:
        """Whether anybody has an account; once there is one it stays so."""
        self._accounts = self._accounts or people.any_account(self.desk)
        return self._accounts

    def shut(self) -> bool:
        """Whether one must sign in."""
        return self.demand or self.accounts()

    def secret(self) -> str:
        """What the words of forms are made with."""
        self._secret = self._secret or people.form_secret(self.desk)
        return self._secret


def need_of(method: str, path: str) -> Need | None:
    """What one needs leave for to ask this of this address; None where no rule says. path: as routes are
    found by, not as an address is read, which drops line ends and ends at a question mark."""
    does = "write" if method in WRITING else "read"
    return next(
        (need for what, rule, need in _COMPILED if what in ("any", does) and rule.fullmatch(path)), None
    )


async def admit(request: Request) -> AsyncIterator[None]:
    """Let a request through or not, and let go of what it brought. A dependency of every route.

    Raises Closed, Elsewhere."""
    gate: Gate = request.app.state.gate
    try:
        word = await run_in_threadpool(_admitted, request, gate)
        FORM_WORD.set(word)
        LACKING.set(lacking(request.state.visitor))
        if request.method in WRITING and request.scope["path"] in NO_WORD:
            _must_be_readable(request, LARGEST_ANSWER)
        elif word and request.method in WRITING and not _by_token(request):
            await _must_carry(request, word)
        yield
    finally:
        form = getattr(request, "_form", None)
        if isinstance(form, FormData):
            await form.close()


def _admitted(request: Request, gate: Gate) -> str:
    """The word of the forms of whoever may pass, "" where the record stands open."""
    request.state.visitor = None
    if not gate.shut():
        return ""
    visitor = request.state.visitor = visitor_of(request, gate.desk)
    need = need_of(request.method, request.scope["path"])
    if need != "nothing":
        if visitor is None:
            raise _sign_in_first(request, gate)
        if need is None or need not in visitor.leaves:
            log.warning("refused: %s may not %s %r", visitor.account.id, request.method, request.url.path)
            why = "people.token_may_not" if _by_token(request) else "people.not_yours"
            raise Closed(403, say(why, need=in_words(need)))
    account = visitor.account.id if visitor is not None else ""
    return forms.word(gate.secret(), request.state.device, account)


def lacking(visitor: signing_in.Visitor | None) -> Callable[[str], str] | None:
    """What somebody may not do who sends a form to a path, in words, "" where they may; None for nobody."""
    if visitor is None:
        return None

    def lacks(path: str) -> str:
        need = need_of("POST", path)
        return "" if need == "nothing" or need in visitor.leaves else in_words(need)

    return lacks


def in_words(need: Need | None) -> str:
    """What somebody would have to have leave for, in words."""
    return say(f"people.to_{(need or 'do').replace(' ', '_')}")


def visitor_of(request: Request, desk: Desk) -> signing_in.Visitor | None:
    """Who asks, by their token or their session."""
    if _by_token(request):
        scheme, _, text = request.headers["authorization"].partition(" ")
        return signing_in.by_token(desk, text.strip()) if scheme.lower() == "bearer" else None
    secret = request.cookies.get(session_cookie(request), "")
    return signing_in.by_session(desk, secret) if secret else None


def session_cookie(request: Request) -> str:
    """Name of the session's cookie: bound to this very host where the connection is encrypted."""
    return f"__Host-{SESSION}" if request.url.scheme == "https" else SESSION


def _by_token(request: Request) -> bool:
    return "authorization" in request.headers


def _sign_in_first(request: Request, gate: Gate) -> WhitemetalError:
    opens_a_page = (
        request.method in ("GET", "HEAD")
        and request.headers.get("sec-fetch-mode", "navigate") == "navigate"
        and "application/json" not in request.headers.get("accept", "")
        and not request.url.path.startswith("/api/")
    )
    if _by_token(request):
        return Closed(401, say("people.token_no_good"))
    if not opens_a_page:
        return Closed(401, say("people.sign_in_first"))
    if not gate.accounts():
        return Elsewhere("/people/first")
    return Elsewhere(f"/sign-in?back={quote(request.url.path, safe='/')}")


async def _must_carry(request: Request, word: str) -> None:
    """Raises Closed unless the request is one of our own pages': a form carries the word, a script's JSON,
    which no form of another site can send, comes from this very origin."""
    said = request.headers.get(SAID, "")
    if not said and request.headers.get("content-type", "").startswith("application/json"):
        if "origin" in request.headers or request.headers.get("sec-fetch-site") == "same-origin":
            return
    elif not said:
        _must_be_readable(request)
        form = await request.form()
        said = str(form.get(WORD, ""))
        request._form = FormData([pair for pair in form.multi_items() if pair[0] != WORD])
    if not forms.same(said, word):
        log.warning("refused: %s %r without the word of its form", request.method, request.url.path)
        raise Closed(403, say("people.wrong_word"))


def _must_be_readable(request: Request, most: int = LARGEST_FORM) -> None:
    """Raises Closed on a form that is too large, or does not say how large it is, before it is read."""
    length = request.headers.get("content-length", "")
    if not length.isdecimal() or int(length) > most:
        raise Closed(413, say("people.too_large", most=most // (1024 * 1024)))
