"""Requests that a device may send again: the key and the age of what was written, from their headers."""

from __future__ import annotations

import re
from datetime import timedelta

from starlette.datastructures import Headers, QueryParams
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from whitemetal.desk.sending import LONGEST_KEY, sending
from whitemetal.words import say

KEY = "idempotency-key"
"""The header of the IETF draft of that name; its value may stand in quotation marks."""

ASKED = "sent"
"""The key in the address of a form that a browser sends by itself, without a header of ours, after a script
has sent it: so that what was refused in part is shown, and what was kept of it is not kept twice."""

AGO = "written-ago"
"""Milliseconds since what is sent was written, by the device's own clock."""

_KEY = re.compile(f'"?([A-Za-z0-9_-]{{8,{LONGEST_KEY}}})"?')


class Again:
    """Pure ASGI. Answers a request with a key so that sending it again changes nothing; a key that is none is
    refused."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] != "POST":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if headers.get(KEY) and not _KEY.fullmatch(headers[KEY]):
            await _refused(headers[KEY])(scope, receive, send)
            return
        key = _KEY.fullmatch(headers.get(KEY, "") or QueryParams(scope["query_string"]).get(ASKED, ""))
        with sending(_named(scope, key[1]) if key else "", _ago(headers.get(AGO, ""))):
            await self.app(scope, receive, send)


def _refused(key: str) -> JSONResponse:
    """A key of another form protects from nothing: whoever sent it must know before they send it again."""
    said = say("web.key_expected", most=LONGEST_KEY)
    problem = {"field": KEY, "typed": key[:200], "expected": said, "line": None}
    return JSONResponse({"kept": False, "problem": said, "problems": [problem]}, status_code=422)


def _named(scope: Scope, key: str) -> str:
    """The key belongs to its device: another device's same key is another request."""
    return f"{scope.get('state', {}).get('device', '')}\n{key}"


def _ago(text: str) -> timedelta:
    return timedelta(milliseconds=int(text)) if text.isdecimal() and len(text) <= 12 else timedelta()
