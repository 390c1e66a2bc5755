"""Facts of a wire check as the model uses them: SI values read from typed text, with what was assumed."""

from __future__ import annotations

from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.gauging.contract import Assumed, Fact, Facts
from whitemetal.gauging.wire.influences import micrometer_mpe
from whitemetal.units import read
from whitemetal.words import say

WIRE_MICROMETER = 0.025
"""A strip is measured with a 0 to 25 mm micrometer [m]. Common practice."""


@dataclass(frozen=True)
class Gauge:
    """The micrometer: resolution comes from the text of each reading; the rest from here. All [m].

    zero: mean of the zero checks, taken off every reading. zero_drift: after minus before, None when the
    zero was not checked twice. zero_checked: whether it was checked at all.
    """

    name: str
    known: bool
    mpe: float
    mpe_recorded: bool
    zero: float
    zero_checked: bool
    zero_drift: float | None
    anvil: str
    anvil_width: float | None
    calibration_due: str


@dataclass(frozen=True)
class JointGap:
    """Gap at the joint [m] on each side, and what it is made of. wires: measured with joint wires."""

    filling: str
    left: float
    right: float
    wires: bool
    known: bool

    @property
    def mean(self) -> float:
        return 0.5 * (self.left + self.right)


def of_squeeze(key: str, squeeze: int) -> str:
    """Key of a fact of one squeeze: no suffix means the first."""
    return key if squeeze == 1 else f"{key}@{squeeze}"


def text(facts: Facts, key: str) -> str:
    """The text of a fact, "" when it was not recorded."""
    fact = facts.get(key)
    return fact.text.strip() if fact is not None else ""


def length(facts: Facts, key: str) -> float | None:
    """A fact that is a length [m], or None when it was not recorded. Raises UnitError."""
    return _quantity(facts.get(key), key, "length")


def temperature(facts: Facts, key: str) -> float | None:
    """A fact that is a temperature [K], or None."""
    return _quantity(facts.get(key), key, "temperature")


def torque(facts: Facts, key: str) -> float | None:
    """A fact that is a torque [N m], or None."""
    return _quantity(facts.get(key), key, "torque")


def _quantity(fact: Fact | None, key: str, dimension: str) -> float | None:
    if fact is None or not fact.text.strip():
        return None
    if fact.value is not None:
        return fact.value
    return read(fact.text, dimension, field=key).value  # type: ignore[arg-type]


def gauge(facts: Facts, name: str) -> Gauge:
    """The micrometer called ``name`` as its facts describe it."""
    stem = f"instrument.{name}." if name else "instrument."
    known = any(key.startswith(stem) for key in facts)
    before, after = length(facts, stem + "zero_before"), length(facts, stem + "zero_after")
    zeros = [zero for zero in (before, after) if zero is not None]
    mpe = length(facts, stem + "mpe")
    return Gauge(
        name,
        known,
        mpe if mpe is not None else micrometer_mpe(WIRE_MICROMETER),
        mpe is not None,
        sum(zeros) / len(zeros) if zeros else 0.0,
        bool(zeros),
        after - before if after is not None and before is not None else None,
        text(facts, stem + "anvil"),
        length(facts, stem + "anvil_width"),
        text(facts, stem + "calibration_due"),
    )


def joint_at_squeeze(card: Card, facts: Facts, squeeze: int) -> JointGap:
    """The joint as it was when the wires were squeezed. Joint wires measure the whole gap beside them.

    Joint condition not recorded: taken as the card says it belongs, and marked not known.
    """
    filling = text(facts, of_squeeze("joint", squeeze))
    known = bool(filling)
    filling = filling or card.joint.filling
    wires = [length(facts, of_squeeze(f"joint_wire_{side}", squeeze)) for side in ("left", "right")]
    measured = [wire for wire in wires if wire is not None]
    if measured:
        left = wires[0] if wires[0] is not None else measured[0]
        right = wires[1] if wires[1] is not None else measured[0]
        return JointGap(filling, left, right, True, known)
    return JointGap(filling, *_thickness(card, facts, filling, "joint", squeeze), False, known)


def joint_at_closing(card: Card, facts: Facts) -> JointGap:
    """The joint as it will be, or was, at the final closing; the card's own when not recorded."""
    filling = text(facts, "final_joint")
    known = bool(filling)
    filling = filling or card.joint.filling
    return JointGap(filling, *_thickness(card, facts, filling, "final_joint", 1), False, known)


def _thickness(card: Card, facts: Facts, filling: str, key: str, squeeze: int) -> tuple[float, float]:
    if filling == "metal to metal":
        return 0.0, 0.0
    left = length(facts, of_squeeze(f"{key}_left", squeeze))
    right = length(facts, of_squeeze(f"{key}_right", squeeze))
    if left is None and right is None:
        return card.joint.left, card.joint.right
    if left is None or right is None:
        only = left if left is not None else right
        return only or 0.0, only or 0.0
    return left, right


def assumed_mpe(found: Gauge) -> Assumed:
    """The line that says a micrometer's permissible error was assumed."""
    return Assumed(
        "mpe",
        say("wire.mpe_label", name=found.name or say("wire.no_name")),
        f"{found.mpe * 1e6:.0f} µm",
        say("wire.mpe_source"),
    )
