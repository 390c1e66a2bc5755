"""What is odd about the diameters, and what puts the whole check in doubt before any number is used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from whitemetal.card import Card
from whitemetal.card.doubts import RELATIVE
from whitemetal.gauging import diameters
from whitemetal.gauging.bore.layout import BORE, JOINT_FROM, JOURNAL, part_of, station_of
from whitemetal.gauging.bore.observe import KEY, Measured
from whitemetal.gauging.bore.stations import Line, Station, is_vertical
from whitemetal.gauging.contract import (
    BORE_CHANGE,
    CLEARANCE,
    JOURNAL_CHANGE,
    Facts,
    Finding,
    Place,
    Reading,
    Severity,
)
from whitemetal.gauging.diameters import PRACTICE, shown
from whitemetal.gauging.wire.facts import joint_at_closing, joint_at_squeeze, text
from whitemetal.words import say

FRONT_TO_REAR = 20e-6
FRONT_TO_REAR_SHARE = 0.1
"""A change along the axis above 0.02 mm or a tenth of the clearance is investigated. Common practice."""

DIRECTIONS = 3
"""Directions in which a bore is taken at a station. Common practice."""


def found(
    code: str, severity: Severity, source: str = PRACTICE, place: str = "", **values: object
) -> Finding:
    """A finding of this method."""
    return Finding(f"{KEY}.{code}", severity, say(f"bore.{code}", **values), source, place)


def taken_as(place: Place) -> str:
    """The part a place measures, as an instrument sees it."""
    return part_of(place) or BORE


def before(card: Card, facts: Facts, readings: Sequence[Reading]) -> Iterator[Finding]:
    """Doubts that need no number."""
    yield from diameters.tightening(KEY, card, facts)
    yield from diameters.warmth(KEY, facts, ("part_temperature", "journal_temperature"))
    yield from diameters.repeats_differ(KEY, card, readings)
    yield from _joint(card, facts)
    if text(facts, "shells_home") == "no":
        yield found("not_home", "hold")
    if card.bearing.profile == "pressure dam":
        yield found("dam", "question", "derived from geometry")


def _joint(card: Card, facts: Facts) -> Iterator[Finding]:
    here, closing = joint_at_squeeze(card, facts, 1), joint_at_closing(card, facts)
    belongs = card.joint.filling in ("shims", "gasket", "sealant")
    if belongs and closing.filling == "metal to metal":
        yield found("left_out_at_closing", "hold", filling=card.joint.filling)
    if card.joint.opens_bore and (here.filling, here.mean) != (closing.filling, closing.mean):
        more = shown(card, closing.mean - here.mean)
        yield found("joint_differs", "warning", "derived from geometry", more=more)


def of_instrument(facts: Facts, part: str, name: str, known: tuple[float, str]) -> Iterator[Finding]:
    """Zero and calibration of the instrument that took a part."""
    yield from diameters.instrument_doubts(KEY, facts, name, known[0])


def incomplete(card: Card, measured: Measured, stations: Sequence[Station]) -> Iterator[Finding]:
    """Stations and directions that are missing, and diameters that end at the joint."""
    names = {station.name for station in stations}
    for part, other in ((BORE, JOURNAL), (JOURNAL, BORE)):
        for name in sorted({station_of(one.place) for one in measured.of[part]} - names):
            yield found("no_counterpart", "hold", station=name, part=part, other=other)
    wanted = 1 if card.bearing.profile == "lemon" else DIRECTIONS
    for station in stations:
        if len(station.bores) < wanted:
            yield found("directions", "hold", station=station.name, count=len(station.bores), wanted=wanted)
        if not any(is_vertical(one.place) for one in station.bores):
            yield found("no_vertical", "warning", station=station.name)
        if len(station.journals) < 2:
            yield found("one_journal", "warning", station=station.name)
        for one in station.bores:
            if abs(one.place.angle) > JOINT_FROM:
                yield found("at_joint", "hold", place=one.place.label, place_name=one.place.label)
    if len(stations) == 1:
        yield found("one_station", "hold")


def after(card: Card, stations: Sequence[Station], gap: Line, lines: Mapping[str, Line]) -> Iterator[Finding]:
    """What the numbers themselves raise."""
    yield from _front_to_rear(card, gap, lines)
    yield from _closed_in(card, stations)


def _front_to_rear(card: Card, gap: Line, lines: Mapping[str, Line]) -> Iterator[Finding]:
    bore, journal = lines[BORE_CHANGE].change, lines[JOURNAL_CHANGE].change
    if gap.change is None or bore is None or journal is None:
        return
    allowed = min(FRONT_TO_REAR, FRONT_TO_REAR_SHARE * lines[CLEARANCE].middle.value)
    if abs(gap.change.value) > max(allowed, 2.0 * gap.change.u):
        first, last = card.bearing.ends
        door = "taper_of_bore" if abs(bore.value) > abs(journal.value) else "taper_of_journal"
        yield found(door, "warning", change=shown(card, gap.change.value), first=first, last=last,
                    bore=shown(card, bore.value), journal=shown(card, journal.value))  # fmt: skip


def relative(card: Card, clearance: float) -> Iterator[Finding]:
    """A clearance that no bearing of this size runs with: a unit or a basis is wrong."""
    diameter = card.bearing.journal_diameter
    if not RELATIVE[0] <= clearance / diameter <= RELATIVE[1]:
        permille = f"{1e3 * clearance / diameter:.2g}"
        yield found("relative", "question", clearance=shown(card, clearance), journal=shown(card, diameter),
                    permille=permille)  # fmt: skip


def _closed_in(card: Card, stations: Sequence[Station]) -> Iterator[Finding]:
    """A bore that crush has closed in the vertical is least there."""
    if card.bearing.profile == "lemon":
        return
    for station in stations:
        upright = [one for one in station.bores if is_vertical(one.place)]
        aslant = [one for one in station.bores if not is_vertical(one.place)]
        if not upright or not aslant:
            continue
        widest = max(aslant, key=lambda one: (one.value.value, one.place.label))
        less = widest.value - upright[0].value
        if less.value > max(FRONT_TO_REAR, 2.0 * less.u):
            yield found("closed_in", "warning", station=station.name, less=shown(card, less.value))
