"""The JSON Schema of a readings file (draft 2020-12), made from what the method declares."""

from __future__ import annotations

from typing import Any

from whitemetal.card.schema import DRAFT, quantity_schema
from whitemetal.gauging.contract import Field, Method
from whitemetal.gauging.readings_file.content import FORMAT
from whitemetal.gauging.readings_file.facts import PURPOSES


def readings_schema(method: Method) -> dict[str, Any]:
    """The schema of one method's readings file, as plain JSON values."""
    text = {"type": "string"}
    return {
        "$schema": DRAFT,
        "$id": f"urn:{FORMAT.replace('/', ':')}:{method.key}",
        "title": f"Readings: {method.title}",
        "type": "object",
        "properties": {
            "format": {"const": FORMAT},
            "method": {"const": method.key},
            "unit": {**text, "description": "of readings and lengths typed without one"},
            "measured_with": {**text, "description": "instrument of readings that name none"},
            "facts": _facts(method, "check"),
            "squeeze": _named(_facts(method, "squeeze"), "^[1-9][0-9]?$"),
            "instrument": _named(_facts(method, "instrument"), "^.+$"),
            "answers": {"type": "object", "description": "answers to questions, by their code"},
            "reading": {"type": "array", "items": _reading(method)},
        },
        "required": ["format"],
        "additionalProperties": False,
    }


def _named(inner: dict[str, Any], pattern: str) -> dict[str, Any]:
    return {"type": "object", "patternProperties": {pattern: inner}, "additionalProperties": False}


def _facts(method: Method, scope: str) -> dict[str, Any]:
    made = {field.key: _fact(field) for field in method.fields if field.scope == scope}
    if scope == "check":
        made = {"purpose": {"enum": list(PURPOSES)}, **made}
        made |= {field.key: _fact(field) for field in method.fields if field.scope == "squeeze"}
    if scope == "instrument":
        made |= {"name": {"type": "string"}, "resolution": {"type": "string"}}
    return {"type": "object", "properties": made, "additionalProperties": False}


def _fact(field: Field) -> dict[str, Any]:
    described: dict[str, Any] = {"title": field.label}
    if field.help:
        described["description"] = field.help
    if field.kind == "yes or no":
        return described | {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}]}
    if field.choices:
        return described | {"enum": list(field.choices)}
    if field.kind == "number":
        return described | {
            "anyOf": [{"type": "integer", "minimum": 0}, {"type": "string", "pattern": "^[0-9]+$"}]
        }
    return described | {"type": "string"}


def _text(field: Field) -> dict[str, Any]:
    """A reading as typed: with its unit, or one of the words the method knows."""
    if field.kind == "choice":
        return {"enum": list(field.choices), "title": field.label}
    return {"type": "string", "title": field.label, "description": "as read, with its unit"}


def _reading(method: Method) -> dict[str, Any]:
    text = {"type": "string"}
    properties: dict[str, Any] = {
        "place": {**text, "description": "a place of the standard layout, or a name of one's own"},
        "text": _text(method.reading_field),
        "unit": text,
        "squeeze": {
            "anyOf": [{"type": "integer", "minimum": 1}, {"type": "string", "pattern": "^[1-9][0-9]?$"}]
        },
        "repeat": {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}]},
        "instrument": text,
        "axial": {
            **quantity_schema("length"),
            "description": "from the edge of the land at the card's first end",
        },
        "angle": {**quantity_schema("angle"), "description": "from top centre, positive to the right"},
        "arc": {
            **quantity_schema("length"),
            "description": "on the journal from top centre, positive to the right",
        },
        "piece": text,
        "lies": {"enum": ["across", "along"]},
        "remark": text,
    }
    return {
        "type": "object",
        "properties": properties,
        "anyOf": [{"required": ["place"]}, {"required": ["axial"]}],
        "additionalProperties": False,
    }
