"""The JSON Schema of a judgement (draft 2020-12), made from the dataclasses that `as_json` writes out."""

from __future__ import annotations

import dataclasses
import inspect
import types
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from whitemetal.card.schema import DRAFT
from whitemetal.job.judgement import FORMAT, Judgement

_PLAIN: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": ["number", "null"]},
}
"""A number that is not finite (infinite degrees of freedom) is written as null."""


def judgement_schema() -> dict[str, Any]:
    """The schema of a judgement, as plain JSON values. Lengths are in metres under keys ending in _m."""
    made = _object(Judgement)
    made["properties"] = {"format": {"const": FORMAT}, **made["properties"]}
    made["required"] = ["format", *made["required"]]
    return {
        "$schema": DRAFT,
        "$id": f"urn:{FORMAT.replace('/', ':')}",
        "title": "Judgement of a check",
        **made,
    }


def _object(kind: type) -> dict[str, Any]:
    hints = get_type_hints(kind)
    names = [field.name for field in dataclasses.fields(kind)]
    return {
        "type": "object",
        "description": inspect.cleandoc(kind.__doc__ or "").split("\n\n")[0],
        "properties": {name: _schema(hints[name]) for name in names},
        "required": names,
        "additionalProperties": False,
    }


def _schema(kind: Any) -> dict[str, Any]:
    if kind in _PLAIN:
        return dict(_PLAIN[kind])
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        return _object(kind)
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Literal:
        return {"enum": list(inner)}
    if origin in (Union, types.UnionType):
        return {"anyOf": [{"type": "null"} if each is type(None) else _schema(each) for each in inner]}
    if origin is tuple and inner[-1] is Ellipsis:
        return {"type": "array", "items": _schema(inner[0])}
    if origin is tuple:
        fixed = {"prefixItems": [_schema(each) for each in inner]}
        return {"type": "array", **fixed, "minItems": len(inner), "maxItems": len(inner)}
    raise TypeError(f"no schema for {kind}")
