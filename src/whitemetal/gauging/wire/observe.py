"""Observations: the readings of one place in one squeeze, as one uncertain number, joint gap taken off."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from whitemetal.card import Card
from whitemetal.gauging.contract import Facts, Place, Reading
from whitemetal.gauging.gap_fit import Observation, sized
from whitemetal.gauging.gap_shape import shape_factor, shape_slope
from whitemetal.gauging.wire.facts import Gauge, JointGap, gauge, joint_at_closing, joint_at_squeeze
from whitemetal.gauging.wire.influences import ESTIMATED_DOF, STEEL_EXPANSION, amount, curl, influence
from whitemetal.quantity import Influence, Quantity
from whitemetal.words import say


@dataclass(frozen=True)
class Repeats:
    """Pooled standard deviation of repeated readings [m] and its degrees of freedom."""

    sd: float
    dof: int


def observations(
    card: Card, places: Mapping[str, Place], facts: Facts, readings: Sequence[Reading]
) -> tuple[Observation, ...]:
    """One observation for each squeeze and place that has readings, in order of first reading."""
    groups: dict[tuple[int, str], list[Reading]] = {}
    for reading in readings:
        groups.setdefault((reading.squeeze, reading.place), []).append(reading)
    repeats = pooled(list(groups.values()))
    rough = sized(float(np.median([reading.value for reading in readings])))
    steps = coarsest(readings)
    return tuple(
        _observe(card, places[label], facts, group, repeats, rough, steps)
        for (_, label), group in groups.items()
    )


def coarsest(readings: Sequence[Reading]) -> dict[str, float]:
    """Scale of each micrometer [m], by its id: the coarsest step typed with it."""
    steps: dict[str, float] = {}
    for reading in readings:
        steps[reading.instrument] = max(reading.resolution, steps.get(reading.instrument, 0.0))
    return steps


def pooled(groups: Sequence[Sequence[Reading]]) -> Repeats:
    """Pooled scatter of repeats, JCGM 100:2008, 4.2.4 and H.3.6 (pooled experimental variance)."""
    dof = sum(len(group) - 1 for group in groups)
    if dof == 0:
        return Repeats(0.0, 0)
    squares = [sum((r.value - np.mean([x.value for x in group])) ** 2 for r in group) for group in groups]
    return Repeats(math.sqrt(float(sum(squares)) / dof), dof)


def _observe(
    card: Card,
    place: Place,
    facts: Facts,
    group: Sequence[Reading],
    repeats: Repeats,
    rough: float,
    steps: Mapping[str, float],
) -> Observation:
    squeeze, first = group[0].squeeze, group[0]
    found = gauge(facts, first.instrument)
    mean = float(np.mean([reading.value for reading in group]))
    where = f"{squeeze}.{place.label}"
    own = [_reading_influence(group, repeats, where), influence(card, "strip", where)]
    parts: dict[Influence, float] = {one: one.u for one in own}
    parts |= _of_gauge(card, place, found)
    parts |= _of_squeeze(card, place, squeeze, rough)
    step = max(reading.resolution for reading in group)
    zero = zero_of(card, found, steps[first.instrument])
    change = joint_change(
        card, facts, squeeze, math.hypot(found.mpe / math.sqrt(3.0), step / math.sqrt(12.0)), zero
    )
    corrected = Quantity(mean, parts) - zero - change * math.cos(place.angle)
    return Observation(squeeze, place, len(group), mean, corrected, math.hypot(*(one.u for one in own)))


def _reading_influence(group: Sequence[Reading], repeats: Repeats, where: str) -> Influence:
    step = max(reading.resolution for reading in group) / math.sqrt(12.0)
    scatter = repeats.sd / math.sqrt(len(group))
    key = f"wire.reading.{where}"
    if scatter > step:
        return Influence(
            key,
            say("wire.repeats"),
            scatter,
            float(repeats.dof),
            "student",
            say("wire.repeats_source"),
            "reading",
        )
    return Influence(
        key, say("wire.resolution"), step, math.inf, "rectangular", say("wire.resolution_source"), "reading"
    )


def _of_gauge(card: Card, place: Place, found: Gauge) -> dict[Influence, float]:
    """What readings with one micrometer share."""
    name = found.name
    parts: dict[Influence, float] = {}
    u = found.mpe / math.sqrt(3.0)
    source = say("wire.micrometer_source" if found.mpe_recorded else "wire.mpe_source")
    mpe = Influence(
        f"wire.mpe.{name}",
        say("wire.micrometer"),
        u,
        math.inf,
        "rectangular",
        source,
        "mpe",
    )
    parts[mpe] = u
    if found.anvil == "flat, strip not flattened" and place.lies == "across":
        width = found.anvil_width if found.anvil_width is not None else amount(card, "anvil_width")
        u = curl(width, 0.5 * card.bearing.journal_diameter) / math.sqrt(3.0)
        label, source = say("wire.curl"), say("wire.curl_source")
        parts[Influence(f"wire.curl.{name}", label, u, math.inf, "one-sided rectangular", source, "curl")] = u
    return parts


def zero_of(card: Card, found: Gauge, step: float) -> Quantity:
    """What the micrometer shows at nothing [m], shared by all that is measured with it.

    Known to the step of its scale where it was checked; between two checks it lies anywhere between them,
    and after a single one it may have moved as if it had not been checked.
    """
    zero = Quantity(found.zero)
    if found.zero_checked:
        u, source = step / math.sqrt(12.0), say("wire.zero_scale_source")
        key, label = f"wire.zero_scale.{found.name}", say("wire.zero_scale")
        zero += Quantity.of(0.0, Influence(key, label, u, math.inf, "rectangular", source, "zero"))
    if found.zero_drift is None:
        return zero + Quantity.of(0.0, influence(card, "zero", found.name))
    u, source = 0.5 * abs(found.zero_drift) / math.sqrt(3.0), say("wire.zero_moved_source")
    key, label = f"wire.zero.{found.name}", say("wire.zero_moved")
    return zero + Quantity.of(0.0, Influence(key, label, u, math.inf, "rectangular", source, "zero"))


def _of_squeeze(card: Card, place: Place, squeeze: int, rough: float) -> dict[Influence, float]:
    """What readings of one squeeze, or of one piece in it, share; and what all share."""
    closure = influence(card, "closure", str(squeeze))
    placement = influence(card, "placement", f"{squeeze}.{place.piece}")
    arc = influence(card, "placement_arc", f"{squeeze}.{place.piece}")
    spring = influence(card, "spring_back")
    diameter = card.bearing.journal_diameter
    clearance = rough / shape_factor(card.bearing, place.angle)
    warmth = diameter * STEEL_EXPANSION * amount(card, "temperature") / math.sqrt(3.0)
    temperature = influence(card, "temperature", u=warmth)
    return {
        closure: closure.u * math.cos(place.angle),
        placement: placement.u,
        arc: arc.u * clearance * shape_slope(card.bearing, place.angle) * 2.0 / diameter,
        spring: spring.u,
        temperature: warmth,
    }


def joint_change(card: Card, facts: Facts, squeeze: int, u_gauge: float, zero: Quantity) -> Quantity:
    """Gap at the joint when squeezed less the gap at the final closing [m], with its uncertainty.

    u_gauge, zero: of the micrometer that measured the joint wires, taken as the one that measured the strips:
    standard uncertainty of one measurement [m], and its zero, which is taken off.

    The same filling at both, without joint wires, is the same thing put back: the difference is exact.
    A filling outside the shells (housing joint) opens no bore.
    """
    gap, closing = joint_at_squeeze(card, facts, squeeze), joint_at_closing(card, facts)
    opens = card.joint.opens_bore
    at_squeeze = gap.mean if gap.wires or opens else 0.0
    at_closing = closing.mean if opens else 0.0
    same = gap.filling == closing.filling and not gap.wires and at_squeeze == at_closing
    if same:
        return Quantity(0.0)
    change = Quantity(at_squeeze - at_closing) - (zero if gap.wires else 0.0)
    for label, one, counts in (("squeeze", gap, gap.wires or opens), ("closing", closing, opens)):
        if counts and one.mean > 0.0:
            where = f"{label}.{squeeze}" if label == "squeeze" else label
            change = change + Quantity.of(0.0, _gap_influence(card, one, where, u_gauge))
    return change


def _gap_influence(card: Card, gap: JointGap, where: str, u_gauge: float) -> Influence:
    label = say("wire.joint_gap")
    if gap.wires:
        side = math.hypot(amount(card, "strip"), u_gauge)
        source = say("wire.joint_gap_source")
        return Influence(
            f"wire.joint_wires.{where}",
            label,
            side / math.sqrt(2.0),
            ESTIMATED_DOF,
            "normal",
            source,
            "joint_wires",
        )
    if gap.filling == "shims":
        return influence(card, "shim", where)
    return influence(card, "gasket_share", where, u=gap.mean * amount(card, "gasket_share") / math.sqrt(3.0))
