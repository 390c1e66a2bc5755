"""A logger's text as a table: lines, separator, decimal sign, header and row of units. Nothing is dropped:
every line of the text is a line of the table, whatever it turns out to be."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from whitemetal.closing.run_in.logger_time import DATE_ALONE, looks_like_time
from whitemetal.units import find_unit

Separator = Literal["semicolon", "tab", "bar", "comma", "blanks"]
Decimal = Literal["point", "comma"]
SEPARATORS: dict[Separator, str] = {"semicolon": ";", "tab": "\t", "bar": "|", "comma": ",", "blanks": " "}
"""By the word they are called; tried in this order, because a comma may be a decimal sign."""

LOOKED_AT = 400
"""So many lines say what the table is like. Our own."""

NUMBER = re.compile(r"[+-]?(\d[\d.,' \u00a0]*|[.,]\d+)([eE][+-]?\d+)?")
_UNIT_IN_NAME = re.compile(r"[\[(/]\s*([^\])]{1,12}?)\s*[\])]?\s*$")
_ENDS = re.compile(r"\r\n|\n|\r")
NO_VALUE = frozenset(
    {"", "-", "--", "---", "nan", "n/a", "na", "ol", "open", "err", "error", "fault", "null"}
)
"""What loggers write where there is no value. Common practice."""


@dataclass(frozen=True)
class Table:
    """lines: of the text, without their ends. rows: their cells, () for one that is blank or a comment.

    width: cells of a usual row. header, units: index of the line with names and with units, -1 without one.
    first: index of the first line of data, -1 when there is none. decimal: "" where both would do.
    """

    lines: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    separator: Separator
    decimal: Decimal | Literal[""]
    width: int
    header: int
    units: int
    first: int

    @property
    def names(self) -> tuple[str, ...]:
        """A name for each column, "" where it has none."""
        return self._row(self.header)

    @property
    def unit_names(self) -> tuple[str, ...]:
        """The unit of each column as the file has it, "" where it does not say."""
        below = self._row(self.units)
        return tuple(unit or unit_in(name) for unit, name in zip(below, self.names, strict=True))

    @property
    def data(self) -> tuple[int, ...]:
        """Indexes of the lines from the first one of data on."""
        return tuple(range(self.first, len(self.lines))) if self.first >= 0 else ()

    def _row(self, index: int) -> tuple[str, ...]:
        row = self.rows[index] if index >= 0 else ()
        return tuple(bare_unit(cell) if index == self.units else cell for cell in row[: self.width]) + (
            "",
        ) * (self.width - len(row))


def table_of(
    text: str, separator: Separator | Literal[""] = "", decimal: Decimal | Literal[""] = ""
) -> Table:
    """The table in a text; what is not given is taken from the text."""
    lines = lines_of(text)
    found = separator or _separator(lines[:LOOKED_AT])
    rows = tuple(cells_of(line, found) for line in lines)
    width = _width(rows[:LOOKED_AT])
    first = next((i for i, row in enumerate(rows) if len(row) == width and _is_data(row)), -1)
    header, units = _heads(rows, first, width)
    sign = decimal or _decimal(rows, first, width, found)
    return Table(lines, rows, found, sign, width, header, units, first)


def lines_of(text: str) -> tuple[str, ...]:
    """The lines of a text. The end of the last line begins no further one."""
    lines = _ENDS.split(text.removeprefix("\ufeff"))
    return tuple(lines[:-1] if lines[-1] == "" else lines)


def cells_of(line: str, separator: Separator) -> tuple[str, ...]:
    """The cells of a line, without the blanks about them; () for a blank line or a comment. Quotation marks
    that do not close leave the line in one cell."""
    bare = line.strip()
    if not bare or bare.startswith(("#", "//")):
        return ()
    if separator == "blanks":
        return tuple(bare.split())
    try:
        found = next(csv.reader([line], delimiter=SEPARATORS[separator], strict=True))
    except (csv.Error, StopIteration):
        return (bare,)
    return tuple(cell.strip().strip("\u00a0") for cell in found)


def _separator(lines: Sequence[str]) -> Separator:
    """The one that cuts most lines into the same number of cells, more than one."""
    best: tuple[int, Separator] = (0, "comma")
    for name in SEPARATORS:
        counts = Counter(len(cells_of(line, name)) for line in lines)
        several = [(lines_so, width) for width, lines_so in counts.items() if width > 1]
        most = max(several, default=(0, 0))[0]
        if most > best[0] and not (name == "blanks" and best[0] >= len(lines) / 2):
            best = most, name
    return best[1]


def _width(rows: Iterable[tuple[str, ...]]) -> int:
    """Cells of a usual row: most rows of numbers have so many."""
    counts = Counter(len(row) for row in rows if len(row) > 1 and _is_data(row))
    return max(counts.items(), key=lambda one: (one[1], one[0]), default=(0, 0))[0]


def _is_data(row: Sequence[str]) -> bool:
    """A time, or at least two cells that are times or numbers, and no names."""
    read = [looks_like_time(cell) or NUMBER.fullmatch(cell) is not None for cell in row]
    names = [cell for cell, so in zip(row, read, strict=True) if not so and cell.casefold() not in NO_VALUE]
    times = any(looks_like_time(cell) or DATE_ALONE.fullmatch(cell) for cell in row)
    return (times or sum(read) >= 2) and len(names) <= max(len(row) - 2, 0)


def _heads(rows: Sequence[tuple[str, ...]], first: int, width: int) -> tuple[int, int]:
    """Index of the names and of the units above the first line of data."""
    above = [i for i in range(max(first, 0)) if 1 < len(rows[i]) <= width + 1 and any(rows[i])][-2:]
    units = next((i for i in reversed(above) if _is_units(rows[i])), -1)
    header = next((i for i in reversed(above) if i != units), -1)
    return header, units


def _is_units(row: Sequence[str]) -> bool:
    """Whether some cells are units and all others empty or the word for a time."""
    said = [bare_unit(cell) for cell in row if bare_unit(cell)]
    known = [cell for cell in said if known_unit(cell)]
    return bool(known) and len(said) - len(known) <= 2 and all(len(cell) <= 20 for cell in said)


def bare_unit(cell: str) -> str:
    """A unit without the brackets about it."""
    return cell.strip().strip("[]()").strip()


def known_unit(text: str) -> str:
    """The unit's own name where the program knows it as one of a temperature or a velocity; else ""."""
    for dimension in ("temperature", "velocity"):
        found = find_unit(_respelled(text), dimension)
        if found is not None:
            return found.name
    return ""


def _respelled(text: str) -> str:
    """Spellings that loggers use besides those of the table of units."""
    bare = " ".join(text.replace("º", "°").replace("° ", "°").split())
    return {"deg C": "degC", "deg F": "degF", "Celsius": "degC", "Fahrenheit": "degF"}.get(bare, bare)


def unit_in(name: str) -> str:
    """The unit that stands behind a name: "Lining (°C)", "Lining [degC]", "Lining / °C"; else ""."""
    found = _UNIT_IN_NAME.search(name)
    return found[1] if found is not None and known_unit(found[1]) else ""


def _decimal(
    rows: Sequence[tuple[str, ...]], first: int, width: int, separator: Separator
) -> Decimal | Literal[""]:
    """The decimal sign: whatever stands once in numbers; a comma before just three digits says nothing."""
    cells = [
        cell
        for row in rows[max(first, 0) : max(first, 0) + LOOKED_AT]
        for cell in row[:width]
        if NUMBER.fullmatch(cell) and not DATE_ALONE.fullmatch(cell)
    ]
    commas = [cell for cell in cells if cell.count(",") == 1 and "." not in cell]
    points = [cell for cell in cells if cell.count(".") == 1 and "," not in cell]
    sure = [cell for cell in commas if not re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", cell)]
    if len(sure) > len(points):
        return "comma"
    if len(commas) > len(points) and separator != "comma":
        return ""
    return "point"
