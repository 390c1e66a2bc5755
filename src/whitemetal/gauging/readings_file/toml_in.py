"""Readings from TOML: the facts of the check, of each squeeze and each instrument, and the readings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from whitemetal.card import Card
from whitemetal.card.lines import KeyLines, key_lines
from whitemetal.card.nearest import UNKNOWN_KEY, UNKNOWN_TABLE, nearest_of
from whitemetal.card.text_file import decode
from whitemetal.card.toml_in import load_toml, shown
from whitemetal.errors import Problem
from whitemetal.gauging.contract import Method
from whitemetal.gauging.readings_file.content import COLUMNS, FORMAT, ReadingsFile, Row
from whitemetal.gauging.readings_file.facts import normal_keys
from whitemetal.gauging.readings_file.rows import Sheet, understand
from whitemetal.words import say

TOP = (
    "format", "method", "unit", "measured_with", "facts", "squeeze", "instrument", "answers", "reading",
)  # fmt: skip


def read_toml(
    data: str | bytes,
    card: Card,
    method: Method,
    *,
    facts: Mapping[str, str] | None = None,
    unit: str = "",
    instrument: str = "",
    only_facts: bool = False,
) -> ReadingsFile:
    """Readings of a TOML file. facts, unit, instrument: given beside the file; they stand over what it says.
    only_facts: for a file that goes with a CSV; it need not hold readings.

    Nothing is raised: what is wrong stands in ``problems``.
    """
    given = dict(normal_keys(facts or {}))
    if isinstance(data, bytes):
        decoded = decode(data, "readings")
        if decoded.problem is not None:
            return understand(Sheet((), given, unit, instrument, (decoded.problem,)), card, method)
        data = decoded.text
    if not data.strip():
        empty = Problem("readings", "", say("readings.empty"), 1)
        return understand(Sheet((), given, unit, instrument, (empty,)), card, method)
    document, problems, broken = load_toml(data, "readings")
    lines = key_lines(data)
    if broken != {"*"}:
        problems += _top(document, lines, method)
    typed = dict(_facts(document, lines, problems))
    rows = list(_rows(document, lines, problems))
    sheet = Sheet(
        rows,
        {**typed, **given},
        unit or shown(document.get("unit", "")),
        instrument or shown(document.get("measured_with", "")),
        problems,
        only_facts=only_facts,
    )
    return understand(sheet, card, method)


def _top(document: Mapping[str, Any], lines: KeyLines, method: Method) -> Iterator[Problem]:
    if document.get("format") != FORMAT:
        typed = shown(document.get("format", ""))
        yield Problem("format", typed, say("readings.format", format=FORMAT), lines.line("format") or 1)
    said = document.get("method", method.key)
    if said != method.key:
        yield Problem("method", shown(said), say("readings.method", method=method.key), lines.line("method"))
    for key, value in document.items():
        if key not in TOP:
            expected = nearest_of(key, TOP, UNKNOWN_TABLE)
            yield Problem(key, "" if isinstance(value, dict) else shown(value), expected, lines.line(key))


def _facts(
    document: Mapping[str, Any], lines: KeyLines, problems: list[Problem]
) -> Iterator[tuple[str, tuple[str, int | None]]]:
    for key, text, path in _leaves(document.get("facts", {}), "facts", problems, lines):
        yield key, (text, lines.line(path))
    for key, text, path in _leaves(document.get("answers", {}), "answers", problems, lines):
        yield f"answer.{key}", (text, lines.line(path))
    for number, table in _tables(document.get("squeeze", {}), "squeeze", problems, lines):
        suffix = "" if number == "1" else f"@{number}"
        for key, text, path in _leaves(table, f"squeeze.{number}", problems, lines):
            yield key + suffix, (text, lines.line(path))
    for name, table in _tables(document.get("instrument", {}), "instrument", problems, lines):
        for key, text, path in _leaves(table, f"instrument.{name}", problems, lines):
            yield f"instrument.{name}.{key}", (text, lines.line(path))


def _tables(
    value: Any, path: str, problems: list[Problem], lines: KeyLines
) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """The tables [path.NAME]."""
    if not isinstance(value, dict) or not all(isinstance(inner, dict) for inner in value.values()):
        problems.append(Problem(path, "", say("readings.named_table", path=path), lines.line(path)))
        return
    yield from value.items()


def _leaves(
    table: Any, path: str, problems: list[Problem], lines: KeyLines
) -> Iterator[tuple[str, str, str]]:
    """(key, text, path) of every value of a table; keys with points in them are put together again."""
    if not isinstance(table, dict):
        problems.append(Problem(path, shown(table), say("card.table_wanted", table=path), lines.line(path)))
        return
    for key, value in table.items():
        if isinstance(value, dict):
            for inner, text, where in _leaves(value, f"{path}.{key}", problems, lines):
                yield f"{key}.{inner}", text, where
        elif isinstance(value, list):
            problems.append(
                Problem(f"{path}.{key}", shown(value), say("card.one_value"), lines.line(f"{path}.{key}"))
            )
        else:
            yield key, shown(value), f"{path}.{key}"


def _rows(document: Mapping[str, Any], lines: KeyLines, problems: list[Problem]) -> Iterator[Row]:
    listed = document.get("reading", [])
    if not isinstance(listed, list) or not all(isinstance(each, dict) for each in listed):
        problems.append(Problem("reading", "", say("readings.list"), lines.line("reading")))
        return
    known = tuple("text" if column == "reading" else column for column in COLUMNS)
    for number, each in enumerate(listed, start=1):
        path = f"reading.{number}"
        cells: dict[str, str] = {}
        for key, value in each.items():
            if key not in known and key != "reading":
                expected = nearest_of(key, known, UNKNOWN_KEY)
                problems.append(Problem(f"{path}.{key}", shown(value), expected, lines.line(f"{path}.{key}")))
            elif isinstance(value, list | dict):
                problems.append(
                    Problem(f"{path}.{key}", shown(value), say("card.one_value"), lines.line(f"{path}.{key}"))
                )
            else:
                cells["reading" if key == "text" else key] = shown(value)
        yield Row(cells, lines.line(f"{path}.text") or lines.line(path))
