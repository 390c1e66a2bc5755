"""An OpenID provider made by hand of the standard library, PyJWT's encoder and nothing of ours: it does what a
provider should, and what a hostile one would. Invented."""

from __future__ import annotations

import base64
import hashlib
import json
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, parse_qsl, urlencode, urlsplit

import jwt
from cryptography.hazmat.primitives.asymmetric import rsa

CLIENT, SECRET = "whitemetal-test", "a secret of two: + / % ä"
SUBJECT = "248289761001"
_KEYS = [rsa.generate_private_key(public_exponent=65537, key_size=2048) for _ in range(2)]
"""Made once: a key takes a while."""

Claims = dict[str, Any]


class PlainProvider:
    """claims: changed by a test before the token is made. head: of the token. kid: of the key now in use.
    answers: by path, what is sent instead. asked: every request, path and form. codes: what was asked for."""

    def __init__(self) -> None:
        self.at = ""
        self.number = 0
        self.claims: Callable[[Claims], Claims] = lambda claims: claims
        self.sign: Callable[[Claims], str] = self.signed
        self.document: Claims = {}
        self.answers: dict[str, Callable[[BaseHTTPRequestHandler], None]] = {}
        self.asked: list[tuple[str, dict[str, str]]] = []
        self.codes: dict[str, dict[str, str]] = {}
        self.subject, self.name = SUBJECT, "Ada Invented"
        self.signed_in = 0
        self.names_itself = False
        self.clock: Callable[[], float] = time.time

    @property
    def key(self) -> rsa.RSAPrivateKey:
        return _KEYS[self.number]

    def signed(self, claims: Claims) -> str:
        return jwt.encode(claims, self.key, algorithm="RS256", headers={"kid": f"key {self.number}"})

    def jwks(self) -> Claims:
        numbers = self.key.public_key().public_numbers()
        key = {"kty": "RSA", "use": "sig", "alg": "RS256", "kid": f"key {self.number}"}
        return {"keys": [{**key, "n": whole(numbers.n), "e": whole(numbers.e)}]}

    def discovery(self) -> Claims:
        """OpenID Connect Discovery 1.0, section 3."""
        made = {
            "issuer": self.at, "authorization_endpoint": f"{self.at}/authorize",
            "token_endpoint": f"{self.at}/token", "jwks_uri": f"{self.at}/keys",
            "response_types_supported": ["code"], "subject_types_supported": ["public"],
            "id_token_signing_alg_values_supported": ["RS256"],
            "code_challenge_methods_supported": ["S256"],
            "authorization_response_iss_parameter_supported": self.names_itself,
        }  # fmt: skip
        return {name: value for name, value in {**made, **self.document}.items() if value is not None}

    def agree(self, address: str) -> dict[str, str]:
        """A person signs in and agrees: what is sent back in the address, as the provider would."""
        asked = dict(parse_qsl(urlsplit(address).query))
        assert asked["response_type"] == "code" and asked["client_id"] == CLIENT
        code = f"code-{len(self.codes)}-{base64.urlsafe_b64encode(hashlib.sha256(address.encode()).digest()).decode()}"
        self.codes[code] = asked
        back = {"code": code, "state": asked["state"]}
        return {**back, "iss": self.at} if self.names_itself else back

    def token(self, form: dict[str, str], authorization: str) -> tuple[int, Claims]:
        """RFC 6749, section 4.1.3, and RFC 7636, section 4.6: the code once, for its client and verifier."""
        asked = self.codes.pop(form.get("code", ""), None)
        made = base64.urlsafe_b64encode(hashlib.sha256(form["code_verifier"].encode()).digest())
        if asked is None or form["redirect_uri"] != asked["redirect_uri"]:
            return 400, {"error": "invalid_grant"}
        if authorization != basic() or made.rstrip(b"=").decode() != asked["code_challenge"]:
            return 401, {"error": "invalid_client"}
        now = int(self.clock())
        claims: Claims = {
            "iss": self.at, "sub": self.subject, "aud": CLIENT, "exp": now + 300, "iat": now,
            "nonce": asked["nonce"], "name": self.name,
        }  # fmt: skip
        if "max_age" in asked or self.signed_in:
            claims["auth_time"] = self.signed_in or now
        token = self.sign(self.claims(claims))
        return 200, {"access_token": "x", "token_type": "Bearer", "id_token": token}


def whole(number: int) -> str:
    """A whole number as RFC 7518, section 2, writes it (Base64urlUInt)."""
    data = number.to_bytes((number.bit_length() + 7) // 8, "big")
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


def basic() -> str:
    """RFC 6749, section 2.3.1: both parts form-encoded, by hand: blank "+", ":" %3A, "+" %2B, "/" %2F, ..."""
    pair = "whitemetal-test:a+secret+of+two%3A+%2B+%2F+%25+%C3%A4"
    return "Basic " + base64.b64encode(pair.encode()).decode()


@contextmanager
def running() -> Iterator[PlainProvider]:
    """A provider on a port of 127.0.0.1."""
    provider = PlainProvider()

    class Handler(BaseHTTPRequestHandler):
        """Answers as the provider says."""

        def do_GET(self) -> None:
            self._said({})

        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers.get("content-length", "0"))).decode()
            self._said({name: values[0] for name, values in parse_qs(body, keep_blank_values=True).items()})

        def _said(self, form: dict[str, str]) -> None:
            path = urlsplit(self.path).path
            provider.asked.append((path, form))
            if path in provider.answers:
                provider.answers[path](self)
            elif path == "/.well-known/openid-configuration":
                self.say(200, provider.discovery())
            elif path == "/keys":
                self.say(200, provider.jwks())
            elif path == "/token":
                self.say(*provider.token(form, self.headers.get("authorization", "")))
            elif path == "/authorize":
                asked = dict(parse_qsl(urlsplit(self.path).query))
                self.send_response(302)
                to = f"{asked['redirect_uri']}?{urlencode(provider.agree(self.path))}"
                self.send_header("location", to)
                self.end_headers()
            else:
                self.say(404, {})

        def say(self, status: int, body: Claims) -> None:
            """Send JSON."""
            data = json.dumps(body).encode()
            self.send_response(status)
            self.send_header("content-type", "application/json")
            self.send_header("content-length", str(len(data)))
            self.end_headers()
            self.wfile.write(data)

        def log_message(self, *said: Any) -> None:
            """Says nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    provider.at = f"http://127.0.0.1:{server.server_address[1]}"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield provider
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)
