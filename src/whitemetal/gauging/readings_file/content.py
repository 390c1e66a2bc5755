"""What a readings file holds, and what its rows are called."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from whitemetal.errors import Problem, ReadingsError
from whitemetal.gauging.contract import Fact, Place, Reading

FORMAT = "whitemetal.readings/1"

COLUMNS: tuple[str, ...] = (
    "place", "reading", "unit", "squeeze", "repeat", "instrument", "axial", "angle", "arc", "piece", "lies",
    "remark",
)  # fmt: skip
"""Columns of a CSV, and keys of a [[reading]] in TOML. Only ``reading`` and a place are needed."""


@dataclass(frozen=True)
class Row:
    """One reading as typed. cells: texts by column ("" where nothing stands). line: in the file, from 1."""

    cells: Mapping[str, str]
    line: int | None = None

    def text(self, column: str) -> str:
        """The text of a column without spaces around it."""
        return self.cells.get(column, "").strip()


@dataclass(frozen=True)
class ReadingsFile:
    """places: all places of the check, read or not. facts: by key. readings: those that can be used.

    rows: everything typed, readable or not, in the file's order. problems: everything wrong, in the order of
    lines. notes: what was taken for granted (encoding, the only instrument), one sentence each.
    """

    places: tuple[Place, ...]
    facts: Mapping[str, Fact]
    readings: tuple[Reading, ...]
    rows: tuple[Row, ...] = ()
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()

    def sound(self) -> ReadingsFile:
        """This file, if nothing is wrong with it. Raises ReadingsError with every problem."""
        if self.problems:
            raise ReadingsError(*self.problems)
        return self
