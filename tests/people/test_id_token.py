"""ID tokens that must be believed and those that must not, by the points of OpenID Connect Core 1.0, section
3.1.3.7. Tokens are made by PyJWT's encoder or letter by letter; what is expected comes from the clauses. The points
of that section were looked up in a reprint; other clauses named here are from memory."""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import jwt
import pytest
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, rsa

from tests.people.plain_provider import CLIENT, SUBJECT, Claims, PlainProvider, whole
from whitemetal.errors import ProviderError
from whitemetal.people.id_token import UnknownKey, Wanted, proven
from whitemetal.people.provider import ALGORITHMS, Metadata, Settings
from whitemetal.words import say

ISSUER = "https://id.tarnmill.example/realm"
SETTINGS = Settings("Tarn Mill", ISSUER, CLIENT, "https://bearings.tarnmill.example", claim="groups")
NOW = 1_790_000_000
WANTED = Wanted("n-0S6_WzA2Mj", NOW - 20)
PROVIDER = PlainProvider()
METADATA = Metadata("", "", "", ("RS256", "ES256", "EdDSA"), says_issuer=False, by_form=False)
GOOD: Claims = {
    "iss": ISSUER, "sub": SUBJECT, "aud": CLIENT, "exp": NOW + 300, "iat": NOW - 5, "nonce": WANTED.nonce,
    "name": "Ada Invented", "groups": ["workshop", 7, "engineers"],
}  # fmt: skip


def seen(token: object, *, wanted: Wanted = WANTED, keys: Any = None, now: int = NOW) -> Any:
    return proven(token, keys or PROVIDER.jwks()["keys"], SETTINGS, METADATA, wanted, now)


def signed(claims: Claims, **head: Any) -> str:
    """head: words of the token's head; None leaves one out."""
    full = {"kid": "key 0", **head}
    return jwt.encode(claims, PROVIDER.key, "RS256", {k: v for k, v in full.items() if v is not None})


def by_hand(head: Claims, claims: object, signature: Callable[[bytes], bytes]) -> str:
    """A token letter by letter: RFC 7515, section 3.1."""
    said = b".".join(
        base64.urlsafe_b64encode(json.dumps(one).encode()).rstrip(b"=") for one in (head, claims)
    )
    return (said + b"." + base64.urlsafe_b64encode(signature(said)).rstrip(b"=")).decode()


def pem() -> bytes:
    return PROVIDER.key.public_key().public_bytes(
        serialization.Encoding.PEM, serialization.PublicFormat.SubjectPublicKeyInfo
    )


def test_a_good_token_is_believed() -> None:
    found = seen(signed(GOOD))
    assert (found.issuer, found.subject, found.name) == (ISSUER, SUBJECT, "Ada Invented")
    assert found.groups == ("workshop", "engineers")
    assert found.signed_in == 0
    assert seen(signed({**GOOD, "aud": [CLIENT]})).subject == SUBJECT
    assert seen(signed({**GOOD, "azp": CLIENT})).subject == SUBJECT
    assert seen(signed(GOOD, kid=None)).subject == SUBJECT, "one key alone need not be named"
    assert seen(signed({**GOOD, "groups": "workshop"})).groups == ("workshop",)


HOSTILE: dict[str, tuple[Claims, str]] = {
    "another issuer (2)": ({"iss": "https://id.elsewhere.example"}, "token_issuer"),
    "the issuer with a slash (2: exactly)": ({"iss": ISSUER + "/"}, "token_issuer"),
    "another audience (3)": ({"aud": "another-program"}, "token_audience"),
    "one more audience that is not trusted (3)": ({"aud": [CLIENT, "another-program"]}, "token_audience"),
    "no audience at all (3)": ({"aud": []}, "token_lacks"),
    "given to another party (5)": ({"azp": "another-program"}, "token_party"),
    "over for more than a minute (9)": ({"exp": NOW - 61}, "token_over"),
    "made before the errand (10)": ({"iat": WANTED.begun - 61}, "token_time"),
    "made in times to come (10)": ({"iat": NOW + 61}, "token_time"),
    "not good yet (RFC 7519, 4.1.5)": ({"nbf": NOW + 61}, "token_time"),
    "another nonce (11)": ({"nonce": "n-0S6_WzA2Mk"}, "token_nonce"),
    "no nonce (11)": ({"nonce": None}, "token_nonce"),
    "a nonce that is no text (11)": ({"nonce": 7}, "token_nonce"),
    "half a character for a nonce": ({"nonce": "\ud800"}, "token_nonce"),
    "a subject that is too long (2, sub)": ({"sub": "s" * 256}, "token_lacks"),
    "a subject of other letters (2, sub)": ({"sub": "søren"}, "token_lacks"),
    "an empty subject": ({"sub": ""}, "token_lacks"),
    "a moment in words": ({"exp": "tomorrow"}, "token_lacks"),
    "a moment that is yes": ({"iat": True}, "token_lacks"),
    "a moment without an end": ({"exp": 1e400}, "token_lacks"),
}


@pytest.mark.parametrize(("changed", "message"), HOSTILE.values(), ids=HOSTILE)
def test_a_token_that_says_something_wrong_is_not_believed(changed: Claims, message: str) -> None:
    claims = {name: value for name, value in {**GOOD, **changed}.items() if value is not None}
    with pytest.raises(ProviderError) as found:
        seen(signed(claims))
    what = next((name for name in ("sub", "exp", "iat", "aud") if name in changed), "")
    assert str(found.value) == say(f"provider.{message}", what=what)


@pytest.mark.parametrize("name", ["iss", "sub", "aud", "exp", "iat"])
def test_a_token_that_lacks_what_it_must_say_is_not_believed(name: str) -> None:
    """OpenID Connect Core 1.0, section 2: REQUIRED."""
    claims = {word: value for word, value in GOOD.items() if word != name}
    with pytest.raises(ProviderError):
        seen(signed(claims))


def test_a_minute_between_two_clocks_is_borne() -> None:
    for changed in ({"exp": NOW - 59}, {"iat": NOW + 60}, {"iat": WANTED.begun - 60}):
        assert seen(signed({**GOOD, **changed})).subject == SUBJECT


def unsigned(claims: Claims) -> str:
    return by_hand({"alg": "none", "typ": "JWT"}, claims, lambda said: b"")


def with_the_public_key_as_secret(claims: Claims) -> str:
    """The public key taken for a secret of two: RFC 8725, section 2.1."""
    head = {"alg": "HS256", "typ": "JWT", "kid": "key 0"}
    return by_hand(head, claims, lambda said: hmac.new(pem(), said, hashlib.sha256).digest())


def by_a_stranger(claims: Claims) -> str:
    other = rsa.generate_private_key(public_exponent=65537, key_size=2048)
    return jwt.encode(claims, other, "RS256", {"kid": "key 0"})


def with_its_own_key(claims: Claims) -> str:
    """The head brings the key along: RFC 7515, section 4.1.3; only the provider's own are believed."""
    other = rsa.generate_private_key(public_exponent=65537, key_size=2048)
    numbers = other.public_key().public_numbers()
    brought = {"kty": "RSA", "n": whole(numbers.n), "e": whole(numbers.e)}
    return jwt.encode(claims, other, "RS256", {"kid": "key 0", "jwk": brought})


def changed_after(claims: Claims) -> str:
    head, _, tail = signed(claims).split(".")
    body = base64.urlsafe_b64encode(json.dumps({**claims, "sub": "somebody-else"}).encode()).rstrip(b"=")
    return f"{head}.{body.decode()}.{tail}"


FORGED: dict[str, tuple[Callable[[Claims], object], str]] = {
    "alg none (7)": (unsigned, "token_algorithm"),
    "alg none in capitals": (lambda claims: by_hand({"alg": "None"}, claims, lambda said: b""), "token_algorithm"),
    "HS256 with the public key": (with_the_public_key_as_secret, "token_algorithm"),
    "an algorithm the provider does not use": (
        lambda claims: jwt.encode(claims, PROVIDER.key, "RS512", {"kid": "key 0"}), "token_algorithm",
    ),
    "an algorithm that is no text": (
        lambda claims: by_hand({"alg": ["RS256"]}, claims, lambda said: b"x"), "token_algorithm",
    ),
    "signed by a stranger (6)": (by_a_stranger, "token_signature"),
    "with a key of its own (6)": (with_its_own_key, "token_signature"),
    "changed after signing": (changed_after, "token_signature"),
    "an access token (RFC 9068, 2.1)": (lambda claims: signed(claims, typ="at+jwt"), "token_type"),
    "a sign-out (Back-Channel Logout 1.0, 2.4)": (lambda claims: signed(claims, typ="logout+jwt"), "token_type"),
    "what must be understood and is not (RFC 7515, 4.1.11)": (
        lambda claims: signed(claims, crit=["sea"], sea="blue"), "token_signature",
    ),
    "no token": (lambda claims: None, "no_token"),
    "a number": (lambda claims: 7, "no_token"),
    "nothing": (lambda claims: "", "no_token"),
    "not three parts": (lambda claims: "a.b", "token_signature"),
    "other letters": (lambda claims: "ä.ö.ü", "token_signature"),
    "huge": (lambda claims: signed({**claims, "more": "x" * 40_000}), "no_token"),
    "no object": (lambda claims: by_hand({"alg": "RS256", "kid": "key 0"}, [], lambda said: b"x"), "token_signature"),
}  # fmt: skip


@pytest.mark.parametrize(("make", "message"), FORGED.values(), ids=FORGED)
def test_a_token_not_signed_by_the_provider_is_not_believed(
    make: Callable[[Claims], object], message: str
) -> None:
    with pytest.raises(ProviderError) as found:
        seen(make(GOOD))
    assert str(found.value) == say(f"provider.{message}", known="RS256, ES256, EdDSA")


def test_an_unknown_key_is_told_apart_so_that_keys_are_fetched_again() -> None:
    for token in (signed(GOOD, kid="key 9"),):
        with pytest.raises(UnknownKey):
            seen(token)
    two = [*PROVIDER.jwks()["keys"], {**PROVIDER.jwks()["keys"][0], "kid": "key 1"}]
    with pytest.raises(UnknownKey):
        seen(signed(GOOD, kid=None), keys=two)
    for wrong in ({"use": "enc"}, {"alg": "RS512"}, {"kty": "oct", "k": "AAAA"}):
        with pytest.raises(UnknownKey):
            seen(signed(GOOD), keys=[{**PROVIDER.jwks()["keys"][0], **wrong}])


def test_a_weak_or_broken_key_is_not_believed() -> None:
    """RFC 7518, section 3.3: a key of 2048 bits or larger."""
    weak = rsa.generate_private_key(public_exponent=65537, key_size=1024)
    numbers = weak.public_key().public_numbers()
    key = {"kty": "RSA", "kid": "w", "n": whole(numbers.n), "e": whole(numbers.e)}
    token = jwt.encode(GOOD, PROVIDER.key, "RS256", {"kid": "w"})
    with pytest.raises(ProviderError, match="2048 bits"):
        seen(token, keys=[key])
    for broken in ({"kty": "RSA", "kid": "w"}, {"kty": "RSA", "kid": "w", "n": "!", "e": 7}):
        with pytest.raises(ProviderError):
            seen(token, keys=[broken])


def test_other_kinds_of_keys() -> None:
    """ES256 and EdDSA; a curve of another algorithm is no key for it (RFC 7518, section 3.4)."""
    curve, edwards = ec.generate_private_key(ec.SECP256R1()), ed25519.Ed25519PrivateKey.generate()
    numbers = curve.public_key().public_numbers()
    key = {"kty": "EC", "crv": "P-256", "kid": "c", "x": whole(numbers.x), "y": whole(numbers.y)}
    text = base64.urlsafe_b64encode(edwards.public_key().public_bytes_raw()).rstrip(b"=").decode()
    other = {"kty": "OKP", "crv": "Ed25519", "kid": "d", "x": text}
    assert seen(jwt.encode(GOOD, curve, "ES256", {"kid": "c"}), keys=[key, other]).subject == SUBJECT
    assert seen(jwt.encode(GOOD, edwards, "EdDSA", {"kid": "d"}), keys=[key, other]).subject == SUBJECT
    with pytest.raises(UnknownKey):
        seen(jwt.encode(GOOD, curve, "ES256", {"kid": "c"}), keys=[{**key, "crv": "P-384"}])


def test_no_secret_of_two_is_ever_believed() -> None:
    assert not [one for one in ALGORITHMS if one.startswith("HS") or one.lower() == "none"]


@pytest.mark.parametrize(
    ("said", "good"),
    [("two", True), ("three", True), ("one", False), (None, False), (["two"], False), ("", False)],
)
def test_how_somebody_signed_in_there_is_looked_at_where_the_plant_asks(said: Any, good: bool) -> None:
    """Point 12, acr: a voluntary claim, so the answer is checked and not only asked for (section 5.5.1.1)."""
    asks = replace(SETTINGS, strength=("two", "three"))
    token = signed({**GOOD, "acr": said} if said is not None else GOOD)
    keys = PROVIDER.jwks()["keys"]
    assert proven(token, keys, SETTINGS, METADATA, WANTED, NOW).subject == SUBJECT
    if good:
        assert proven(token, keys, asks, METADATA, WANTED, NOW).subject == SUBJECT
    else:
        with pytest.raises(ProviderError, match="not in the way this plant asks for"):
            proven(token, keys, asks, METADATA, WANTED, NOW)


@pytest.mark.parametrize(
    ("said", "good"),
    [(NOW - 10, True), (NOW - 80, True), (NOW - 81, False), (NOW + 61, False), (None, False), ("now", False)],
)
def test_a_confirmation_needs_a_fresh_sign_in(said: Any, good: bool) -> None:
    """Point 13 and section 3.1.2.1, max_age: auth_time is there and not before the errand (a minute borne)."""
    claims = {**GOOD, "auth_time": said} if said is not None else GOOD
    fresh = replace(WANTED, fresh=True)
    assert seen(signed(claims)).subject == SUBJECT, "to sign in it is not asked"
    if good:
        assert seen(signed(claims), wanted=fresh).signed_in == said
    else:
        with pytest.raises(ProviderError):
            seen(signed(claims), wanted=fresh)
