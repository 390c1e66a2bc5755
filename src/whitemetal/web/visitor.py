"""Who writes: the name typed once, the device's cookie, the clock's offset, and the heads it was shown."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from urllib.parse import quote, unquote

from starlette.requests import Request
from starlette.responses import Response

from whitemetal.desk import Writer
from whitemetal.errors import InputError, Problem
from whitemetal.people.accounts import Account
from whitemetal.words import say

NAME_COOKIE = "whitemetal_name"
OFFSET_COOKIE = "whitemetal_offset"
STAND_COOKIE = "whitemetal_stand"
BY = "written-by"
"""The name under which what is sent was entered, where a device kept it until now: as the cookie had it."""

COOKIE_AGE = 400 * 24 * 3600
LONGEST_NAME = 120
_DIGEST = re.compile("[0-9a-f]{64}")


def account_of(request: Request) -> Account | None:
    """The account of who is signed in, None where nobody is."""
    visitor = getattr(request.state, "visitor", None)
    return visitor.account if visitor is not None else None


def name_of(request: Request) -> str:
    """The name of who is signed in, else the one under which it was entered, else the one kept in the cookie;
    "" when none was typed yet."""
    account = account_of(request)
    if account is not None:
        return account.name
    named = request.headers.get(BY, "") or request.cookies.get(NAME_COOKIE, "")
    return unquote(named).strip()[:LONGEST_NAME]


def offset_of(request: Request) -> int:
    """Minutes the device's clock is ahead of UTC; 0 when the page's script has not said."""
    try:
        offset = int(request.cookies.get(OFFSET_COOKIE, "0"))
    except ValueError:
        return 0
    return offset if abs(offset) <= 15 * 60 else 0


def keep_cookie(response: Response, name: str, value: str, secure: bool = False) -> None:
    """Set a cookie that other sites do not get, nor scripts: but for the name of who writes, which a page
    puts beside what it keeps until it can be sent."""
    response.set_cookie(
        name, quote(value, safe=""), max_age=COOKIE_AGE, httponly=name != NAME_COOKIE, samesite="strict",
        secure=secure, path="/",
    )  # fmt: skip


def heads_from(text: str) -> tuple[str, ...]:
    """The heads a form or script sends back: hexadecimal digests, blank-separated."""
    return tuple(head for head in text.split() if _DIGEST.fullmatch(head))


def heads_text(heads: Iterable[str]) -> str:
    """Heads as a form carries them."""
    return " ".join(heads)


def writer_of(request: Request, seen: Iterable[str] = (), name: str = "") -> Writer:
    """The writer of this request: who is signed in, else the name that was given. Raises InputError when
    nobody gave one."""
    account = account_of(request)
    who = account.name if account is not None else (name or name_of(request)).strip()[:LONGEST_NAME]
    if not who:
        raise InputError(Problem("name", "", say("web.name_expected")))
    id = account.id if account is not None else ""
    return Writer(who, request.state.device, offset_of(request), tuple(seen), id)


def wants_json(request: Request) -> bool:
    """Whether a script asks, rather than a plain form or link."""
    return "application/json" in request.headers.get("accept", "")


def _no_number(name: str) -> float:
    """Python's reader takes NaN and Infinity, JSON (RFC 8259) has none. Raises ValueError."""
    raise ValueError(name)


async def json_body(request: Request) -> dict[str, object]:
    """The request's JSON object. Raises InputError when it is none, or has half a character in it, which no
    answer could say."""
    try:
        body = json.loads(await request.body(), parse_constant=_no_number)
        json.dumps(body, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        body = None
    if not isinstance(body, dict):
        raise InputError(Problem("request", "", say("web.json_expected")))
    return body
