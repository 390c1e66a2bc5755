"""Diameters by micrometer or bore gauge: what was read at a place as one uncertain number at 20 °C.

Shared by the methods that take diameters. Length at the reference temperature, ISO 1:
``L20 = L [1 - alpha (T - 20 °C)]``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from whitemetal.card import Card
from whitemetal.gauging.contract import Facts, Field, Finding, Place, Reading, Severity
from whitemetal.gauging.instruments import CALIBRATION_FIELD, MPE_FIELD, of_step
from whitemetal.gauging.wire.facts import length, temperature, text, torque
from whitemetal.gauging.wire.influences import ESTIMATED_DOF
from whitemetal.gauging.wire.observe import Repeats, pooled
from whitemetal.quantity import Influence, Quantity, combine
from whitemetal.units import clearance_step, show
from whitemetal.words import say

REFERENCE = 273.15 + 20.0
"""Reference temperature of lengths [K]: ISO 1."""

EXPANSION: dict[str, float] = {
    "steel": 11.5e-6,
    "cast iron": 10.5e-6,
    "bronze": 18e-6,
}
"""Thermal expansion [1/K] by material; common practice, from memory. A lining of white metal follows the
shell that it is cast on."""

EXPANSION_SHARE = 0.1
"""An expansion is known to a tenth of itself, rectangular. Our own assumption."""

FEEL: dict[str, float] = {"outside": 3e-6, "inside": 5e-6, "comparator": 3e-6}
"""Standard uncertainty [m] of finding a diameter by feel, or the turning point of a comparator. Common
practice for a skilled hand, from memory; check against your own repeats."""

ZERO_UNCHECKED = 2e-6
ZERO_DRIFT = 2e-6
"""An instrument checked on its standard moves by no more [m], or the session is discarded. Common
practice."""

REPEATS_AGREE = 10e-6
"""Diameters taken again at one place agree within this [m], or one of them is no diameter. Our own."""

HOT = 273.15 + 40.0
UNEQUAL = 5.0
"""Parts above 40 °C or 5 K apart are too warm to measure, as for the soft wire. Our own."""

NEAR = 0.05
"""A diameter lies within this share of the card's journal diameter, or it is of another unit or another
place. Our own; bearings run below 4 per mille."""

TORQUE_SHARE = 0.02
"""A torque further from the card's than this share is another torque. Our own, as for the soft wire."""

PRACTICE = "common practice"

INSTRUMENT_FIELDS: tuple[Field, ...] = (
    MPE_FIELD,
    Field("zero_before", "Error on its setting standard, before", "quantity", "instrument", "length",
          help="what it shows less what the standard is"),
    Field("zero_after", "Error on its setting standard, after", "quantity", "instrument", "length"),
    CALIBRATION_FIELD,
)  # fmt: skip


@dataclass(frozen=True)
class Diameter:
    """The diameter at one place. value: at 20 °C, the instrument's zero taken off. read: mean as read [m].

    own_u: standard uncertainty of what belongs to this place alone [m].
    """

    place: Place
    value: Quantity
    read: float
    count: int
    own_u: float


@dataclass(frozen=True)
class Taken:
    """How the diameters of one part were taken.

    method: key of the method. part: its name in keys. feel: standard uncertainty of finding the diameter [m].
    shared: what readings with an instrument of this name share, zero taken off. temperature [K], None when
    it was not recorded (then nothing is corrected). expansion [1/K].
    """

    method: str
    part: str
    feel: float
    shared: Callable[[str], Quantity]
    temperature: float | None
    expansion: float


@dataclass(frozen=True)
class Zero:
    """An instrument on its setting standard [m]. drift: after less before, None when not checked twice."""

    mean: float
    checked: bool
    drift: float | None


def by_place(readings: Sequence[Reading]) -> dict[str, list[Reading]]:
    """The readings of each place, in whatever order they came."""
    groups: dict[str, list[Reading]] = {}
    for reading in readings:
        groups.setdefault(reading.place, []).append(reading)
    return groups


def diameters(taken: Taken, places: Sequence[Place], readings: Sequence[Reading]) -> tuple[Diameter, ...]:
    """One diameter for each of these places that has readings, in the order of the places."""
    groups = by_place(readings)
    there = [place for place in places if place.label in groups]
    repeats = pooled([groups[place.label] for place in there])
    return tuple(_diameter(taken, place, groups[place.label], repeats) for place in there)


def _diameter(taken: Taken, place: Place, group: Sequence[Reading], repeats: Repeats) -> Diameter:
    mean = math.fsum(reading.value for reading in group) / len(group)
    own = (_of_reading(taken.method, place, group, repeats), _of_feel(taken, place, len(group)))
    counts = {name: sum(one.instrument == name for one in group) for name in {r.instrument for r in group}}
    names = sorted(counts)
    shared = combine([counts[name] / len(group) for name in names], [taken.shared(name) for name in names])
    value = Quantity(mean, {one: one.u for one in own}) + shared + at_reference(taken, mean)
    return Diameter(place, value, mean, len(group), math.hypot(*(one.u for one in own)))


def at_reference(taken: Taken, size: float) -> Quantity:
    """What a size [m] changes by when its part is brought to 20 °C, ISO 1; 0 without a temperature."""
    if taken.temperature is None:
        return Quantity(0.0)
    over = size * (taken.temperature - REFERENCE)
    u = taken.expansion * EXPANSION_SHARE / math.sqrt(3.0)
    influence = Influence(
        f"{taken.method}.expansion.{taken.part}", say("diameters.expansion"), u, math.inf, "rectangular",
        say("diameters.expansion_source"), "expansion",
    )  # fmt: skip
    return Quantity(-over * taken.expansion, {influence: -over * u})


def _of_reading(method: str, place: Place, group: Sequence[Reading], repeats: Repeats) -> Influence:
    step = of_step(method, place.label, group)
    scatter = repeats.sd / math.sqrt(len(group))
    if scatter <= step.u:
        return step
    label, source = say("diameters.repeats"), say("diameters.repeats_source")
    return Influence(step.key, label, scatter, float(repeats.dof), "student", source, "reading")


def _of_feel(taken: Taken, place: Place, count: int) -> Influence:
    """Finding the diameter anew each time; what repeats share of it they shrink."""
    return Influence(
        f"{taken.method}.feel.{place.label}", say("diameters.feel"), taken.feel / math.sqrt(count),
        ESTIMATED_DOF, "normal", say("diameters.feel_source"), "feel",
    )  # fmt: skip


def zero_of(facts: Facts, name: str) -> Zero:
    """An instrument on its setting standard. Raises UnitError."""
    stem = f"instrument.{name}." if name else "instrument."
    before, after = length(facts, stem + "zero_before"), length(facts, stem + "zero_after")
    found = [one for one in (before, after) if one is not None]
    mean = sum(found) / len(found) if found else 0.0
    drift = after - before if after is not None and before is not None else None
    return Zero(mean, bool(found), drift)


def zero_taken_off(method: str, card: Card, facts: Facts, name: str) -> Quantity:
    """The correction for an instrument's zero [m], with what is open about it."""
    zero = zero_of(facts, name)
    half = card.uncertainty.get("zero", ZERO_UNCHECKED) if zero.drift is None else 0.5 * abs(zero.drift)
    influence = Influence(
        f"{method}.zero.{name}", say("diameters.zero"), half / math.sqrt(3.0), math.inf, "rectangular",
        say("diameters.zero_source"), "zero",
    )  # fmt: skip
    return Quantity(-zero.mean, {influence: influence.u})


def found(method: str, code: str, severity: Severity, source: str = PRACTICE, place: str = "",
          **values: object) -> Finding:  # fmt: skip
    """A finding that several methods share: its code is the method's, its sentence this room's."""
    return Finding(f"{method}.{code}", severity, say(f"diameters.{code}", **values), source, place)


def shown(card: Card, value: float) -> str:
    """A length in the card's unit, to the step clearances are shown in."""
    unit = card.bearing.unit
    return show(value, unit, "length", step=clearance_step(unit))


def instrument_doubts(method: str, facts: Facts, name: str, mpe: float) -> Iterator[Finding]:
    """Zero and calibration of one instrument; mpe: its permissible error [m]."""
    zero, called = zero_of(facts, name), name or say("diameters.no_name")
    if not zero.checked:
        yield found(method, "zero_not_checked", "warning", name=called)
    elif zero.drift is None:
        yield found(method, "zero_once", "warning", name=called)
    elif abs(zero.drift) > min(ZERO_DRIFT, 0.5 * mpe) * (1 + 1e-9):
        yield found(method, "zero_drift", "hold", name=called, drift=f"{abs(zero.drift) * 1e6:.1f} µm")
    if zero.mean:
        yield found(method, "zero_taken_off", "note", name=called, zero=f"{zero.mean * 1e6:+.1f} µm")
    stem = f"instrument.{name}." if name else "instrument."
    due, date = text(facts, stem + "calibration_due"), text(facts, "date")
    if due and date and due < date:
        yield found(method, "calibration", "hold", name=called, due=due)
    elif not due:
        yield found(method, "calibration_unknown", "warning", name=called)


def warmth(method: str, facts: Facts, keys: Sequence[str]) -> Iterator[Finding]:
    """Hot or unequally warm parts; keys: of the facts with their temperatures."""
    known = [value for value in (temperature(facts, key) for key in keys) if value is not None]
    if known and max(known) > HOT:
        yield found(method, "hot", "hold", "our own threshold", temperature=f"{max(known) - 273.15:.0f} °C")
    if len(known) > 1 and max(known) - min(known) > UNEQUAL:
        apart = f"{max(known) - min(known):.0f} K"
        yield found(method, "unequal", "hold", "our own threshold", difference=apart)


def tightening(method: str, card: Card, facts: Facts) -> Iterator[Finding]:
    """Was the cap tightened to its final value while the bore was taken?"""
    final, used = card.fasteners.torque, torque(facts, "torque")
    if text(facts, "tightened") == "not final":
        yield found(method, "not_final", "hold")
    elif used is not None and final is not None and abs(used - final) > TORQUE_SHARE * final:
        yield found(method, "torque_differs", "hold", used=f"{used:.0f} N m", final=f"{final:.0f} N m")


def repeats_differ(method: str, card: Card, readings: Sequence[Reading]) -> Iterator[Finding]:
    """Places at which repeats are further apart than repeats of a diameter should be."""
    for place, group in sorted(by_place(readings).items()):
        apart = float(np.ptp([reading.value for reading in group]))
        if apart > REPEATS_AGREE * (1 + 1e-9):
            yield found(method, "repeats_differ", "hold", place=place, place_name=place,
                        apart=shown(card, apart), allowed=shown(card, REPEATS_AGREE))  # fmt: skip


def set_aside(
    method: str, card: Card, places: Mapping[str, Place], readings: Sequence[Reading],
    size: Callable[[Place], float | None],
) -> tuple[tuple[Reading, ...], list[Finding]]:  # fmt: skip
    """The readings that can be used, and a *hold* for each that cannot. size: about what a place reads [m],
    None where nothing is known of it."""
    usable, said = [], []
    for reading in readings:
        place = places.get(reading.place)
        if place is None:
            said.append(found(method, "unknown_place", "hold", place=reading.place, place_name=reading.place))
            continue
        about = size(place)
        if reading.value <= 0.0 or (about is not None and abs(reading.value - about) > NEAR * about):
            said.append(
                found(method, "far_off", "hold", place=reading.place, place_name=reading.place,
                      typed=reading.text, about=shown(card, about or 0.0))
            )  # fmt: skip
        else:
            usable.append(reading)
    return tuple(usable), said
