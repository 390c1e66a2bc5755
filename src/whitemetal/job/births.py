"""Values of birth from a bearing's own book: kept for ever, and handed to the checks that measure against
them.

An entry "birth/1" says {method, place, text, unit, source}; a "strike/1" in the same book strikes one, with a
reason, and it stays visible. A later value never takes the place of an earlier one: two that differ are a
contradiction, and no check is measured against either until a person has struck one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from whitemetal.card import Card
from whitemetal.errors import InputError, Problem, UnitError
from whitemetal.gauging.birth import birth_field, birth_key
from whitemetal.gauging.contract import Fact, Method
from whitemetal.gauging.register import METHODS
from whitemetal.job.entry import Entry
from whitemetal.job.sight import stamped
from whitemetal.job.state import CheckState, JobState
from whitemetal.units import Typed, read
from whitemetal.words import say

KIND, STRIKE = "birth/1", "strike/1"
NEEDS = ("method", "place", "text", "unit", "source")


@dataclass(frozen=True)
class Birth:
    """A value of birth as it was kept. value [SI]. source: where it stands, in its writer's words.

    struck, struck_by: why and by whom it was struck, "" while it counts. disputed: another that counts says
    something else.
    """

    entry: str
    method: str
    place: str
    text: str
    value: float
    source: str
    by: str
    at: str
    struck: str = ""
    struck_by: str = ""
    disputed: bool = False


def read_birth(method: Method, place: str, text: str, unit: str) -> Typed | Problem:
    """A value of birth as typed; or what is wrong with it. unit: assumed when none was typed."""
    field = birth_field(method, birth_key(method.key, place))
    if field is None or field.dimension is None:
        return Problem("method", method.key, say("birth.known_method"))
    try:
        typed = read(text, field.dimension, field=field.label, default_unit=unit or None)
    except UnitError as error:
        return error.problems[0]
    return typed if typed.value > 0.0 else Problem(field.label, text, say("birth.above_nothing"))


def wrong(card: Card, method: str, place: str, text: str, unit: str) -> Problem | None:
    """What is wrong with a value of birth before it is kept; None when nothing is."""
    known = METHODS.get(method)
    if known is None or not known.births:
        return Problem("method", method, say("birth.known_method"))
    places = [one.label for one in known.default_places(card)]
    if place not in places:
        return Problem("place", place, say("birth.known_place", places=", ".join(places)))
    typed = read_birth(known, place, text, unit)
    return typed if isinstance(typed, Problem) else None


def there(births: Sequence[Birth], method: str, place: str) -> tuple[Birth, ...]:
    """The values of birth of a place that count or contradict each other."""
    return tuple(one for one in births if (one.method, one.place) == (method, place) and not one.struck)


def same(birth: Birth, text: str, unit: str) -> bool:
    """Whether a text says what is kept already."""
    typed = read_birth(METHODS[birth.method], birth.place, text, unit)
    return isinstance(typed, Typed) and typed.value == birth.value


def against(held: Sequence[Birth], text: str) -> Problem:
    """What is said to a value of birth that contradicts the ones held."""
    first = held[0]
    return Problem(first.place, text, say("birth.another", by=first.by, text=first.text))


def may_strike(births: Sequence[Birth], entry: str, why: str) -> None:
    """Raises InputError unless there is such a value, not struck yet, and a reason."""
    if entry not in {one.entry for one in births if not one.struck}:
        raise InputError(Problem("entry", entry, say("birth.strikeable")))
    if not why.strip():
        raise InputError(Problem("why", why, say("birth.a_reason")))


def births_of(entries: Iterable[Entry]) -> tuple[Birth, ...]:
    """The values of birth in a bearing's book, struck ones too, by method and place; in whatever order the
    entries come. What cannot be read is left out: the record shows it."""
    ordered = [entry for entry, _ in stamped(entries)]
    strikes: dict[str, Entry] = {}
    for entry in ordered:
        if entry.kind == STRIKE:
            strikes.setdefault(str(entry.body.get("entry", "")), entry)
    found = [one for entry in ordered if (one := _birth(entry, strikes.get(entry.id))) is not None]
    counting: dict[tuple[str, str], set[float]] = {}
    for one in found:
        if not one.struck:
            counting.setdefault((one.method, one.place), set()).add(one.value)
    disputed = {where for where, values in counting.items() if len(values) > 1}
    marked = (replace(one, disputed=not one.struck and (one.method, one.place) in disputed) for one in found)
    return tuple(sorted(marked, key=lambda one: (one.method, one.place)))


def _birth(entry: Entry, strike: Entry | None) -> Birth | None:
    if entry.kind != KIND or not all(isinstance(entry.body.get(key), str) for key in NEEDS):
        return None
    method, place, text, unit, source = (str(entry.body[key]) for key in NEEDS)
    known = METHODS.get(method)
    typed = read_birth(known, place, text, unit) if known is not None else None
    if not isinstance(typed, Typed):
        return None
    written = text.strip() if typed.unit_given else f"{text.strip()} {unit}"
    return Birth(
        entry.id, method, place, written, typed.value, source, str(entry.by.get("name", "")), entry.at,
        (str(strike.body.get("why", "")) or "-") if strike is not None else "",
        str(strike.by.get("name", "")) if strike is not None else "",
    )  # fmt: skip


def with_births(state: JobState, births: Sequence[Birth]) -> JobState:
    """The job with the values of birth in the facts of the checks that measure against them."""
    if not births:
        return state
    checks = {key: _with_births(check, births) for key, check in state.checks.items()}
    return replace(state, checks=checks)


def _with_births(check: CheckState, births: Sequence[Birth]) -> CheckState:
    own = [one for one in births if one.method == check.method and not one.struck]
    if not own:
        return check
    facts = {
        birth_key(one.method, one.place): Fact(one.text, one.value, one.entry, one.by)
        for one in reversed(own)
        if not one.disputed
    }
    doubts = tuple(say("birth.differ", place=place, texts=texts) for place, texts in _disputes(own))
    typed = {key: fact for key, fact in check.facts.items() if not key.startswith("birth.")}
    return replace(check, facts={**typed, **facts}, contradictions=(*check.contradictions, *doubts))


def _disputes(births: Sequence[Birth]) -> Iterable[tuple[str, str]]:
    """Places whose values of birth contradict each other, and what they say."""
    by_place: dict[str, list[Birth]] = {one.place: [] for one in births if one.disputed}
    for one in births:
        if one.disputed:
            by_place[one.place].append(one)
    for place, held in by_place.items():
        yield place, "; ".join(f'{one.by}: "{one.text}"' for one in held)
