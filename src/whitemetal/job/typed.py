"""Typed text to facts and readings, by what the method declares. Text that cannot be read is a Problem."""

from __future__ import annotations

from datetime import date

from whitemetal.errors import InputError, Problem, UnitError
from whitemetal.gauging.choices import bare_share, choice_of
from whitemetal.gauging.contract import Fact, Field, Method, Reading
from whitemetal.gauging.register import METHODS
from whitemetal.units import read, whole
from whitemetal.words import say

ANSWER = "answer."
INSTRUMENT = "instrument."
PURPOSE = "purpose"


def method_or_none(key: str) -> Method | None:
    """The method called ``key``; None when this program does not know it."""
    return METHODS.get(key)


def field_of(method: Method, key: str) -> Field | None:
    """The declared field behind a fact's key; None when the method declares none."""
    name = key.split("@", 1)[0]
    if name.startswith(INSTRUMENT):
        name = name.rsplit(".", 1)[-1]
        return next((one for one in method.fields if one.key == name and one.scope == "instrument"), None)
    return next((one for one in method.fields if one.key == name and one.scope != "instrument"), None)


def known_key(method: Method, key: str) -> bool:
    """Whether a fact may be called ``key``: the method's field, an answer, the purpose, an instrument's."""
    if key.startswith((ANSWER, INSTRUMENT)) or key == PURPOSE:
        return True
    field = field_of(method, key)
    squeeze = key.partition("@")[2]
    if field is None:
        return False
    return not squeeze or (field.scope == "squeeze" and (whole(squeeze) or 0) > 1)


def read_fact(method: Method | None, key: str, text: str, unit: str = "") -> Fact | Problem:
    """A fact from its text, with its SI value where it is a quantity; or what is wrong with it.

    unit: assumed when none was typed. Text of a field nobody declares is taken as it is.
    """
    field = field_of(method, key) if method is not None else None
    if field is None or not text.strip():
        return Fact(text)
    if field.kind == "quantity" and field.dimension is not None:
        try:
            typed = read(text, field.dimension, field=field.label, default_unit=unit or None)
        except UnitError as error:
            return error.problems[0]
        if bare_share(field, typed):
            return Problem(field.label, text, say("readings.share", unit=field.unit, typed=text.strip()))
        return Fact(text, typed.value)
    expected = _expected(field, text.strip())
    return Problem(field.label, text, expected) if expected else Fact(text)


def _expected(field: Field, text: str) -> str:
    """What a text should have been; "" when it is right."""
    if field.choices and text not in field.choices:
        return say("ledger.one_of", choices=", ".join(field.choices))
    if field.kind == "number" and not (text.isdecimal() and len(text) < 7):
        return say("ledger.whole_number")
    if field.kind == "date":
        try:
            date.fromisoformat(text)
        except ValueError:
            return say("ledger.date")
    return ""


def read_reading(
    method: Method | None, place: str, text: str, unit: str, squeeze: int = 1, instrument: str = "",
    entry: str = "",
) -> Reading | Problem:  # fmt: skip
    """A reading from its text; or what is wrong with it. unit: assumed when none was typed; a reading that
    is a choice has none."""
    if method is not None and method.reading_field.kind == "choice":
        choice = choice_of(method.reading_field, text)
        if choice is None:
            choices = ", ".join(method.reading_field.choices)
            return Problem(place, text, say("ledger.one_of", choices=choices))
        return Reading(place, text, float(choice), 0.0, squeeze, instrument, entry)
    if method is None or method.reading_field.dimension is None:
        return Problem(place, text, say("ledger.known_method"))
    try:
        typed = read(text, method.reading_field.dimension, field=place, default_unit=unit or None)
    except InputError as error:
        return error.problems[0]
    return Reading(place, text, typed.value, typed.resolution, squeeze, instrument, entry)
