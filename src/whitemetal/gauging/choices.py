"""Readings that are one of a few words, e.g. how blue a cell of the white metal is."""

from __future__ import annotations

from whitemetal.gauging.contract import Field


def choice_of(field: Field, text: str) -> int | None:
    """The choice's place in the field's list, counted from 0, whatever its capitals and blanks; None for
    none of them."""
    wanted = " ".join(text.split()).casefold()
    return next((i for i, choice in enumerate(field.choices) if choice.casefold() == wanted), None)
