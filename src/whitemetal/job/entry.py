"""An entry: one fact, written once, chained to its device's one before.

Canonical form: RFC 8785 (JSON Canonicalization Scheme) of the entry without its digest, UTF-8, every
text in Unicode NFC. Digest: SHA-256 of that, in hexadecimal. Bodies hold texts, whole numbers, lists
and objects; never a float (SI values are computed on reading). The format is frozen in
``tests/golden/entries-v1.jsonl``.
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import rfc8785

from whitemetal.errors import InputError, Problem

GENESIS = ""
"""``prev`` of the first entry of a device in a book."""

LARGEST_WHOLE = 2**53 - 1
"""Larger whole numbers are not told apart by every reader of JSON: RFC 8785, from memory."""

_BEYOND_16_BITS = re.compile("[\U00010000-\U0010ffff\ud800-\udfff]")


@dataclass(frozen=True)
class Entry:
    """id: 128 random bits in base32, made where the entry was written. book: the job, bearing, machine or
    plant it belongs to. kind: with its version, e.g. "reading/1". device, seq, prev: the writing device's own
    chain in this book. after: digests of the other devices' heads the writer had seen, sorted; one that is
    behind another link is left out.
    at: UTC, RFC 3339 with milliseconds and Z. offset: the device's offset from UTC in minutes.
    by: {"name": ..., "id": ... (optional)}. body: the fact. digest: SHA-256 of the canonical form."""

    id: str
    book: str
    kind: str
    device: str
    seq: int
    prev: str
    after: tuple[str, ...]
    at: str
    offset: int
    by: Mapping[str, str]
    body: Mapping[str, Any]
    digest: str


def make(
    *,
    id: str,
    book: str,
    kind: str,
    device: str,
    seq: int,
    prev: str,
    after: Iterable[str],
    at: str,
    offset: int,
    by: Mapping[str, str],
    body: Mapping[str, Any],
) -> Entry:
    """A new entry, its texts in NFC and its digest computed. Raises InputError on a float in the body."""
    draft = Entry(
        id, book, kind, device, seq, prev, tuple(sorted(after)), at, offset, _plain(by), _plain(body), ""
    )
    return _with_digest(draft)


def content(entry: Entry) -> dict[str, Any]:
    """The entry's content as plain JSON values, without the digest."""
    return {
        "id": entry.id, "book": entry.book, "kind": entry.kind, "device": entry.device, "seq": entry.seq,
        "prev": entry.prev, "after": list(entry.after), "at": entry.at, "offset": entry.offset,
        "by": dict(entry.by), "body": dict(entry.body),
    }  # fmt: skip


def canonical(entry: Entry) -> bytes:
    """The entry's canonical form (RFC 8785)."""
    whole = content(entry)
    if not _is_plain(whole):
        return rfc8785.dumps(whole)
    text = json.dumps(whole, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return rfc8785.dumps(whole) if _BEYOND_16_BITS.search(text) else text.encode()


def digest_of(entry: Entry) -> str:
    """SHA-256 of the canonical form, hexadecimal."""
    return text_digest(canonical(entry))


def text_digest(text: bytes) -> str:
    """SHA-256 of a canonical form, hexadecimal."""
    return hashlib.sha256(text).hexdigest()


def _is_plain(value: Any) -> bool:
    """Whether Python's own writer of JSON gives the canonical form: texts, whole numbers and what is made of
    them. (Names are sorted by their 16-bit units in RFC 8785, 3.2.3; without letters beyond 16 bits that is
    Python's order.)"""
    kind = type(value)
    if kind is dict:
        for name, inner in value.items():
            if type(name) is not str or not (type(inner) is str or _is_plain(inner)):
                return False
        return True
    if kind is list:
        return all(type(inner) is str or _is_plain(inner) for inner in value)
    if kind is int:
        return bool(-LARGEST_WHOLE <= value <= LARGEST_WHOLE)
    return kind is str or kind is bool or value is None


def from_json(value: Mapping[str, Any]) -> Entry:
    """An entry from its JSON object, digest as stored (not verified here)."""
    return Entry(
        value["id"], value["book"], value["kind"], value["device"], value["seq"], value["prev"],
        tuple(value["after"]), value["at"], value["offset"], value["by"], value["body"], value["digest"],
    )  # fmt: skip


_TEXTS = ("id", "book", "kind", "device", "prev", "at", "digest")

LONGEST_NAME = 200
"""Letters of an entry's id, book, kind or device that are accepted from elsewhere: twice what any program of
ours writes, and what every database can find again. Our own."""

A_DAY = 24 * 60
"""Minutes that a clock may be ahead of UTC or behind it: exact, by definition."""

DEEPEST = 40
"""Brackets within brackets of a body from elsewhere. Our own."""

_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", re.ASCII)


def read_entry(value: Any) -> Entry:
    """An entry from a stranger's JSON: its shape is checked to the last part, its digest is not. Raises
    InputError."""
    if not isinstance(value, Mapping) or value.keys() != {*_TEXTS, "seq", "after", "offset", "by", "body"}:
        raise _no_entry("the parts of an entry, all of them and no others")
    texts = [*(value[name] for name in _TEXTS), *_list(value["after"]), *_pairs(value["by"])]
    if not all(isinstance(text, str) for text in texts) or not isinstance(value["body"], Mapping):
        raise _no_entry("texts where an entry has texts")
    for name in ("id", "book", "kind", "device"):
        if not 0 < len(value[name]) <= LONGEST_NAME or "\x00" in value[name]:
            raise _no_entry(f"a name of at most {LONGEST_NAME} letters as {name}")
    for name, least, most in (("seq", 1, LARGEST_WHOLE), ("offset", -A_DAY, A_DAY)):
        if type(value[name]) is not int or not least <= value[name] <= most:
            raise _no_entry(f"a whole number as {name}")
    if not _is_moment(value["at"]) or _deeper_than(value["body"], DEEPEST):
        raise _no_entry(f"a moment as at, and a body of at most {DEEPEST} brackets in brackets")
    body = _plain(value["body"])
    if body != value["body"] or any(_text(text) != text for text in texts):
        raise _no_entry("texts in the form in which they are digested")
    return from_json(value)


def _no_entry(expected: str) -> InputError:
    return InputError(Problem("entry", "", expected))


def _is_moment(text: str) -> bool:
    if not _MOMENT.fullmatch(text):
        return False
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True


def _deeper_than(value: Any, left: int) -> bool:
    """Whether there are more brackets within brackets than may be."""
    if not isinstance(value, Mapping | list):
        return False
    inner = value.values() if isinstance(value, Mapping) else value
    return left == 0 or any(_deeper_than(one, left - 1) for one in inner)


def _list(value: Any) -> list[Any]:
    return list(value) if isinstance(value, list) else [None]


def _pairs(value: Any) -> list[Any]:
    return [part for pair in value.items() for part in pair] if isinstance(value, Mapping) else [None]


def book_digest(heads: Iterable[str]) -> str:
    """Digest of a book: SHA-256 over the sorted digests of its devices' heads, one a line."""
    return hashlib.sha256("\n".join(sorted(heads)).encode()).hexdigest()


def _with_digest(draft: Entry) -> Entry:
    return Entry(**{**draft.__dict__, "digest": digest_of(draft)})


def _plain(value: Any) -> Any:
    """The value with texts in NFC. Raises InputError on anything but text, whole number, list, object."""
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, Mapping):
        plain = {_text(key): _plain(inner) for key, inner in value.items()}
        if len(plain) < len(value):
            raise InputError(Problem("entry body", repr(value), "no name twice"))
        return plain
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int) and abs(value) <= LARGEST_WHOLE:
        return value
    raise InputError(
        Problem("entry body", repr(value), "texts and whole numbers only; a float loses what was typed")
    )


def _text(text: str) -> str:
    """The text in NFC. Raises InputError on half a character, which UTF-8 cannot keep."""
    try:
        text.encode()
    except UnicodeEncodeError:
        raise InputError(Problem("text", ascii(text), "whole characters of Unicode")) from None
    return unicodedata.normalize("NFC", text)
