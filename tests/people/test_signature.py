"""Signatures: made by the server's key or brought, checked from the entry alone, broken by any change."""

from __future__ import annotations

import base64
import json
from contextlib import suppress
from dataclasses import replace
from typing import Any

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from hypothesis import given
from hypothesis import strategies as st

from whitemetal.errors import InputError
from whitemetal.job.entry import Entry, make
from whitemetal.people import keys, signature

BY = {"name": "Ada Invented", "id": "adaaaaaaaaaaaaaaaaaaaaaaaa"}
BODY = {"part": "did", "state": "ab" * 32, "card": "cd" * 32, "program": "0.1.0", "leaves": "fit"}
PASSWORD = "four brass feeler gauges"


def entry_of(body: dict[str, Any], **other: Any) -> Entry:
    facts: dict[str, Any] = {
        "id": "x" * 26, "book": "j" * 26, "kind": "signed/1", "device": "d" * 26, "seq": 1, "prev": "",
        "after": (), "at": "2026-03-01T10:00:00.000Z", "offset": 60, "by": BY, "body": body,
    }  # fmt: skip
    return make(**(facts | other))


@pytest.fixture(scope="module")
def private() -> Ed25519PrivateKey:
    return Ed25519PrivateKey.from_private_bytes(bytes(range(32)))


@pytest.fixture
def sealed(private: Ed25519PrivateKey) -> Entry:
    return entry_of(signature.signed(private, "j" * 26, "signed/1", BY, BODY))


def test_the_first_vector_of_rfc_8032() -> None:
    """RFC 8032, section 7.1, TEST 1: an empty message."""
    secret = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
    public = bytes.fromhex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a")
    signed = bytes.fromhex(
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
        "d25bf5f0595bbe24655141438e7a100b"
    )
    private = Ed25519PrivateKey.from_private_bytes(secret)
    assert keys.public_of(private) == base64.b64encode(public).decode()
    assert signature.verified(public, signed, b"")
    assert not signature.verified(public, signed, b"x")


def test_what_is_signed_can_be_written_by_hand() -> None:
    """The statement by RFC 8785 worked out by hand: names in order, no blanks."""
    said = signature.statement("b", "k/1", {"name": "N"}, {"state": "s"}, "K")
    assert said == (
        b"whitemetal.signature/1\n"
        b'{"after":[],"at":"","body":{"seal":{"algorithm":"Ed25519","key":"K"},"state":"s"},"book":"b",'
        b'"by":{"name":"N"},"device":"","id":"","kind":"k/1","offset":0,"prev":"","seq":0}'
    )


def test_a_signed_entry_is_checked_from_itself_alone(sealed: Entry) -> None:
    assert signature.standing(sealed) == "good"
    assert signature.standing(entry_of(BODY)) == "none"
    assert sealed.body["state"] == BODY["state"]


@pytest.mark.parametrize(
    "changed",
    [
        {"kind": "signed/2"}, {"book": "k" * 26}, {"by": {**BY, "name": "Bo Invented"}}, {"by": {"name": BY["name"]}},
    ],
)  # fmt: skip
def test_a_signature_is_of_one_entry_only(sealed: Entry, changed: dict[str, Any]) -> None:
    assert signature.standing(replace(sealed, **changed)) == "bad"


@given(st.sampled_from(sorted(BODY)), st.text(max_size=8))
def test_a_changed_word_breaks_the_signature(field: str, text: str) -> None:
    private = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
    body = signature.signed(private, "j" * 26, "signed/1", BY, BODY)
    expected = "good" if body[field] == text else "bad"
    assert signature.standing(entry_of({**body, field: text})) == expected


@pytest.mark.parametrize(
    "seal",
    [
        "text", {"key": "x"}, {"algorithm": "Ed25519", "key": "AA==", "signature": "AA=="},
        {"algorithm": "none", "key": "", "signature": ""}, {"algorithm": "Ed25519", "key": "?", "signature": "?"},
        {"algorithm": "Ed25519", "key": 7, "signature": []},
    ],
)  # fmt: skip
def test_a_seal_that_is_none_is_bad_and_nothing_breaks(seal: object) -> None:
    assert signature.standing(entry_of({**BODY, "seal": seal})) == "bad"


def test_another_key_does_not_sign_for_this_one(sealed: Entry) -> None:
    other = keys.public_of(Ed25519PrivateKey.from_private_bytes(bytes(32)))
    seal = {**sealed.body["seal"], "key": other}
    assert signature.standing(entry_of({**sealed.body, "seal": seal})) == "bad"


def test_a_signature_made_elsewhere_is_taken(private: Ed25519PrivateKey) -> None:
    """As a person does who brings a key: the statement goes out, the signature comes back."""
    key = keys.public_of(private)
    said = signature.statement("j" * 26, "signed/1", BY, BODY, key)
    body = signature.sealed(BODY, key, private.sign(said))
    assert signature.standing(entry_of(body)) == "good"


def test_a_kept_key_opens_with_its_password_alone() -> None:
    pair = keys.new_pair(PASSWORD)
    private = keys.opened(pair, PASSWORD)
    assert private is not None
    assert keys.public_of(private) == pair.public
    assert keys.opened(pair, PASSWORD + "!") is None
    assert base64.b64encode(private.private_bytes_raw()).decode() not in json.dumps(vars(pair))
    again = keys.sealed_anew(pair, PASSWORD, "another long password")
    assert again is not None
    assert keys.opened(again, PASSWORD) is None
    reopened = keys.opened(again, "another long password")
    assert reopened is not None
    assert reopened.private_bytes_raw() == private.private_bytes_raw()
    assert keys.sealed_anew(pair, "wrong", "x") is None


def test_a_sealed_key_of_another_does_not_open(private: Ed25519PrivateKey) -> None:
    pair = keys.new_pair(PASSWORD)
    assert keys.opened(replace(pair, public=keys.public_of(private)), PASSWORD) is None


@pytest.mark.parametrize("form", ["raw", "PEM", "OpenSSH"])
def test_a_key_may_be_brought_in_three_forms(private: Ed25519PrivateKey, form: str) -> None:
    public = private.public_key()
    text = {
        "raw": keys.public_of(private),
        "PEM": public.public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo).decode(),
        "OpenSSH": public.public_bytes(Encoding.OpenSSH, PublicFormat.OpenSSH).decode() + " ada@bench",
    }[form]
    assert keys.brought(f" {text}\n") == keys.public_of(private)


@pytest.mark.parametrize(
    "text",
    ["", "AAAA", "not base64 at all", "-----BEGIN PUBLIC KEY-----\n", "ssh-ed25519 AAAA", "ssh-rsa x y"],
)
def test_a_key_that_is_none_is_said(text: str) -> None:
    with pytest.raises(InputError, match="Ed25519"):
        keys.brought(text)


WEAK = ("00" * 32, "01" + "00" * 31, "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a", "ec" + "ff" * 30 + "7f",
        "ed" + "ff" * 30 + "7f", "ee" + "ff" * 30 + "7f")  # fmt: skip


@pytest.mark.parametrize("sign", [0, 0x80])
@pytest.mark.parametrize("text", WEAK)
def test_a_key_under_which_nobody_signed_is_none(text: str, sign: int) -> None:
    """The library itself takes one signature, of the point 1 and the number 0, for that of some text in 64
    under such a key: it may not be brought, and what it signed is no proof."""
    raw = bytearray.fromhex(text)
    raw[-1] |= sign
    library, forged = Ed25519PublicKey.from_public_bytes(bytes(raw)), bytes([1]) + bytes(63)
    taken = []
    for number in range(64):
        with suppress(InvalidSignature):
            library.verify(forged, b"%d" % number)
            taken.append(b"%d" % number)
    assert taken, "not weak after all"
    assert not any(signature.verified(bytes(raw), forged, said) for said in taken)
    with pytest.raises(InputError, match="Ed25519"):
        keys.brought(base64.b64encode(bytes(raw)).decode())
