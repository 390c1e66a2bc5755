"""Tables as files: CSV in a zip, and a workbook. A text stays a text: nothing in a cell is ever calculated.

Rows come one by one, table after table or mixed, so that a plant need not stand in memory.
"""

from __future__ import annotations

import csv
import io
import re
import tempfile
import zipfile
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import IO, Any

from whitemetal.job.tables import Cell, Head, Row
from whitemetal.words import say

EPOCH = (1980, 1, 1, 0, 0, 0)
"""Time of the files in a zip: the same tables give the same bytes. The first a zip can hold, from memory."""

LONGEST_CELL = 32_767
"""Letters a cell of a workbook holds; Office Open XML, from memory."""

MOST_ROWS = 1_048_576
"""Rows of a sheet of a workbook; Office Open XML, from memory."""

IN_MEMORY = 8_000_000
"""Bytes of a table kept in memory before it goes to a file. Our own."""

NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
STARTS = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20", "\t", "\r", "\n", "\x00", "'")
"""A text that begins like this may be taken for a formula by what opens a CSV, also in the letters of wide
alphabets. Common practice."""

UNSEEN = " \u00a0\u200b\u2060\u3000\ufeff"
"""Blanks that a program may skip before it looks for a formula. Our own."""


def guarded(cell: Cell) -> str:
    """A cell of a CSV. A text that could be taken for a formula, or begins with an apostrophe, gets an
    apostrophe before it; take one away to have the text as it was. Floats to the last bit."""
    if cell is None:
        return ""
    if not isinstance(cell, str):
        return repr(cell)
    begins = cell.lstrip(UNSEEN).startswith(STARTS)
    return f"'{cell}" if begins and not NUMBER.fullmatch(cell) else cell


def write_csv_zip(
    out: IO[bytes], heads: Sequence[Head], rows: Iterable[Row], about: str = "",
    files: Iterable[tuple[str, bytes]] = (),
) -> None:  # fmt: skip
    """A zip with one CSV a table (UTF-8 with its mark, commas, points, CRLF: RFC 4180) and a text on how to
    read them. about: a line on what it is of. files: further ones, by name; a name twice counts once."""
    kept: dict[str, IO[bytes]] = {}
    texts: dict[str, io.TextIOWrapper] = {}
    pens: dict[str, Any] = {}
    try:
        for head in heads:
            kept[head.name] = tempfile.SpooledTemporaryFile(IN_MEMORY)  # noqa: SIM115
            texts[head.name] = io.TextIOWrapper(kept[head.name], "utf-8-sig", "surrogatepass", newline="")
            pens[head.name] = csv.writer(texts[head.name])
            pens[head.name].writerow(head.columns)
        for name, cells in rows:
            pens[name].writerow([guarded(cell) for cell in cells])
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
            made.writestr(zipfile.ZipInfo("how-to-read.txt", EPOCH), say("report.how_to_read", about=about))
            for name, text in texts.items():
                text.flush()
                kept[name].seek(0)
                _copy(made, f"{name}.csv", kept[name])
            _beside(made, files)
    finally:
        for text in texts.values():
            text.close()


def _copy(made: zipfile.ZipFile, name: str, file: IO[bytes]) -> None:
    info = zipfile.ZipInfo(name, EPOCH)
    info.compress_type = zipfile.ZIP_DEFLATED
    with made.open(info, "w", force_zip64=True) as into:
        while block := file.read(1 << 20):
            into.write(block)


def _beside(made: zipfile.ZipFile, files: Iterable[tuple[str, bytes]]) -> None:
    there = set(made.namelist())
    for name, content in files:
        if name not in there:
            there.add(name)
            made.writestr(zipfile.ZipInfo(name, EPOCH), content)


def write_xlsx(out: IO[bytes], heads: Sequence[Head], rows: Iterable[Row], created: datetime) -> None:
    """A workbook with one sheet a table. Texts are texts, also "=1+1"; created: the time it carries.

    A text longer than a cell holds is cut, and its cell says so; a table longer than a sheet goes on in
    another one.
    """
    import xlsxwriter

    options = {
        "constant_memory": True, "strings_to_formulas": False, "strings_to_numbers": False,
        "strings_to_urls": False,
    }  # fmt: skip
    book = xlsxwriter.Workbook(out, options)
    book.set_properties({"created": created, "title": "whitemetal"})
    bold = book.add_format({"bold": True})
    pages = {head.name: _Page(book, head, bold) for head in heads}
    for name, cells in rows:
        pages[name].write(cells)
    book.close()


class _Page:
    """One table of a workbook, over as many sheets as it needs."""

    def __init__(self, book: Any, head: Head, bold: Any) -> None:
        self.book, self.head, self.bold = book, head, bold
        self.sheets = 0
        self._next()

    def _next(self) -> None:
        self.sheets += 1
        name = self.head.name if self.sheets == 1 else f"{self.head.name} {self.sheets}"
        self.sheet = self.book.add_worksheet(name)
        self.sheet.freeze_panes(1, 0)
        self.row = 1
        for column, title in enumerate(self.head.columns):
            self.sheet.write_string(0, column, title, self.bold)

    def write(self, cells: Sequence[Cell]) -> None:
        if self.row >= MOST_ROWS:
            self._next()
        for column, cell in enumerate(cells):
            if isinstance(cell, str):
                if cell:
                    self.sheet.write_string(self.row, column, held(cell))
            elif cell is not None:
                self.sheet.write_number(self.row, column, cell)
        self.row += 1


def held(text: str) -> str:
    """A text as a cell holds it: cut where it is too long, and then it says so."""
    units = len(text.encode("utf-16-le", "surrogatepass")) // 2
    if units <= LONGEST_CELL:
        return text
    note = say("report.cut", letters=len(text))
    return text[: (LONGEST_CELL - len(note)) // 2] + note
