"""Where a journal is measured, and the limits of common practice for it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.gauging.contract import GeneralRule, Place
from whitemetal.gauging.wire.layout import EDGE_LEAST, EDGE_SHARE, initials
from whitemetal.units import INCH

ANGLES = (0.0, 45.0, 90.0, 135.0)
"""Directions of the diameters [deg] from the mark on the shaft. Common practice."""

SMALL_JOURNAL = 0.150
"""Up to this diameter [m] the tighter industrial roundness holds. Common practice."""

HALF_THOU = 0.0005 * INCH
INDUSTRIAL = (0.013e-3, 0.025e-3)
SHARE_OF_CLEARANCE = 0.1
"""Out-of-round in industrial practice [m]: to `SMALL_JOURNAL` and above it, and never more than this share of
the least clearance. Common practice."""

ENGINE_TEXT = "automotive journal page (excerpt)"
DIESEL = "US Army TM 9-6115-604-34, generator-set diesel"


def standard_places(card: Card) -> tuple[Place, ...]:
    """Four diameters at each end of the land and in the middle."""
    length = card.bearing.length
    edge = min(max(EDGE_SHARE * length, EDGE_LEAST), 0.25 * length)
    first, last = card.bearing.ends
    stations = ((initials(first), edge, first), ("M", 0.5 * length, "middle"),
                (initials(last), length - edge, last))  # fmt: skip
    return tuple(
        Place(f"{short} {angle:.0f}", axial, math.radians(angle), short, "across", f"{name}, {angle:.0f}°")
        for short, axial, name in stations
        for angle in ANGLES
    )


def rules(card: Card) -> tuple[GeneralRule, ...]:
    """Limits of common practice, each with its source; they count only when an engineer adopts one."""
    return (*_round(card), *_others())


def _round(card: Card) -> Iterator[GeneralRule]:
    of = "journal out-of-round"
    yield GeneralRule(of, "engine journals, 0.0005 in", ENGINE_TEXT, maximum=HALF_THOU)
    yield GeneralRule(of, "rebuild limit, 0.002 in", DIESEL, maximum=0.002 * INCH)
    lows = (limit.diametral("minimum") for limit in card.limits_on(OIL_CLEARANCE))
    least = next((low for low in lows if low), None)
    most = INDUSTRIAL[card.bearing.journal_diameter > SMALL_JOURNAL]
    if least is not None:
        most = min(most, SHARE_OF_CLEARANCE * least)
    title = "industrial journals, never above a tenth of the least clearance"
    yield GeneralRule(of, title, "common practice", maximum=most)


def _others() -> Iterator[GeneralRule]:
    yield GeneralRule("journal taper", "over the full length, 0.0005 in", f"{ENGINE_TEXT}; {DIESEL}",
                      maximum=HALF_THOU)  # fmt: skip
    yield GeneralRule("journal scratch depth", "rebuild above 0.003 in", DIESEL, maximum=0.003 * INCH)
    yield GeneralRule("journal roughness", "pump journals, 32 RHR or better", "MIL-P-18526A", maximum=0.8e-6)
    yield GeneralRule("journal roughness", "high speed, 0.4 µm or better", "common practice", maximum=0.4e-6)
    manual = "a sleeve-bearing motor's instruction manual (excerpt)"
    yield GeneralRule("journal undersize", "0.001 in when round and concentric", manual, maximum=0.001 * INCH)
