"""Facts of a check as rows of paper, made from the method's own declaration of its fields."""

from __future__ import annotations

from collections.abc import Mapping

from whitemetal.gauging.contract import Fact, Field, Method
from whitemetal.words import say


def fact_rows(method: Method, facts: Mapping[str, Fact]) -> list[list[str]]:
    """Label, text as typed (or the default, marked as assumed), by whom, of every fact there is.

    Facts nobody typed are listed with their default and its source, or as not recorded where the check
    needs them. Facts the method does not know are listed by their key.
    """
    rows: list[list[str]] = []
    used: set[str] = set()
    for field in method.fields:
        found = _keys(field, facts)
        used.update(found)
        for key in found:
            rows.append([label_of(field, key), facts[key].text, facts[key].by])
        if not found and field.scope == "check":
            rows += _absent(field)
    rows += [[key, facts[key].text, facts[key].by] for key in sorted(set(facts) - used)]
    return rows


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
