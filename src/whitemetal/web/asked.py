"""What a bench page asks besides readings: the fields of any method, and those that are still lacking."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from whitemetal.card import Card
from whitemetal.errors import Problem
from whitemetal.gauging import Method
from whitemetal.gauging.contract import Facts, Field, unit_of
from whitemetal.job.state import CheckState
from whitemetal.job.typed import field_of, read_fact
from whitemetal.units import written
from whitemetal.web.holding import asked_as_hold
from whitemetal.web.render import loop_id, segment
from whitemetal.words import say

NEEDED = "needed."
"""A finding whose code begins so names the fact that nobody has recorded."""


@dataclass(frozen=True)
class Asked:
    """A field as asked on this page. key: of the fact it is kept under. unit: on its box."""

    key: str
    field: Field
    text: str
    by: str
    unit: str
    problem: str = ""

    @property
    def more(self) -> bool:
        """Asked only where it applies, so folded away."""
        return not self.field.needed

    @property
    def told(self) -> str:
        """The text with its unit, as it stands on a fold."""
        return (
            f"{self.text} {written(self.unit)}"
            if self.unit and self.text.strip()[-1:].isdigit()
            else self.text
        )

    @property
    def initials(self) -> str:
        """Of who wrote it, as a sheet is initialled."""
        return "".join(word[0] for word in self.by.split() if word[0].isalnum())[:3].upper()


@dataclass(frozen=True)
class Lacking:
    """A needed fact nobody has recorded, and the address of its field."""

    label: str
    at: str


@dataclass(frozen=True)
class View:
    """How the person looks: which squeeze, which gauge, standing where; what was typed and cannot be used,
    with its problems. gauge_open: nobody has said yet which gauge is in hand. known: what the plant knows of
    the gauge, by key. unread: texts of facts that were kept but cannot be read, by the field's label."""

    squeeze: int = 1
    gauge: str = ""
    turned: int = 0
    gauge_open: bool = False
    typed: Mapping[str, str] = field(default_factory=dict)
    problems: Mapping[str, str] = field(default_factory=dict)
    known: Mapping[str, str] = field(default_factory=dict)
    unread: Mapping[str, str] = field(default_factory=dict)


ZERO_BEFORE, ZERO_AFTER = "zero_before", "zero_after"
"""Keys of an instrument's facts that are asked before the first reading and after the last."""


def unit_on_box(asked: Field, card: Card) -> str:
    """The unit on a field's box; "" where it asks for no quantity."""
    return unit_of(asked, card) if asked.kind == "quantity" else ""


def instrument_key(gauge: str, key: str) -> str:
    """Key of a fact of an instrument; of the one without a number when ``gauge`` is ""."""
    return f"instrument.{gauge}.{key}" if gauge else f"instrument.{key}"


def squeeze_key(key: str, squeeze: int) -> str:
    """Key of a fact of one squeeze: no suffix means the first."""
    return key if squeeze == 1 else f"{key}@{squeeze}"


def in_hand(check: CheckState, look: View) -> View:
    """The look with the gauge of the check's last reading, while nobody has said which gauge is in hand."""
    used = [reading.instrument for reading in check.readings if reading.instrument]
    return replace(look, gauge=used[-1], gauge_open=False) if look.gauge_open and used else look


def informed(check: CheckState, look: View, gauges: Mapping[str, Mapping[str, str]]) -> View:
    """The look with what the plant knows of the gauge and with the facts that cannot be read."""
    known = {instrument_key(look.gauge, key): text for key, text in gauges.get(look.gauge, {}).items()}
    places = {place.label for place in check.places}
    unread = {key: text for _, key, text in check.unreadable if key not in places}
    return replace(look, known=known, unread=unread)


def asked_of(method: Method, card: Card, scope: str, facts: Facts, look: View) -> tuple[Asked, ...]:
    """The method's fields of one scope as asked on this page."""
    return tuple(_one_asked(method, each, card, facts, look) for each in method.fields if each.scope == scope)


def _one_asked(method: Method, asked: Field, card: Card, facts: Facts, look: View) -> Asked:
    key = asked.key
    if asked.scope == "squeeze":
        key = squeeze_key(key, look.squeeze)
    elif asked.scope == "instrument":
        key = instrument_key(look.gauge, key)
    unit = unit_on_box(asked, card)
    fact = facts.get(key)
    unread = look.unread.get(key) if fact is None or not fact.by else None
    kept = unread or (fact.text if fact else look.known.get(key, ""))
    problem = look.problems.get(key, "")
    if unread and not problem:
        read = read_fact(method, key, unread, unit)
        problem = f"{say('web.expected')} {read.expected}" if isinstance(read, Problem) else ""
    by = fact.by if fact and fact.text else ""
    return Asked(key, asked, look.typed.get(key, kept), by, unit, problem)


def lacking_of(
    method: Method, findings: Sequence[Any], look: View
) -> tuple[tuple[Lacking, ...], tuple[Any, ...]]:
    """The needed facts nobody has recorded, each with the way to its field or to the hold point that asks
    the same; and the other findings."""
    lacking, others = [], []
    as_hold = asked_as_hold(method)
    for found in findings:
        key = found.code.removeprefix(NEEDED)
        asked = field_of(method, key)
        if found.code.startswith(NEEDED) and asked is not None:
            way = f"#hold-{key}" if key in as_hold else _way_to(asked, key, look)
            lacking.append(Lacking(asked.label, way))
        else:
            others.append(found)
    return tuple(lacking), tuple(others)


def _way_to(asked: Field, key: str, look: View) -> str:
    squeeze, gauge = look.squeeze, look.gauge
    if asked.scope == "squeeze":
        squeeze = int(key.partition("@")[2] or 1)
    elif asked.scope == "instrument":
        gauge = key.removeprefix("instrument.").removesuffix(asked.key).rstrip(".")
    hidden = look.gauge_open and asked.scope == "instrument"
    shown = (squeeze, gauge) == (look.squeeze, look.gauge) and not hidden
    return f"{'' if shown else f'?squeeze={squeeze}&gauge={segment(gauge)}'}#ask-{loop_id(key)}"
