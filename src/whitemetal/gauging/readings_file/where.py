"""Where readings were taken: places of the standard layout, or places of one's own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from whitemetal.card import Card
from whitemetal.card.nearest import CHOICE, nearest_of
from whitemetal.errors import Problem, UnitError
from whitemetal.gauging.contract import Method, Place
from whitemetal.gauging.readings_file.content import Row
from whitemetal.units import read, show
from whitemetal.words import say

SAME = 1e-9
"""Two positions closer than this [m or rad] are the same. Our own."""

PLACE = ("readings.place", "readings.place_near")


@dataclass(frozen=True)
class Where:
    """places: of the check. labels: the place of each row, "" where it has none that is known."""

    places: tuple[Place, ...]
    labels: tuple[str, ...]
    problems: tuple[Problem, ...]


def places_of(card: Card, method: Method, rows: Sequence[Row]) -> Where:
    """Places for the rows. A row names a standard place, or says where its own place lies.

    The standard layout stands in full when a row uses any of it, or when there are no rows.
    """
    standard = {place.label: place for place in method.default_places(card)}
    spelled = {label.casefold(): label for label in standard}
    own: dict[str, Place] = {}
    labels: list[str] = []
    problems: list[Problem] = []
    for row in rows:
        label = " ".join(row.text("place").split())
        label = spelled.get(label.casefold(), label)
        if row.text("axial") or row.text("angle") or row.text("arc"):
            label = _own_place(card, row, label, standard.get(label), own, problems)
        elif label not in standard and label not in own:
            known = (*standard, *own)
            problems.append(Problem("place", row.text("place"), nearest_of(label, known, PLACE), row.line))
            label = ""
        labels.append(label)
    uses_standard = not rows or any(label in standard and label not in own for label in labels) or not own
    kept = [own.pop(label, place) for label, place in standard.items() if uses_standard or label in own]
    return Where((*kept, *own.values()), tuple(labels), tuple(problems))


def _own_place(
    card: Card, row: Row, label: str, standard: Place | None, own: dict[str, Place], problems: list[Problem]
) -> str:
    """Adds a place of one's own; returns its label, "" if it cannot be used."""
    wrong: list[Problem] = []
    axial = _position(row, "axial", "length", wrong)
    angle = _angle(card, row, wrong)
    if axial is None and not row.text("axial"):
        axial = standard.axial if standard else None
        if axial is None:
            wrong.append(Problem("axial", "", say("readings.axial_missing"), row.line))
    if angle is None and not (row.text("angle") or row.text("arc")):
        angle = standard.angle if standard else 0.0
    if axial is not None and not 0.0 <= axial <= card.bearing.length * (1 + SAME):
        length = show(card.bearing.length, card.bearing.unit, "length", digits=4)
        wrong.append(
            Problem("axial", row.text("axial"), say("readings.off_the_land", length=length), row.line)
        )
    if angle is not None and abs(angle) > math.pi + SAME:
        typed = row.text("angle") or row.text("arc")
        wrong.append(Problem("angle", typed, say("readings.half_a_turn"), row.line))
    lies = row.text("lies").casefold() or (standard.lies if standard else "across")
    if lies not in ("across", "along"):
        wrong.append(
            Problem("lies", row.text("lies"), nearest_of(lies, ("across", "along"), CHOICE), row.line)
        )
    if wrong or axial is None or angle is None:
        problems += wrong
        return ""
    label = label or _same_place(own, axial, angle) or f"P{len(own) + 1}"
    place = _place(card, row, label, axial, angle, "along" if lies == "along" else "across", standard)
    before = own.get(label)
    if before is not None and (abs(before.axial - axial) > SAME or abs(before.angle - angle) > SAME):
        problems.append(Problem("place", label, say("readings.moved", place=label), row.line))
        return ""
    own.setdefault(label, place)
    return label


def _same_place(own: dict[str, Place], axial: float, angle: float) -> str:
    near = (p.label for p in own.values() if abs(p.axial - axial) <= SAME and abs(p.angle - angle) <= SAME)
    return next(near, "")


def _place(
    card: Card, row: Row, label: str, axial: float, angle: float, lies: str, standard: Place | None
) -> Place:
    """A place of one's own; places at one station are on one piece across, at one angle on one along."""
    if standard is not None:
        moved = replace(standard, axial=axial, angle=angle, lies=lies)  # type: ignore[arg-type]
        return replace(moved, piece=row.text("piece") or standard.piece, title="")
    station = show(axial, card.bearing.unit, "length", digits=4)
    turned = show(angle, "deg", "angle", digits=3)
    piece = row.text("piece") or (station if lies == "across" else turned)
    title = say("readings.own_place", axial=station, end=card.bearing.ends[0], angle=turned)
    return Place(label, axial, angle, piece, "along" if lies == "along" else "across", title)


def _angle(card: Card, row: Row, problems: list[Problem]) -> float | None:
    """The angle from top centre, or from an arc s on the journal: 2 s / D (derived from geometry)."""
    arc = _position(row, "arc", "length", problems)
    angle = _position(row, "angle", "angle", problems)
    if row.text("arc") and row.text("angle"):
        problems.append(Problem("arc", row.text("arc"), say("readings.angle_or_arc"), row.line))
        return None
    return 2.0 * arc / card.bearing.journal_diameter if arc is not None else angle


def _position(row: Row, column: str, dimension: str, problems: list[Problem]) -> float | None:
    text = row.text(column)
    if not text:
        return None
    try:
        unit = row.text(f"{column} unit") or None
        return read(text, dimension, field=column, default_unit=unit).value  # type: ignore[arg-type]
    except UnitError as bad:
        problems += [replace(problem, line=row.line) for problem in bad.problems]
        return None
