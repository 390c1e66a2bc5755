"""Quantities other than the oil clearance as text for the terminal. Nothing is compared or decided here."""

from __future__ import annotations

from collections.abc import Iterator

from whitemetal.cli.screen import Screen
from whitemetal.job.by_quantity import in_words
from whitemetal.job.judgement import AssessedLimit, AssessedShown, AssessedValue, Judgement
from whitemetal.sheets.text import percent
from whitemetal.words import say


def quantity_lines(judgement: Judgement, how: dict[str, str], screen: Screen) -> Iterator[str]:
    """Each quantity with its values, its limit or the rules side by side, and its word."""
    for one in judgement.assessed:
        basis = "" if one.basis == "as it is" else f", {one.basis}"
        word = f": {screen.paint(one.word, how[one.word])}" if one.word else ""
        yield screen.heading(f"{one.label}{basis}") + word
        for value in one.values:
            yield from screen.wrapped(_value(one, value), "  ", "    ")
        if not one.values:
            yield f"  {say('terminal.not_measured')}"
        yield from _limits(one, screen)
        if one.note:
            yield from screen.wrapped(one.note, "  ", "    ")
        yield ""


def _value(one: AssessedShown, value: AssessedValue) -> str:
    where = f"{value.where}: " if value.where else ""
    chance = f" ({percent(value.probability)})" if value.probability is not None else ""
    word = f"  {value.word}{chance}" if value.word else ""
    return f"{where}{in_words(one, value.value)} ± {in_words(one, value.expanded)}{word}"


def _limits(one: AssessedShown, screen: Screen) -> Iterator[str]:
    if one.limit is not None:
        yield from screen.wrapped(say("terminal.limit_of", limit=_limit(one, one.limit)), "  ", "    ")
    else:
        yield f"  {say('terminal.no_limit_of')}"
    for limit in one.ladder:
        if one.limit is None or limit.source != one.limit.source:
            yield from screen.wrapped(f"{say('terminal.also')}: {_limit(one, limit)}", "  ", "    ")
    if one.rules and one.limit is None:
        yield from screen.wrapped(say("terminal.rules_of", count=len(one.rules)), "  ", "  ")
        for rule in one.rules:
            word = f": {rule.word} {percent(rule.probability)}".rstrip() if rule.word else ""
            said = f"{_band(one, rule)}{word}. {rule.title}; {rule.source}"
            yield from screen.wrapped(said, "  - ", "    ")


def _limit(one: AssessedShown, limit: AssessedLimit) -> str:
    more = f"; {limit.note}" if limit.note else ""
    if limit.provisional:
        more += f"; {say('terminal.provisional')}"
    stands = f"{limit.rung}: {limit.source}"
    if limit.basis != "as it is":
        stands = say("terminal.stands_on", rung=limit.rung, source=limit.source, basis=limit.basis)
    return f"{_band(one, limit)}; {stands}{more}"


def _band(one: AssessedShown, limit: AssessedLimit) -> str:
    low, high = limit.minimum, limit.maximum
    if low is not None and high is not None:
        said = say("terminal.between", low=in_words(one, low), high=in_words(one, high))
    elif low is not None:
        said = say("terminal.at_least", value=in_words(one, low))
    else:
        said = say("terminal.at_most", value=in_words(one, high)) if high is not None else ""
    if limit.renewal is None:
        return said
    renewal = say("terminal.renewal_of", value=in_words(one, limit.renewal))
    return f"{said}; {renewal}" if said else renewal
