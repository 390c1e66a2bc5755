"""The page from which a device takes the workshop's own authority, on plain http beside the https pages.

It hands out one certificate and explains it; nothing else is served here. Nobody is told to click through a
warning: where the certificate was not installed, the browser warns and is right.
"""

from __future__ import annotations

import base64
import secrets
from pathlib import Path

from fastapi import FastAPI
from starlette.datastructures import MutableHeaders
from starlette.responses import HTMLResponse, RedirectResponse, Response

from whitemetal.web.authority import fingerprint
from whitemetal.web.guard import secure
from whitemetal.web.render import fragment


def make_trust_app(authority: Path, secure_at: str, plain_at: str) -> FastAPI:
    """authority: its certificate. secure_at, plain_at: addresses of the https pages and of this one."""
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    pem = authority.read_bytes()
    der = base64.b64decode(b"".join(line for line in pem.splitlines() if not line.startswith(b"-")))

    @app.get("/")
    def show() -> Response:
        nonce = secrets.token_urlsafe(16)
        text = fragment(
            "trust.html", nonce=nonce, secure_at=secure_at, plain_at=plain_at, code=square_code(plain_at),
            fingerprint=fingerprint(authority),
        )  # fmt: skip
        return _guarded(HTMLResponse(text), nonce)

    @app.get("/authority.crt")
    def certificate() -> Response:
        named = {"content-disposition": 'attachment; filename="whitemetal-authority.crt"'}
        return _guarded(Response(der, media_type="application/x-x509-ca-cert", headers=named), "")

    @app.get("/{anything:path}")
    def other(anything: str) -> Response:
        return RedirectResponse("/", status_code=307)

    return app


def square_code(address: str) -> str:
    """The square code of an address as SVG for a page."""
    import segno

    drawn: str = segno.make(address, error="m", micro=False).svg_inline(scale=6, border=4, omitsize=False)
    return drawn


def _guarded(answer: Response, nonce: str) -> Response:
    secure(MutableHeaders(raw=answer.raw_headers), nonce)
    return answer
