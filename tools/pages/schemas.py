"""docs/schemas/*.json: the JSON Schemas of what is read and written."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from whitemetal.card import card_schema
from whitemetal.gauging import METHODS
from whitemetal.gauging.readings_file import readings_schema
from whitemetal.job.judgement_schema import judgement_schema


def schemas() -> dict[str, dict[str, Any]]:
    """The schemas by name."""
    readings = {f"readings-{key}": readings_schema(method) for key, method in METHODS.items()}
    return {"card": card_schema(), **readings, "judgement": judgement_schema()}


def pages() -> dict[str, str]:
    """The files by their path under docs/."""
    return {
        f"schemas/{name}.json": json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
        for name, schema in schemas().items()
    }


def gaps() -> list[str]:
    """Named properties that say neither what they are nor what they may be."""
    return [f"schema {name}: {path}" for name, schema in schemas().items() for path in _untold(schema, "")]


def _untold(schema: Any, path: str) -> Iterator[str]:
    if isinstance(schema, list):
        for number, inner in enumerate(schema):
            yield from _untold(inner, f"{path}[{number}]")
    if not isinstance(schema, Mapping):
        return
    for name, inner in schema.get("properties", {}).items():
        if not set(inner) & {"type", "$ref", "enum", "const", "anyOf", "oneOf", "allOf"}:
            yield f"{path}.{name}"
    for name, inner in schema.items():
        yield from _untold(inner, f"{path}.{name}")
