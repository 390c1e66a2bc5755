"""From readings to diameters: which instrument took which part, and what their errors have in common."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.gauging.bore.layout import BORE, JOURNAL, PADS, RING, part_of
from whitemetal.gauging.contract import Facts, Place, Reading
from whitemetal.gauging.diameters import EXPANSION, FEEL, Diameter, Taken, diameters, zero_taken_off
from whitemetal.gauging.instruments import (
    BORE_COMPARATOR,
    INSIDE_MICROMETER,
    OUTSIDE_MICROMETER,
    SETTING_RING,
    Instrument,
    mpe_of,
    of_instrument,
)
from whitemetal.gauging.wire.facts import temperature, text
from whitemetal.quantity import Influence, Quantity
from whitemetal.words import say

INSIDE = "inside micrometer"
ON_RING = "comparator set on a ring"
ON_MICROMETER = "comparator set on the journal's micrometer"
BORE_GAUGES = (INSIDE, ON_RING, ON_MICROMETER)

KEY = "bore"
APART = 1.0
"""Journal and shell are equally warm, or their temperatures are known, within this [K], rectangular. Our own
assumption, as for the soft wire."""

SHELL, SHAFT = "cast iron", "steel"
"""Materials taken when none is recorded: a shell follows the housing that holds it. Common practice."""


@dataclass(frozen=True)
class Measured:
    """The diameters of a check by part, and the largest length measured [m]."""

    of: Mapping[str, tuple[Diameter, ...]]
    largest: float


def kind_of(facts: Facts, part: str) -> Instrument:
    """The kind of instrument that took a part's readings."""
    if part in (JOURNAL, PADS):
        return OUTSIDE_MICROMETER
    return INSIDE_MICROMETER if bore_gauge(facts) == INSIDE else BORE_COMPARATOR


def bore_gauge(facts: Facts) -> str:
    """What the bore was measured with; an inside micrometer, the coarser, when it was not recorded."""
    return text(facts, "bore_gauge") or INSIDE


def measure(card: Card, facts: Facts, places: Sequence[Place], readings: Sequence[Reading]) -> Measured:
    """Every part's diameters at 20 °C."""
    parts = {place.label: part_of(place) for place in places}
    largest = max(reading.value for reading in readings)
    micrometers = sorted({r.instrument for r in readings if parts[r.place] == JOURNAL})
    found = {}
    for part in (BORE, RING, PADS, JOURNAL):
        own = [reading for reading in readings if parts[reading.place] == part]
        here = [place for place in places if parts[place.label] == part]
        found[part] = diameters(_taken(card, facts, part, largest, micrometers), here, own)
    return Measured(found, largest)


def _taken(card: Card, facts: Facts, part: str, largest: float, micrometers: Sequence[str]) -> Taken:
    journal = part == JOURNAL
    material = text(facts, "journal_material" if journal else "shell_material") or (
        SHAFT if journal else SHELL
    )
    warm = temperature(facts, "journal_temperature" if journal else "part_temperature")
    gauge = bore_gauge(facts)
    feel = "outside" if part in (JOURNAL, PADS) else "inside" if gauge == INSIDE else "comparator"
    return Taken(
        KEY, part, FEEL[feel], _shared(card, facts, part, largest, micrometers), warm, EXPANSION[material]
    )


def _shared(
    card: Card, facts: Facts, part: str, largest: float, micrometers: Sequence[str]
) -> Callable[[str], Quantity]:
    """What all readings of a part with one instrument have in common.

    A comparator set on the journal's own micrometer repeats that micrometer's error in the bore, so that it
    drops out of the clearance.
    """
    kind, gauge = kind_of(facts, part), bore_gauge(facts)
    length = largest if part != PADS else 0.0

    def shared(name: str) -> Quantity:
        own = of_instrument(KEY, facts, name, kind, length)
        found = Quantity.of(0.0, own)
        if kind is not BORE_COMPARATOR:
            found += zero_taken_off(KEY, card, facts, name)
        elif gauge == ON_MICROMETER and micrometers:
            setting = of_instrument(KEY, facts, micrometers[0], OUTSIDE_MICROMETER, largest)
            found += Quantity.of(0.0, setting) + zero_taken_off(KEY, card, facts, micrometers[0])
        else:
            found += Quantity.of(
                0.0, of_instrument(KEY, {}, f"{name} ring" if name else "", SETTING_RING, largest)
            )
        return found + (Quantity.of(0.0, apart(card, largest)) if part in (BORE, RING) else 0.0)

    return shared


def apart(card: Card, size: float) -> Influence:
    """What is open about journal and shell being equally warm, or about their temperatures."""
    kelvin = card.uncertainty.get("temperature", APART)
    u = size * EXPANSION["steel"] * kelvin / math.sqrt(3.0)
    label, source = say("bore.apart"), say("bore.apart_source")
    return Influence(f"{KEY}.temperature.", label, u, math.inf, "rectangular", source, "temperature")


def permissible(facts: Facts, part: str, name: str, largest: float) -> tuple[float, str]:
    """Permissible error [m] of the instrument that took a part, and its source."""
    return mpe_of(facts, name, kind_of(facts, part), largest if part != PADS else 0.0)
