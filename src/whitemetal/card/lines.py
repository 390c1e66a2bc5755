"""In which line of a TOML text a key stands. tomllib does not tell, and people need to know."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

_STRING = re.compile(r'"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'', re.DOTALL)
_BARE = r"[A-Za-z0-9_-]+|\"[^\"\n]*\"|'[^'\n]*'"
_KEY = re.compile(rf"\s*((?:{_BARE})(?:\s*\.\s*(?:{_BARE}))*)\s*=(.*)", re.DOTALL)
_TABLE = re.compile(rf"\s*(\[\[?)\s*((?:{_BARE})(?:\s*\.\s*(?:{_BARE}))*)\s*\]\]?")
_INLINE = re.compile(r"[{,]\s*([A-Za-z0-9_-]+)\s*=")


@dataclass
class KeyLines:
    """first: line of each path, counted from 1. again: (path, line) of every key or table given again.

    A path is "table.key"; the n-th table of a list is "list.n", its keys "list.n.key", n from 1.
    """

    first: dict[str, int] = field(default_factory=dict)
    again: list[tuple[str, int]] = field(default_factory=list)

    def line(self, path: str) -> int | None:
        """The line of a path, of what stands below it, or of the nearest table above it."""
        while path:
            if path in self.first:
                return self.first[path]
            below = [line for known, line in self.first.items() if known.startswith(f"{path}.")]
            if below:
                return min(below)
            path = path.rpartition(".")[0]
        return None

    def note(self, path: str, line: int) -> None:
        """Keep where a path stands; a second time it is noted as given again."""
        if path in self.first:
            self.again.append((path, line))
        else:
            self.first[path] = line


def key_lines(text: str) -> KeyLines:
    """Where each key of a TOML text stands. Works on texts that tomllib refuses, as far as it can."""
    found = KeyLines()
    counts: dict[str, int] = {}
    table = ""
    for line, statement in _statements(text):
        heading = _TABLE.match(statement)
        assignment = _KEY.match(statement)
        if heading:
            table = _plain(heading.group(2))
            if heading.group(1) == "[[":
                counts[table] = counts.get(table, 0) + 1
                table = f"{table}.{counts[table]}"
            found.note(table, line)
        elif assignment:
            path = f"{table}.{_plain(assignment.group(1))}".lstrip(".")
            found.note(path, line)
            for inner in _INLINE.finditer(_without_strings(assignment.group(2))):
                found.first.setdefault(f"{path}.{inner.group(1)}", line)
    return found


def _statements(text: str) -> list[tuple[int, str]]:
    """Logical lines with the number of their first line; strings and brackets over several lines joined."""
    joined: list[tuple[int, str]] = []
    start, piece, depth = 1, "", 0
    for number, physical in enumerate(_mask_line_breaks(text).split("\n"), start=1):
        if not piece:
            start = number
        piece = f"{piece} {physical}" if piece else physical
        bare = re.sub(r"#.*", "", _without_strings(physical))
        depth += sum(bare.count(mark) for mark in "[{") - sum(bare.count(mark) for mark in "]}")
        if depth <= 0:
            if piece.strip() and not piece.lstrip().startswith("#"):
                joined.append((start, piece))
            piece, depth = "", 0
    if piece.strip():
        joined.append((start, piece))
    return _renumber(joined)


def _mask_line_breaks(text: str) -> str:
    """Line breaks inside strings become a mark, so that a string is one line; the mark is counted later."""
    return _STRING.sub(lambda match: match.group().replace("\n", "\x00"), text.replace("\r\n", "\n"))


def _renumber(joined: list[tuple[int, str]]) -> list[tuple[int, str]]:
    shift = 0
    result = []
    for line, piece in joined:
        result.append((line + shift, piece))
        shift += piece.count("\x00")
    return result


def _without_strings(text: str) -> str:
    return _STRING.sub("''", text)


def _plain(key: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in key.split("."))
