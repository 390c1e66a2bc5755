"""The drawings of a judgement: section, places with their readings, gap along the axis, gap drawn large.

The judgement comes as its JSON (`whitemetal.job.judgement_json.as_json`); nothing is compared here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from whitemetal.card import Card
from whitemetal.drawing import (
    Band,
    GapPoint,
    LocalGap,
    Spot,
    State,
    Turned,
    carrier_of,
    gap_along_axis_svg,
    places_svg,
    section_gap_svg,
    section_svg,
)
from whitemetal.drawing.section_gap import gap_shape
from whitemetal.gauging.contract import Method, Place, Reading, unit_of
from whitemetal.quantity import coverage_factor
from whitemetal.units import clearance_step, show, show_number
from whitemetal.words import say


@dataclass(frozen=True)
class Pictures:
    """SVG texts. places: the drawing that carries the method's places, "" where it has none. section: ""
    where the method asks for none. along_axis and section_gap are "" while there is no clearance to draw."""

    section: str
    places: str
    along_axis: str
    section_gap: str


def pictures_of(
    judgement: Mapping[str, Any],
    card: Card,
    places: Sequence[Place],
    readings: Sequence[Reading] = (),
    *,
    method: Method,
    unreadable: Mapping[str, str] | None = None,
    turned: Turned = 0,
    box_height: float = 34.0,
    columns: int = 1,
) -> Pictures:
    """All drawings of one check. unreadable: text by place of readings that could not be read.

    columns: rings of the round view side by side, for paper.
    """
    spots = spots_of(places, readings, judgement, card, unreadable or {}, method)
    carried = places_svg(
        card, method.views, spots, ring=method.ring, turned=turned, box_height=box_height, columns=columns
    )
    section = section_of(card, method, spots, turned)
    clearance = judgement.get("clearance")
    if not clearance or not clearance["places"]:
        return Pictures(section, carried, "", "")
    along = gap_along_axis_svg(
        card, points_of(clearance), bands_of(judgement), fitted=fitted_ends(clearance), turned=turned
    )
    return Pictures(section, carried, along, _section_gap(card, clearance, turned))


def ring_columns(method: Method, places: Sequence[Place]) -> int:
    """How many rings stand side by side on paper: two, where there is more than one."""
    rings = {place.piece for place in places} if carrier_of(method.views) == "round" else ()
    return min(2, max(1, len(rings)))


def section_of(card: Card, method: Method, spots: Sequence[Spot], turned: Turned = 0) -> str:
    """The section, with the wires where the places lie on some; "" where the method asks for none."""
    if "section" not in method.views:
        return ""
    wires = spots if carrier_of(method.views) == "unrolled half" else ()
    return section_svg(card, wires, turned=turned)


def spots_of(
    places: Sequence[Place],
    readings: Sequence[Reading],
    judgement: Mapping[str, Any],
    card: Card,
    unreadable: Mapping[str, str],
    method: Method,
) -> tuple[Spot, ...]:
    """Places with what was read there and the word on it."""
    words = _words(judgement)
    spots = []
    for place in places:
        here = [reading for reading in readings if reading.place == place.label]
        text = _text(here, judgement, card, method) if here else unreadable.get(place.label, "")
        state: State = words.get(place.label, "")
        if not here and place.label in unreadable:
            state = "unreadable"
        spots.append(Spot(place.label, place.axial, place.angle, text, state, place.piece, place.lies))
    return tuple(spots)


def _words(judgement: Mapping[str, Any]) -> dict[str, State]:
    """The word on each place: of its clearance, or of the one quantity assessed there."""
    clearance = judgement.get("clearance") or {"places": ()}
    found: dict[str, State] = {}
    for quantity in judgement.get("assessed", ()):
        found.update({one["where"]: one["word"] for one in quantity["values"] if one["word"]})
    return {**found, **{one["label"]: one["verdict"] for one in clearance["places"]}}


def _text(here: Sequence[Reading], judgement: Mapping[str, Any], card: Card, method: Method) -> str:
    """What was read at a place: as typed, the last word of a choice, of the last pass where one follows the
    other, or the mean and the count of several."""
    if method.passes:
        return max(here, key=lambda one: one.squeeze).text
    if len(here) == 1 or method.reading_field.kind != "quantity":
        return here[-1].text
    clearance = judgement.get("clearance") or {"places": ()}
    means = {one["label"]: one["reading_m"] for one in clearance["places"]}
    mean = means.get(here[0].place, sum(reading.value for reading in here) / len(here))
    unit, dimension = unit_of(method.reading_field, card), method.reading_field.dimension or "length"
    step = clearance_step(unit) if dimension == "length" else min(reading.resolution for reading in here)
    shown = show_number(mean, unit, dimension, step=step or None)
    return say("sheet.mean_of", mean=shown, count=len(here))


def half_width(one: Mapping[str, Any]) -> float:
    """Half of the 95 % interval [m] of a place or of the whole, from its u and degrees of freedom."""
    dof = one["dof"]
    return float(coverage_factor(float("inf") if dof is None else dof) * one["u_m"])


def points_of(clearance: Mapping[str, Any]) -> tuple[GapPoint, ...]:
    """Places of a clearance (JSON) as points with their 95 % bars."""
    return tuple(
        GapPoint(p["label"], p["axial_m"], p["angle_rad"], p["diametral_m"], half_width(p), p["verdict"])
        for p in clearance["places"]
    )


def bands_of(judgement: Mapping[str, Any]) -> tuple[Band, ...]:
    """The limit judged by; where there is none, the general rules side by side."""
    judged_by = judgement.get("limits")
    if judged_by is not None:
        return (_band(judged_by, f"{judged_by['rung']}, {judged_by['source']}", True),)
    return tuple(_band(rule, rule["note"] or rule["source"], False) for rule in judgement.get("rules", ()))


def _band(limit: Mapping[str, Any], name: str, main: bool) -> Band:
    return Band(
        name,
        limit["minimum_m"],
        limit["maximum_m"],
        limit["renewal_m"],
        limit["accept_from_m"],
        limit["accept_to_m"],
        main,
    )


def fitted_ends(clearance: Mapping[str, Any]) -> tuple[float, float]:
    """The fitted clearance [m] at the edges of the land, first end first."""
    half = 0.5 * (clearance["end_to_end_m"] or 0.0)
    return clearance["diametral_m"] - half, clearance["diametral_m"] + half


def _section_gap(card: Card, clearance: Mapping[str, Any], turned: Turned) -> str:
    """Local clearances as gaps around the journal at rest, drawn large."""
    unit, bearing = card.bearing.unit, card.bearing
    q = bearing.side_to_top if bearing.profile == "lemon" and bearing.side_to_top else 1.0
    gaps = [
        LocalGap(
            p["label"],
            p["angle_rad"],
            gap_shape(p["angle_rad"], p["diametral_m"], side_to_top=q),
            show(p["diametral_m"], unit, "length", step=clearance_step(unit)).rpartition(" ")[0],
            p["verdict"],
        )
        for p in clearance["places"]
    ]
    named = {one["key"]: one["value"] for one in clearance["named"]}
    return section_gap_svg(
        card, gaps, clearance=clearance["diametral_m"], sideways=named.get("sideways", 0.0), turned=turned
    )
