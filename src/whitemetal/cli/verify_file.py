"""verify FILE: an exported file checked by itself, chains and signatures, without the record."""

from __future__ import annotations

from pathlib import Path

from whitemetal.cli.files import FileInputError, read_bytes
from whitemetal.cli.screen import visible
from whitemetal.errors import InputError
from whitemetal.words import say

STARTS = (b"{", b"[", b"PK\x03\x04")
"""How an exported file begins: an object, a list, a zip."""


def is_exported(path: str) -> bool:
    """Whether the file looks like one the program exported rather than a record."""
    try:
        with Path(path).open("rb") as file:
            return file.read(64).removeprefix(b"\xef\xbb\xbf").lstrip().startswith(STARTS)
    except OSError:
        return False


def verify_file(path: str, keys: str) -> int:
    """Check an exported file: 0 when it is whole, 1 when not. keys: path of a list of public keys, "" for
    none. Raises InputError."""
    from whitemetal.desk.exported import check_file, keys_from

    known = keys_from(read_bytes(keys).decode("utf-8", "replace")) if keys else None
    try:
        found = check_file(read_bytes(path), known)
    except InputError as bad:
        raise FileInputError(path, *bad.problems) from None
    for seal in found.seals:
        message = "exported.seal_known" if seal.owner else "exported.seal"
        given = {"at": seal.at[:16].replace("T", " "), "by": seal.by, "kind": seal.kind, "key": seal.key[:12]}
        print(visible(say(message, **given, owner=seal.owner, said=seal.said)))
    if not found.whole:
        print(say("exported.bad"))
        for text in (*(fault.text for fault in found.faults), *(s.said for s in found.seals if not s.good)):
            print(f"  - {visible(text)}")
        return 1
    counts = {"entries": found.entries, "books": found.books, "chains": found.chains}
    print(say("exported.good", **counts, signatures=len(found.seals)))
    print(say("exported.no_end"))
    return 0
