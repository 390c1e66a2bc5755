"""The section with the gap as measured, drawn far too large, each local value named."""

from __future__ import annotations

import math
from collections.abc import Sequence

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.pen import Anchor, Point
from whitemetal.drawing.spot import LocalGap, Turned
from whitemetal.drawing.view import View, view_of
from whitemetal.words import say

WIDTH = 360.0
JOURNAL = 72.0
"""Radius of the journal on the page; the largest gap is drawn some 30 high."""
LARGEST = 30.0
ROW = 16.0


def section_gap_svg(
    card: Card,
    gaps: Sequence[LocalGap],
    *,
    clearance: float | None = None,
    sideways: float = 0.0,
    turned: Turned = 0,
    title: str = "",
) -> str:
    """The section with the gap drawn large, its local values named, 360 wide.

    clearance [m]: the fitted clearance at top centre, whose bore is drawn as a line; sideways [m]: its
    sideways term. None leaves the line out and draws only the places.
    """
    view = view_of(card, turned)
    groups = _groups(gaps, view.sign)
    rows = max((len(group) for group in groups), default=0)
    centre = (WIDTH / 2, 40.0 + ROW * max(rows, 1) + 26 + LARGEST + JOURNAL)
    times = magnification(max([*(gap.gap for gap in gaps), clearance or 0.0], default=0.0), card)
    parts = [*_journal(centre), *_names(centre, view, times, card.bearing.unit)]
    if clearance is not None:
        parts.append(pen.polyline(_bore(card, clearance, sideways, times, centre, view.sign), "accent"))
    for group, x, anchor in zip(
        groups, (4.0, WIDTH / 2, WIDTH - 18), ("start", "middle", "end"), strict=True
    ):
        parts += _group(group, (x, 40.0), anchor, card, times, centre, view.sign)
    said = "; ".join(f"{g.label}: {g.text} {card.bearing.unit} {g.state}".strip() for g in gaps)
    name = title or say("sheet.section_gap_title", seen=view.seen_from)
    return pen.picture(WIDTH, centre[1] + JOURNAL + 58, name, said, parts, "section-gap")


def gap_shape(angle: float, clearance: float, sideways: float = 0.0, side_to_top: float = 1.0) -> float:
    """Gap [m] at ``angle`` [rad] from top centre around a journal resting at the bottom.

    Upper half ``Cv [(q/2)(1 - cos a) + cos a] + b sin a``, lower half ``(q Cv/2)(1 + cos a)`` fading b out;
    for a plain bore (q = 1) both are ``Cd (1 + cos a)/2``. Derived from geometry, first order in Cd/D.
    """
    cosine = math.cos(angle)
    if cosine >= 0:
        return clearance * (0.5 * side_to_top * (1 - cosine) + cosine) + sideways * math.sin(angle)
    lower = 0.5 * side_to_top * clearance + math.copysign(sideways, math.sin(angle))
    return max(lower * (1 + cosine), 0.0)


def magnification(largest: float, card: Card) -> float:
    """How many times too large the gap is drawn: a round number (1, 2, 5 times a power of ten) that draws
    the largest gap [m] no more than `LARGEST` high."""
    scale = JOURNAL / (card.bearing.journal_diameter / 2)
    most = LARGEST / (scale * largest) if largest > 0 else 1.0
    power = 10.0 ** math.floor(math.log10(most))
    return max(m for m in (1, 2, 5) if m * power <= most * (1 + 1e-9)) * power


def gap_position(card: Card, angle: float, gap: float, times: float, centre: Point, sign: int = 1) -> Point:
    """Page position of a gap [m] at ``angle`` [rad], beyond the journal drawn around ``centre``."""
    reach = JOURNAL + times * gap * JOURNAL / (card.bearing.journal_diameter / 2)
    return centre[0] + sign * reach * math.sin(angle), centre[1] - reach * math.cos(angle)


def _groups(gaps: Sequence[LocalGap], sign: int) -> tuple[list[LocalGap], list[LocalGap], list[LocalGap]]:
    """The page's left, top and right, in the order given."""
    near = math.radians(1.0)
    left = [g for g in gaps if sign * g.angle < -near]
    top = [g for g in gaps if abs(g.angle) <= near]
    return left, top, [g for g in gaps if sign * g.angle > near]


def _journal(centre: Point) -> list[str]:
    x, y = centre
    reach = JOURNAL + LARGEST + 8
    return [
        pen.circle(centre, JOURNAL),
        pen.hatch([pen.arc(centre, JOURNAL, 0, 2 * math.pi)[:-1]], spacing=9),
        pen.line((x - reach, y), (x + reach, y), "centre"),
        pen.line((x, y - reach), (x, y + JOURNAL + 8), "centre"),
    ]


def _names(centre: Point, view: View, times: float, unit: str) -> list[str]:
    x, y = centre
    name = say("sheet.gap_as_read", times=f"{times:g}", unit=unit)
    reach = JOURNAL + LARGEST + 14
    return [
        pen.text((x, 14), pen.cut(name, 53), anchor="middle", size=pen.SMALL),
        pen.text((x - reach, y + 4), view.page_left, anchor="end", bold=True),
        pen.text((x + reach, y + 4), view.page_right, bold=True),
        pen.text((x, y + JOURNAL + 30), pen.cut(view.seen_from, 50), anchor="middle", size=pen.SMALL),
    ]


def _bore(
    card: Card, clearance: float, sideways: float, times: float, centre: Point, sign: int
) -> list[Point]:
    q = card.bearing.side_to_top if card.bearing.profile == "lemon" and card.bearing.side_to_top else 1.0
    angles = [math.pi * (i / 90 - 1) for i in range(181)]
    return [gap_position(card, a, gap_shape(a, clearance, sideways, q), times, centre, sign) for a in angles]


def _group(
    group: Sequence[LocalGap], at: Point, anchor: str, card: Card, times: float, centre: Point, sign: int
) -> list[str]:
    """The values of one side, one a line, and a leader from below them to each place."""
    side: Anchor = "start" if anchor == "start" else "end" if anchor == "end" else "middle"
    parts: list[str] = []
    bottom = at[1] + ROW * (len(group) - 1) + 5
    toward = {"start": 50.0, "middle": 0.0, "end": -50.0}[anchor]
    for i, gap in enumerate(group):
        y = at[1] + ROW * i
        words = pen.cut(f"{pen.cut(gap.label, max(15 - len(gap.text), 3))} {gap.text}", 16)
        size = pen.SMALL if len(words) <= 14 else 10.0
        parts.append(pen.text((at[0], y), words, anchor=side, size=size))
        half = pen.breadth(words, size)
        end = {"start": at[0] + half + 8, "middle": at[0] + half / 2 + 8, "end": at[0] + 8}[anchor]
        parts += pen.mark((end, y - 4), gap.state, 4)
        place = gap_position(card, gap.angle, gap.gap, times, centre, sign)
        parts += [pen.dot(place, 2.6), pen.line((at[0] + toward, bottom), place)]
    return parts
