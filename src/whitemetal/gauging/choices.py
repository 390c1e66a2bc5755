"""Readings that are one of a few words, e.g. how blue a cell of the white metal is; and bare shares."""

from __future__ import annotations

from whitemetal.gauging.contract import Field
from whitemetal.units import Typed


def bare_share(field: Field, typed: Typed) -> bool:
    """Whether a share that is usually written in per cent stands there without a unit: 85 may be 85 % or 85
    times, and nobody guesses."""
    return field.dimension == "ratio" and bool(field.unit) and not typed.unit_given and typed.unit == ""


def choice_of(field: Field, text: str) -> int | None:
    """The choice's place in the field's list, counted from 0, whatever its capitals and blanks; None for
    none of them."""
    wanted = " ".join(text.split()).casefold()
    return next((i for i, choice in enumerate(field.choices) if choice.casefold() == wanted), None)
