"""Facts that a method needs and that nobody has recorded. The same for every method."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from whitemetal.gauging.contract import Facts, Field, Finding, Method, Reading
from whitemetal.words import say


def missing(method: Method, facts: Facts, readings: Sequence[Reading]) -> tuple[Finding, ...]:
    """A *hold* for every needed fact that is not recorded, of the check, each squeeze and each instrument."""
    return tuple(
        _hold(field, key, where)
        for field in method.fields
        if field.needed
        for key, where in _keys(field, readings)
        if key not in facts or not facts[key].text.strip()
    )


def _keys(field: Field, readings: Sequence[Reading]) -> Iterator[tuple[str, str]]:
    if field.scope == "check":
        yield field.key, ""
    elif field.scope == "squeeze":
        for squeeze in sorted({reading.squeeze for reading in readings}) or [1]:
            suffix = "" if squeeze == 1 else f"@{squeeze}"
            yield field.key + suffix, say("verdict.of_squeeze", squeeze=squeeze) if suffix else ""
    else:
        for name in dict.fromkeys(reading.instrument for reading in readings):
            stem = f"instrument.{name}." if name else "instrument."
            yield stem + field.key, say("verdict.of_instrument", name=name) if name else ""


def _hold(field: Field, key: str, where: str) -> Finding:
    why = f" ({field.help})" if field.help else ""
    text = say("verdict.not_recorded", label=field.label + where, why=why)
    return Finding(f"needed.{key}", "hold", text, "common practice")
