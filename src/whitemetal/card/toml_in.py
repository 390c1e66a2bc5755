"""A card from the TOML people write by hand: every problem at once, each with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from whitemetal.card.build import Cell, build
from whitemetal.card.card import Card
from whitemetal.card.fields import FORMAT, TABLES, declared, fields_of
from whitemetal.card.lines import KeyLines, key_lines
from whitemetal.card.nearest import UNKNOWN_TABLE, nearest_key, nearest_of
from whitemetal.card.text_file import decode
from whitemetal.errors import CardError, Problem
from whitemetal.words import say

_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_ENDLESS = re.compile(r"(?<![\"'\w])[+-]?(0[xob])?[0-9a-fA-F_]{1000,}")
"""A whole number of so many digits is none: turned into text it could stop the program."""
_MOST_SYNTAX_ERRORS = 30
"""More syntax errors than these are not listed: the file is not a card. Our own."""


def read_card(toml_text: str | bytes, name: str = "card") -> Card:
    """The card in a TOML text (or the bytes of its file). ``name``: what to call it in a message.

    Raises CardError with every problem found, in the order of their lines.
    """
    if isinstance(toml_text, bytes):
        decoded = decode(toml_text, name)
        if decoded.problem is not None:
            raise CardError(decoded.problem)
        toml_text = decoded.text
    if not toml_text.strip():
        raise CardError(Problem(name, "", say("card.empty"), 1))
    document, problems, broken = load_toml(toml_text, name)
    lines = key_lines(toml_text)
    cells: dict[str, Cell] = {}
    problems += _format(document, lines)
    problems += _flatten(document, lines, cells)
    card, more = build(cells, {path for path in broken if path})
    problems += more
    if problems or card is None:
        raise CardError(*sorted(problems, key=lambda problem: problem.line or 0))
    return card


def load_toml(text: str, name: str) -> tuple[dict[str, Any], list[Problem], set[str]]:
    """A TOML text as values, numbers with a point kept as typed; its syntax problems; the paths they hit.

    A line that TOML refuses is named, taken out and the rest read, so that one slip does not hide others.
    """
    problems: list[Problem] = []
    broken: set[str] = set()
    physical = text.replace("\r\n", "\n").split("\n")
    for line in [number for number, each in enumerate(physical, start=1) if _ENDLESS.search(each)]:
        path = _path_at(physical, line)
        problems.append(Problem(path or name, physical[line - 1].strip()[:80], say("card.endless"), line))
        broken.add(path)
        physical[line - 1] = ""
    for _ in range(_MOST_SYNTAX_ERRORS):
        for path, line in reversed(key_lines("\n".join(physical)).again):
            problems.append(Problem(path, physical[line - 1].strip(), say("card.given_twice"), line))
            physical[line - 1] = ""
        try:
            return tomllib.loads("\n".join(physical), parse_float=str), problems, broken
        except RecursionError:
            break
        except tomllib.TOMLDecodeError as bad:
            where = _AT_LINE.search(str(bad))
            line = int(where.group(1)) if where else _last_line(physical)
            if not physical[line - 1].strip():
                break
            path, problem = _syntax(physical, line, str(bad), name)
            problems.append(problem)
            broken.add(path)
            physical[line - 1] = ""
    return {}, problems or [Problem(name, "", say("card.not_toml"), 1)], {"*"}


def _last_line(physical: list[str]) -> int:
    """TOML says only "at end of document": the last line with a string left open, else the last with text."""
    for number in range(len(physical), 0, -1):
        if physical[number - 1].count('"') % 2:
            return number
    return max((number for number, line in enumerate(physical, start=1) if line.strip()), default=1)


_UNQUOTED = re.compile(r"\s*[A-Za-z0-9_.-]+\s*=\s*([^\s\"'\[{#][^#]*?)\s*(#.*)?$")


def _path_at(physical: list[str], line: int) -> str:
    """The key that stands in a line, "" where none does."""
    found = key_lines("\n".join(physical[:line])).first
    return next((path for path, at in found.items() if at == line), "")


def _syntax(physical: list[str], line: int, message: str, name: str) -> tuple[str, Problem]:
    typed = physical[line - 1].strip()
    path = _path_at(physical, line)
    unquoted = _UNQUOTED.match(physical[line - 1])
    if unquoted:
        expected = say("card.quote_it", value=unquoted.group(1))
        typed = unquoted.group(1)
    else:
        expected = say("card.toml_line", message=_AT_LINE.sub("", message).strip().rstrip("."))
    return path, Problem(path or name, typed, expected, line)


def _format(document: Mapping[str, Any], lines: KeyLines) -> Iterator[Problem]:
    typed = document.get("format")
    if typed == FORMAT:
        return
    if isinstance(typed, str) and typed.startswith("whitemetal.card/"):
        yield Problem("format", typed, say("card.other_format", format=FORMAT), lines.line("format"))
    else:
        shown = "" if typed is None else str(typed)
        yield Problem("format", shown, say("card.no_format", format=FORMAT), lines.line("format") or 1)


def _flatten(document: Mapping[str, Any], lines: KeyLines, cells: dict[str, Cell]) -> Iterator[Problem]:
    for table, value in document.items():
        line = lines.line(table) or lines.line(f"{table}.1")
        if table == "format":
            continue
        if table not in TABLES:
            yield Problem(table, "", nearest_of(table, TABLES, UNKNOWN_TABLE), line)
        elif table == "limit":
            yield from _limits(value, lines, cells)
        elif not isinstance(value, dict):
            yield Problem(table, shown(value), say("card.table_wanted", table=table), line)
        else:
            yield from _table(table, table, value, lines, cells)


def _limits(value: Any, lines: KeyLines, cells: dict[str, Cell]) -> Iterator[Problem]:
    if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
        yield Problem("limit", "", say("card.limit_list"), lines.line("limit"))
        return
    for number, limit in enumerate(value, start=1):
        path = f"limit.{number}"
        cells[path] = Cell("", lines.line(path))
        yield from _table("limit", path, limit, lines, cells)


def _table(
    table: str, path: str, values: Mapping[str, Any], lines: KeyLines, cells: dict[str, Cell]
) -> Iterator[Problem]:
    cells.setdefault(path, Cell("", lines.line(path)))
    for key, value in values.items():
        here = f"{path}.{key}"
        field = declared(here)
        if field is None:
            keys = tuple(each.key for each in fields_of(table))
            yield Problem(here, shown(value), nearest_key(key, keys), lines.line(here))
        elif isinstance(value, list) and field.kind == "two texts":
            cells[here] = Cell(", ".join(shown(each) for each in value), lines.line(here))
        elif isinstance(value, list | dict):
            yield Problem(here, shown(value), say("card.one_value"), lines.line(here))
        else:
            cells[here] = Cell(shown(value), lines.line(here))


def shown(value: Any) -> str:
    """A TOML value as the text it was typed as (dates and whole numbers as TOML writes them)."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | dict):
        return repr(value)
    return str(value)
