"""Values of birth: what a part measured when it was new, kept for ever in its bearing's own book.

Factory crown thickness, the constant of a bridge gauge, the installation constant inscribed beside a pad.
They reach a method as facts ``birth.METHOD.PLACE`` and are never typed in a check of a job.
"""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contract import Facts, Field, Method
from whitemetal.gauging.instruments import Instrument
from whitemetal.quantity import Influence, Quantity
from whitemetal.units import read
from whitemetal.words import say

BIRTH_STEP = "birth step"
"""Family of what the last digit of a value of birth leaves open."""

BIRTH = "birth."
"""First word of the key of a value of birth."""


def birth_key(method: str, place: str) -> str:
    """Key of the value of birth of a method's place."""
    return f"{BIRTH}{method}.{place}"


def birth_field(method: Method, key: str) -> Field | None:
    """What a value of birth of this method is read as; None for any other key."""
    start = birth_key(method.key, "")
    if not method.births or not key.startswith(start) or not key.removeprefix(start):
        return None
    label = say("birth.label", place=key.removeprefix(start))
    return Field(key, label, "quantity", dimension=method.reading_field.dimension)


def birth_of(card: Card, facts: Facts, method: str, place: str, kind: Instrument) -> Quantity | None:
    """A length at birth [m] with what its last digit and the gauge of its day leave open; None where nobody
    kept it. Raises UnitError.

    The gauge is not known, so all values of one bearing share the permissible error of a usual one.
    """
    fact = facts.get(birth_key(method, place))
    if fact is None or not fact.text.strip():
        return None
    typed = read(fact.text, "length", field=say("birth.label", place=place), default_unit=card.bearing.unit)
    step = Influence(
        f"{method}.birth.step.{place}", say("birth.step"), typed.resolution / math.sqrt(12.0), math.inf,
        "rectangular", say("instruments.step_source"), BIRTH_STEP,
    )  # fmt: skip
    gauge = Influence(
        f"{method}.birth.gauge", say("birth.gauge", kind=kind.kind),
        kind.permissible(abs(typed.value)) / math.sqrt(3.0), math.inf, "rectangular", kind.source,
        "birth gauge",
    )  # fmt: skip
    return Quantity(typed.value, {step: step.u, gauge: gauge.u})
