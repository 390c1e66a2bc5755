"""An exported file checked by itself, on a machine that has neither the record nor its accounts.

Whatever the file is otherwise, every entry in it is found by its shape: in a JSON document however deep, one
a line, or in the files of a zip. Checked are each entry's digest, the chains of each device from the first
entry on, every link to another device, each photograph, what a job's file says of itself, and every seal:
that the signature is the key's, and that the digest of the state it covers is that of the entries behind it.
"""

from __future__ import annotations

import hashlib
import io
import json
import lzma
import re
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from whitemetal.errors import InputError, Problem, WhitemetalError
from whitemetal.job.entry import GENESIS, Entry, book_digest, digest_of, from_json
from whitemetal.job.sight import stamped
from whitemetal.ledger import Fault
from whitemetal.people import signature
from whitemetal.words import say

TEXTS = ("id", "book", "kind", "device", "prev", "at", "digest")
FIELDS = frozenset((*TEXTS, "seq", "after", "offset", "by", "body"))

MOST_FIELDS = len(FIELDS) - 2
"""What has so many of an entry's fields is one, or was before somebody altered it. Our own."""

LARGEST = 512 * 1024 * 1024
"""Bytes of one file inside a zip that are read. Our own."""

BROKEN = (
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, NotImplementedError, RuntimeError, EOFError, OSError,
    ValueError, KeyError,
)  # fmt: skip
"""What reading a zip that is none, or a spoilt one, raises."""

HEAD, HEAD_DIGEST = "job.json", "own_digest"
"""What says of a job's file what it is, and the word in it for its own digest."""

HEAD_BEFORE = {"format", "program", "job", "bearing", "number", "title", "digest", "instruments"}
"""The words in it of a program that wrote no digest of it."""

_PICTURE = re.compile(r"photographs/([0-9a-f]{64})\.jpg$")

DEEPEST = 60
"""How deep entries are looked for. Our own."""


@dataclass(frozen=True)
class Seal:
    """A signature found. good: made with its key, over the entries behind it. owner: who the key is known
    for, "" where no list of keys was given or it is not on it. said: a sentence."""

    entry: str
    book: str
    kind: str
    by: str
    at: str
    key: str
    good: bool
    owner: str
    said: str


@dataclass(frozen=True)
class Checked:
    """What was found in a file."""

    books: int
    chains: int
    entries: int
    faults: tuple[Fault, ...]
    seals: tuple[Seal, ...]

    @property
    def whole(self) -> bool:
        """Whether nothing is wrong."""
        return not self.faults and all(seal.good for seal in self.seals)


def check_file(data: bytes, keys: Mapping[str, str] | None = None) -> Checked:
    """Check an exported file. keys: names by public key, as known from elsewhere; a seal with another key is
    then not good. Raises InputError when there is no entry in it."""
    faults: list[Fault] = []
    heads: list[Mapping[str, Any]] = []
    raw = {json.dumps(one, sort_keys=True): one for one in _found_in(data, faults, heads)}
    if not raw:
        raise InputError(Problem("FILE", "", say("exported.no_entries")))
    entries = [entry for one in raw.values() if (entry := _read(one, faults)) is not None]
    books: dict[str, list[Entry]] = {}
    for entry in entries:
        books.setdefault(entry.book, []).append(entry)
    chains = {(entry.book, entry.device) for entry in entries}
    for of_book in books.values():
        faults += _faults(of_book)
    faults += _heads_wrong(heads, books) if not faults else ()
    seals = tuple(seal for of_book in books.values() for seal in _seals(of_book, keys))
    names = {one["book"] for one in raw.values() if isinstance(one.get("book"), str)}
    return Checked(len(names), len(chains), len(raw), tuple(faults), seals)


def keys_from(text: str) -> dict[str, str]:
    """Names by public key, from lines of a key, a blank and a name, as `whitemetal people keys` prints them.
    Raises InputError."""
    found = {}
    for number, line in enumerate(text.splitlines(), 1):
        key, _, name = line.strip().partition(" ")
        if key and (not name or signature.raw(key) is None):
            raise InputError(Problem("--keys", line[:120], say("exported.a_key"), number))
        if key:
            found[key] = name.strip()
    return found


def head_digest(head: Mapping[str, Any]) -> str:
    """SHA-256 of what a file says of itself, without the line that holds this."""
    rest = {key: value for key, value in head.items() if key != HEAD_DIGEST}
    return hashlib.sha256(json.dumps(rest, ensure_ascii=False, sort_keys=True).encode()).hexdigest()


def head_is_whole(head: Mapping[str, Any]) -> bool:
    """Whether what a file says of itself is what it said when it was exported, as far as that can be told of
    one without a digest."""
    told = head.get(HEAD_DIGEST)
    return head.keys() == HEAD_BEFORE if told is None else bool(told == head_digest(head))


def _found_in(
    data: bytes, faults: list[Fault], heads: list[Mapping[str, Any]]
) -> Iterator[Mapping[str, Any]]:
    """Every entry of a file, as it stands there; the faults of what else is in a zip, and what it says of
    itself. Raises InputError."""
    if data.startswith(b"PK\x03\x04"):
        yield from _in_zip(data, faults, heads)
        return
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(Problem("FILE", "", say("exported.json"))) from None
    yield from _in_text(text, "FILE")


def _in_zip(data: bytes, faults: list[Fault], heads: list[Mapping[str, Any]]) -> Iterator[Mapping[str, Any]]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            for member in packed.infolist():
                name, picture = member.filename[:120], _PICTURE.search(member.filename)
                if picture is None and not name.endswith((".json", ".jsonl")):
                    continue
                with packed.open(member) as file:
                    held = file.read(LARGEST + 1)
                if len(held) > LARGEST:
                    raise InputError(Problem("FILE", name, say("exported.too_large")))
                if picture is None:
                    text = held.decode("utf-8-sig")
                    heads += _head_in(text, name)
                    yield from _in_text(text, name)
                elif hashlib.sha256(held).hexdigest() != picture[1]:
                    faults.append(_of_file(say("exported.picture", name=name)))
    except BROKEN:
        raise InputError(Problem("FILE", "", say("exported.json"))) from None


def _head_in(text: str, name: str) -> list[Mapping[str, Any]]:
    """What a job's file says of itself. Raises InputError where it cannot be read."""
    if name != HEAD:
        return []
    try:
        head = json.loads(text)
    except (ValueError, RecursionError):
        head = None
    if not isinstance(head, dict):
        raise InputError(Problem(name, text[:80], say("exported.json")))
    return [head]


def _heads_wrong(heads: list[Mapping[str, Any]], books: Mapping[str, list[Entry]]) -> Iterator[Fault]:
    """Where what a file says of itself was altered, or is not so of the entries in it."""
    for head in heads:
        ends = {one.device: one.digest for one in sorted(books.get(str(head.get("job")), ()), key=_by_seq)}
        if not head_is_whole(head):
            yield _of_file(say("exported.head_altered", name=HEAD))
        elif head.get("digest") != book_digest(ends.values()):
            yield _of_file(say("exported.head_other", name=HEAD))


def _by_seq(entry: Entry) -> int:
    return entry.seq


def _of_file(text: str) -> Fault:
    return Fault("", "", 0, "", "altered", text)


def _in_text(text: str, name: str) -> Iterator[Mapping[str, Any]]:
    try:
        yield from _in_value(json.loads(text), 0)
        return
    except (ValueError, RecursionError):
        pass
    # At this end alone: splitlines would part what people wrote, at U+2028 too.
    for number, line in enumerate(text.split("\n"), 1):
        if not line.strip():
            continue
        try:
            value = json.loads(line)
        except (ValueError, RecursionError):
            raise InputError(Problem(name, line[:80], say("exported.json"), number)) from None
        yield from _in_value(value, 0)


def _in_value(value: Any, depth: int) -> Iterator[Mapping[str, Any]]:
    if depth > DEEPEST:
        return
    if isinstance(value, dict):
        if len(FIELDS & value.keys()) >= MOST_FIELDS:
            yield value
        else:
            for inner in value.values():
                yield from _in_value(inner, depth + 1)
    elif isinstance(value, list):
        for inner in value:
            yield from _in_value(inner, depth + 1)


def _read(value: Mapping[str, Any], faults: list[Fault]) -> Entry | None:
    """An entry whose digest is its own; a fault of one that is not, or is none."""
    whole = (
        value.keys() >= FIELDS and all(isinstance(value[name], str) for name in TEXTS)
        and type(value["seq"]) is int and type(value["offset"]) is int
        and isinstance(value["body"], dict) and isinstance(value["by"], dict)
        and isinstance(value["after"], list) and all(isinstance(one, str) for one in value["after"])
    )  # fmt: skip
    entry = from_json(value) if whole else None
    try:
        if entry is not None and digest_of(entry) == entry.digest:
            return entry
    except (WhitemetalError, ValueError, TypeError, RecursionError):
        pass
    book, device, id = (str(value.get(name, ""))[:64] for name in ("book", "device", "id"))
    seq = value["seq"] if type(value.get("seq")) is int else 0
    text = say("ledger.fault_altered", seq=seq, device=device, entry=id)
    faults.append(Fault(book, device, seq, id, "altered", text))
    return None


def _faults(entries: list[Entry]) -> Iterator[Fault]:
    """The first fault of each device's chain in one book."""
    known = {entry.digest for entry in entries}
    for device in sorted({entry.device for entry in entries}):
        prev = GENESIS
        chain = sorted((one for one in entries if one.device == device), key=lambda one: one.seq)
        for number, entry in enumerate(chain, 1):
            if entry.seq != number or entry.prev != prev:
                text = say("ledger.fault_missing", seq=number, device=device)
                yield Fault(entry.book, device, number, "", "missing", text)
                break
            lost = next((digest for digest in entry.after if digest not in known), None)
            if lost is not None:
                text = say("ledger.fault_after", seq=number, device=device, digest=lost[:12])
                yield Fault(entry.book, device, number, entry.id, "missing", text)
                break
            prev = entry.digest


def _seals(entries: list[Entry], keys: Mapping[str, str] | None) -> Iterator[Seal]:
    """Every seal of one book."""
    behind = {entry.id: _state_behind(entry, stamp.clock, entries) for entry, stamp in stamped(entries)}
    for entry in entries:
        standing = signature.standing(entry)
        if standing == "none":
            continue
        key, name = signature.key_of(entry), str(entry.by.get("name", ""))
        said, good = say("exported.seal_good"), False
        if standing == "bad":
            said = say("exported.seal_bad")
        elif "state" in entry.body and entry.body["state"] != behind.get(entry.id):
            said = say("exported.seal_other")
        elif keys is not None and key not in keys:
            said = say("exported.seal_stranger")
        elif keys is not None and keys[key] != name:
            said = say("exported.seal_of_another")
        else:
            good = True
        yield Seal(
            entry.id, entry.book, entry.kind, name, entry.at, key, good, (keys or {}).get(key, ""), said
        )


def _state_behind(entry: Entry, clock: Mapping[str, int], entries: list[Entry]) -> str:
    """The digest of the book as it was just before an entry, by its links."""
    reach = {**clock, entry.device: entry.seq - 1}
    return book_digest(one.digest for one in entries if reach.get(one.device, 0) == one.seq)
