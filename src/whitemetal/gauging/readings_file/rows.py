"""From rows as typed to places and readings. The same for CSV and TOML."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from whitemetal.card import Card
from whitemetal.card.nearest import CHOICE, nearest_of
from whitemetal.errors import Problem, UnitError
from whitemetal.gauging.choices import choice_of
from whitemetal.gauging.contract import Fact, Method, Reading
from whitemetal.gauging.readings_file.content import ReadingsFile, Row
from whitemetal.gauging.readings_file.facts import Typed, instruments, read_facts, the_instrument
from whitemetal.gauging.readings_file.where import Where, places_of
from whitemetal.units import find_unit, read, show, whole
from whitemetal.words import say

LARGEST_SHARE = 0.1
"""A thickness above this share of the journal diameter is no clearance but a slip of the key. Our own."""


@dataclass(frozen=True)
class Sheet:
    """A file taken apart but not yet understood.

    facts: text and line by key. unit: of readings and lengths typed without one, "" for none. instrument:
    of readings that name none. broken: what was wrong before rows could be read.
    only_facts: True where no readings are expected.
    """

    rows: Sequence[Row] = ()
    facts: Typed = field(default_factory=dict)
    unit: str = ""
    instrument: str = ""
    broken: Sequence[Problem] = ()
    notes: Sequence[str] = ()
    only_facts: bool = False


def understand(sheet: Sheet, card: Card, method: Method) -> ReadingsFile:
    """The sheet as places, facts and readings, with every problem in the order of lines."""
    problems = list(sheet.broken)
    notes = list(sheet.notes)
    dimension = method.reading_field.dimension or "length"
    if sheet.unit and find_unit(sheet.unit, dimension) is None:
        problems.append(Problem("unit", sheet.unit, say("readings.unit_of", dimension=dimension)))
        sheet = replace(sheet, unit="")
    facts, more = read_facts(method, sheet.facts, sheet.unit)
    where = places_of(card, method, sheet.rows)
    problems += [*more, *where.problems]
    usual = sheet.instrument
    if not usual and len(instruments(sheet.facts)) == 1:
        (usual,) = instruments(sheet.facts)
        if any(not row.text("instrument") for row in sheet.rows):
            notes.append(say("readings.only_instrument", name=usual))
    readings = _readings(replace(sheet, instrument=usual), card, method, where, facts, problems)
    if not (sheet.rows or problems or sheet.only_facts or not method.default_places(card)):
        problems.append(Problem("readings", "", say("readings.none"), None))
    problems.sort(key=lambda problem: problem.line or 0)
    return ReadingsFile(
        where.places, facts, tuple(readings), tuple(sheet.rows), tuple(problems), tuple(notes)
    )


def _readings(
    sheet: Sheet, card: Card, method: Method, where: Where, facts: Mapping[str, Fact], problems: list[Problem]
) -> list[Reading]:
    found: list[Reading] = []
    before: dict[tuple[str, int], int | None] = {}
    known = instruments(sheet.facts)
    for row, label in zip(sheet.rows, where.labels, strict=True):
        own: list[Problem] = []
        squeeze = _squeeze(row, own)
        instrument, unknown = the_instrument(row, known, sheet.instrument)
        own += [unknown] if unknown is not None else []
        if row.text("reading"):
            own += _again(row, label, squeeze, before)
        reading = _reading(row, label, sheet.unit, card, method, facts, own)
        if reading is not None and not own and label:
            found.append(replace(reading, squeeze=squeeze, instrument=instrument))
        problems += own
    return found


def _squeeze(row: Row, problems: list[Problem]) -> int:
    text = row.text("squeeze") or "1"
    number = whole(text)
    if number is not None and 1 <= number <= 99:
        return number
    problems.append(Problem("squeeze", text, say("readings.squeeze"), row.line))
    return 1


def _again(row: Row, label: str, squeeze: int, before: dict[tuple[str, int], int | None]) -> list[Problem]:
    """A place read twice is a repeat or a second squeeze: asked, never guessed."""
    said = row.text("repeat").casefold()
    key = (label, squeeze)
    if said not in ("", "yes", "no"):
        return [Problem("repeat", row.text("repeat"), say("card.yes_or_no"), row.line)]
    if label and key in before and said != "yes":
        expected = say("readings.again", place=label, line=before[key] or "?")
        return [Problem(f"place {label}", row.text("reading"), expected, row.line)]
    before.setdefault(key, row.line)
    return []


def _reading(
    row: Row, label: str, unit: str, card: Card, method: Method, facts: Mapping[str, Fact],
    problems: list[Problem],
) -> Reading | None:  # fmt: skip
    text = row.text("reading")
    name = f"reading {label}".strip()
    if text and method.reading_field.kind == "choice":
        return _choice(row, label, method, problems)
    if not text or method.reading_field.dimension is None:
        return None
    try:
        typed = read(
            text, method.reading_field.dimension, field=name, default_unit=row.text("unit") or unit or None
        )
    except UnitError as bad:
        problems += [replace(problem, line=row.line) for problem in bad.problems]
        return None
    if row.text("unit") and typed.unit_given:
        column = find_unit(row.text("unit"), method.reading_field.dimension)
        if column is None or column.name != typed.unit:
            problems.append(Problem(name, text, say("readings.two_units", unit=row.text("unit")), row.line))
    expected = _not_possible(typed.value, card, method, facts)
    if expected:
        problems.append(Problem(name, text, expected, row.line))
    return Reading(label, text, typed.value, typed.resolution)


def _choice(row: Row, label: str, method: Method, problems: list[Problem]) -> Reading | None:
    """A reading that is one of the method's words; it has no unit."""
    text, choices = row.text("reading"), method.reading_field.choices
    found = choice_of(method.reading_field, text)
    if found is None:
        problems.append(
            Problem(f"reading {label}".strip(), text, nearest_of(text, choices, CHOICE), row.line)
        )
    if row.text("unit"):
        problems.append(Problem("unit", row.text("unit"), say("readings.no_unit"), row.line))
    return None if found is None else Reading(label, text, float(found), 0.0)


def _not_possible(value: float, card: Card, method: Method, facts: Mapping[str, Fact]) -> str:
    """Why a length cannot be a thickness between journal and shell; "" when it can."""
    if method.reading_field.dimension != "length" or method.basis not in ("diametral", "radial"):
        return ""
    if method.reads != "gap":
        return ""
    wire = facts.get("wire_diameter")
    if value <= 0.0:
        return say("card.above_zero")
    if wire is not None and wire.value is not None and value > wire.value:
        return say("readings.above_wire", wire=wire.text)
    if value > LARGEST_SHARE * card.bearing.journal_diameter:
        unit = card.bearing.unit
        largest = show(LARGEST_SHARE * card.bearing.journal_diameter, unit, "length")
        return say("readings.above_share", largest=largest)
    return ""
