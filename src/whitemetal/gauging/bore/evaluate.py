"""From diameters to the clearance: bore less journal, station by station, least and greatest."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from whitemetal.card import Card
from whitemetal.card.bearing import Profile
from whitemetal.gauging.bore import doubts, pads
from whitemetal.gauging.bore.layout import BORE, JOURNAL
from whitemetal.gauging.bore.observe import KEY, SHAFT, SHELL, Measured, bore_gauge, measure, permissible
from whitemetal.gauging.bore.stations import Line, Station, along, extremes, mean, stations_of, vertical
from whitemetal.gauging.contract import (
    BORE_CHANGE,
    CLEARANCE,
    GAP_CHANGE,
    JOURNAL_CHANGE,
    Assessed,
    Assumed,
    Facts,
    Finding,
    Named,
    Place,
    Reading,
    Result,
)
from whitemetal.gauging.diameters import Diameter, set_aside
from whitemetal.gauging.wire.facts import joint_at_closing, joint_at_squeeze, text
from whitemetal.quantity import Influence, Quantity, covariance_matrix
from whitemetal.words import say

WRONG_FOR: tuple[Profile, ...] = ("offset halves", "multi-lobe")
"""Bores whose opposite arcs have different centres: a diameter across them is not the clearance plus the
journal. Derived from geometry."""

SHIM = 3e-6
GASKET_SHARE = 0.1
"""Shims are known to this [m]; a gasket or sealant to this share of itself, rectangular. Our own assumption,
as for the soft wire."""


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The oil clearance from diameters of bore and journal; diametral, SI, at 20 °C.

    A bore for which the method is wrong gives a result without a value and a *refused* finding.
    """
    if card.bearing.profile in WRONG_FOR:
        text_ = say("bore.refused", profile=card.bearing.profile)
        return Result(None, findings=(Finding("bore.refused", "refused", text_, "derived from geometry"),))
    padded = card.bearing.profile == "tilting pad"
    size = pads.size_of(card) if padded else lambda place: card.bearing.journal_diameter
    usable, aside = set_aside(KEY, card, {place.label: place for place in places}, readings, size)
    findings = [*doubts.before(card, facts, readings), *aside]
    if not usable:
        findings.append(Finding("bore.no_readings", "hold", say("bore.no_readings")))
        return Result(None, findings=tuple(findings))
    measured = measure(card, facts, places, usable)
    findings += _instruments(facts, measured, usable, places)
    result = pads.result(measured) if padded else _plain(card, facts, measured)
    if result.overall is not None:
        findings += doubts.relative(card, result.overall.value)
    return replace(
        result, findings=(*findings, *result.findings), assumed=_assumed(facts, measured, usable, places)
    )


def _plain(card: Card, facts: Facts, measured: Measured) -> Result:
    closed = replace(measured, of={**measured.of, BORE: _as_closed(card, facts, measured.of[BORE])})
    stations = stations_of(card, closed)
    findings = list(doubts.incomplete(card, closed, stations))
    if not stations:
        return Result(None, findings=tuple(findings))
    results = tuple(one for station in stations for one in extremes(station))
    gap = along(card, stations, lambda one: mean(one.bores) - mean(one.journals))
    lines = {
        CLEARANCE: along(card, stations, lambda one: _in_place(one)),
        BORE_CHANGE: along(card, stations, lambda one: vertical(one.bores)),
        JOURNAL_CHANGE: along(card, stations, lambda one: mean(one.journals)),
    }
    return Result(
        overall=gap.middle,
        places=results,
        covariance=covariance_matrix([one.value for one in results]),
        named=_named(card, stations, gap, lines),
        findings=(*findings, *doubts.after(card, stations, gap, lines)),
        unknown=(say("bore.unknown_between"), say("bore.unknown_assembled")),
        assessed=_assessed(card, closed, stations),
        says=_says(lines),
    )


def _in_place(station: Station) -> Quantity:
    """The clearance in the vertical, as a journal that lies in the bore has it at top centre: the vertical
    bore less the journal, whose turn is any.

    A journal of two lobes of half-difference A, turned anyhow, stands A cos(2a) from its mean; over all turns
    that has the standard deviation A / sqrt 2 (derived).
    """
    gap = vertical(station.bores) - mean(station.journals)
    sizes = [one.value.value for one in station.journals]
    half = 0.5 * (max(sizes) - min(sizes))
    label, source = say("bore.turn"), say("bore.turn_source")
    turn = Influence(f"{KEY}.turn.{station.name}", label, half / math.sqrt(2.0), source=source, family="turn")
    return gap + Quantity.of(0.0, turn)


def _says(lines: Mapping[str, Line]) -> dict[str, Quantity]:
    """What other methods may measure too."""
    said = {CLEARANCE: lines[CLEARANCE].middle}
    for key, of in ((GAP_CHANGE, CLEARANCE), (BORE_CHANGE, BORE_CHANGE), (JOURNAL_CHANGE, JOURNAL_CHANGE)):
        change = lines[of].change
        if change is not None:
            said[key] = change
    return said


def _as_closed(card: Card, facts: Facts, bores: Sequence[Diameter]) -> tuple[Diameter, ...]:
    """The bores as they will be with the joint of the final closing: a gap g at the joint opens a diameter at
    angle a by g cos a (derived from geometry)."""
    change = joint_change(card, facts)
    if not change.value and not change.parts:
        return tuple(bores)
    return tuple(replace(one, value=one.value + change * math.cos(one.place.angle)) for one in bores)


def joint_change(card: Card, facts: Facts) -> Quantity:
    """Gap at the joint at the final closing less the gap when the bore was taken [m]."""
    here, closing = joint_at_squeeze(card, facts, 1), joint_at_closing(card, facts)
    opens = card.joint.opens_bore
    if not opens or (here.filling, here.mean) == (closing.filling, closing.mean):
        return Quantity(0.0)
    change = Quantity(closing.mean - here.mean)
    for word, gap in (("here", here), ("closing", closing)):
        if gap.mean:
            known = SHIM if gap.filling == "shims" else GASKET_SHARE * gap.mean
            label, source = say("bore.joint"), say("bore.joint_source")
            influence = Influence(
                f"{KEY}.joint.{word}", label, known / math.sqrt(3.0), shape="rectangular", source=source,
                family="joint",
            )  # fmt: skip
            change += Quantity.of(0.0, influence)
    return change


def _named(
    card: Card, stations: Sequence[Station], gap: Line, lines: Mapping[str, Line]
) -> tuple[Named, ...]:
    first, last = card.bearing.ends
    found = []
    for key, line in (("end_to_end", gap), ("bore_change", lines[BORE_CHANGE]),
                      ("journal_change", lines[JOURNAL_CHANGE])):  # fmt: skip
        if line.change is not None:
            found.append(Named(key, say(f"bore.{key}", first=first, last=last), line.change))
    for station in stations:
        for bore in station.bores:
            for journal in station.journals:
                if math.isclose(bore.place.angle, journal.place.angle, abs_tol=1e-6):
                    label = say("bore.direction", place=_direction(station, bore))
                    key = f"clearance.{bore.place.label}"
                    found.append(Named(key, label, bore.value - journal.value))
    return tuple(found)


def _direction(station: Station, bore: Diameter) -> str:
    return f"{station.name}, {math.degrees(bore.place.angle):+.0f}°"


def _assessed(card: Card, measured: Measured, stations: Sequence[Station]) -> tuple[Assessed, ...]:
    """How far the bore is out of round at each station; a lemon is so on purpose."""
    if card.bearing.profile == "lemon":
        return ()
    found = {}
    for station in stations:
        sizes = sorted(station.bores, key=lambda one: (one.value.value, one.place.label))
        if len(sizes) > 1:
            found[station.name] = sizes[-1].value - sizes[0].value
    if not found:
        return ()
    label, note = say("bore.out_of_round_label"), say("bore.out_of_round_note")
    return (
        Assessed("bore out-of-round", label, tuple(found.values()), tuple(found), note, needed=False),
    )  # fmt: skip


def _instruments(
    facts: Facts, measured: Measured, readings: Sequence[Reading], places: Sequence[Place]
) -> list[Finding]:
    pairs = sorted(_used(readings, places))
    return [
        finding
        for part, name in pairs
        for finding in doubts.of_instrument(
            facts, part, name, permissible(facts, part, name, measured.largest)
        )
    ]


def _used(readings: Sequence[Reading], places: Sequence[Place]) -> set[tuple[str, str]]:
    parts = {place.label: doubts.taken_as(place) for place in places}
    return {(parts[reading.place], reading.instrument) for reading in readings}


def _assumed(
    facts: Facts, measured: Measured, readings: Sequence[Reading], places: Sequence[Place]
) -> tuple[Assumed, ...]:
    """Every default the result rests on."""
    found = []
    for part, name in sorted(_used(readings, places)):
        mpe, source = permissible(facts, part, name, measured.largest)
        if source != say("instruments.recorded"):
            label = say("bore.mpe_label", part=part, name=name or say("diameters.no_name"))
            found.append(Assumed(f"mpe.{part}.{name}", label, f"{mpe * 1e6:g} µm", source))
    for key, default in (("journal_material", SHAFT), ("shell_material", SHELL)):
        if not text(facts, key):
            found.append(Assumed(key, say(f"bore.{key}"), default, "common practice"))
    if not text(facts, "bore_gauge"):
        found.append(Assumed("bore_gauge", say("bore.bore_gauge"), bore_gauge(facts), "our own choice"))
    return tuple(found)


def sizes(
    card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]
) -> tuple[tuple[Diameter, ...], tuple[Diameter, ...]]:
    """Every diameter that can be used of the bore, its joint as at the final closing, and of the journal; at
    20 °C. Not for tilting pads."""

    def size(place: Place) -> float:
        return card.bearing.journal_diameter

    usable, _ = set_aside(KEY, card, {place.label: place for place in places}, readings, size)
    if not usable:
        return (), ()
    measured = measure(card, facts, places, usable)
    return _as_closed(card, facts, measured.of[BORE]), tuple(measured.of[JOURNAL])
