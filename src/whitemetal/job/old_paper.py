"""Years of old sheets from one table: every row an opening, what it means asked once for the whole table.

Columns (`COLUMNS`; any order, any case, a unit may stand in brackets after the name): date, job, as found,
as left, good to, method, joint, torque, hours, starts, new shells, temperature, "crown PLACE", remark.
Basis, unit, order of dates and decimal sign are answers for the whole table, never guessed. A row is kept
whole or the table is not kept at all: no cell is dropped, rounded or reordered in silence.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.card.nearest import nearest_of
from whitemetal.errors import InputError, Problem
from whitemetal.gauging import METHODS
from whitemetal.gauging.readings_file.csv_in import name_and_unit
from whitemetal.job import life_book
from whitemetal.job.life_book import CLEARANCE, CROWN, HOURS, PAPER, SHELLS, TEMPERATURE
from whitemetal.units import find_unit
from whitemetal.words import say

COLUMNS = (
    "date", "job", "as found", "as left", "good to", "method", "joint", "torque", "hours", "starts",
    "new shells", "temperature", "remark",
)  # fmt: skip
CROWN_COLUMN = "crown "
"""A column that begins so holds the thickness of the crown at the place named after it."""

DATE_ORDERS = ("year-month-day", "day.month.year", "month/day/year")
DECIMALS = ("as it stands", "point", "comma")
LENGTHS = ("mm", "µm", "in", "thou")
TEMPERATURES = ("degC", "degF")

MOST_ROWS = 5000
"""Rows of one table. Our own: a bearing opened every week of a century."""
MOST_COLUMNS = 40
"""Columns of one table. Our own."""
LONGEST_CELL = 400
"""Letters in one cell. Our own."""

Rows = Sequence[tuple[int, Sequence[str]]]
"""(line in the file counted from 1, its cells as text)."""

_UNIT_OF: Mapping[str, tuple[str, ...]] = {
    "as found": LENGTHS, "as left": LENGTHS, "good to": LENGTHS, "hours": ("h",), "torque": ("N m", "lbf ft"),
    "temperature": TEMPERATURES,
}  # fmt: skip


@dataclass(frozen=True)
class Answers:
    """What is asked once a table. method: of rows that name none; source: where the paper lies."""

    unit: str = ""
    basis: str = ""
    dates: str = "year-month-day"
    decimals: str = "as it stands"
    temperature: str = "degC"
    method: str = ""
    source: str = ""


@dataclass(frozen=True)
class Body:
    """One entry to be made of a row: its kind and its texts."""

    kind: str
    texts: Mapping[str, str]
    line: int


@dataclass(frozen=True)
class Brought:
    """What a table comes to. rows: how many hold anything. problems: everything wrong, by line; with any
    of them nothing is kept."""

    bodies: tuple[Body, ...] = ()
    rows: int = 0
    problems: tuple[Problem, ...] = ()


@dataclass
class _Table:
    """names: column of each cell, "" of one without a name; a crown's place as written. units: from the
    header, by column in small letters."""

    names: list[str]
    units: dict[str, str]
    problems: list[Problem] = field(default_factory=list)


def brought(rows: Rows, answers: Answers, card: Card) -> Brought:
    """Bodies of the entries that a table makes of a bearing; everything that is wrong with it. The first row
    names the columns."""
    held = [(line, [cell.strip() for cell in cells]) for line, cells in rows]
    held = [(line, cells) for line, cells in held if any(cells)]
    problems = [*_unanswered(answers), *_too_much(held)]
    if not held:
        return Brought(problems=(*problems, Problem(say("paper.table"), "", say("paper.empty"))))
    table = _header(*held[0])
    problems += table.problems
    if problems:
        return Brought(rows=len(held) - 1, problems=tuple(problems))
    bodies: list[Body] = []
    for line, cells in held[1:]:
        made, wrong = _row(table, line, cells, answers, card)
        bodies += made
        problems += wrong
    if len(held) == 1:
        problems.append(Problem(say("paper.table"), "", say("paper.header_only"), held[0][0]))
    return Brought(tuple(bodies), len(held) - 1, tuple(problems))


def _unanswered(answers: Answers) -> Iterator[Problem]:
    """Unit and basis have no usual value: they are asked."""
    asked = (
        ("unit", answers.unit, LENGTHS), ("basis", answers.basis, life_book.BASES),
        ("dates", answers.dates, DATE_ORDERS), ("decimals", answers.decimals, DECIMALS),
        ("temperature", answers.temperature, TEMPERATURES),
    )  # fmt: skip
    for name, text, allowed in asked:
        if text not in allowed:
            yield Problem(say(f"paper.{name}"), text, say("ledger.one_of", choices=", ".join(allowed)))
    if not answers.source.strip():
        yield Problem(say("life.source"), "", say("paper.source_expected"))


def _too_much(held: Rows) -> Iterator[Problem]:
    if len(held) > MOST_ROWS + 1:
        yield Problem(say("paper.table"), "", say("paper.too_many_rows", most=MOST_ROWS))
    for line, cells in held[: MOST_ROWS + 1]:
        if len(cells) > MOST_COLUMNS:
            yield Problem(say("paper.table"), "", say("paper.too_many_columns", most=MOST_COLUMNS), line)
        if any(len(cell) > LONGEST_CELL for cell in cells):
            yield Problem(say("paper.table"), "", say("paper.long_cell", most=LONGEST_CELL), line)


def _header(line: int, cells: Sequence[str]) -> _Table:
    table = _Table([], {})
    for cell in cells:
        written, unit = name_and_unit(cell)
        name = written.casefold()
        crown = name.startswith(CROWN_COLUMN)
        known = name in COLUMNS or crown
        if name and not known:
            expected = nearest_of(name, COLUMNS, ("paper.column", "paper.column_near"))
            table.problems.append(Problem(say("paper.header"), cell, expected, line))
        if known and name in map(str.casefold, table.names):
            table.problems.append(Problem(say("paper.header"), cell, say("readings.column_twice"), line))
        if unit and known:
            allowed = LENGTHS if crown else _UNIT_OF.get(name, ())
            table.problems += _unit_in_header(cell, unit, allowed, line)
            table.units[name] = unit
        table.names.append(CROWN_COLUMN + written[len(CROWN_COLUMN) :] if crown else name)
    if "date" not in table.names:
        table.problems.append(Problem(say("paper.header"), " ".join(cells), say("paper.no_date"), line))
    return table


def _unit_in_header(cell: str, unit: str, allowed: Sequence[str], line: int) -> Iterator[Problem]:
    if not any(_same_unit(unit, one) for one in allowed):
        expected = say("ledger.one_of", choices=", ".join(allowed)) if allowed else say("paper.no_unit")
        yield Problem(say("paper.header"), cell, expected, line)


def _same_unit(one: str, other: str) -> bool:
    for dimension in ("length", "time", "torque", "temperature"):
        found = find_unit(one, dimension), find_unit(other, dimension)
        if found[0] is not None and found[0] == found[1]:
            return True
    return False


def _row(
    table: _Table, line: int, cells: Sequence[str], answers: Answers, card: Card
) -> tuple[list[Body], list[Problem]]:
    """The bodies of one row, or everything wrong with it."""
    beyond = [cell for i, cell in enumerate(cells) if cell and (i >= len(table.names) or not table.names[i])]
    if beyond:
        return [], [Problem(say("paper.row"), ", ".join(beyond), say("paper.no_column"), line)]
    typed = {name: cell for name, cell in zip(table.names, cells, strict=False) if name and cell}
    day = _day(typed.get("date", ""), answers.dates)
    if day is None:
        expected = say("paper.date_expected", order=answers.dates)
        return [], [Problem(say("life.date"), typed.get("date", ""), expected, line)]
    bodies = [replace(body, line=line) for body in _bodies(table, typed, day, answers)]
    wrong = [*_signs(typed, answers, line), *_method(typed, line)]
    for body in bodies:
        found = _OF_KIND[body.kind](body.texts)
        if isinstance(found, InputError):
            wrong += [replace(problem, line=line) for problem in found.problems]
        elif isinstance(found, life_book.Paper):
            wrong += [replace(problem, line=line) for problem in life_book.unlikely(found, card)]
    if not bodies:
        wrong.append(Problem(say("paper.row"), " ".join(typed.values()), say("paper.nothing"), line))
    return ([] if wrong else bodies), list(dict.fromkeys(wrong))


_OF_KIND = {PAPER: life_book.paper_of, HOURS: life_book.counter_of, SHELLS: life_book.shells_of}


def _bodies(table: _Table, typed: Mapping[str, str], day: str, answers: Answers) -> Iterator[Body]:
    source = ", ".join(part for part in (answers.source.strip(), typed.get("remark", "")) if part)
    sheet = {"date": day, "number": typed.get("job", ""), "source": source}
    beside = {
        "basis": answers.basis, "unit": answers.unit, "method": typed.get("method", answers.method),
        "joint": typed.get("joint", ""),
        "torque": _with(table, "torque", typed.get("torque", ""), "N m"),
        "plus_minus": _with(table, "good to", typed.get("good to", ""), answers.unit),
        "place": "",
    }  # fmt: skip
    for name in ("as found", "as left"):
        if name in typed:
            text = _with(table, name, typed[name], answers.unit)
            yield Body(PAPER, {**sheet, **beside, "of": CLEARANCE, "purpose": name, "text": text}, 0)
    for name in table.names:
        if name.startswith(CROWN_COLUMN) and name in typed:
            text = _with(table, name.casefold(), typed[name], answers.unit)
            place = {
                **sheet,
                **beside,
                "place": name.removeprefix(CROWN_COLUMN),
                "basis": "",
                "method": "crown",
            }
            yield Body(PAPER, {**place, "of": CROWN, "purpose": "as found", "text": text}, 0)
    if "temperature" in typed:
        text = _with(table, "temperature", typed["temperature"], answers.temperature)
        heat = {**beside, "basis": "", "plus_minus": "", "unit": answers.temperature, "method": ""}
        yield Body(PAPER, {**sheet, **heat, "of": TEMPERATURE, "purpose": "as found", "text": text}, 0)
    if "hours" in typed or "starts" in typed:
        hours, starts = _number(typed.get("hours", ""), answers), typed.get("starts", "")
        counter = {"date": day, "hours": hours, "starts": starts, "anew": "", "source": source}
        yield Body(HOURS, counter, 0)
    if "new shells" in typed:
        yield Body(SHELLS, {"date": day, "shells": typed["new shells"], "why": source, "job": ""}, 0)


def ways() -> tuple[str, ...]:
    """Methods by which a clearance may have been taken, by key."""
    return tuple(one.key for one in METHODS.values() if one.measures == OIL_CLEARANCE)


def _method(typed: Mapping[str, str], line: int) -> Iterator[Problem]:
    """A method that no clearance here is taken by could never be compared with one."""
    if typed.get("method", "") not in ("", *ways()):
        expected = say("paper.method_expected", choices=", ".join(ways()))
        yield Problem(say("paper.box_method"), typed["method"], expected, line)


def _number(text: str, answers: Answers) -> str:
    """A counter's number without its thousands marks, where it was said which sign is the decimal one."""
    mark = {"point": ",", "comma": r"\."}.get(answers.decimals)
    if mark and re.match(rf"^[1-9]\d{{0,2}}({mark}\d{{3}})+(\D|$)", text):
        return re.sub(rf"{mark}(?=\d{{3}}(\D|$))", "", text)
    return text


def _signs(typed: Mapping[str, str], answers: Answers, line: int) -> Iterator[Problem]:
    """Numbers with the other decimal sign than the one that was said."""
    other = {"point": ",", "comma": "."}.get(answers.decimals)
    for name, text in typed.items():
        measured = name in ("as found", "as left", "good to", "temperature") or name.startswith(CROWN_COLUMN)
        if other and measured and other in text:
            yield Problem(name, text, say("paper.other_sign", said=answers.decimals), line)


def _with(table: _Table, name: str, text: str, usual: str) -> str:
    """A number with its unit: its own, else the header's, else the table's."""
    if not text or not (text[-1].isdigit() or text[-1] in ".,"):
        return text
    return f"{text} {table.units.get(name, usual)}"


def _day(text: str, order: str) -> str | None:
    """A date of the sheet as year-month-day; None where it is none in that order. Two digits are no year."""
    orders = {"year-month-day": (0, 1, 2), "day.month.year": (2, 1, 0), "month/day/year": (2, 0, 1)}
    parts = re.split(r"[-./]", text.strip())
    if len(parts) != 3 or not all(part.isdecimal() for part in parts):
        return None
    where = orders["year-month-day"] if len(parts[0]) == 4 else orders[order]
    year, month, day = (parts[i] for i in where)
    if len(year) != 4:
        return None
    try:
        return date(int(year), int(month), int(day)).isoformat()
    except ValueError:
        return None
