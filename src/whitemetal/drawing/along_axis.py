"""The gap along the axis against its limits, as a diagram with uncertainty bars."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.spot import Band, GapPoint, Turned
from whitemetal.drawing.view import view_of
from whitemetal.units import clearance_step, find_unit, show_number
from whitemetal.words import say

WIDTH = 360.0
MOST_OTHERS = 14
STEP = 10.0
"""Where no limit is judged by, the others stand beside the land, so far apart."""
LEFT, RIGHT, TOP, BOTTOM = 52.0, 308.0, 30.0, 232.0
SPREAD, NARROW_SPREAD = 13.0, 9.0
"""Places at one station are drawn so far apart that their bars and marks do not cover each other."""


@dataclass(frozen=True)
class Scale:
    """Page height of a clearance [m]: least at ``BOTTOM``, greatest at ``TOP``."""

    least: float
    greatest: float

    def y(self, value: float) -> float:
        """Page height of a clearance [m]."""
        return BOTTOM - (BOTTOM - TOP) * (value - self.least) / (self.greatest - self.least)


def gap_along_axis_svg(
    card: Card,
    points: Sequence[GapPoint],
    bands: Sequence[Band] = (),
    *,
    fitted: tuple[float, float] | None = None,
    turned: Turned = 0,
    title: str = "",
) -> str:
    """Diametral clearance along the land, 360 wide: places with 95 % bars, limits, guard band, fitted line.

    fitted [m]: the clearance at the edges of the land at the card's first and last end. The near end as
    one stands is on the page's left. Values that lie off the scale of a band are still drawn.
    """
    view = view_of(card, turned)
    scale = scale_for(points, bands, fitted)
    ends = (view.near, view.far)
    flip = not view.first_is_near
    edge = land_edge(bands)
    placed = _abscissae(card, points, flip, view.sign, edge)
    parts = [*_frame(card, scale, ends, edge), *_limits(card, scale, bands, _free(placed, edge), edge)]
    if fitted is not None:
        a, b = (scale.y(value) for value in (reversed(fitted) if flip else fitted))
        parts.append(pen.line((LEFT, a), (edge, b), "accent"))
    for point, x in placed:
        parts += _point(point, x, scale)
    legend, lines = _legend(card, bands)
    parts += legend
    name = title or say("sheet.along_title", basis=say("sheet.diametral"))
    said = _describe(card, points, bands)
    return pen.picture(WIDTH, BOTTOM + 44 + 15 * lines, name, said, parts, "along-axis")


def scale_for(
    points: Sequence[GapPoint], bands: Sequence[Band], fitted: tuple[float, float] | None = None
) -> Scale:
    """A scale that holds every bar and every limit, with a tenth to spare."""
    values = [p.value + s * p.plus_minus for p in points for s in (-1, 1)]
    values += [v for b in bands for v in (b.minimum, b.maximum, b.renewal) if v is not None]
    values += list(fitted or ())
    values = [v for v in values if math.isfinite(v)] or [0.0, 1e-4]
    least, greatest = min(values), max(values)
    spare = 0.18 * (greatest - least) or max(abs(greatest) * 0.1, 1e-5)
    return Scale(least - spare, greatest + spare)


def ticks(scale: Scale, unit: str, most: int = 7) -> list[float]:
    """Round values [m] for the scale's ticks in a unit: steps of 1, 2 or 5 times a power of ten."""
    size = found.scale if (found := find_unit(unit, "length")) else 1e-3
    width = (scale.greatest - scale.least) / size
    power = 10.0 ** math.floor(math.log10(width / most))
    step = next(m * power for m in (1, 2, 5, 10) if m * power * most >= width)
    first = math.ceil(scale.least / size / step - 1e-9)
    last = math.floor(scale.greatest / size / step + 1e-9)
    return [i * step * size for i in range(first, last + 1)]


def land_edge(bands: Sequence[Band]) -> float:
    """Page position of the land's far edge: it makes room for limits that stand beside it."""
    count = len(_lettered(bands))
    return RIGHT - (STEP * count + 8 if count else 0)


def axial_x(card: Card, axial: float, flip: bool, edge: float = RIGHT) -> float:
    """Page position of an axial place [m]. edge: of the land's far edge."""
    share = axial / card.bearing.length
    return LEFT + (edge - LEFT) * (1 - share if flip else share)


def _abscissae(
    card: Card, points: Sequence[GapPoint], flip: bool, sign: int, edge: float
) -> list[tuple[GapPoint, float]]:
    """Each point's page position; points at one station side by side from the page's left to its right."""
    placed = []
    spread = SPREAD if edge >= RIGHT else NARROW_SPREAD
    for point in points:
        mates = sorted(
            (p for p in points if abs(p.axial - point.axial) < 1e-4), key=lambda p: (sign * p.angle, p.label)
        )
        shift = (mates.index(point) - 0.5 * (len(mates) - 1)) * spread
        placed.append((point, axial_x(card, point.axial, flip, edge) + shift))
    return placed


def _frame(card: Card, scale: Scale, ends: tuple[str, str], edge: float) -> list[str]:
    """Axes with diametral values at the left, radial ones at the right, ends named below."""
    unit = card.bearing.unit
    far = (edge, BOTTOM + 32) if edge < RIGHT else (RIGHT + 40, BOTTOM + 18)
    parts = [
        pen.polyline([(LEFT, TOP), (LEFT, BOTTOM), (RIGHT, BOTTOM), (RIGHT, TOP)], "thick"),
        pen.text((2, 14), f"{say('sheet.diametral')}, {unit}", size=pen.SMALL, bold=True),
        pen.text((WIDTH - 2, 14), f"{say('sheet.radial')}, {unit}", anchor="end", size=pen.SMALL, bold=True),
        pen.text((LEFT, BOTTOM + 18), pen.cut(ends[0], 19), size=pen.SMALL, bold=True),
        pen.text(far, pen.cut(ends[1], 16), anchor="end", size=pen.SMALL, bold=True),
    ]
    if edge < RIGHT:
        parts.append(pen.line((edge, TOP), (edge, BOTTOM), "thick"))
    marks = ticks(scale, unit)
    step = marks[1] - marks[0] if len(marks) > 1 else clearance_step(unit)
    for value in marks:
        y = scale.y(value)
        parts += [pen.line((LEFT - 5, y), (LEFT, y)), pen.line((RIGHT, y), (RIGHT + 5, y))]
        full = show_number(value, unit, "length", step=step)
        half = show_number(value / 2, unit, "length", step=step / 20)
        parts.append(pen.text((LEFT - 7, y + 4), full, anchor="end", size=pen.SMALL))
        parts.append(pen.text((RIGHT + 7, y + 4), half, size=pen.SMALL))
    return parts


def _limits(
    card: Card, scale: Scale, bands: Sequence[Band], free: tuple[float, float], edge: float
) -> list[str]:
    """Limits; the names of their lines stand in the ``free`` width between the stations."""
    parts = [part for band in bands if band.main for part in _main_band(card, scale, band, free)]
    for i, (band, letter) in enumerate(_lettered(bands).items()):
        parts += _other_band(scale, band, edge + STEP * (i + 0.5) + 4, letter)
    return parts


def _lettered(bands: Sequence[Band]) -> dict[Band, str]:
    """The limits drawn as upright ranges, with their letters: none where there is a limit judged by."""
    if any(band.main for band in bands):
        return {}
    return {band: chr(ord("a") + i) for i, band in enumerate(bands[:MOST_OTHERS])}


def _main_band(card: Card, scale: Scale, band: Band, free: tuple[float, float]) -> list[str]:
    """The limit judged by: thick lines, the far side hatched, edges of the guard band dashed."""
    parts: list[str] = []
    for value, word, up in ((band.maximum, "max", True), (band.minimum, "min", False)):
        if value is not None:
            y = scale.y(value)
            beyond = y - 7 if up else y + 7
            parts.append(pen.hatch([[(LEFT, y), (RIGHT, y), (RIGHT, beyond), (LEFT, beyond)]], spacing=5))
            parts.append(pen.line((LEFT, y), (RIGHT, y), "thick"))
            name = say("sheet.maximum") if word == "max" else say("sheet.minimum")
            parts.append(_on_line(free, y, f"{name} {_figure(value, card)}", up, 9))
    for value, up in ((band.accept_to, False), (band.accept_from, True)):
        if value is not None:
            y = scale.y(value)
            parts.append(pen.line((LEFT, y), (RIGHT, y), "edge"))
            if _roomy(band, scale):
                name = say("sheet.proven_from") if up else say("sheet.proven_to")
                parts.append(_on_line(free, y, f"{name} {_figure(value, card)}", up, 2))
    if band.renewal is not None:
        y = scale.y(band.renewal)
        parts.append(pen.line((LEFT, y), (RIGHT, y), "centre"))
        parts.append(_on_line(free, y, f"{say('sheet.renewal')} {_figure(band.renewal, card)}", True, 2))
    return parts


def _free(placed: Sequence[tuple[GapPoint, float]], edge: float) -> tuple[float, float]:
    """The widest stretch of the diagram without places: its page positions, from left to right."""
    stops = [LEFT, *sorted(x for _, x in placed), edge]
    return max(pairwise(stops), key=lambda gap: round(gap[1] - gap[0], 3))


def _on_line(free: tuple[float, float], y: float, words: str, up: bool, off: float) -> str:
    """The name of a line, or nothing where it would cover the places (the list below has it)."""
    if pen.breadth(words, pen.SMALL) > free[1] - free[0] - 8:
        return ""
    x = 0.5 * (free[0] + free[1])
    at = x, (y - off - 1 if up else y + off + 9)
    return pen.text(at, words, anchor="middle", size=pen.SMALL)


def _roomy(band: Band, scale: Scale) -> bool:
    """Whether both edges of the guard band have room for their names between them."""
    if band.accept_from is None or band.accept_to is None:
        return True
    return scale.y(band.accept_from) - scale.y(band.accept_to) > 28


def _other_band(scale: Scale, band: Band, x: float, letter: str) -> list[str]:
    """Another limit: a thin upright range, or a short bar for a single figure, named by a letter."""
    low = scale.y(band.minimum) if band.minimum is not None else BOTTOM
    high = scale.y(band.maximum) if band.maximum is not None else TOP
    parts = [pen.text((x, high - 4), letter, anchor="middle", size=pen.SMALL, bold=True)]
    if band.minimum == band.maximum:
        return [*parts, pen.line((x - 4, low), (x + 4, low), "thick")]
    parts.append(pen.line((x, low), (x, high), "hidden"))
    for value, y, towards in ((band.minimum, low, math.pi / 2), (band.maximum, high, -math.pi / 2)):
        if value is not None:
            parts += [pen.line((x - 4, y), (x + 4, y)), pen.arrow((x, y), towards)]
    return parts


def _figure(value: float, card: Card) -> str:
    return show_number(value, card.bearing.unit, "length", step=clearance_step(card.bearing.unit))


def _range(band: Band, card: Card) -> str:
    """A band's figures in words: "min 0.200, max 0.300 mm", or "about 0.176 mm" for a single figure."""
    if band.minimum is not None and band.minimum == band.maximum:
        return say("sheet.about", figure=f"{_figure(band.minimum, card)} {card.bearing.unit}")
    named = (
        (say("sheet.minimum"), band.minimum), (say("sheet.maximum"), band.maximum),
        (say("sheet.renewal"), band.renewal), (say("sheet.proven_from"), band.accept_from),
        (say("sheet.proven_to"), band.accept_to),
    )  # fmt: skip
    figures = [f"{word} {_figure(value, card)}" for word, value in named if value is not None]
    return f"{', '.join(figures)} {card.bearing.unit}" if figures else say("sheet.no_figure")


def _legend(card: Card, bands: Sequence[Band]) -> tuple[list[str], int]:
    """What each limit is, below the diagram, and how many lines that takes."""
    letters = _lettered(bands)
    lines: list[str] = []
    for band in bands:
        letter = f"{letters[band]}: " if band in letters else ""
        lines += _wrapped(f"{letter}{_range(band, card)}: {band.name}", 53)
    texts = [pen.text((4, BOTTOM + 50 + 15 * i), row, size=pen.SMALL) for i, row in enumerate(lines)]
    return texts, len(lines)


def _wrapped(words: str, letters: int, most: int = 3) -> list[str]:
    """Words on lines of at most so many letters, continued lines indented; at most ``most`` lines."""
    rows, row = [], ""
    for word in words.split(" "):
        if row.strip() and len(row) + 1 + len(word) > letters:
            rows.append(row)
            row = "   "
        row = f"{row} {word}" if row else word
    rows = [pen.cut(line, letters) if len(line) > letters else line for line in [*rows, row]]
    return rows if len(rows) <= most else [*rows[: most - 1], pen.cut(rows[most - 1] + "…", letters)]


def _point(point: GapPoint, x: float, scale: Scale) -> list[str]:
    """A place: its value, its 95 % bar, its mark above the bar."""
    low, high = scale.y(point.value - point.plus_minus), scale.y(point.value + point.plus_minus)
    return [
        pen.line((x, low), (x, high)),
        *(pen.line((x - 3, y), (x + 3, y)) for y in (low, high)),
        pen.dot((x, scale.y(point.value)), 3),
        *pen.mark((x, high - 9), point.state, 3.4),
    ]


def _describe(card: Card, points: Sequence[GapPoint], bands: Sequence[Band]) -> str:
    unit = card.bearing.unit
    shown = "; ".join(
        f"{p.label} {_figure(p.value, card)} ± {_figure(p.plus_minus, card)} {unit} {p.state}".strip()
        for p in points
    )
    limits = "; ".join(f"{band.name}: {_range(band, card)}" for band in bands)
    first, last = card.bearing.ends
    return say("sheet.along_said", first=first, last=last, points=shown, limits=limits)
