"""An errand to the provider and back: what the browser carries, and what only the record knows.

The browser's cookie carries the errand, with a word made from the record's secret so that it cannot be
changed. State, nonce and PKCE's verifier are made from the same secret and the errand, so that any process of
the same record knows them again and the verifier never leaves it before the code is redeemed.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import json
import secrets
from dataclasses import asdict, dataclass
from typing import Any, Literal, get_args

What = Literal["in", "confirm"]

LIVES = 600
"""Seconds an errand may take: long enough for a second factor. Our own."""

SKEW = 60
"""Seconds two clocks may be apart. Our own, within the few minutes of OpenID Connect Core 1.0, section 2."""


@dataclass(frozen=True)
class Errand:
    """what: to sign in, or to confirm that one is who is signed in. back: the page to go on with. begun:
    seconds since 1970. account, session: of who is signed in, to confirm; session by its digest."""

    id: str
    what: What
    back: str
    begun: int
    account: str = ""
    session: str = ""


def new_errand(what: What, back: str, begun: int, account: str = "", session: str = "") -> Errand:
    """An errand of its own: 256 random bits."""
    return Errand(secrets.token_urlsafe(32), what, back, begun, account, session)


def state_of(key: str, errand: Errand) -> str:
    """What the provider must send back as it is: RFC 6749, section 10.12."""
    return _made(key, "state", errand)


def nonce_of(key: str, errand: Errand) -> str:
    """What must stand in the ID token: OpenID Connect Core 1.0, section 3.1.2.1."""
    return _made(key, "nonce", errand)


def verifier_of(key: str, errand: Errand) -> str:
    """PKCE's verifier, 43 characters: RFC 7636, section 4.1."""
    return _made(key, "verifier", errand)


def challenge(verifier: str) -> str:
    """PKCE's challenge by S256: RFC 7636, section 4.2."""
    return _text(hashlib.sha256(verifier.encode("ascii")).digest())


def carried(key: str, errand: Errand) -> str:
    """The errand as the cookie carries it."""
    said = json.dumps(asdict(errand), sort_keys=True, separators=(",", ":")).encode()
    return f"{_text(said)}.{_made(key, 'cookie', errand)}"


def opened(key: str, text: str, now: int) -> Errand | None:
    """The errand a cookie carries; None where it is none of ours, was changed, or took too long."""
    said, dot, word = text.partition(".")
    found = _read(said) if dot and key else None
    if found is None or not hmac.compare_digest(_made(key, "cookie", found).encode(), word.encode()):
        return None
    return found if found.begun - SKEW <= now < found.begun + LIVES else None


def _read(said: str) -> Errand | None:
    try:
        read: Any = json.loads(base64.urlsafe_b64decode(said + "=" * (-len(said) % 4)))
        made = Errand(**read)
    except (ValueError, TypeError, binascii.Error, RecursionError):
        return None
    texts = (made.id, made.what, made.back, made.account, made.session)
    good = all(isinstance(text, str) for text in texts) and type(made.begun) is int
    return made if good and made.what in get_args(What) else None


def _made(key: str, what: str, errand: Errand) -> str:
    said = json.dumps(asdict(errand), sort_keys=True)
    return _text(
        hmac.new(key.encode(), f"whitemetal.errand/1\n{what}\n{said}".encode(), hashlib.sha256).digest()
    )


def _text(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode("ascii")
