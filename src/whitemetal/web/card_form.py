"""A card as a form: generated from its declaration, filled with what was typed, problems at their field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from whitemetal.card import CARD_FIELDS, Card, CardField, texts_of
from whitemetal.card.fields import limiting
from whitemetal.card.limited import LIMITED, OIL_CLEARANCE
from whitemetal.errors import Problem
from whitemetal.units import whole, written
from whitemetal.words import say

PREFIX = "card."


@dataclass(frozen=True)
class CardAsked:
    """A field on the form. path: as in a card's texts, "limit.2.minimum" for one of a limit."""

    path: str
    field: CardField
    text: str
    problem: str

    @property
    def id(self) -> str:
        """Part of the field's element id."""
        return self.path.replace(".", "-").replace("_", "-")

    @property
    def choices(self) -> tuple[str, ...]:
        """What may be chosen; () where text is typed."""
        return ("yes", "no") if self.field.kind == "yes or no" else self.field.choices

    @property
    def asks_quantity(self) -> bool:
        """Whether it asks which quantity a limit is for."""
        return self.field.path == "limit.of"

    @property
    def placeholder(self) -> str:
        """What stands in an empty box: the default, or the unit to type."""
        if self.field.default is not None:
            return self.field.default
        return f"… {written(self.field.unit)}" if self.field.unit else ""


@dataclass(frozen=True)
class Group:
    """A table of the card, or one limit. optional: folded away while nothing in it was typed."""

    key: str
    title: str
    asked: tuple[CardAsked, ...]
    optional: bool

    @property
    def open(self) -> bool:
        """Whether the group is unfolded."""
        return not self.optional or any(asked.text or asked.problem for asked in self.asked)


def tables() -> tuple[str, ...]:
    """The card's tables in the order of the form."""
    return tuple(dict.fromkeys(field.table for field in CARD_FIELDS))


def groups(texts: Mapping[str, str], problems: Iterable[Problem] = (), limits: int = 1) -> tuple[Group, ...]:
    """The form's groups. limits: so many limits are asked for at least."""
    said: dict[str, str] = {}
    for problem in problems:
        said.setdefault(problem.field, f"{say('web.expected')} {problem.expected}")
    made = []
    for table in tables():
        fields = [field for field in CARD_FIELDS if field.table == table]
        numbers = range(1, max(limits, limits_in(texts)) + 1) if table == "limit" else [0]
        for number in numbers:
            stem = f"{table}.{number}" if number else table
            of = texts.get(f"{stem}.of", "") or OIL_CLEARANCE
            asked = tuple(
                CardAsked(path, _for_quantity(field, of), texts.get(path, ""), said.get(path, ""))
                for field in fields
                for path in [f"{stem}.{field.key}"]
            )
            title = say("web.limit_n", n=number) if number else say(f"web.t_{table}")
            made.append(Group(stem, title, asked, table in ("oil", "duty", "limit", "uncertainty")))
    return tuple(made)


def _for_quantity(field: CardField, of: str) -> CardField:
    """A field of a limit as it is for its quantity: unit of its figures, bases it may be written in."""
    field = limiting(field, of)
    quantity = LIMITED.get(of)
    if field.path == "limit.basis" and quantity is not None:
        return replace(field, choices=quantity.bases)
    return field


def quantities() -> dict[str, dict[str, str]]:
    """Unit, bases and help of every quantity a limit may be set for, for the form's script."""
    return {
        of: {"unit": one.unit, "bases": "|".join(one.bases), "help": one.help} for of, one in LIMITED.items()
    }


def with_limit(texts: Mapping[str, str], limit: Mapping[str, str]) -> dict[str, str]:
    """The card's texts with one more limit."""
    number = limits_in(texts) + 1
    return {**texts, **{f"limit.{number}.{key}": text for key, text in limit.items()}}


def limits_in(texts: Mapping[str, str]) -> int:
    """The highest number of a limit among texts."""
    numbers = [path.split(".")[1] for path in texts if path.startswith("limit.")]
    return max((whole(number) or 0 for number in numbers), default=0)


def texts_from(form: Iterable[tuple[str, object]]) -> dict[str, str]:
    """The card's texts a form sent; limits left empty are left out and the rest numbered anew."""
    sent = {name[len(PREFIX) :]: str(text) for name, text in form if name.startswith(PREFIX)}
    used = sorted({int(_number(path)) for path, text in sent.items() if _number(path) and text.strip()})
    fresh = {old: new for new, old in enumerate(used, start=1)}
    texts = {}
    for path, text in sent.items():
        number = _number(path)
        if not text.strip() or (number and int(number) not in fresh):
            continue
        if number:
            path = f"limit.{fresh[int(number)]}.{path.split('.', 2)[2]}"
        texts[path] = text
    return texts


def _number(path: str) -> str:
    parts = path.split(".", 2)
    return parts[1] if len(parts) == 3 and parts[0] == "limit" and parts[1].isdecimal() else ""


def shown(card: Card) -> tuple[Group, ...]:
    """The card for reading: what was typed, and the defaults where nothing was."""
    return groups(texts_of(card), limits=0)


def labelled(problems: Iterable[Problem], made: Iterable[Group]) -> tuple[Problem, ...]:
    """Problems under the words of the form instead of the card's keys."""
    words = {asked.path: f"{group.title}, {asked.field.label}" for group in made for asked in group.asked}
    return tuple(replace(problem, field=words.get(problem.field, problem.field)) for problem in problems)
