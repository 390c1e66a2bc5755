"""A person's signature under an entry, to be checked by anybody who has the entry alone.

It stands in the entry's body as ``seal``: the algorithm, the public key and the signature. Signed is the
canonical form (RFC 8785) of what the entry says: its book, kind, author and body, the seal without the
signature included. The entry's place in its chain is left out, because it is not known when a person signs;
what the person had seen stands in the body as the digest of the state.
"""

from __future__ import annotations

import base64
import binascii
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Literal

from whitemetal.job.entry import Entry, canonical, make
from whitemetal.people.keys import is_weak, public_of

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

FORMAT = b"whitemetal.signature/1\n"
"""Stands before what is signed, so that the signature is of no use for anything else."""

SEAL = "seal"
ALGORITHM = "Ed25519"
Standing = Literal["none", "good", "bad"]


def statement(book: str, kind: str, by: Mapping[str, str], body: Mapping[str, Any], key: str) -> bytes:
    """What is signed. key: public, base64. A seal in the body already is left out."""
    said = {**body, SEAL: {"algorithm": ALGORITHM, "key": key}}
    bare = make(
        id="", book=book, kind=kind, device="", seq=0, prev="", after=(), at="", offset=0, by=by, body=said
    )
    return FORMAT + canonical(bare)


def signed(
    private: Ed25519PrivateKey, book: str, kind: str, by: Mapping[str, str], body: Mapping[str, Any]
) -> dict[str, Any]:
    """The body with its seal."""
    key = public_of(private)
    return sealed(body, key, private.sign(statement(book, kind, by, body, key)))


def sealed(body: Mapping[str, Any], key: str, signature: bytes) -> dict[str, Any]:
    """The body with a seal made elsewhere. It is not checked here."""
    made = {"algorithm": ALGORITHM, "key": key, "signature": base64.b64encode(signature).decode()}
    return {**body, SEAL: made}


def standing(entry: Entry) -> Standing:
    """Whether the entry carries a seal, and whether it is good: made with the key it names."""
    seal = entry.body.get(SEAL)
    if not seal:
        return "none"
    if not isinstance(seal, Mapping) or set(seal) != {"algorithm", "key", "signature"}:
        return "bad"
    key, signature = raw(seal["key"]), raw(seal["signature"])
    if seal["algorithm"] != ALGORITHM or key is None or signature is None:
        return "bad"
    said = statement(entry.book, entry.kind, entry.by, entry.body, seal["key"])
    return "good" if verified(key, signature, said) else "bad"


def key_of(entry: Entry) -> str:
    """The public key an entry's seal names, "" without one."""
    seal = entry.body.get(SEAL)
    return str(seal.get("key", "")) if isinstance(seal, Mapping) else ""


def verified(key: bytes, signature: bytes, said: bytes) -> bool:
    """Whether the signature under ``said`` was made with the private key of this public one. A key under
    which anybody can make one proves nothing."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    if is_weak(key):
        return False
    try:
        Ed25519PublicKey.from_public_bytes(key).verify(signature, said)
    except (InvalidSignature, ValueError):
        return False
    return True


def raw(text: object) -> bytes | None:
    """The bytes of a text in base64, None where it is none."""
    try:
        return base64.b64decode(text, validate=True) if isinstance(text, str) else None
    except (ValueError, binascii.Error):
        return None
