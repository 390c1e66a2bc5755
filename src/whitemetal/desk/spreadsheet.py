"""A table from a file: CSV or XLSX bytes to rows of text, with everything refused that could be misread.

No formula is worked out and none is passed over: a cell that holds one is named. A workbook is opened only
when what it unpacks to is small, and its XML is read without entities.
"""

from __future__ import annotations

import csv
import datetime
import io
import re
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from typing import Any

from whitemetal.card.text_file import decode
from whitemetal.errors import InputError, Problem
from whitemetal.job.old_paper import COLUMNS, MOST_COLUMNS, MOST_ROWS, Rows
from whitemetal.words import say

LARGEST = 5 * 2**20
"""Bytes of a file that is brought in. Our own."""
UNPACKED = 40 * 2**20
"""Bytes that a workbook may unpack to. Our own."""
MOST_PARTS = 500
"""Files inside a workbook. Our own."""
SEPARATORS = ("\t", ";", ",")


def rows_of(data: bytes, sheet: str = "") -> Rows:
    """The rows of a file with their line numbers. sheet: of a workbook with several that hold anything.

    Raises InputError with what is wrong with it.
    """
    if len(data) > LARGEST:
        raise InputError(_problem("paper.too_large", most=LARGEST // 2**20))
    if data.startswith(b"PK\x03\x04"):
        return _workbook(data, sheet)
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise InputError(_problem("paper.old_workbook"))
    decoded = decode(data, say("paper.table"), western=True)
    if decoded.problem is not None:
        raise InputError(decoded.problem)
    return rows_of_text(decoded.text)


def rows_of_text(text: str) -> Rows:
    """The rows of a table as text: separated by tabs, semicolons or commas, whichever makes most of its first
    row known columns. Raises InputError."""
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    first = next((line for line in lines if line.strip()), "")
    known = {mark: sum(_known(cell) for cell in first.split(mark)) for mark in SEPARATORS}
    mark = max(SEPARATORS, key=lambda one: known[one])
    reader = csv.reader((f"{line}\n" for line in lines), delimiter=mark, strict=True)
    found: list[tuple[int, Sequence[str]]] = []
    while True:
        line = reader.line_num + 1
        try:
            found.append((line, [cell.strip() for cell in next(reader)]))
        except StopIteration:
            return found
        except csv.Error as bad:
            raise InputError(Problem(say("paper.table"), "", str(bad), line)) from None


def text_of(rows: Rows) -> str:
    """Rows as a table of text, separated by tabs, a line for every line of the file so that numbers stay."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter="\t", lineterminator="\n")
    for line, cells in rows:
        while out.getvalue().count("\n") < line - 1:
            out.write("\n")
        writer.writerow([" ".join(cell.split()) for cell in cells])
    return out.getvalue()


def _known(cell: str) -> bool:
    name = re.sub(r"\s*[\[(].*$", "", cell.strip().strip('"')).casefold()
    return name in COLUMNS or name.startswith("crown ")


def _problem(name: str, line: int | None = None, **more: object) -> Problem:
    return Problem(say("paper.table"), "", say(name, **more), line)


def _workbook(data: bytes, sheet: str) -> Rows:
    _not_a_bomb(data)
    import openpyxl

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
            held = {page.title: list(_cells(page)) for page in book.worksheets}
            book.close()
    except InputError:
        raise
    except Exception:
        raise InputError(_problem("paper.not_workbook")) from None
    full = [name for name, rows in held.items() if rows]
    if sheet and sheet not in held:
        raise InputError(_problem("paper.no_sheet", sheets=", ".join(held)))
    if not sheet and len(full) > 1:
        raise InputError(_problem("paper.sheets", sheets=", ".join(full)))
    return held[sheet or (full[0] if full else next(iter(held)))]


def _not_a_bomb(data: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = packed.infolist()
            names = {part.filename for part in parts}
    except (zipfile.BadZipFile, ValueError, NotImplementedError):
        raise InputError(_problem("paper.not_workbook")) from None
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > UNPACKED:
        raise InputError(_problem("paper.bomb", most=UNPACKED // 2**20))
    if "xl/workbook.xml" not in names:
        raise InputError(_problem("paper.not_workbook"))


def _cells(page: Any) -> Iterator[tuple[int, Sequence[str]]]:
    """Rows that hold anything. Raises InputError on a formula, and on more than a table may hold."""
    for line, row in enumerate(page.iter_rows(), start=1):
        if line > MOST_ROWS + 1:
            raise InputError(_problem("paper.too_many_rows", most=MOST_ROWS))
        if len(row) > MOST_COLUMNS and any(cell.value is not None for cell in row[MOST_COLUMNS:]):
            raise InputError(_problem("paper.too_many_columns", line, most=MOST_COLUMNS))
        cells = [_text(cell, line) for cell in row[:MOST_COLUMNS]]
        if any(cells):
            yield line, cells


def _text(cell: Any, line: int) -> str:
    """A cell as a person sees it: with the zeros its format shows, a date as year-month-day."""
    value = cell.value
    if value is None:
        return ""
    if cell.data_type == "f":
        raise InputError(_problem("paper.formula", line, cell=str(value)[:40]))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else value.isoformat()
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, float):
        return _float(value, str(cell.number_format or ""))
    return str(value).strip()


def _float(value: float, shown_as: str) -> str:
    """With as many decimals as the cell shows, where that is the number; else with all it has."""
    plain = f"{value:.15g}"
    match = re.fullmatch(r"0(?:\.(0+))?", shown_as)
    if match:
        shown = f"{value:.{len(match.group(1) or '')}f}"
        if float(shown) == float(plain):
            return shown
    return plain if "e" not in plain else f"{value:.12f}".rstrip("0").rstrip(".")
