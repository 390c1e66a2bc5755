"""An empty readings file to fill in: every place and every fact a method asks for, with what is expected."""

from __future__ import annotations

import json
from collections.abc import Iterator

from whitemetal.card import Card
from whitemetal.gauging.birth import birth_field, birth_key
from whitemetal.gauging.contract import Field, Method, Place, unit_of
from whitemetal.gauging.readings_file.content import FORMAT
from whitemetal.gauging.readings_file.facts import PURPOSES
from whitemetal.words import say


def blank_toml(card: Card, method: Method) -> str:
    """A TOML file with empty texts; as it is it can be read, and holds nothing."""
    named = _unit_of_file(card, method)
    unit = [f"unit = {_quoted(named)}"] if named else []
    parts = [
        f"# {method.title}: {card.machine.tag}, {card.bearing.position}",
        f"# {say('readings.blank_how')}",
        f"format = {_quoted(FORMAT)}",
        f"method = {_quoted(method.key)}",
        *unit,
        "",
        "[facts]",
        f'purpose = ""  # {_one_of(PURPOSES)}',
        *_facts(card, method, "check"),
        *_births(card, method),
    ]
    if any(field.scope == "squeeze" for field in method.fields):
        parts += ["", "[squeeze.1]", *_facts(card, method, "squeeze")]
    if any(field.scope == "instrument" for field in method.fields):
        told = [f"# {line}" for line in ("[instrument.M1]", *_facts(card, method, "instrument"))]
        parts += ["", f"# {say('readings.blank_instrument')}", *told]
    for place in method.default_places(card):
        parts += _reading(method, place)
    return "\n".join(parts) + "\n"


def blank_csv(card: Card, method: Method) -> str:
    """A CSV file with the places in its rows and the facts in comments above them."""
    words = method.reading_field.kind == "choice"
    lines = [
        f"# {method.title}: {card.machine.tag}, {card.bearing.position}",
        f"# {say('readings.blank_facts')}",
        *(f"#   {_key(field)}={_expected(card, field)}" for field in method.fields),
    ]
    if words:
        lines.append(f"# {method.reading_field.label}: {_one_of(method.reading_field.choices)}")
    reading = "reading" if words else f"reading [{unit_of(method.reading_field, card)}]"
    lines.append(_row("place", reading, "instrument", "remark"))
    lines += [_row(place.label, "", "", place.title) for place in method.default_places(card)]
    return "\n".join(lines) + "\n"


def _key(field: Field) -> str:
    return f"instrument.M1.{field.key}" if field.scope == "instrument" else field.key


def _row(*cells: str) -> str:
    """A row of a CSV file; a cell with a comma or a quotation mark stands between such marks (RFC 4180)."""
    quoted = ('"' + cell.replace('"', '""') + '"' if set(cell) & set(',"') else cell for cell in cells)
    return ",".join(quoted)


def _unit_of_file(card: Card, method: Method) -> str:
    """The unit of readings typed without one, "" where nothing typed could need it; lengths among the
    facts of a method that reads something else carry their own."""
    if method.reading_field.dimension is not None:
        return unit_of(method.reading_field, card)
    return card.bearing.unit if any(field.dimension == "length" for field in method.fields) else ""


def _facts(card: Card, method: Method, scope: str) -> Iterator[str]:
    for field in method.fields:
        if field.scope == scope:
            yield f'{field.key} = ""  # {_expected(card, field)}'


def _births(card: Card, method: Method) -> Iterator[str]:
    """What was measured when the parts were new, one line a place."""
    for place in method.default_places(card) if method.births else ():
        field = birth_field(method, birth_key(method.key, place.label))
        if field is not None:
            yield f'{_quoted(field.key)} = ""  # {_expected(card, field)}'


def _expected(card: Card, field: Field) -> str:
    """What a fact is, on one line: label, words or unit, whether it is needed, what is assumed."""
    told = [field.label]
    unit = unit_of(field, card)
    if field.choices:
        told.append(_one_of(field.choices))
    elif unit:
        told.append(say("readings.blank_unit", unit=unit))
    if field.needed:
        told.append(say("readings.blank_needed"))
    elif field.default:
        told.append(say("readings.blank_default", default=field.default))
    if field.help:
        told.append(field.help)
    return "; ".join(told)


def _reading(method: Method, place: Place) -> Iterator[str]:
    yield from ("", "[[reading]]")
    yield f"place = {_quoted(place.label)}" + (f"  # {place.title}" if place.title else "")
    words = method.reading_field.choices
    yield 'text = ""' + (f"  # {_one_of(words)}" if words else "")


def _one_of(words: tuple[str, ...]) -> str:
    return say("readings.blank_words", words=", ".join(words))


def _quoted(text: str) -> str:
    """A basic string of TOML: what JSON writes is one too."""
    return json.dumps(text, ensure_ascii=False)
