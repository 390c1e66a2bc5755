"""Bytes of a file that a person wrote, as text: UTF-8, UTF-16, or a clear refusal."""

from __future__ import annotations

import codecs
from dataclasses import dataclass

from whitemetal.errors import Problem
from whitemetal.words import say

_MARKS: tuple[tuple[bytes, str], ...] = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_NOT_TEXT: tuple[tuple[bytes, str], ...] = (
    (b"PK\x03\x04", "card.not_text_workbook"),
    (b"\xd0\xcf\x11\xe0", "card.not_text_workbook"),
    (b"%PDF", "card.not_text_pdf"),
    (b"\x89PNG", "card.not_text_picture"),
    (b"\xff\xd8\xff", "card.not_text_picture"),
)


@dataclass(frozen=True)
class Decoded:
    """text, with line ends made "\\n". encoding: how it was read. problem: why it could not be, or None."""

    text: str
    encoding: str
    problem: Problem | None = None


def decode(data: bytes, field: str, *, western: bool = False) -> Decoded:
    """The text of a file. ``western``: read bytes that are not UTF-8 as Windows-1252, and say so in
    ``encoding``; otherwise they are a problem that names the line and the byte."""
    for mark, what in _NOT_TEXT:
        if data.startswith(mark):
            return Decoded("", "", Problem(field, "", say(what)))
    encoding = _encoding(data)
    try:
        return Decoded(_lines(data.decode(encoding)), encoding)
    except UnicodeDecodeError as bad:
        if western and encoding == "utf-8" and _looks_western(data):
            return Decoded(_lines(data.decode("cp1252")), "cp1252")
        return Decoded("", "", _refused(data, field, bad))


def _encoding(data: bytes) -> str:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return encoding
    head = data[:200]
    if len(head) >= 4 and head[1::2].count(0) > len(head) // 4:
        return "utf-16-le"
    if len(head) >= 4 and head[0::2].count(0) > len(head) // 4:
        return "utf-16-be"
    return "utf-8"


def _looks_western(data: bytes) -> bool:
    """No control characters and no byte that Windows-1252 leaves empty."""
    controls = set(range(32)) - {9, 10, 13}
    return not (set(data) & (controls | {0x81, 0x8D, 0x8F, 0x90, 0x9D}))


def _refused(data: bytes, field: str, bad: UnicodeDecodeError) -> Problem:
    line = data[: bad.start].count(b"\n") + 1
    start = data.rfind(b"\n", 0, bad.start) + 1
    typed = data[start : start + 60].split(b"\n")[0].decode("cp1252", "replace").strip()
    return Problem(field, typed, say("card.not_utf8", byte=f"0x{data[bad.start]:02X}"), line)


def _lines(text: str) -> str:
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
