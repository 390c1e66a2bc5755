"""Files named on the command line: read whole, or refused with a reason."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

from whitemetal.card import Card, read_card
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

LARGEST = 5_000_000
"""Bytes. No card and no readings of a bearing are larger; a larger file is another file."""


class FileInputError(InputError):
    """Problems of one file, with its name."""

    def __init__(self, name: str, *problems: Problem) -> None:
        self.name = name
        super().__init__(*problems)


def read_bytes(name: str) -> bytes:
    """The bytes of a file, or of standard input for "-". Raises FileInputError with the reason."""
    try:
        data = sys.stdin.buffer.read(LARGEST + 1) if name == "-" else _read(Path(name))
    except OSError as bad:
        raise FileInputError(name, Problem("file", name, _why(bad))) from None
    if len(data) > LARGEST:
        raise FileInputError(
            name, Problem("file", name, say("terminal.too_large", largest=LARGEST // 1_000_000))
        )
    return data


def _read(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(LARGEST + 1)


def write_bytes(name: str, data: bytes) -> None:
    """Write a file, whole or not at all. "-" is standard output. Raises FileInputError."""
    if name == "-":
        sys.stdout.buffer.write(data)
        return
    part = Path(f"{name}.part")
    try:
        part.write_bytes(data)
        os.replace(part, name)
    except OSError as bad:
        part.unlink(missing_ok=True)
        raise FileInputError(name, Problem("file", name, _why(bad, writing=True))) from None


def _why(bad: OSError, writing: bool = False) -> str:
    reason = bad.strerror or type(bad).__name__
    return say("terminal.cannot_write" if writing else "terminal.cannot_read", reason=reason.lower())


def card_of(name: str) -> Card:
    """The card in a file. Raises FileInputError."""
    data = read_bytes(name)
    try:
        return read_card(data, "card")
    except InputError as bad:
        raise FileInputError(name, *bad.problems) from None


def form_of(name: str, data: bytes) -> str:
    """ "csv" or "toml", from the file's name, else from its content."""
    suffix = Path(name).suffix.casefold()
    if suffix in (".csv", ".tsv", ".txt"):
        return "csv"
    if suffix == ".toml":
        return "toml"
    text = data.replace(b"\x00", b"")
    return "toml" if b"whitemetal.readings/" in text or b"[[reading]]" in text else "csv"


def facts_of(pairs: list[str]) -> Mapping[str, str]:
    """Facts typed as KEY=TEXT. Raises InputError for one without "=" and for a key given twice."""
    facts: dict[str, str] = {}
    problems = []
    for pair in pairs:
        key, mark, text = pair.partition("=")
        if not mark or not key.strip():
            problems.append(Problem("--fact", pair, say("terminal.key_text")))
        elif key.strip() in facts:
            problems.append(Problem("--fact", pair, say("card.given_twice")))
        else:
            facts[key.strip()] = text
    if problems:
        raise InputError(*problems)
    return facts
