"""The section with the journal where it runs, the gap drawn far too large, and the pressure around it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.pen import Point
from whitemetal.drawing.section_gap import JOURNAL, gap_position, magnification
from whitemetal.drawing.spot import Turned
from whitemetal.drawing.view import view_of
from whitemetal.words import say

WIDTH = 360.0
CENTRE: Point = (WIDTH / 2, 176.0)
HIGHEST = 34.0
"""The greatest pressure is drawn so high over the bore."""
_LOADED = {"down": -math.pi / 2, "up": math.pi / 2, "left": math.pi, "right": 0.0}


@dataclass(frozen=True)
class RunningShown:
    """One ring of a running bearing. theta [rad]: from top centre, positive right. gap [m], pressure (any
    unit): one an angle. journal: its centre in the bore, (right, up) [m]. load: where it points, "" unknown.
    film: its least value in words. rotation: as seen from the machine's viewing end."""

    theta: tuple[float, ...]
    gap: tuple[float, ...]
    pressure: tuple[float, ...]
    journal: tuple[float, float]
    film: str = ""
    load: str = ""
    rotation: Literal["clockwise", "anticlockwise", ""] = ""


def running_section_svg(card: Card, shown: RunningShown, *, turned: Turned = 0, title: str = "") -> str:
    """Journal, bore and pressure as they run, 360 wide."""
    view = view_of(card, turned)
    times = magnification(max(shown.gap), card)
    order = sorted(range(len(shown.theta)), key=lambda i: shown.theta[i] % (2 * math.pi))
    bore = [gap_position(card, shown.theta[i], shown.gap[i], times, CENTRE, view.sign) for i in order]
    magnified = say("film.section_times", times=f"{times:g}")
    parts = [
        pen.circle(CENTRE, JOURNAL),
        pen.hatch([pen.arc(CENTRE, JOURNAL, 0, 2 * math.pi)[:-1]], spacing=9),
        *_pressure(shown, order, bore, view.sign),
        pen.polyline(bore, "accent", closed=True),
        *_centres(card, shown, times, view.sign),
        *_least(card, shown, times, view.sign),
        *_load(shown, view.sign),
        *_rotation(shown, view.sign),
        pen.text((WIDTH / 2, 14), magnified, anchor="middle", size=pen.SMALL),
        pen.text((16, CENTRE[1] + 4), view.page_left, bold=True),
        pen.text((WIDTH - 16, CENTRE[1] + 4), view.page_right, anchor="end", bold=True),
        pen.text((WIDTH / 2, 342), pen.cut(view.seen_from, 50), anchor="middle", size=pen.SMALL),
    ]
    said = say("film.section_said", film=shown.film or "–")
    name = title or say("film.section_title")
    return pen.picture(WIDTH, 352, name, said, parts, "running-section")


def _pressure(shown: RunningShown, order: Sequence[int], bore: Sequence[Point], sign: int) -> list[str]:
    """Pressure as strokes that stand on the bore, closed by a line."""
    most = max(shown.pressure)
    if most <= 0:
        return []
    tips = []
    for i, foot in zip(order, bore, strict=True):
        high = HIGHEST * max(shown.pressure[i], 0.0) / most
        angle = shown.theta[i]
        tips.append((foot[0] + sign * high * math.sin(angle), foot[1] - high * math.cos(angle)))
    strokes = [
        pen.line(foot, tip)
        for foot, tip in list(zip(bore, tips, strict=True))[:: max(len(bore) // 60, 1)]
        if math.dist(foot, tip) > 1.0
    ]
    return [pen.polyline(tips, "thin", closed=True), *strokes]


def _centres(card: Card, shown: RunningShown, times: float, sign: int) -> list[str]:
    """A cross where the bore's centre is, a dot for the journal's, and the line between."""
    scale = times * JOURNAL / (card.bearing.journal_diameter / 2)
    x = CENTRE[0] - sign * scale * shown.journal[0]
    y = CENTRE[1] + scale * shown.journal[1]
    return [
        pen.line((x - 9, y), (x + 9, y)),
        pen.line((x, y - 9), (x, y + 9)),
        pen.line((x, y), CENTRE, "thick"),
        pen.dot(CENTRE, 3),
    ]


def _least(card: Card, shown: RunningShown, times: float, sign: int) -> list[str]:
    """Where the film is thinnest."""
    i = min(range(len(shown.gap)), key=lambda i: shown.gap[i])
    at = gap_position(card, shown.theta[i], shown.gap[i], times, CENTRE, sign)
    right = at[0] >= CENTRE[0]
    low = at[1] >= CENTRE[1]
    to = (CENTRE[0] + (92.0 if right else -92.0), 314.0 if low else 40.0)
    parts = [pen.dot(at, 3), pen.line(at, to)]
    words = f"{say('film.thinnest')} {shown.film}".strip()
    half = pen.breadth(words, pen.SMALL) / 2
    middle = min(max(to[0], half + 2), WIDTH - half - 2)
    return [*parts, pen.text((middle, to[1] + (12 if low else -5)), words, anchor="middle", size=pen.SMALL)]


def _load(shown: RunningShown, sign: int) -> list[str]:
    """The load as an arrow on the journal."""
    if shown.load not in _LOADED:
        return []
    across = sign * math.cos(_LOADED[shown.load])
    up = math.sin(_LOADED[shown.load])
    start = (CENTRE[0] + 26 * across, CENTRE[1] - 26 * up)
    tip = (CENTRE[0] + 62 * across, CENTRE[1] - 62 * up)
    towards = math.atan2(-up, across)
    barbs = [
        (tip[0] - 11 * math.cos(towards + s), tip[1] - 11 * math.sin(towards + s)) for s in (-0.45, 0.45)
    ]
    return [pen.line(start, tip, "thick"), pen.polyline([barbs[0], tip, barbs[1]], "thick")]


def _rotation(shown: RunningShown, sign: int) -> list[str]:
    """Which way the shaft turns."""
    if not shown.rotation:
        return []
    way = 1 if (shown.rotation == "clockwise") == (sign > 0) else -1
    middle = math.pi if shown.load == "up" else 0.0
    bow = pen.arc(CENTRE, 54, middle - 0.6 * way, middle + 0.6 * way, 24)
    heading = math.atan2(bow[-1][1] - bow[-2][1], bow[-1][0] - bow[-2][0])
    return [pen.polyline(bow, "thick"), pen.arrow(bow[-1], heading)]
