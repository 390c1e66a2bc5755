"""A plant's own OpenID provider: what the plant says of it, and what it says of itself.

Nothing is asked here. What the plant says is a TOML file; what the provider says is its discovery document
(OpenID Connect Discovery 1.0, section 3), taken only where it fits the plant's word.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal
from urllib.parse import urlsplit

from whitemetal.errors import InputError, Problem, ProviderError
from whitemetal.people.roles import ROLES, Role, roles_of
from whitemetal.words import say

FORMAT = "whitemetal.provider/1"
WELL_KNOWN = "/.well-known/openid-configuration"
BACK = "/sign-in/back"
"""Where the provider sends people back to: registered there as the address, followed by this."""

LONGEST = 2000
"""Letters of an address that are taken. Our own."""

LOOPBACK = ("127.0.0.1", "::1", "localhost")
Newcomers = Literal["code", "look"]

ALGORITHMS = (
    "RS256", "RS384", "RS512", "PS256", "PS384", "PS512", "ES256", "ES384", "ES512", "EdDSA",
)  # fmt: skip
"""Signatures that are believed, as RFC 7518, section 3.1, and RFC 8037 name them: made with a private key
that only the provider has. Neither "none" nor the HS ones, whose key is a secret of two."""

DEFAULT_ALGORITHM = "RS256"
"""What an ID token is signed with where nobody said: OpenID Connect Core 1.0, section 3.1.3.7, point 7."""


@dataclass(frozen=True)
class Settings:
    """What the plant says. name: of the provider, on the button. address: where browsers reach this program.
    newcomers: whether somebody new needs a code, or comes in to look. strength: what the provider must say of
    how somebody signed in there, one of them; () for anything. claim: the word of the ID token that says a
    person's groups, "" where roles are given here; roles: by group."""

    name: str
    issuer: str
    client_id: str
    address: str
    newcomers: Newcomers = "code"
    scopes: tuple[str, ...] = ("openid", "profile")
    strength: tuple[str, ...] = ()
    claim: str = ""
    roles: Mapping[str, frozenset[Role]] = field(default_factory=dict)
    secret_file: str = ""
    certificates: str = ""
    seals: str = ""

    @property
    def back(self) -> str:
        """Where the provider sends people back to."""
        return self.address.rstrip("/") + BACK

    @property
    def discovery(self) -> str:
        """Where the provider's discovery document is: Discovery 1.0, section 4."""
        return self.issuer.rstrip("/") + WELL_KNOWN


NEEDED = ("name", "issuer", "client_id", "address")
LISTS = ("scopes", "strength")
TEXTS = (*NEEDED, "newcomers", "secret_file", "certificates", "seals")


def read_settings(text: str) -> Settings:
    """What the plant says, from a TOML file. Raises InputError with every problem found."""
    try:
        said = tomllib.loads(text)
    except tomllib.TOMLDecodeError as bad:
        raise InputError(Problem("provider", "", say("provider.toml", why=bad))) from None
    problems = [*_wrong_words(said), *_wrong_addresses(said), *_wrong_roles(said.get("roles", {}))]
    if problems:
        raise InputError(*problems)
    roles = said.get("roles", {})
    return Settings(
        **{name: said[name].strip() for name in TEXTS if name in said},
        scopes=tuple(dict.fromkeys(("openid", *said.get("scopes", ("profile",))))),
        strength=tuple(said.get("strength", ())),
        claim=roles.get("claim", ""),
        roles={group: roles_of(words) for group, words in roles.get("of", {}).items()},
    )


def _wrong_words(said: Mapping[str, Any]) -> list[Problem]:
    known = {*TEXTS, *LISTS, "format", "roles"}
    found = [Problem(name, "", say("provider.unknown_word")) for name in said if name not in known]
    if said.get("format") != FORMAT:
        found.append(Problem("format", _shown(said.get("format")), FORMAT))
    for name in TEXTS:
        text = said.get(name, "" if name in NEEDED else "-")
        if not isinstance(text, str) or not text.strip() or not text.isprintable():
            found.append(Problem(name, _shown(text), say("provider.a_text")))
    if said.get("newcomers", "code") not in ("code", "look"):
        found.append(Problem("newcomers", _shown(said["newcomers"]), "code, look"))
    for name in LISTS:
        words = said.get(name, [])
        if not isinstance(words, list) or not all(_is_word(one) for one in words):
            found.append(Problem(name, _shown(words), say("provider.words")))
    return found


def _is_word(text: Any) -> bool:
    return isinstance(text, str) and text.isprintable() and text.split() == [text]


def _wrong_addresses(said: Mapping[str, Any]) -> list[Problem]:
    return [
        Problem(name, _shown(said[name]), say("provider.an_address"))
        for name in ("issuer", "address")
        if isinstance(said.get(name), str)
        and said[name].strip()
        and not is_address(said[name].strip(), bare=True)
    ]


def _wrong_roles(said: Any) -> list[Problem]:
    if not isinstance(said, dict) or not set(said) <= {"claim", "of"}:
        return [Problem("roles", "", say("provider.roles"))]
    if not said:
        return []
    claim, of = said.get("claim"), said.get("of")
    found = []
    if not isinstance(claim, str) or not claim.strip():
        found.append(Problem("roles.claim", _shown(claim), say("provider.a_text")))
    if not isinstance(of, dict) or not of:
        return [*found, Problem("roles.of", "", say("provider.roles"))]
    for group, words in of.items():
        named = words.split() if isinstance(words, str) else []
        if not named or not set(named) <= set(ROLES) - {"keeper"}:
            found.append(Problem(f"roles.of.{group}", _shown(words), say("provider.roles_given")))
    return found


def _shown(value: Any) -> str:
    return "" if value is None else str(value)[:120]


def is_address(text: str, *, bare: bool = False, near: bool = True) -> bool:
    """Whether this is an address that may be asked: https, or http on this machine where ``near`` allows it.
    bare: without a question mark in it."""
    if len(text) > LONGEST or not text.isascii() or not text.isprintable() or " " in text:
        return False
    try:
        parts = urlsplit(text)
        host, _ = parts.hostname, parts.port
    except ValueError:
        return False
    if not host or parts.username is not None or "#" in text or "\\" in text or (bare and "?" in text):
        return False
    return parts.scheme == "https" or (parts.scheme == "http" and near and host in LOOPBACK)


@dataclass(frozen=True)
class Metadata:
    """What the provider says of itself. algorithms: of those believed, the ones it signs with. says_issuer:
    whether it names itself when it sends people back (RFC 9207). by_form: whether it takes the secret in the
    form only. end: where one signs out of it, "" where it does not say."""

    authorization: str
    token: str
    keys: str
    algorithms: tuple[str, ...]
    says_issuer: bool
    by_form: bool
    end: str = ""


def read_metadata(said: Any, settings: Settings) -> Metadata:
    """The discovery document, where it is this provider's and offers what is needed. Raises ProviderError."""
    if not isinstance(said, dict):
        raise ProviderError(say("provider.no_document"))
    if said.get("issuer") != settings.issuer:
        raise ProviderError(say("provider.other_issuer"))
    near = urlsplit(settings.issuer).scheme == "http"
    _must_offer(said, "response_types_supported", "code")
    _must_offer(said, "code_challenge_methods_supported", "S256")
    offered = _words(said, "id_token_signing_alg_values_supported") or [DEFAULT_ALGORITHM]
    algorithms = tuple(one for one in ALGORITHMS if one in offered)
    if not algorithms:
        raise ProviderError(say("provider.no_algorithm", known=", ".join(ALGORITHMS)))
    methods = _words(said, "token_endpoint_auth_methods_supported") or ["client_secret_basic"]
    end = said.get("end_session_endpoint", "")
    return Metadata(
        authorization=_place(said, "authorization_endpoint", near),
        token=_place(said, "token_endpoint", near),
        keys=_place(said, "jwks_uri", near),
        algorithms=algorithms,
        says_issuer=said.get("authorization_response_iss_parameter_supported") is True,
        by_form="client_secret_basic" not in methods and "client_secret_post" in methods,
        end=end if isinstance(end, str) and is_address(end, near=near) else "",
    )


def _place(said: Mapping[str, Any], name: str, near: bool) -> str:
    found = said.get(name)
    if not isinstance(found, str) or not is_address(found, near=near):
        raise ProviderError(say("provider.no_place", name=name))
    return found


def _words(said: Mapping[str, Any], name: str) -> list[str]:
    found = said.get(name)
    return [one for one in found if isinstance(one, str)] if isinstance(found, list) else []


def _must_offer(said: Mapping[str, Any], name: str, wanted: str) -> None:
    """Raises ProviderError where the provider says what it offers, and not this."""
    if name in said and wanted not in _words(said, name):
        raise ProviderError(say("provider.does_not_offer", what=wanted, name=name))
