r"""How much a flat blade reads low in a curved gap, and what else a feeler leaves open.

A stiff flat blade of width w, pushed in along the shaft, touches the journal along its middle and the bore
along both edges. Over the chord w the bore, of radius R, stands off the chord by the sagitta

    s = R - sqrt(R^2 - w^2/4) = w^2 / (8 R) to the first order    (derived from geometry)

so the gap is the blade's thickness and s. A thin blade bends and follows the curve, and then nothing is
missing. Where between the two it lies nobody knows: half of s is added, and the other half either way is
left open (rectangular).

The stack noted is the thickest that enters; the gap is that or up to one step of the leaves more: half a
step is added, half a step either way is left open.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from whitemetal.card import Card
from whitemetal.gauging.asked import mean_of
from whitemetal.gauging.contract import Facts, Reading
from whitemetal.gauging.instruments import FEELER, of_instrument
from whitemetal.gauging.wire.facts import length, text
from whitemetal.gauging.wire.influences import ESTIMATED_DOF, STEEL_EXPANSION, amount
from whitemetal.quantity import Influence, Quantity
from whitemetal.words import say

FEEL = 10e-6
"""Standard uncertainty [m] of finding by feel which stack just enters. Common practice: feelers are good to
0.02 to 0.05 mm."""

BLADE = 6e-3
"""Width of a blade [m] where nobody noted it: the widest that is recommended. Common practice: 3 to 6 mm."""

STEP = 0.01e-3
"""Step between stacks that were tried [m] where nobody noted it. Our own."""

LEAVES = 3
"""Not more leaves than this in one stack. Common practice."""


def sagitta(width: float, radius: float) -> float:
    """How far a curve of this radius stands off a chord of this width [m]; width at most twice the radius."""
    return radius - math.sqrt(radius**2 - 0.25 * width**2)


def leaves_of(facts: Facts) -> int:
    """How many leaves were used at most; the most allowed where nobody noted it."""
    said = text(facts, "leaves")
    return max(1, int(said)) if said.isdecimal() else LEAVES


def width_of(card: Card, facts: Facts) -> float:
    """Width of the blade [m], at most that of the journal: no wider one goes in."""
    return min(length(facts, "blade_width") or BLADE, card.bearing.journal_diameter)


def gap_of(card: Card, facts: Facts, where: str, group: Sequence[Reading]) -> tuple[Quantity, float]:
    """The gap [m] at one place from the stacks noted there, and the standard uncertainty [m] of what
    belongs to
    the place alone."""
    mean, name = mean_of(group), group[0].instrument
    step = max(length(facts, "leaf_step") or STEP, *(reading.resolution for reading in group))
    low = sagitta(width_of(card, facts), 0.5 * card.bearing.journal_diameter)
    own = (_step(where, step), _feel(where, len(group)))
    mpe = of_instrument("feeler", facts, name, FEELER, mean)
    bridge = _one("bridge", "feeler.bridge", 0.5 * low / math.sqrt(3.0), "derived from geometry")
    warm = card.bearing.journal_diameter * STEEL_EXPANSION * amount(card, "temperature") / math.sqrt(3.0)
    warmth = _one("temperature", "feeler.warmth", warm, say("feeler.own"))
    parts = {one: one.u for one in (*own, bridge, warmth)}
    parts[mpe] = mpe.u * math.sqrt(leaves_of(facts))
    return Quantity(mean + 0.5 * step + 0.5 * low, parts), math.hypot(*(one.u for one in own))


def _one(key: str, label: str, u: float, source: str) -> Influence:
    return Influence(f"feeler.{key}", say(label), u, math.inf, "rectangular", source, key)


def _step(where: str, step: float) -> Influence:
    u, label, source = step / math.sqrt(12.0), say("feeler.step"), say("feeler.step_source")
    return Influence(f"feeler.step.{where}", label, u, math.inf, "rectangular", source, "reading")


def _feel(where: str, count: int) -> Influence:
    u, label, source = FEEL / math.sqrt(count), say("feeler.feel"), say("feeler.feel_source")
    return Influence(f"feeler.feel.{where}", label, u, ESTIMATED_DOF, "normal", source, "feel")
