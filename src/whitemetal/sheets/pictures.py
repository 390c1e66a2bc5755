"""The drawings of a judgement: section, unrolled half, gap along the axis, section with the gap drawn large.

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
    gap_along_axis_svg,
    section_gap_svg,
    section_svg,
    unrolled_svg,
)
from whitemetal.drawing.section_gap import gap_shape
from whitemetal.gauging.contract import Place, Reading
from whitemetal.quantity import coverage_factor
from whitemetal.units import clearance_step, show, show_number
from whitemetal.words import say


@dataclass(frozen=True)
class Pictures:
    """SVG texts. along_axis and section_gap are "" while there is no clearance to draw."""

    section: str
    unrolled: str
    along_axis: str
    section_gap: str


def pictures_of(
    judgement: Mapping[str, Any],
    card: Card,
    places: Sequence[Place],
    readings: Sequence[Reading] = (),
    *,
    unreadable: Mapping[str, str] | None = None,
    turned: Turned = 0,
    box_height: float = 34.0,
) -> Pictures:
    """All drawings of one check. unreadable: text by place of readings that could not be read."""
    spots = spots_of(places, readings, judgement, card, unreadable or {})
    section = section_svg(card, spots, turned=turned)
    unrolled = unrolled_svg(card, spots, turned=turned, box_height=box_height)
    clearance = judgement.get("clearance")
    if not clearance or not clearance["places"]:
        return Pictures(section, unrolled, "", "")
    along = gap_along_axis_svg(
        card, points_of(clearance), bands_of(judgement), fitted=fitted_ends(clearance), turned=turned
    )
    return Pictures(section, unrolled, along, _section_gap(card, clearance, turned))


def spots_of(
    places: Sequence[Place],
    readings: Sequence[Reading],
    judgement: Mapping[str, Any],
    card: Card,
    unreadable: Mapping[str, str],
) -> tuple[Spot, ...]:
    """Places with what was read there: the text as typed, or the mean and the count of several."""
    clearance = judgement.get("clearance") or {"places": ()}
    judged = {one["label"]: one for one in clearance["places"]}
    spots = []
    for place in places:
        texts = [reading.text for reading in readings if reading.place == place.label]
        one = judged.get(place.label)
        text = texts[0] if texts else unreadable.get(place.label, "")
        if len(texts) > 1 and one is not None:
            unit = card.bearing.unit
            mean = show_number(one["reading_m"], unit, "length", step=clearance_step(unit))
            text = say("sheet.mean_of", mean=mean, count=len(texts))
        state: State = one["verdict"] if one is not None else ""
        if not texts and place.label in unreadable:
            state = "unreadable"
        spots.append(Spot(place.label, place.axial, place.angle, text, state, place.piece, place.lies))
    return tuple(spots)


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
