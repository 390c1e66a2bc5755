"""The gap along the axis before some work and after it, against the limits."""

from __future__ import annotations

from collections.abc import Sequence

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.along_axis import BOTTOM, LEFT, RIGHT, TOP, WIDTH, Scale, axial_x, scale_for, ticks
from whitemetal.drawing.spot import Band, GapPoint, Turned
from whitemetal.drawing.view import view_of
from whitemetal.units import clearance_step, show, show_number
from whitemetal.words import say

APART = 5.0
"""The marks of before and after stand so far to each side of their place."""


def before_after_svg(
    card: Card, before: Sequence[GapPoint], after: Sequence[GapPoint], band: Band, *, turned: Turned = 0
) -> str:
    """Diametral clearance along the land, 360 wide: open circles and a dashed line before, full ones with
    their 95 % bars and a full line after. before, after: the same places. The near end is on the left."""
    view = view_of(card, turned)
    flip = not view.first_is_near
    scale = scale_for([*before, *after], [band])
    parts = [*_frame(card, scale, (view.near, view.far)), *_limits(card, scale, band)]
    parts += _line(card, scale, before, flip, "hidden")
    parts += _line(card, scale, after, flip, "accent")
    for point in before:
        parts.append(
            pen.circle((axial_x(card, point.axial, flip) - APART, scale.y(point.value)), 3.0, "thin")
        )
    for point in after:
        parts += _after(point, axial_x(card, point.axial, flip) + APART, scale)
    parts += _key()
    said = "; ".join(
        say("plan.picture_place", place=a.label, before=_words(card, a.value), after=_words(card, b.value))
        for a, b in zip(before, after, strict=True)
    )
    return pen.picture(WIDTH, BOTTOM + 52, say("plan.picture"), said, parts, "before-after")


def _words(card: Card, value: float) -> str:
    unit = card.bearing.unit
    return show(value, unit, "length", step=clearance_step(unit))


def _frame(card: Card, scale: Scale, ends: tuple[str, str]) -> list[str]:
    unit = card.bearing.unit
    parts = [
        pen.polyline([(LEFT, TOP), (LEFT, BOTTOM), (RIGHT, BOTTOM), (RIGHT, TOP)], "thick"),
        pen.text((2, 14), f"{say('sheet.diametral')}, {unit}", size=pen.SMALL, bold=True),
        pen.text((LEFT, BOTTOM + 18), pen.cut(ends[0], 19), size=pen.SMALL, bold=True),
        pen.text((RIGHT, BOTTOM + 18), pen.cut(ends[1], 16), anchor="end", size=pen.SMALL, bold=True),
    ]
    marks = ticks(scale, unit)
    step = marks[1] - marks[0] if len(marks) > 1 else clearance_step(unit)
    for value in marks:
        y = scale.y(value)
        words = show_number(value, unit, "length", step=step)
        parts += [
            pen.line((LEFT - 5, y), (LEFT, y)),
            pen.text((LEFT - 7, y + 4), words, anchor="end", size=pen.SMALL),
        ]
    return parts


def _limits(card: Card, scale: Scale, band: Band) -> list[str]:
    """Thick lines, the far side hatched; edges of the guard band dashed."""
    parts: list[str] = []
    named = ((band.maximum, "sheet.maximum", -7.0), (band.minimum, "sheet.minimum", 7.0))
    for value, name, out in named:
        if value is not None:
            y = scale.y(value)
            parts.append(pen.hatch([[(LEFT, y), (RIGHT, y), (RIGHT, y + out), (LEFT, y + out)]], spacing=5))
            parts.append(pen.line((LEFT, y), (RIGHT, y), "thick"))
            parts.append(pen.text((RIGHT + 4, y + 4), say(name), size=9.0))
    for value in (band.accept_from, band.accept_to):
        if value is not None:
            parts.append(pen.line((LEFT, scale.y(value)), (RIGHT, scale.y(value)), "edge"))
    return parts


def _line(card: Card, scale: Scale, points: Sequence[GapPoint], flip: bool, weight: pen.Weight) -> list[str]:
    """Through the mean of each station."""
    stations: dict[float, list[float]] = {}
    for point in points:
        stations.setdefault(round(point.axial, 6), []).append(point.value)
    if len(stations) < 2:
        return []
    through = [
        (axial_x(card, axial, flip), scale.y(sum(values) / len(values)))
        for axial, values in sorted(stations.items())
    ]
    return [pen.polyline(through, weight)]


def _after(point: GapPoint, x: float, scale: Scale) -> list[str]:
    low, high = scale.y(point.value - point.plus_minus), scale.y(point.value + point.plus_minus)
    return [pen.line((x, low), (x, high)), pen.dot((x, scale.y(point.value)), 3.0)]


def _key() -> list[str]:
    y = BOTTOM + 40
    return [
        pen.circle((LEFT + 4, y - 4), 3.0, "thin"),
        pen.text((LEFT + 14, y), say("plan.before"), size=pen.SMALL),
        pen.dot((LEFT + 104, y - 4), 3.0),
        pen.text((LEFT + 114, y), say("plan.after"), size=pen.SMALL),
    ]
