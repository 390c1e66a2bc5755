"""What is recorded rather than measured out: a few figures and a few things looked at, each with its limit.

A method of this kind is declared as `Item` (a figure asked as a fact, with the quantity it is judged as) and
`Look` (a question with one right answer). `recorded` makes the method of them. A figure's uncertainty is the
last digit as typed and what its gauge may be wrong by.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from whitemetal.card import Card
from whitemetal.card.limited import LIMITED
from whitemetal.gauging.contract import (
    Assessed,
    Fact,
    Facts,
    Field,
    Finding,
    GeneralRule,
    HoldPoint,
    Method,
    Place,
    Reading,
    RejectionRule,
    Result,
    Severity,
    SheetLine,
)
from whitemetal.quantity import Influence, Quantity
from whitemetal.units import read
from whitemetal.words import say

YES_NO = ("yes", "no")


@dataclass(frozen=True)
class Item:
    """A figure. key, label, help: as of a field. of: the quantity it is judged as. error: what its gauge may
    be wrong by, half-width [SI], and where that is from. needed: without it the check is not proven.
    read_off: whether its last digit says how finely it was read; a feeler's blade is marked, not read."""

    key: str
    label: str
    of: str
    error: float
    error_source: str
    help: str = ""
    needed: bool = True
    unit: str = ""
    read_off: bool = True


@dataclass(frozen=True)
class Look:
    """Something looked at. right: the answer it should have; also_right: others that are as good.
    severity: of any other answer; text: the sentence that is then said. needed: it must be answered."""

    key: str
    label: str
    right: str
    severity: Severity
    text: str
    help: str = ""
    choices: tuple[str, ...] = YES_NO
    needed: bool = True
    source: str = "common practice"
    also_right: tuple[str, ...] = ()


NO_READING = Field("nothing", "Nothing is read at places", "text")
"""The reading field of a method that asks for facts only."""


def recorded(
    key: str,
    title: str,
    items: Sequence[Item],
    looks: Sequence[Look],
    *,
    about: str,
    measures: str = "",
    fields: Sequence[Field] = (),
    rules: Callable[[Card], tuple[GeneralRule, ...]] = lambda card: (),
    rules_of_facts: Callable[[Card, Facts], tuple[GeneralRule, ...]] = lambda card, facts: (),
    hold_points: Sequence[HoldPoint] = (),
    by_eye: Sequence[RejectionRule] = (),
    cautions: tuple[str, ...] = ("isolated",),
    steps: tuple[str, ...] = (),
    proves: str = "",
    subject: Literal["bearing", "machine"] = "bearing",
    stale_with: tuple[str, ...] = (),
) -> Method:
    """A method made of figures and looks. Every look is a rejection rule that the program finds.

    rules_of_facts: general rules that depend on what was typed.
    """

    def evaluate(
        card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]
    ) -> Result:
        extra = rules_of_facts(card, facts)
        odd = {item.key: one for item in items if (one := impossible(key, item, card, facts)) is not None}
        found = (item_of(key, item, card, facts, extra) for item in items if item.key not in odd)
        said = (*odd.values(), *wrong(key, looks, facts))
        return Result(None, findings=said, assessed=tuple(filter(None, found)))

    return Method(
        key=key,
        title=title,
        measures=measures or key.replace("_", " "),
        basis="none",
        reading_field=NO_READING,
        fields=(*(field_of_item(item) for item in items), *(field_of_look(look) for look in looks), *fields),
        default_places=lambda card: (),
        evaluate=evaluate,
        views=("section",),
        hold_points=tuple(hold_points),
        rejection_rules=(
            *(RejectionRule(f"{key}.{one.key}", one.text, "program", one.source) for one in looks),
            RejectionRule(f"{key}.impossible", say("recorded.cannot_be"), "program", "by definition"),
            *by_eye,
        ),
        sheet_lines=(
            *(SheetLine(one.label, one.key) for one in items),
            *(SheetLine(one.label, one.key) for one in looks),
        ),
        cautions=cautions,
        steps=steps,
        assesses=tuple(dict.fromkeys(item.of for item in items)),
        rules=rules,
        proves=proves,
        subject=subject,
        repeats=False,
        about=about,
        stale_with=stale_with,
    )


def field_of_item(item: Item) -> Field:
    """The field that asks for a figure, in the usual unit of its quantity."""
    quantity = LIMITED[item.of]
    unit = item.unit or ("" if quantity.unit == "mm" else quantity.unit)
    return Field(
        item.key, item.label, "quantity", dimension=quantity.dimension, unit=unit, needed=item.needed,
        help=item.help, measured=True,
    )  # fmt: skip


def field_of_look(look: Look) -> Field:
    """The field that asks what was seen."""
    kind: Literal["yes or no", "choice"] = "yes or no" if look.choices == YES_NO else "choice"
    return Field(
        look.key, look.label, kind, choices=look.choices, needed=look.needed, help=look.help, measured=True
    )


def item_of(
    key: str, item: Item, card: Card, facts: Facts, rules: Sequence[GeneralRule] = ()
) -> Assessed | None:
    """The figure as an assessed quantity; None when it was not recorded. Raises UnitError."""
    fact = facts.get(item.key)
    if fact is None or not fact.text.strip():
        return None
    value = value_of(f"{key}.{item.key}", item, card, fact)
    ours = tuple(rule for rule in rules if rule.of == item.of)
    return Assessed(item.of, item.label, (value,), needed=item.needed, rules=ours)


def impossible(key: str, item: Item, card: Card, facts: Facts) -> Finding | None:
    """A hold on a figure below nothing that has no sign, and on a share above the whole; such a figure is not
    judged, since a limit that is only an upper one would let it pass. Raises UnitError."""
    fact = facts.get(item.key)
    if fact is None or not fact.text.strip():
        return None
    value, quantity = value_of(f"{key}.{item.key}", item, card, fact).value, LIMITED[item.of]
    if value >= 0.0 or quantity.signed:
        code = "recorded.above_all"
        if quantity.dimension != "ratio" or value <= 1.0:
            return None
    else:
        code = "recorded.below_nothing"
    text = say(code, label=item.label, typed=fact.text.strip())
    return Finding(f"{key}.impossible", "hold", text, "by definition")


def value_of(key: str, item: Item, card: Card, fact: Fact) -> Quantity:
    """A figure [SI] with what its last digit and its gauge leave open."""
    quantity = LIMITED[item.of]
    unit = item.unit or (card.bearing.unit if quantity.unit == "mm" else quantity.unit)
    typed = read(fact.text, quantity.dimension, field=item.label, default_unit=unit or None)
    step = Influence(
        f"{key}.step", say("instruments.step"), typed.resolution / math.sqrt(12.0), math.inf, "rectangular",
        say("instruments.step_source"), "reading",
    )  # fmt: skip
    gauge = Influence(
        f"{key}.gauge", say("recorded.gauge"), item.error / math.sqrt(3.0), math.inf, "rectangular",
        item.error_source, "mpe",
    )  # fmt: skip
    return Quantity(typed.value, {one: one.u for one in ((step, gauge) if item.read_off else (gauge,))})


def wrong(key: str, looks: Sequence[Look], facts: Facts) -> Iterator[Finding]:
    """A finding for each look whose answer is not the right one."""
    for look in looks:
        fact = facts.get(look.key)
        if fact is not None and fact.text.strip() and fact.text.strip() not in (look.right, *look.also_right):
            yield Finding(f"{key}.{look.key}", look.severity, look.text, look.source)
