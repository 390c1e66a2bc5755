"""Facts of a check as rows of paper, made from the method's own declaration of its fields."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from whitemetal.card import Card
from whitemetal.gauging.contract import Fact, Field, Method, Reading, unit_of
from whitemetal.units import written
from whitemetal.words import say

BARE = re.compile(r"[+-]?[\d.,' \u00a0]*\d[.,]?(e[+-]?\d+)?", re.IGNORECASE)
"""A number without a unit."""


def fact_rows(method: Method, facts: Mapping[str, Fact], card: Card) -> list[list[str]]:
    """Label, text as typed (or the default, marked as assumed), by whom, of every fact there is.

    Readings of the parts come first. Facts nobody typed are listed with their default and its source, or as
    not recorded where the check needs them. Facts the method does not know are listed by their key.
    """
    rows: list[list[str]] = []
    used: set[str] = set()
    for field in sorted(method.fields, key=lambda one: not one.measured):
        found = _keys(field, facts)
        used.update(found)
        for key in found:
            rows.append([label_of(field, key), as_typed(field, facts[key].text, card), facts[key].by])
        if not found and field.scope == "check":
            rows += _absent(field)
    rows += [[key, facts[key].text, facts[key].by] for key in sorted(set(facts) - used)]
    return rows


def sheet_rows(
    method: Method,
    facts: Mapping[str, Fact],
    card: Card,
    readings: Sequence[Reading] = (),
    named: Mapping[str, str] | None = None,
) -> list[list[str]]:
    """Label and text of every line the method wants on its sheet.

    A line shows a fact as typed or its default, the readings of a place, or a named result (``named``: its
    text by key).
    """
    fields = {field.key: field for field in method.fields}
    rows = []
    for line in method.sheet_lines:
        texts = [reading.text for reading in readings if reading.place == line.key]
        if line.key in fields:
            texts = _texts(fields[line.key], facts, card)
        elif named and line.key in named:
            texts = [named[line.key]]
        rows.append([line.label, ", ".join(dict.fromkeys(texts)) or say("sheet.not_recorded")])
    return rows


def _texts(field: Field, facts: Mapping[str, Fact], card: Card) -> list[str]:
    found = [as_typed(field, facts[key].text, card) for key in _keys(field, facts)]
    return found or [row[1] for row in _absent(field)]


def as_typed(field: Field, typed: str, card: Card) -> str:
    """A quantity as typed; a bare number with the unit it was read in beside it: "0.50 (mm)"."""
    unit = unit_of(field, card) if field.kind == "quantity" else ""
    return f"{typed} ({written(unit)})" if unit and BARE.fullmatch(typed.strip()) else typed


def label_of(field: Field, key: str) -> str:
    """A field's label with the squeeze or the instrument its key names."""
    if field.scope == "instrument":
        return say("sheet.of_instrument", label=field.label, name=key.split(".")[1])
    _, _, squeeze = key.partition("@")
    return (
        say("sheet.of_squeeze", label=field.label, squeeze=squeeze or "1")
        if field.scope == "squeeze"
        else field.label
    )


def _keys(field: Field, facts: Mapping[str, Fact]) -> list[str]:
    """Keys of a field's facts: itself, its squeezes, its instruments."""
    if field.scope == "instrument":
        return sorted(k for k in facts if k.startswith("instrument.") and k.rpartition(".")[2] == field.key)
    return sorted(k for k in facts if k == field.key or k.startswith(f"{field.key}@"))


def _absent(field: Field) -> list[list[str]]:
    if field.default is not None:
        return [[field.label, say("sheet.assumed", text=field.default, source=field.source), ""]]
    return [[field.label, say("sheet.not_recorded"), ""]] if field.needed else []
