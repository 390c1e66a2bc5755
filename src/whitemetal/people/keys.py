"""Keys people sign with: Ed25519 (RFC 8032). The server keeps a private key only sealed with its owner's
password, so that nobody signs in another's name with a copy of the database; of somebody without a password,
who signs in at a provider, sealed with a key that is kept beside the database, not in it."""

from __future__ import annotations

import base64
import binascii
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING

from whitemetal.errors import InputError, Problem
from whitemetal.people import passwords
from whitemetal.words import say

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

RAW = 32
"""Bytes of an Ed25519 key, private or public: RFC 8032, section 5.1.5."""

SALT = 16
"""Bytes of salt for the password: RFC 9106, section 3.1."""

NONCE = 12
"""Bytes of nonce for AES-GCM: NIST SP 800-38D, section 5.2.1.1."""


WEAK = frozenset(
    bytes.fromhex(text)
    for text in (
        "00" * 32,
        "01" + "00" * 31,
        "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
        *(first + "ff" * 30 + "7f" for first in ("ec", "ed", "ee")),
    )
)
"""The points of order 1, 2, 4 and 8 of the curve, without the bit of their sign and also as numbers not
reduced by the prime: from memory, each proved by a test that forges under it."""

BESIDE = "beside:"
"""How a private key begins that is sealed with the key kept beside the database."""


@dataclass(frozen=True)
class KeyPair:
    """public: base64 of the raw public key. sealed: the private key, readable with the password only, or with
    the key kept beside the database."""

    public: str
    sealed: str


def new_pair(password: str) -> KeyPair:
    """A new key, sealed with its owner's password."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    private = Ed25519PrivateKey.generate()
    return KeyPair(public_of(private), _seal(private.private_bytes_raw(), public_of(private), password))


def opened(pair: KeyPair, password: str) -> Ed25519PrivateKey | None:
    """The private key; None when the password does not open it."""
    from cryptography.exceptions import InvalidTag
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    if pair.sealed.startswith(BESIDE):
        return None
    data = base64.b64decode(pair.sealed)
    salt, nonce, closed = data[:SALT], data[SALT : SALT + NONCE], data[SALT + NONCE :]
    try:
        raw = AESGCM(passwords.stretched(password, salt)).decrypt(nonce, closed, pair.public.encode())
    except InvalidTag:
        return None
    return Ed25519PrivateKey.from_private_bytes(raw)


def new_pair_beside(key: bytes) -> KeyPair:
    """A new key, sealed with the one kept beside the database. key: 32 bytes."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    private, nonce = Ed25519PrivateKey.generate(), secrets.token_bytes(NONCE)
    public = public_of(private)
    closed = AESGCM(key).encrypt(nonce, private.private_bytes_raw(), public.encode())
    return KeyPair(public, BESIDE + base64.b64encode(nonce + closed).decode())


def opened_beside(pair: KeyPair, key: bytes) -> Ed25519PrivateKey | None:
    """The private key; None when the key kept beside the database does not open it."""
    from cryptography.exceptions import InvalidTag
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    if not pair.sealed.startswith(BESIDE):
        return None
    data = base64.b64decode(pair.sealed.removeprefix(BESIDE))
    try:
        raw = AESGCM(key).decrypt(data[:NONCE], data[NONCE:], pair.public.encode())
    except InvalidTag:
        return None
    return Ed25519PrivateKey.from_private_bytes(raw)


def sealed_anew(pair: KeyPair, old: str, new: str) -> KeyPair | None:
    """The same key under another password; None when the old one does not open it."""
    private = opened(pair, old)
    if private is None:
        return None
    return KeyPair(pair.public, _seal(private.private_bytes_raw(), pair.public, new))


def public_of(private: Ed25519PrivateKey) -> str:
    """The public key of a private one: base64 of 32 bytes."""
    return base64.b64encode(private.public_key().public_bytes_raw()).decode()


def brought(text: str) -> str:
    """A public key a person brings: base64 of the raw 32 bytes, PEM, or one line as OpenSSH writes it.

    Returns base64 of the raw bytes. Raises InputError.
    """
    raw = _raw(text.strip())
    if raw is None or is_weak(raw):
        raise InputError(Problem("key", text[:120], say("people.key_expected")))
    return base64.b64encode(raw).decode()


def is_weak(raw: bytes) -> bool:
    """Whether a public key is one of the points of small order: under such a one a signature that nobody made
    holds for every eighth text or more, so whoever signed with it could say that they never did."""
    return len(raw) == RAW and raw[:-1] + bytes([raw[-1] & 0x7F]) in WEAK


def _raw(text: str) -> bytes | None:
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import load_pem_public_key, load_ssh_public_key

    try:
        if text.startswith("-----BEGIN"):
            key = load_pem_public_key(text.encode())
        elif text.startswith("ssh-"):
            key = load_ssh_public_key(text.encode())
        else:
            key = Ed25519PublicKey.from_public_bytes(base64.b64decode(text, validate=True))
    except (ValueError, binascii.Error, UnsupportedAlgorithm):
        return None
    return key.public_bytes_raw() if isinstance(key, Ed25519PublicKey) else None


def _seal(raw: bytes, public: str, password: str) -> str:
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

    salt, nonce = secrets.token_bytes(SALT), secrets.token_bytes(NONCE)
    closed = AESGCM(passwords.stretched(password, salt)).encrypt(nonce, raw, public.encode())
    return base64.b64encode(salt + nonce + closed).decode()
