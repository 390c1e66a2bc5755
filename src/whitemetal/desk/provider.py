"""The plant's own OpenID provider, asked: its discovery document, its keys, and what a code is worth.

Only this module calls out for signing in, only to the address the plant's file names and to those the
provider's own document names, over https (plain http on this machine alone). No redirection is followed, no
answer is read beyond a bound, and nobody waits long. What was learned is remembered for an hour.
"""

from __future__ import annotations

import base64
import json
import os
import ssl
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import quote_plus, urlencode, urlsplit

from whitemetal.errors import InputError, Problem, ProviderError
from whitemetal.people.errand import Errand, challenge, nonce_of, state_of, verifier_of
from whitemetal.people.id_token import Proven, UnknownKey, Wanted, proven
from whitemetal.people.provider import Metadata, Settings, read_metadata, read_settings
from whitemetal.words import say

SECRET = "WHITEMETAL_PROVIDER_SECRET"
"""Variable with the secret shared with the provider, where no file is named."""

PATIENCE = 5.0
"""Seconds to wait for a connection, or for the next piece of an answer. Our own."""

ALL = 10.0
"""Seconds an answer may take together. Our own."""

LARGEST = 256 * 1024
"""Bytes of an answer that are read. Our own: a discovery document has some five thousand."""

REMEMBERED = 3600.0
"""Seconds for which document and keys are remembered. Our own."""

AGAIN = 30.0
"""Seconds between two fetches of the keys because a token names an unknown one. Our own."""

REST = 5.0
"""Seconds for which a provider that could not be reached is not asked again. Our own."""

AT_ONCE = 4
"""Calls under way together, so that a slow provider never takes every thread. Our own."""

KEY = 32
"""Bytes of the key that seals other keys: AES-256, NIST FIPS 197, section 5."""


class Provider:
    """The provider. settings: what the plant says. secret: shared with it, "" for none. seal_key: seals the
    keys of people without a password. tick: a clock that only goes on, in seconds."""

    def __init__(
        self, settings: Settings, secret: str, seal_key: bytes, tick: Callable[[], float] = time.monotonic
    ) -> None:
        self.settings = settings
        self.seal_key = seal_key
        self._secret = secret
        self._tick = tick
        self._turn = threading.BoundedSemaphore(AT_ONCE)
        self._metadata: tuple[float, Metadata] | None = None
        self._keys: tuple[float, tuple[Mapping[str, Any], ...]] | None = None
        self._failed: tuple[float, ProviderError] | None = None
        self._context: ssl.SSLContext | None = None

    def metadata(self) -> Metadata:
        """What the provider says of itself. Raises ProviderError."""
        now, held = self._tick(), self._metadata
        if held is not None and now - held[0] < REMEMBERED:
            return held[1]
        if self._failed is not None and now - self._failed[0] < REST:
            raise self._failed[1]
        try:
            found = read_metadata(self._json("GET", self.settings.discovery), self.settings)
        except ProviderError as bad:
            self._failed = (self._tick(), bad)
            raise
        self._metadata, self._failed = (now, found), None
        return found

    def there(self, key: str, errand: Errand) -> str:
        """The address to send somebody to: OpenID Connect Core 1.0, section 3.1.2.1, with PKCE. key: the
        record's secret for errands. To confirm, the provider is to ask for the sign-in again."""
        more = {"prompt": "login", "max_age": "0"} if errand.what == "confirm" else {}
        if self.settings.strength:
            more["acr_values"] = " ".join(self.settings.strength)
        asked = {
            "response_type": "code", "client_id": self.settings.client_id,
            "redirect_uri": self.settings.back, "scope": " ".join(self.settings.scopes),
            "state": state_of(key, errand), "nonce": nonce_of(key, errand),
            "code_challenge": challenge(verifier_of(key, errand)), "code_challenge_method": "S256", **more,
        }  # fmt: skip
        place = self.metadata().authorization
        return place + ("&" if urlsplit(place).query else "?") + urlencode(asked)

    def redeemed(self, key: str, errand: Errand, code: str, now: int) -> Proven:
        """Who came back with this code: RFC 6749, section 4.1.3. Raises ProviderError."""
        metadata = self.metadata()
        form = {
            "grant_type": "authorization_code", "code": code, "redirect_uri": self.settings.back,
            "code_verifier": verifier_of(key, errand),
        }  # fmt: skip
        headers = self._introduced(metadata, form)
        answer = self._json("POST", metadata.token, form, headers)
        token = answer.get("id_token") if isinstance(answer, dict) else None
        wanted = Wanted(nonce_of(key, errand), errand.begun, fresh=errand.what == "confirm")
        try:
            return proven(token, self._keyring(), self.settings, metadata, wanted, now)
        except UnknownKey:
            keys = self._keyring(anew=True)
            return proven(token, keys, self.settings, metadata, wanted, now)

    def way_out(self) -> str:
        """Where one signs out of the provider too, "" where it does not say, or cannot be asked:
        RP-Initiated Logout 1.0, section 2."""
        with suppress(ProviderError):
            end = self.metadata().end
            mark = "&" if urlsplit(end).query else "?"
            return f"{end}{mark}{urlencode({'client_id': self.settings.client_id})}" if end else ""
        return ""

    def _introduced(self, metadata: Metadata, form: dict[str, str]) -> dict[str, str]:
        """How this program says who it is: RFC 6749, section 2.3.1. Without a secret only by its name."""
        if self._secret and not metadata.by_form:
            pair = f"{quote_plus(self.settings.client_id)}:{quote_plus(self._secret)}"
            return {"authorization": "Basic " + base64.b64encode(pair.encode()).decode()}
        form["client_id"] = self.settings.client_id
        if self._secret:
            form["client_secret"] = self._secret
        return {}

    def _keyring(self, anew: bool = False) -> tuple[Mapping[str, Any], ...]:
        """The provider's keys (RFC 7517, section 5). anew: fetched again, unless that was just done."""
        now, held = self._tick(), self._keys
        if held is not None and now - held[0] < (AGAIN if anew else REMEMBERED):
            return held[1]
        said = self._json("GET", self.metadata().keys)
        keys = said.get("keys") if isinstance(said, dict) else None
        if not isinstance(keys, list):
            raise ProviderError(say("provider.no_keys"))
        found = tuple(one for one in keys if isinstance(one, dict))
        self._keys = (now, found)
        return found

    def _json(
        self, method: str, to: str, form: Mapping[str, str] | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> Any:  # fmt: skip
        """What the provider answers. Raises ProviderError."""
        if not self._turn.acquire(timeout=PATIENCE):
            raise ProviderError(say("provider.busy", name=self.settings.name))
        try:
            return self._answer(method, to, form, headers or {})
        finally:
            self._turn.release()

    def _answer(
        self, method: str, to: str, form: Mapping[str, str] | None, headers: Mapping[str, str]
    ) -> Any:
        """The JSON that is answered. Through the machine's own proxy where one is set, but never in clear."""
        import httpx

        plain = {"accept": "application/json", "accept-encoding": "identity", **headers}
        out = urlsplit(to).scheme == "https"
        client = httpx.Client(timeout=PATIENCE, follow_redirects=False, verify=self._trusted(), trust_env=out)
        until, at_last = time.monotonic() + ALL, threading.Timer(ALL, client.close)
        at_last.daemon = True
        at_last.start()
        try:
            with client, client.stream(method, to, data=form, headers=plain) as answer:
                _must_be_good(answer.status_code, method, self.settings.name)
                data = _read(answer.iter_raw(), self.settings.name)
        except (httpx.HTTPError, httpx.InvalidURL, httpx.StreamError, OSError, RuntimeError) as bad:
            name, why = self.settings.name, type(bad).__name__
            if isinstance(bad, httpx.TimeoutException) or time.monotonic() >= until:
                raise ProviderError(say("provider.too_slow", name=name)) from bad
            raise ProviderError(say("provider.unreachable", name=name, why=why)) from bad
        finally:
            at_last.cancel()
        try:
            return json.loads(data)
        except (ValueError, RecursionError):
            raise ProviderError(say("provider.no_json", name=self.settings.name)) from None

    def _trusted(self) -> ssl.SSLContext:
        """Whose certificates are believed: the plant's own authorities, where it names them."""
        if self._context is None:
            import httpx

            named = self.settings.certificates
            self._context = ssl.create_default_context(cafile=named) if named else httpx.create_ssl_context()
        return self._context


def _must_be_good(status: int, method: str, name: str) -> None:
    if 300 <= status < 400:
        raise ProviderError(say("provider.elsewhere", name=name))
    if status in (400, 401, 403) and method == "POST":
        raise ProviderError(say("provider.code_refused", name=name, status=status))
    if status != 200:
        raise ProviderError(say("provider.status", name=name, status=status))


def _read(pieces: Any, name: str) -> bytes:
    """The answer's bytes, no more than a bound."""
    data = b""
    for piece in pieces:
        data += piece
        if len(data) > LARGEST:
            raise ProviderError(say("provider.too_large", name=name, most=LARGEST // 1024))
    return data


def opened(file: str, environment: Mapping[str, str] = os.environ) -> Provider:
    """The provider that a file of the plant names. Raises InputError with every problem."""
    path = Path(file).expanduser()
    settings = read_settings(_text_of(path, "--provider"))
    secret = environment.get(SECRET, "")
    if settings.secret_file:
        secret = _text_of(_beside(path, settings.secret_file), "secret_file").strip()
        if not secret:
            raise InputError(Problem("secret_file", settings.secret_file, say("provider.empty_secret")))
    if settings.certificates:
        settings = replace(settings, certificates=str(_beside(path, settings.certificates)))
        _must_be_certificates(settings.certificates)
    seals = _beside(path, settings.seals) if settings.seals else path.with_name(path.name + ".seals")
    return Provider(settings, secret, seal_key(seals))


def seal_key(path: Path) -> bytes:
    """The key that seals other keys, made where there is none, its owner's alone. Raises InputError."""
    try:
        with suppress(FileExistsError):
            handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
            with os.fdopen(handle, "wb") as made:
                made.write(base64.b64encode(os.urandom(KEY)) + b"\n")
                made.flush()
                os.fsync(made.fileno())
        key = base64.b64decode(_once_written(path), validate=True)
    except OSError as bad:
        why = (bad.strerror or type(bad).__name__).lower()
        raise InputError(Problem("seals", str(path), say("provider.cannot_read", why=why))) from None
    except ValueError:
        key = b""
    if len(key) != KEY:
        raise InputError(Problem("seals", str(path), say("provider.not_a_key", bytes=KEY)))
    return key


def _once_written(path: Path) -> bytes:
    """What is in a file, once another process that just made it has written it too."""
    until = time.monotonic() + PATIENCE
    while not (data := path.read_bytes().strip()) and time.monotonic() < until:
        time.sleep(0.05)
    return data


def _beside(path: Path, named: str) -> Path:
    """A file as another names it: from the folder of that one."""
    return path.parent / Path(named).expanduser()


def _must_be_certificates(file: str) -> None:
    try:
        ssl.create_default_context(cafile=file)
    except (OSError, ValueError):
        raise InputError(Problem("certificates", file, say("provider.no_certificates"))) from None


def _text_of(path: Path, field: str) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except OSError as bad:
        why = (bad.strerror or type(bad).__name__).lower()
        raise InputError(Problem(field, str(path), say("provider.cannot_read", why=why))) from None
    except UnicodeDecodeError:
        raise InputError(Problem(field, str(path), say("provider.not_text"))) from None
