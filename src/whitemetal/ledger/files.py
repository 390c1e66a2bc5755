"""Files that entries speak of, each kept once under the digest of its content.

A file is kept before the entry that names it, so that no entry of this program names one that is not here; an
entry received from elsewhere may come before its file.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, bindparam, insert, select

from whitemetal.errors import ChainBroken
from whitemetal.job.kinds import kind_of
from whitemetal.job.photographs import PHOTO
from whitemetal.ledger.ledger import Ledger, entry_from
from whitemetal.ledger.tables import ENTRY, KEPT_FILE
from whitemetal.ledger.verify import Fault
from whitemetal.words import say

MEDIA = "image/jpeg"
"""The only kind of file there is: every picture is written anew as this before it is kept."""

_ONE = select(KEPT_FILE).where(KEPT_FILE.c.digest == bindparam("digest"))
_SMALL = select(KEPT_FILE.c.digest, KEPT_FILE.c.thumbnail).where(
    KEPT_FILE.c.digest.in_(bindparam("digests", expanding=True))
)
_HERE = select(KEPT_FILE.c.digest).where(KEPT_FILE.c.digest.in_(bindparam("digests", expanding=True)))


@dataclass(frozen=True)
class KeptFile:
    """A file. digest: SHA-256 of ``content`` in hexadecimal. thumbnail: a small JPEG of it."""

    digest: str
    content: bytes
    thumbnail: bytes
    media: str = MEDIA


def file_digest(content: bytes) -> str:
    """The name of a file: SHA-256 of its content, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


class Files:
    """The files of a record. Threads may share one."""

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger

    def keep(self, file: KeptFile) -> bool:
        """Keep a file; one that is here already changes nothing (False). Raises ChainBroken when its content
        is not what its digest says, CannotWrite."""
        if file_digest(file.content) != file.digest or file.media != MEDIA:
            raise ChainBroken(say("ledger.file_altered", digest=file.digest[:12]))
        if self.here([file.digest]):
            return False
        with self._ledger.writing() as pen:
            return put(pen.connection, file)

    def of(self, digest: str) -> KeptFile | None:
        """A file, None when it is not here. Raises ChainBroken when it was altered."""
        with self._ledger.reading() as connection:
            row = connection.execute(_ONE, {"digest": digest}).first()
        if row is None:
            return None
        if file_digest(row.content) != digest:
            raise ChainBroken(say("ledger.file_altered", digest=digest[:12]))
        return KeptFile(row.digest, row.content, row.thumbnail, row.media)

    def thumbnails(self, digests: Iterable[str]) -> dict[str, bytes]:
        """Small pictures of those of these files that are here, by digest."""
        with self._ledger.reading() as connection:
            rows = connection.execute(_SMALL, {"digests": sorted(set(digests))})
            return {row.digest: row.thumbnail for row in rows}

    def here(self, digests: Iterable[str]) -> frozenset[str]:
        """Which of these files are here."""
        with self._ledger.reading() as connection:
            rows = connection.execute(_HERE, {"digests": sorted(set(digests))})
            return frozenset(row.digest for row in rows)

    def all(self) -> Iterator[KeptFile]:
        """Every file, one at a time, by digest, whatever its content; for copies and for verifying."""
        with self._ledger.reading() as connection:
            names = list(
                connection.execute(select(KEPT_FILE.c.digest).order_by(KEPT_FILE.c.digest)).scalars()
            )
        for digest in names:
            with self._ledger.reading() as connection:
                row = connection.execute(_ONE, {"digest": digest}).first()
            if row is not None:
                yield KeptFile(row.digest, row.content, row.thumbnail, row.media)


def file_faults(connection: Connection, book: str | None = None) -> Iterator[Fault]:
    """Photographs whose file is missing or was altered, by the entry that names it; of every book, or one."""
    wanted = select(ENTRY).where(ENTRY.c.kind == PHOTO).order_by(ENTRY.c.book, ENTRY.c.receipt)
    if book is not None:
        wanted = wanted.where(ENTRY.c.book == book)
    known: dict[str, str] = {}
    for row in connection.execute(wanted).all():
        digest = _named_by(row)
        if not digest:
            continue
        if digest not in known:
            known[digest] = _fault_of(connection, digest)
        if known[digest]:
            what: Literal["altered", "missing"] = "altered" if known[digest] == "file_altered" else "missing"
            text = say(f"ledger.{known[digest]}", digest=digest[:12])
            yield Fault(row.book, row.device, row.seq, row.id, what, text)


def _named_by(row: Any) -> str:
    """The file that an entry names; "" for one that cannot be read, of which the walk of the chains tells."""
    try:
        entry = entry_from(row)
    except ChainBroken:
        return ""
    return str(entry.body["digest"]) if kind_of(entry) == PHOTO else ""


def _fault_of(connection: Connection, digest: str) -> str:
    """Name of the message on what is wrong with a file, "" for nothing."""
    row = connection.execute(_ONE, {"digest": digest}).first()
    if row is None:
        return "file_missing"
    return "" if file_digest(row.content) == digest else "file_altered"


def put(connection: Connection, file: KeptFile) -> bool:
    """Write a file's row inside a transaction unless it is there already."""
    if connection.execute(_HERE, {"digests": [file.digest]}).first() is not None:
        return False
    row = {
        "digest": file.digest, "media": file.media, "size": len(file.content), "thumbnail": file.thumbnail,
        "content": file.content,
    }  # fmt: skip
    connection.execute(insert(KEPT_FILE), row)
    return True
