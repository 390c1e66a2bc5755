"""Gap and pressure over the unrolled bore, beside each other, in steps of one tone."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.spot import Turned
from whitemetal.drawing.view import view_of
from whitemetal.words import say

WIDTH = 360.0
MAP, TOP, ASIDE = 160.0, 60.0, 8.0
TALLEST, LOWEST = 190.0, 56.0
STEPS = 8
"""Tones of a map. Our own: more cannot be told apart on paper."""


@dataclass(frozen=True)
class Field:
    """Values over the bore. rows: one an angle, each with one value an axial place, as shown in ``unit``.

    dark: which values are drawn darkest, because they matter most.
    """

    name: str
    unit: str
    rows: Sequence[Sequence[float]]
    dark_is_low: bool = False


def maps_svg(
    card: Card,
    fields: Sequence[Field],
    theta: Sequence[float],
    z: Sequence[float],
    *,
    turned: Turned = 0,
    title: str = "",
) -> str:
    """Up to two maps side by side, 360 wide, top centre in the middle, the near end at the bottom.

    theta [rad]: from top centre, positive right, equally far apart round the bore; z [m]: from the edge of
    the land at the card's first end.
    """
    view = view_of(card, turned)
    columns = _columns(theta, view.sign)
    order = range(len(z)) if not view.first_is_near else range(len(z) - 1, -1, -1)
    share = card.bearing.length / (math.pi * card.bearing.journal_diameter)
    height = min(max(MAP * share, LOWEST), TALLEST)
    parts: list[str] = []
    for index, field in enumerate(fields[:2]):
        left = ASIDE + index * (MAP + 22)
        parts += _map(field, columns, list(order), z, (left, TOP), height)
        parts += _sides(left, height, (view.page_left, view.page_right), (view.near, view.far))
    said = "; ".join(_range_said(field) for field in fields[:2])
    bottom = TOP + height + 92
    parts.append(pen.text((4, bottom - 8), pen.cut(say("film.maps_note"), 53), size=pen.SMALL))
    return pen.picture(WIDTH, bottom, title or say("film.maps_title"), said, parts, "maps")


def _columns(theta: Sequence[float], sign: int) -> list[int]:
    """Indices of the angles from the page's left (bottom centre) over top centre to its right."""

    def place(index: int) -> float:
        angle = sign * theta[index]
        return (angle + math.pi) % (2 * math.pi)

    return sorted(range(len(theta)), key=place)


def _map(
    field: Field,
    columns: Sequence[int],
    order: Sequence[int],
    z: Sequence[float],
    corner: tuple[float, float],
    height: float,
) -> list[str]:
    """A map with its name, its frame and its scale of tones; runs of one tone are one box."""
    values = [value for row in field.rows for value in row]
    low, high = min(values), max(values)
    tops = _edges(z, order, corner[1], height)
    wide = MAP / len(columns)
    runs: dict[int, list[str]] = {}
    for line, j in enumerate(order):
        tones = [_tone(field.rows[i][j], low, high, field.dark_is_low) for i in columns]
        start = 0
        for end in range(1, len(tones) + 1):
            if end == len(tones) or tones[end] != tones[start]:
                run = (
                    corner[0] + start * wide,
                    tops[line],
                    (end - start) * wide,
                    tops[line + 1] - tops[line],
                )
                runs.setdefault(tones[start], []).append(_box(run))
                start = end
    parts = [_toned(tone, "".join(boxes)) for tone, boxes in sorted(runs.items()) if tone]
    head = pen.text((corner[0], corner[1] - 42), f"{field.name}, {field.unit}", size=pen.SMALL, bold=True)
    return [head, *parts, pen.box(corner, MAP, height, "thick"), *_scale(field, low, high, corner, height)]


def _edges(z: Sequence[float], order: Sequence[int], top: float, height: float) -> list[float]:
    """Page heights of the borders between axial places, from the top."""
    length = max(z) - min(z)
    if length <= 0:
        return [top, top + height]
    down = sorted(abs(z[j] - z[order[0]]) / length for j in order)
    middles = [0.5 * (a + b) for a, b in pairwise(down)]
    return [top + height * part for part in (0.0, *middles, 1.0)]


def _tone(value: float, low: float, high: float, dark_is_low: bool) -> int:
    if high <= low:
        return 0
    part = min(int(STEPS * (value - low) / (high - low)), STEPS - 1)
    return STEPS - 1 - part if dark_is_low else part


def _box(run: tuple[float, float, float, float]) -> str:
    x, y, width, height = (pen.number(value) for value in run)
    return f"M{x} {y}h{width}v{height}h-{width}z"


def _toned(tone: int, path: str) -> str:
    opacity = pen.number(tone / (STEPS - 1) * 0.9)
    look = f'fill="{pen.ACCENT}" fill-opacity="{opacity}" shape-rendering="crispEdges"'
    return f'<path class="wm-accent-solid" {look} d="{path}"/>'


def _scale(field: Field, low: float, high: float, corner: tuple[float, float], height: float) -> list[str]:
    """Tones from the least to the greatest value."""
    y, wide = corner[1] + height + 26, MAP / STEPS
    parts = []
    for step in range(STEPS):
        tone = STEPS - 1 - step if field.dark_is_low else step
        if tone:
            parts.append(_toned(tone, _box((corner[0] + step * wide, y, wide, 10))))
    return [
        *parts,
        pen.box((corner[0], y), MAP, 10),
        pen.text((corner[0], y + 24), f"{low:.3g}", size=pen.SMALL),
        pen.text((corner[0] + MAP, y + 24), f"{high:.3g}", anchor="end", size=pen.SMALL),
    ]


def _sides(left: float, height: float, sides: tuple[str, str], ends: tuple[str, str]) -> list[str]:
    """Where on the bore: left, top and right, with ticks on both edges; the ends above and below."""
    parts = []
    for part, name in ((0.25, sides[0]), (0.5, say("film.map_top")), (0.75, sides[1])):
        x = left + part * MAP
        parts += [pen.line((x, TOP - 4), (x, TOP)), pen.line((x, TOP + height), (x, TOP + height + 4))]
        parts.append(pen.text((x, TOP - 8), name, anchor="middle", size=pen.SMALL))
    middle = left + MAP / 2
    for y, end in ((TOP - 25, ends[1]), (TOP + height + 16, ends[0])):
        parts.append(pen.text((middle, y), pen.cut(end, 24), anchor="middle", size=pen.SMALL))
    return parts


def _range_said(field: Field) -> str:
    values = [value for row in field.rows for value in row]
    return say(
        "film.map_said", name=field.name, low=f"{min(values):.3g}", high=f"{max(values):.3g}", unit=field.unit
    )
