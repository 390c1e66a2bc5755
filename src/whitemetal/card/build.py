"""From typed texts to a card: one check for the TOML file, the web form and scripts."""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import rfc8785

from whitemetal.card.bearing import Bearing
from whitemetal.card.card import Card
from whitemetal.card.checks import check
from whitemetal.card.construction import Construction
from whitemetal.card.duty import Duty
from whitemetal.card.fasteners import Fasteners
from whitemetal.card.fields import CARD_FIELDS, FORMAT, CardField, declared, fields_of, limiting
from whitemetal.card.joint import Joint
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.card.limits import Limit
from whitemetal.card.machine import Machine
from whitemetal.card.nearest import CHOICE, UNKNOWN_KEY, nearest_of
from whitemetal.card.oil import Oil
from whitemetal.errors import CardError, Problem, UnitError
from whitemetal.units import read, whole
from whitemetal.words import say

Number = TypeVar("Number", int, float)


@dataclass(frozen=True)
class Cell:
    """One typed text and the line it stands in. A table has a cell of its own, with text ""."""

    text: str
    line: int | None = None


def card_from_texts(texts: Mapping[str, str]) -> Card:
    """A card from typed texts by path ("bearing.length", "limit.1.minimum"), as a form sends them.

    Empty texts count as not typed. Raises CardError with every problem.
    """
    problems = [
        Problem(path, text, nearest_of(path, [field.path for field in CARD_FIELDS], UNKNOWN_KEY))
        for path, text in texts.items()
        if declared(path) is None
    ]
    cells = {path: Cell(text) for path, text in texts.items() if declared(path) is not None}
    for number in sorted({_limit_number(path) for path in cells} - {0}):
        if any(cell.text.strip() for path, cell in cells.items() if _limit_number(path) == number):
            cells[f"limit.{number}"] = Cell("")
    card, more = build(cells, set())
    if problems or more or card is None:
        raise CardError(*problems, *more)
    return card


def _limit_of(cells: Mapping[str, Cell], path: str) -> str:
    """The quantity that the limit of this path limits; "" for another path."""
    number = _limit_number(path)
    cell = cells.get(f"limit.{number}.of") if number else None
    text = " ".join(cell.text.split()).casefold() if cell is not None else ""
    return (text or OIL_CLEARANCE) if number else ""


def _limit_number(path: str) -> int:
    parts = path.split(".")
    return int(parts[1]) if parts[0] == "limit" and len(parts) > 1 and parts[1].isdigit() else 0


def build(cells: Mapping[str, Cell], broken: Collection[str]) -> tuple[Card | None, list[Problem]]:
    """The card the cells make, and every problem; None where there is one.

    broken: paths whose line could not be read at all, so that they are not called missing as well
    ("*" when nothing could be read).
    """
    problems: list[Problem] = []
    values: dict[str, Any] = {}
    typed: dict[str, str] = {}
    for path, cell in cells.items():
        field = declared(path)
        if field is None or not cell.text.strip():
            continue
        typed[path] = unicodedata.normalize("NFC", cell.text)
        try:
            values[path] = _value(limiting(field, _limit_of(cells, path)), path, typed[path])
        except UnitError as bad:
            problems += [replace(problem, line=cell.line) for problem in bad.problems]
    problems += _missing(cells, values, typed, broken)
    problems += check(values, {path: (cell.text, cell.line) for path, cell in cells.items()})
    return (None if problems or broken else _card(values, typed), problems)


def _value(field: CardField, path: str, text: str) -> Any:
    """The SI value, word or text that a typed text stands for. Raises UnitError."""
    text = " ".join(text.split())
    if field.kind == "quantity" and field.dimension is not None:
        return _with_sign(field, path, text, read(text, field.dimension, field=path).value)
    if field.kind == "whole number":
        number = whole(text)
        if number is None:
            raise UnitError(Problem(path, text, say("card.whole_number")))
        return _with_sign(field, path, text, number)
    if field.kind == "yes or no":
        if text.casefold() not in ("yes", "no"):
            raise UnitError(Problem(path, text, say("card.yes_or_no")))
        return text.casefold() == "yes"
    if field.kind == "two texts":
        parts = tuple(part.strip() for part in text.split(","))
        if len(parts) != 2 or not all(parts):
            raise UnitError(Problem(path, text, say("card.two_texts")))
        return parts
    if field.kind == "choice":
        return _choice(field, path, text)
    return text


def _with_sign(field: CardField, path: str, text: str, value: Number) -> Number:
    if field.sign == "above zero" and value <= 0:
        raise UnitError(Problem(path, text, say("card.above_zero")))
    if field.sign == "not negative" and value < 0:
        raise UnitError(Problem(path, text, say("card.not_negative")))
    return value


def _choice(field: CardField, path: str, text: str) -> str:
    for choice in field.choices:
        if choice.casefold() == text.casefold():
            return choice
    raise UnitError(Problem(path, text, nearest_of(text, field.choices, CHOICE)))


def _missing(
    cells: Mapping[str, Cell], values: Mapping[str, Any], typed: Mapping[str, str], broken: Collection[str]
) -> Iterator[Problem]:
    limits = [path for path in cells if path.startswith("limit.") and path.count(".") == 1]
    for table in ["machine", "bearing", *limits]:
        name = table.partition(".")[0]
        line = cells[table].line if table in cells else None
        for field in fields_of(name):
            path = f"{table}.{field.key}"
            if field.needed and path not in typed and path not in broken and "*" not in broken:
                yield Problem(path, "", _what_is_expected(field), line)


def _what_is_expected(field: CardField) -> str:
    if field.kind == "quantity":
        example = {"length": "160 mm", "rotation": "990 rpm"}.get(str(field.dimension), f"1 {field.unit}")
        return say("card.missing_quantity", label=field.label.lower(), example=example)
    if field.choices:
        return say("card.choice", known=", ".join(field.choices))
    return say("card.missing", label=field.label.lower())


_LIMIT_DEFAULTS: dict[str, Any] = {
    "of": OIL_CLEARANCE, "minimum": None, "maximum": None, "basis": "as it is",
}  # fmt: skip


def _card(values: Mapping[str, Any], typed: dict[str, str]) -> Card:
    numbers = sorted({_limit_number(path) for path in values} - {0})
    card = Card(
        machine=Machine(**_of(values, "machine")),
        bearing=Bearing(**_of(values, "bearing")),
        joint=Joint(**_of(values, "joint")),
        fasteners=Fasteners(**_of(values, "fasteners")),
        oil=Oil(**_of(values, "oil")),
        duty=Duty(**_of(values, "duty")),
        construction=Construction(**_of(values, "construction")),
        limits=tuple(Limit(**_LIMIT_DEFAULTS | _of(values, f"limit.{number}")) for number in numbers),
        uncertainty=_of(values, "uncertainty"),
        typed=typed,
    )
    return replace(card, digest=card_digest(card))


def _of(values: Mapping[str, Any], table: str) -> dict[str, Any]:
    start = f"{table}."
    return {path.removeprefix(start): value for path, value in values.items() if path.startswith(start)}


def canonical(card: Card) -> bytes:
    """The card's canonical content: its texts as typed, by path, as RFC 8785 JSON in Unicode NFC.

    Comments, blank lines and the order of keys in a file do not count; every typed character does.
    """
    typed = {path: unicodedata.normalize("NFC", text) for path, text in card.typed.items()}
    return rfc8785.dumps({"format": FORMAT, "typed": dict(typed)})


def card_digest(card: Card) -> str:
    """SHA-256 of the canonical content, hexadecimal: the name of this revision of the card."""
    return hashlib.sha256(canonical(card)).hexdigest()
