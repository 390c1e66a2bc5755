"""The card's JSON Schema (draft 2020-12), made from ``CARD_FIELDS``.

It describes the card as values of a TOML or JSON document. What no schema can say (a minimum below its
maximum, ends whose names begin alike) is checked by the loader only.
"""

from __future__ import annotations

import re
from typing import Any

from whitemetal.card.fields import FORMAT, LIMIT_FIGURES, TABLES, CardField, fields_of
from whitemetal.card.limited import LIMITED, OIL_CLEARANCE, Limited
from whitemetal.units import Dimension, units_of

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_NUMBER = r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]{1,3})?"


def card_schema() -> dict[str, Any]:
    """The schema of a card, as plain JSON values."""
    tables = {table: _table(table) for table in TABLES}
    tables["limit"] = {"type": "array", "items": tables["limit"], "title": "Limits, one [[limit]] each"}
    return {
        "$schema": DRAFT,
        "$id": f"urn:{FORMAT.replace('/', ':')}",
        "title": "Bearing card",
        "description": "Standing facts of one split white-metal bearing; quantities are texts with a unit.",
        "type": "object",
        "properties": {"format": {"const": FORMAT}, **tables},
        "required": ["format", "machine", "bearing"],
        "additionalProperties": False,
    }


def quantity_schema(dimension: Dimension) -> dict[str, Any]:
    """A number with one of the dimension's units, as text; a bare number where the dimension has none."""
    names = [name for unit in units_of(dimension) for name in (unit.name, *unit.also) if name]
    units = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    text = {
        "type": "string",
        "pattern": rf"^\s*{_NUMBER}\s*({units}){'?' if dimension == 'ratio' else ''}\s*$",
    }
    return {"anyOf": [text, {"type": "number"}]} if dimension == "ratio" else text


def _table(table: str) -> dict[str, Any]:
    fields = fields_of(table)
    made: dict[str, Any] = {
        "type": "object",
        "properties": {field.key: _field(field) for field in fields},
        "required": [field.key for field in fields if field.needed],
        "additionalProperties": False,
    }
    if table == "limit":
        made["anyOf"] = [{"required": [key]} for key in LIMIT_FIGURES]
        made["properties"] |= {
            key: {"title": made["properties"][key]["title"], "type": ["string", "number"]}
            for key in LIMIT_FIGURES
        }
        made["allOf"] = [_of_quantity(one) for one in LIMITED.values()]
    return made


def _of_quantity(quantity: Limited) -> dict[str, Any]:
    """What the figures and the basis of a limit of this quantity may be."""
    named: dict[str, Any] = {"properties": {"of": {"const": quantity.of}}}
    if quantity.of != OIL_CLEARANCE:
        named["required"] = ["of"]
    figures = {key: quantity_schema(quantity.dimension) for key in LIMIT_FIGURES}
    then: dict[str, Any] = {"properties": figures | {"basis": {"enum": list(quantity.bases)}}}
    if len(quantity.bases) > 1:
        then["required"] = ["basis"]
    return {"if": named, "then": then}


def _field(field: CardField) -> dict[str, Any]:
    described: dict[str, Any] = {"title": field.label}
    if field.help:
        described["description"] = field.help
    if field.default is not None:
        described["default"] = _default(field)
    return described | _value(field)


def _default(field: CardField) -> Any:
    if field.kind == "yes or no":
        return field.default == "yes"
    return (field.default or "").split(", ") if field.kind == "two texts" else field.default


def _value(field: CardField) -> dict[str, Any]:
    if field.kind == "quantity" and field.dimension is not None:
        return quantity_schema(field.dimension)
    if field.kind == "whole number":
        return {"type": "integer", "minimum": 1 if field.sign == "above zero" else 0}
    if field.kind == "yes or no":
        return {"type": "boolean"}
    if field.kind == "choice":
        return {"enum": list(field.choices)}
    if field.kind == "two texts":
        return {"type": "array", "items": {"type": "string", "minLength": 1}, "minItems": 2, "maxItems": 2}
    return {"type": "string", "minLength": 1} if field.needed else {"type": "string"}
