"""What every answer passes through: who may ask, which device asks, what a browser may do with the page."""

from __future__ import annotations

import base64
import hashlib
import logging
import secrets
from collections.abc import Sequence
from http.cookies import CookieError, SimpleCookie
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from whitemetal.words import say

log = logging.getLogger("whitemetal.people")

DEVICE_COOKIE = "whitemetal_device"
DEVICE_AGE = 10 * 365 * 24 * 3600
LOOPBACK_NAMES = ("localhost", "127.0.0.1", "[::1]", "::1")
LOOPBACK_ADDRESSES = ("127.0.0.1", "::1")
WRITING = ("POST", "PUT", "PATCH", "DELETE")


def new_id() -> str:
    """128 random bits in base32, as every entry and every device is named."""
    return base64.b32encode(secrets.token_bytes(16)).decode().rstrip("=").lower()


def _is_id(text: str) -> bool:
    return len(text) == 26 and all(letter in "abcdefghijklmnopqrstuvwxyz234567" for letter in text)


def host_name(host: str) -> str:
    """The name in a Host header, without its port."""
    bare, colon, port = host.rpartition(":")
    return bare if colon and not port.endswith("]") else host


class Guard:
    """Pure ASGI. Refuses foreign hosts on the loopback address and foreign origins on every write; names the
    device in a cookie, unless the page sets ``unnamed`` in the request's state, because it is reached from
    another site and cannot see the cookie that is there; sets the security headers with a fresh nonce for the
    page's own style block."""

    def __init__(self, app: ASGIApp, hosts: Sequence[str] = ()) -> None:
        self.app = app
        self.hosts = tuple(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if self._foreign_host(scope, headers) or self._foreign_origin(scope, headers):
            came = scope["client"][0] if scope.get("client") else ""
            host, origin = headers.get("host", ""), headers.get("origin", "")
            log.warning(
                "refused: %s %r from %s as host %r, origin %r",
                scope["method"], scope["path"], came, host[:200], origin[:200],
            )  # fmt: skip
            await PlainTextResponse(say("web.foreign_origin"), status_code=403)(scope, receive, send)
            return
        device, known = _device(headers)
        nonce = secrets.token_urlsafe(16)
        scope.setdefault("state", {}).update(device=device, nonce=nonce)

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                answer = MutableHeaders(scope=message)
                secure(answer, nonce)
                if not known and not scope["state"].get("unnamed"):
                    answer.append("set-cookie", _device_cookie(device, scope["scheme"] == "https"))
            await send(message)

        await self.app(scope, receive, send_guarded)

    def _foreign_host(self, scope: Scope, headers: Headers) -> bool:
        server = scope.get("server")
        if not server or server[0] not in LOOPBACK_ADDRESSES:
            return False
        return host_name(headers.get("host", "")) not in (*LOOPBACK_NAMES, *self.hosts)

    def _foreign_origin(self, scope: Scope, headers: Headers) -> bool:
        if scope["method"] not in WRITING:
            return False
        origin = headers.get("origin")
        if origin is None:
            return headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none")
        return urlsplit(origin).netloc != headers.get("host", "")


def _device(headers: Headers) -> tuple[str, bool]:
    """The device that asks, and whether it knows its name: by its cookie, or, where a program asks with a
    token, by that."""
    if "authorization" in headers:
        digest = hashlib.sha256(headers["authorization"].encode()).digest()
        return base64.b32encode(digest[:16]).decode().rstrip("=").lower(), True
    try:
        morsel = SimpleCookie(headers.get("cookie", "")).get(DEVICE_COOKIE)
    except CookieError:
        morsel = None
    if morsel is not None and _is_id(morsel.value):
        return morsel.value, True
    return new_id(), False


def _device_cookie(device: str, secure: bool) -> str:
    tail = "; Secure" if secure else ""
    return f"{DEVICE_COOKIE}={device}; Path=/; Max-Age={DEVICE_AGE}; HttpOnly; SameSite=Strict{tail}"


def secure(headers: MutableHeaders, nonce: str) -> None:
    """Set the security headers of an answer."""
    headers["content-security-policy"] = (
        "default-src 'none'; script-src 'self'; "
        f"style-src 'self' 'nonce-{nonce}'; img-src 'self'; connect-src 'self'; worker-src 'self'; "
        "form-action 'self'; "
        "base-uri 'none'; frame-ancestors 'none'"
    )
    headers["x-content-type-options"] = "nosniff"
    headers["referrer-policy"] = "same-origin"
    headers["cross-origin-opener-policy"] = "same-origin"
    headers["cross-origin-resource-policy"] = "same-origin"
    headers["permissions-policy"] = "camera=(), geolocation=(), microphone=(), payment=(), usb=()"
    headers["x-frame-options"] = "DENY"
    if "cache-control" not in headers:
        headers["cache-control"] = "no-store"
