"""What makes a strip reading uncertain, and how far each influence reaches.

By hand, journal 160 mm, a strip with steps of 0.0005 in at top centre: step 12.7/√12 = 3.7 µm, eye
0.25 · 12.7 = 3.2 µm, strip 3, closing 5, placing 4, temperature 160 mm · 11.5e-6 · 1 K/√3 = 1.1 µm; together
8.6 µm, so U = 17 µm (k = 2). With steps of 0.001 in 12 µm and U = 24 µm. Common practice knows 13 to 25 µm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from whitemetal.card import Card
from whitemetal.gauging.contract import Assumed, Place, Reading
from whitemetal.gauging.gap_shape import shape_factor, shape_slope
from whitemetal.gauging.strip.ranges import Strip
from whitemetal.gauging.wire.influences import DEFAULTS, ESTIMATED_DOF, STEEL_EXPANSION, amount, source_of
from whitemetal.gauging.wire.observe import Repeats
from whitemetal.quantity import Influence
from whitemetal.words import say

EYE_SHARE = 0.25
"""A width is compared with the printed scale to a quarter of a step, standard uncertainty. Our own."""

NOT_UNIFORM = 3e-6
"""Standard uncertainty [m] of the strip's own make. Our own assumption; check against your own repeats."""

SHARED = ("closure", "placement", "placement_arc", "temperature")
"""Budget numbers that strip and wire have in common, by their name on the card."""

OWN_LABELS = {"placement": "strip.placement", "placement_arc": "strip.placement_arc"}
"""Where what the wire calls a wire is a strip."""

SHRINKS = ("eye", "strip", "closure", "placement", "placement_arc", "scatter")
"""Families that squeezing new strips makes smaller by averaging."""


def own(
    place: Place, squeeze: int, group: Sequence[Reading], repeats: Repeats, step: float
) -> tuple[Influence, ...]:
    """What belongs to one place of one squeeze alone. step: of the strip's scale [m], or the last digit where
    that is coarser."""
    where = f"{squeeze}.{place.label}"
    return (
        _of_reading(where, group, repeats, step),
        Influence(
            f"strip.eye.{where}", say("strip.eye"), EYE_SHARE * step / math.sqrt(len(group)), ESTIMATED_DOF,
            "normal", say("strip.eye_source"), "eye",
        ),
        Influence(
            f"strip.make.{where}", say("strip.make"), NOT_UNIFORM, ESTIMATED_DOF, "normal",
            say("strip.make_source"), "strip",
        ),
    )  # fmt: skip


def _of_reading(where: str, group: Sequence[Reading], repeats: Repeats, step: float) -> Influence:
    u, scatter = step / math.sqrt(12.0), repeats.sd / math.sqrt(len(group))
    key = f"strip.reading.{where}"
    if scatter > u:
        source = say("strip.repeats_source")
        return Influence(key, say("strip.repeats"), scatter, float(repeats.dof), "student", source, "reading")
    return Influence(key, say("strip.step"), u, math.inf, "rectangular", say("strip.step_source"), "reading")


def shared(card: Card, place: Place, squeeze: int, rough: float) -> dict[Influence, float]:
    """What readings of one squeeze, one piece, or all share. rough: about the reading [m]."""
    diameter = card.bearing.journal_diameter
    warmth = diameter * STEEL_EXPANSION * amount(card, "temperature") / math.sqrt(3.0)
    clearance = rough / shape_factor(card.bearing, place.angle)
    slope = shape_slope(card.bearing, place.angle) * 2.0 / diameter
    piece = f"{squeeze}.{place.piece}"
    placed = amount(card, "placement_arc")
    return {
        _of_practice(card, "closure", str(squeeze)): amount(card, "closure") * math.cos(place.angle),
        _of_practice(card, "placement", piece): amount(card, "placement"),
        _of_practice(card, "placement_arc", piece): placed * clearance * slope,
        _of_practice(card, "temperature", "", warmth): warmth,
    }


def _of_practice(card: Card, key: str, where: str, u: float | None = None) -> Influence:
    """An influence that the wire knows too, kept apart from the wire's by its key."""
    default = DEFAULTS[key]
    standard = amount(card, key) if u is None else u
    label = say(OWN_LABELS[key]) if key in OWN_LABELS else default.label
    return Influence(
        f"strip.{key}.{where}", label, standard, default.dof, default.shape, source_of(card, key), key
    )


def assumed(card: Card, strip: Strip, step_recorded: bool) -> list[Assumed]:
    """Every default that the budget rests on."""
    found = []
    if not step_recorded:
        found.append(
            Assumed("scale_step", say("strip.step_label"), f"{strip.step * 1e6:g} µm", strip.step_source)
        )
    for key in SHARED:
        if key not in card.uncertainty:
            default = DEFAULTS[key]
            text = f"{default.value:g} K" if default.unit == "K" else f"{default.value * 1e6:g} µm"
            found.append(Assumed(key, _of_practice(card, key, "").label, text, default.source))
    return found
