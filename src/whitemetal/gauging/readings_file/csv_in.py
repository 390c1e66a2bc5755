"""Readings from CSV, whatever program wrote it: separator, encoding and decimal comma are told, or asked."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from whitemetal.card import Card
from whitemetal.card.nearest import nearest_of
from whitemetal.card.text_file import decode
from whitemetal.errors import Problem
from whitemetal.gauging.contract import Method
from whitemetal.gauging.readings_file.content import COLUMNS, ReadingsFile, Row
from whitemetal.gauging.readings_file.facts import normal_keys
from whitemetal.gauging.readings_file.rows import Sheet, understand
from whitemetal.words import say

SEPARATORS = ("\t", ";", ",")
_WITH_UNIT = re.compile(r"^([^\[(]*)[\[(](.*)[\])]$")
_SAID_IN_FILE = re.compile(r"^sep=(.)$")
_ALSO_CALLED = {"thickness": "reading", "value": "reading", "label": "place", "note": "remark"}
COLUMN = ("readings.column", "readings.column_near")


def read_csv(
    data: str | bytes,
    card: Card,
    method: Method,
    *,
    facts: Mapping[str, str] | None = None,
    unit: str = "",
    instrument: str = "",
) -> ReadingsFile:
    """Readings of a CSV file (text, or bytes as they are on the disk).

    facts: the check's facts by key, which a CSV has no room for. unit: of readings typed without one.
    instrument: of readings that name none. Nothing is raised: what is wrong stands in ``problems``.
    """
    notes: list[str] = []
    if isinstance(data, bytes):
        decoded = decode(data, "readings", western=True)
        if decoded.encoding == "cp1252":
            notes.append(say("readings.western"))
        broken = (decoded.problem,) if decoded.problem is not None else ()
        data = decoded.text
    else:
        broken = ()
    given = dict(normal_keys(facts or {}))
    if broken:
        return understand(Sheet((), given, unit, instrument, broken, notes), card, method)
    rows, problems = _rows(data.removeprefix("\ufeff"))
    return understand(Sheet(rows, given, unit, instrument, problems, notes), card, method)


def _rows(text: str) -> tuple[list[Row], list[Problem]]:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    first = next((n for n, line in enumerate(lines) if line.strip() and not line.startswith("#")), None)
    if first is None:
        return [], [Problem("readings", "", say("readings.empty"), 1)]
    said = _SAID_IN_FILE.match(lines[first])
    if said and first + 1 < len(lines):
        first += 1
    separator = said.group(1) if said else _separator(lines[first])
    if separator is None:
        return [], [Problem("header", lines[first].strip(), say("readings.header"), first + 1)]
    problems: list[Problem] = []
    cells = list(_cells(lines, first, separator, problems))
    if not cells:
        return [], problems
    names, units = _header(cells[0][1], first + 1, problems)
    rows = [_row(names, units, line, row, separator, problems) for line, row in cells[1:] if any(row)]
    if not rows and not problems:
        problems.append(Problem("readings", "", say("readings.header_only"), first + 1))
    return rows, problems


def _separator(header: str) -> str | None:
    """The separator that makes most of the header's cells known columns, or None when none makes any."""
    known = {mark: sum(_name(cell)[0] in COLUMNS for cell in header.split(mark)) for mark in SEPARATORS}
    best = max(SEPARATORS, key=lambda mark: known[mark])
    return best if known[best] > 0 else None


def _cells(
    lines: Sequence[str], first: int, separator: str, problems: list[Problem]
) -> Iterator[tuple[int, list[str]]]:
    """Rows of cells with the number of the line each begins in. Comment lines are left out."""
    reader = csv.reader((f"{line}\n" for line in lines[first:]), delimiter=separator)
    while True:
        line = first + reader.line_num + 1
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as bad:
            problems.append(
                Problem("readings", lines[line - 1].strip(), say("readings.not_csv", why=bad), line)
            )
            continue
        if not (row and row[0].startswith("#")):
            yield line, [cell.strip() for cell in row]


def _name(cell: str) -> tuple[str, str]:
    """Column name and unit of a header cell: "Thickness [mm]" gives ("reading", "mm")."""
    name, unit = name_and_unit(cell.strip().strip("\"'").strip())
    return _ALSO_CALLED.get(name.casefold(), name.casefold()), unit


def name_and_unit(cell: str) -> tuple[str, str]:
    """A header cell's name, one blank between its words, and the unit in brackets behind it, "" without."""
    match = _WITH_UNIT.match(cell)
    name, unit = match.groups() if match else (cell, "")
    return " ".join(name.split()), unit.strip()


def _header(cells: Sequence[str], line: int, problems: list[Problem]) -> tuple[list[str], dict[str, str]]:
    names, units = [], {}
    for cell in cells:
        name, unit = _name(cell)
        if name and name not in COLUMNS:
            problems.append(Problem("header", cell, nearest_of(name, COLUMNS, COLUMN), line))
        elif name and name in names:
            problems.append(Problem("header", cell, say("readings.column_twice"), line))
        names.append(name)
        if unit and name:
            units["unit" if name == "reading" else f"{name} unit"] = unit
    if "reading" not in names or not {"place", "axial"} & set(names):
        problems.append(Problem("header", ", ".join(cells), say("readings.columns_needed"), line))
    return names, units


def _row(
    names: Sequence[str], units: Mapping[str, str], line: int, cells: Sequence[str], separator: str,
    problems: list[Problem],
) -> Row:  # fmt: skip
    beyond = [cell for cell in cells[len(names) :] if cell]
    typed = dict(zip(names, cells, strict=False))
    if beyond or typed.get(""):
        which = (
            "readings.decimal_comma" if separator == "," and _decimal_comma(cells) else "readings.too_many"
        )
        problems.append(Problem("row", separator.join(cells), say(which, columns=len(names)), line))
        return Row({**typed, "reading": "", "remark": separator.join(cells)}, line)
    for column, unit in units.items():
        typed[column] = typed.get(column) or unit
    return Row(typed, line)


def _decimal_comma(cells: Sequence[str]) -> bool:
    """Whether two neighbouring cells look like a number cut at its decimal comma."""
    pairs = pairwise(cells)
    return any(re.fullmatch(r"[+-]?\d+", a) and re.match(r"\d+(\D|$)", b) for a, b in pairs)
