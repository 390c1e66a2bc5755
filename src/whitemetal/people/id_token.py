"""The provider's word about a person: an ID token, believed only when every check holds.

OpenID Connect Core 1.0, section 3.1.3.7, point by point; the signature is checked although the token comes
straight from the provider. Nothing is asked and no clock is read here.
"""

from __future__ import annotations

import hmac
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from whitemetal.errors import ProviderError
from whitemetal.people.errand import SKEW
from whitemetal.people.provider import Metadata, Settings
from whitemetal.words import say

if TYPE_CHECKING:
    from jwt import PyJWK

LARGEST = 32 * 1024
"""Letters of an ID token that are read. Our own."""

LONGEST_SUBJECT = 255
"""Letters of a subject at most. From memory of OpenID Connect Core 1.0, section 2, sub."""

LEAST_RSA = 2048
"""Bits of an RSA key at least: RFC 7518, section 3.3."""

KINDS = {"RS": "RSA", "PS": "RSA", "ES": "EC", "Ed": "OKP"}
"""Kind of key by the first letters of the algorithm: RFC 7518, section 6.1, and RFC 8037."""

CURVES = {"ES256": "P-256", "ES384": "P-384", "ES512": "P-521", "EdDSA": "Ed25519"}
"""Curve by algorithm: RFC 7518, section 3.4; of RFC 8037 the one curve that is used here too."""

TYPES = ("jwt",)
"""What the head of an ID token may say it is, where it says anything: RFC 7519, section 5.1."""


BROKEN = (ValueError, TypeError, KeyError, AttributeError, RecursionError)
"""What the library lets through of a token or a key that is none."""


class UnknownKey(ProviderError):
    """The token names a key that is not among those at hand: they may have been changed."""


@dataclass(frozen=True)
class Wanted:
    """What the token must say. nonce: of the errand. begun: when the person was sent to the provider.
    fresh: whether they must have signed in there since."""

    nonce: str
    begun: int
    fresh: bool = False


@dataclass(frozen=True)
class Proven:
    """Who the provider says it is. name: as they call themselves there, "" where it does not say. groups:
    what the plant's claim says, () without one. signed_in: when they signed in there, seconds since 1970, 0
    where it was not asked."""

    issuer: str
    subject: str
    name: str = ""
    groups: tuple[str, ...] = ()
    signed_in: int = 0


def proven(
    token: object, keys: Sequence[Mapping[str, Any]], settings: Settings, metadata: Metadata, wanted: Wanted,
    now: int,
) -> Proven:  # fmt: skip
    """Who an ID token is about. keys: the provider's, as JWK. now: seconds since 1970. Raises ProviderError,
    UnknownKey."""
    import jwt

    if not isinstance(token, str) or not token or len(token) > LARGEST:
        raise ProviderError(say("provider.no_token"))
    try:
        algorithm, kid = _head(jwt.get_unverified_header(token), metadata)
        key = _key(keys, algorithm, kid)
        said = jwt.decode(
            token, key, algorithms=[algorithm], audience=settings.client_id, issuer=settings.issuer,
            options={
                "require": ["iss", "sub", "aud", "exp", "iat"], "verify_exp": False, "verify_iat": False,
                "verify_nbf": False,
            },
        )  # fmt: skip
    except jwt.InvalidIssuerError:
        raise ProviderError(say("provider.token_issuer")) from None
    except jwt.InvalidAudienceError:
        raise ProviderError(say("provider.token_audience")) from None
    except jwt.MissingRequiredClaimError as bad:
        raise ProviderError(say("provider.token_lacks", what=bad.claim)) from None
    except (jwt.PyJWTError, *BROKEN):
        raise ProviderError(say("provider.token_signature")) from None
    _audience(said, settings)
    _times(said, wanted, now)
    if not hmac.compare_digest(_text(said, "nonce").encode(), wanted.nonce.encode()):
        raise ProviderError(say("provider.token_nonce"))
    if settings.strength and _text(said, "acr") not in settings.strength:
        raise ProviderError(say("provider.token_strength"))
    return _person(said, settings, wanted)


def _head(head: Mapping[str, Any], metadata: Metadata) -> tuple[str, str]:
    """Algorithm and name of the key. Raises ProviderError on an algorithm that is not believed."""
    algorithm, kid, kind = head.get("alg"), head.get("kid", ""), head.get("typ", "JWT")
    if algorithm not in metadata.algorithms:
        raise ProviderError(say("provider.token_algorithm", known=", ".join(metadata.algorithms)))
    if not isinstance(kind, str) or kind.lower().removeprefix("application/") not in TYPES:
        raise ProviderError(say("provider.token_type"))
    return str(algorithm), kid if isinstance(kid, str) else ""


def _key(keys: Sequence[Mapping[str, Any]], algorithm: str, kid: str) -> PyJWK:
    """The one key that fits. Raises UnknownKey where none does, or more than one where none is named."""
    import jwt

    fit = [one for one in keys if _fits(one, algorithm) and (not kid or one.get("kid") == kid)]
    if len(fit) != 1:
        raise UnknownKey(say("provider.token_key"))
    key = jwt.PyJWK(dict(fit[0]), algorithm=algorithm)
    if fit[0]["kty"] == "RSA" and key.key.key_size < LEAST_RSA:
        raise ProviderError(say("provider.token_weak", least=LEAST_RSA))
    return key


def _fits(key: Mapping[str, Any], algorithm: str) -> bool:
    """Whether a key is meant for this algorithm: RFC 7517, section 4."""
    return (
        key.get("kty") == KINDS[algorithm[:2]]
        and key.get("use", "sig") == "sig"
        and key.get("alg", algorithm) == algorithm
        and key.get("crv", "") == CURVES.get(algorithm, key.get("crv", ""))
    )


def _audience(said: Mapping[str, Any], settings: Settings) -> None:
    """This program alone: points 3 to 5. No other audience is trusted."""
    audience = said["aud"]
    if audience not in (settings.client_id, [settings.client_id]):
        raise ProviderError(say("provider.token_audience"))
    if said.get("azp", settings.client_id) != settings.client_id:
        raise ProviderError(say("provider.token_party"))


def _times(said: Mapping[str, Any], wanted: Wanted, now: int) -> None:
    """Points 9, 10 and 13: not over, made for this errand, and signed in since where that is asked."""
    ends, made = _moment(said, "exp"), _moment(said, "iat")
    if now >= ends + SKEW:
        raise ProviderError(say("provider.token_over"))
    if not wanted.begun - SKEW <= made <= now + SKEW or ("nbf" in said and _moment(said, "nbf") > now + SKEW):
        raise ProviderError(say("provider.token_time"))
    if wanted.fresh and not wanted.begun - SKEW <= _moment(said, "auth_time") <= now + SKEW:
        raise ProviderError(say("provider.token_not_fresh"))


def _moment(said: Mapping[str, Any], name: str) -> float:
    value = said.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 2**53:
        raise ProviderError(say("provider.token_lacks", what=name))
    return value


def _person(said: Mapping[str, Any], settings: Settings, wanted: Wanted) -> Proven:
    subject = said["sub"]
    if not isinstance(subject, str) or not subject.isascii() or not 0 < len(subject) <= LONGEST_SUBJECT:
        raise ProviderError(say("provider.token_lacks", what="sub"))
    named = next((text for name in ("name", "preferred_username") if (text := _text(said, name))), "")
    groups = said.get(settings.claim, []) if settings.claim else []
    told = groups if isinstance(groups, list) else [groups]
    when = int(_moment(said, "auth_time")) if wanted.fresh else 0
    return Proven(settings.issuer, subject, named, tuple(one for one in told if isinstance(one, str)), when)


def _text(said: Mapping[str, Any], name: str) -> str:
    value = said.get(name)
    return value if isinstance(value, str) and value.isprintable() else ""
