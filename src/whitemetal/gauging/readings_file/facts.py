"""Facts of a readings file against what the method declares."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import replace

from whitemetal.card.nearest import CHOICE, nearest_of
from whitemetal.errors import Problem, UnitError
from whitemetal.gauging.birth import birth_field
from whitemetal.gauging.choices import bare_share
from whitemetal.gauging.contract import Fact, Field, Method
from whitemetal.gauging.readings_file.content import Row
from whitemetal.units import read, whole
from whitemetal.words import say

PURPOSES = ("as found", "as left")
_ALSO_OF_INSTRUMENTS = ("name", "resolution")
_LARGEST_COUNT = 6
"""Digits of the largest whole number taken for a count. Our own."""

INSTRUMENT = ("readings.instrument", "readings.instrument_near")
UNKNOWN_FACT = ("readings.unknown_fact", "readings.unknown_fact_near")

Typed = Mapping[str, tuple[str, int | None]]
"""Text and line of every fact, by key."""


def read_facts(method: Method, typed: Typed, unit: str) -> tuple[dict[str, Fact], list[Problem]]:
    """Facts with their SI values, and every problem. unit: of lengths typed without one, "" for none."""
    facts: dict[str, Fact] = {}
    problems: list[Problem] = []
    for key, (text, line) in typed.items():
        text = text.strip()
        problem = _unknown(method, key, text)
        field = field_of(method, key)
        if not text:
            continue
        if problem is None and field is not None:
            found = _fact(field, key, text, unit)
            if isinstance(found, Fact):
                facts[key] = found
            else:
                problem = found
        elif problem is None:
            facts[key] = Fact(text)
        if problem is not None:
            problems.append(replace(problem, line=line))
    return facts, problems


def field_of(method: Method, key: str) -> Field | None:
    """The declared field behind a fact's key, or None."""
    scope, name = _parts(key)
    return next(
        (field for field in method.fields if field.key == name and (field.scope == "instrument") == scope),
        birth_field(method, key),
    )


def instruments(facts: Mapping[str, object]) -> tuple[str, ...]:
    """Ids of the instruments that facts describe, in their order."""
    found = (key.split(".")[1] for key in facts if key.startswith("instrument.") and key.count(".") == 2)
    return tuple(dict.fromkeys(found))


def _parts(key: str) -> tuple[bool, str]:
    """(whether it is an instrument's, the field's key)."""
    if key.startswith("instrument."):
        return True, key.rsplit(".", 1)[-1]
    return False, key.split("@")[0]


def _unknown(method: Method, key: str, text: str) -> Problem | None:
    """What is wrong with the key itself, if anything."""
    if key.startswith("answer."):
        return None
    if key == "purpose":
        return None if text in PURPOSES else Problem(key, text, nearest_of(text, PURPOSES, CHOICE))
    of_instrument, name = _parts(key)
    if of_instrument and name in _ALSO_OF_INSTRUMENTS:
        return None
    field = field_of(method, key)
    squeeze = key.partition("@")[2]
    if field is None:
        known = [one.key for one in method.fields if (one.scope == "instrument") == of_instrument]
        return Problem(key, text, nearest_of(name, known, UNKNOWN_FACT))
    if squeeze and (field.scope != "squeeze" or (whole(squeeze) or 0) < 1):
        return Problem(key, text, say("readings.not_of_squeeze"))
    return None


def _fact(field: Field, key: str, text: str, unit: str) -> Fact | Problem:
    if field.kind == "quantity" and field.dimension is not None:
        default = unit if field.dimension == "length" else None
        try:
            typed = read(text, field.dimension, field=key, default_unit=default or None)
        except UnitError as bad:
            return bad.problems[0]
        if bare_share(field, typed):
            return Problem(key, text, say("readings.share", unit=field.unit, typed=text))
        return Fact(text, typed.value)
    for choice in field.choices:
        if text.casefold() == choice.casefold():
            return Fact(choice)
    expected = _expected(field, text)
    return Problem(key, text, expected) if expected else Fact(text)


def _expected(field: Field, text: str) -> str:
    """What a text should have been; "" when it is right."""
    if field.choices:
        return nearest_of(text, field.choices, CHOICE)
    if field.kind == "number" and not (text.isdecimal() and len(text) <= _LARGEST_COUNT):
        return say("card.whole_number")
    if field.kind == "date":
        try:
            datetime.date.fromisoformat(text)
        except ValueError:
            return say("readings.date")
    return ""


def the_instrument(row: Row, known: tuple[str, ...], usual: str) -> tuple[str, Problem | None]:
    """The instrument of a reading: as typed, else the usual one; a problem when nobody described it."""
    named = row.text("instrument") or usual
    if not named or named in known:
        return named, None
    expected = nearest_of(named, known, INSTRUMENT) if known else say("readings.no_instrument")
    return named, Problem("instrument", named, expected, row.line)


def normal_keys(typed: Mapping[str, str]) -> Iterator[tuple[str, tuple[str, int | None]]]:
    """Facts given outside the file: no line, "key@1" is "key"."""
    for key, text in typed.items():
        yield key.removesuffix("@1"), (text, None)
