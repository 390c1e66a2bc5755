"""A card as TOML, every value as it was typed."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping

from whitemetal.card.card import Card
from whitemetal.card.fields import CARD_FIELDS, FORMAT, TABLES, CardField, fields_of
from whitemetal.units import find_unit, whole


def write_card(card: Card) -> str:
    """The card as TOML: ``read_card(write_card(card)) == card`` for every card that was read.

    A value made in a script, without typed text, is written in the field's usual unit with all its digits.
    """
    texts = texts_of(card)
    blocks = [f'format = "{FORMAT}"\n']
    for table in TABLES:
        if table == "limit":
            numbers = range(1, len(card.limits) + 1)
            blocks += [_block("[[limit]]", "limit", f"limit.{number}", texts) for number in numbers]
        elif any(path.startswith(f"{table}.") for path in texts):
            blocks.append(_block(f"[{table}]", table, table, texts))
    return "\n".join(blocks)


def texts_of(card: Card) -> dict[str, str]:
    """Every value of the card as text, by path: as typed, or made from the value where nothing was typed
    and it is not the default."""
    texts: dict[str, str] = {}
    for field in CARD_FIELDS:
        for path, value in _values(card, field):
            if path in card.typed:
                texts[path] = card.typed[path]
            elif not card.typed and not _is_default(field, value):
                texts[path] = _text(field, value)
    return texts


def _values(card: Card, field: CardField) -> Iterator[tuple[str, object]]:
    if field.table == "limit":
        for number, limit in enumerate(card.limits, start=1):
            yield f"limit.{number}.{field.key}", getattr(limit, field.key)
    elif field.table == "uncertainty":
        yield field.path, card.uncertainty.get(field.key)
    else:
        yield field.path, getattr(getattr(card, field.table), field.key)


def _is_default(field: CardField, value: object) -> bool:
    return value is None or value == "" or (not field.needed and _text(field, value) == field.default)


def _text(field: CardField, value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(str(part) for part in value)
    if isinstance(value, float) and field.dimension is not None:
        unit = find_unit(field.unit, field.dimension)
        if unit is not None:
            return f"{(value - unit.offset) / unit.scale:.15g} {unit.name}".strip()
    return str(value)


def _block(heading: str, table: str, path: str, texts: Mapping[str, str]) -> str:
    lines = [heading]
    for field in fields_of(table):
        text = texts.get(f"{path}.{field.key}")
        if text is not None:
            lines.append(f"{field.key} = {_toml(field, text)}")
    return "\n".join(lines) + "\n"


def _toml(field: CardField, text: str) -> str:
    if field.kind == "yes or no" and text in ("yes", "no"):
        return "true" if text == "yes" else "false"
    if field.kind == "whole number" and str(whole(text)) == text:
        return text
    if field.kind == "two texts":
        parts = text.split(", ")
        if len(parts) == 2:
            return "[" + ", ".join(_string(part) for part in parts) + "]"
    return _string(text)


def _string(text: str) -> str:
    """A TOML basic string. JSON escapes are TOML escapes too, but for DEL, which TOML wants escaped."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
