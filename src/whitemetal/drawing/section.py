"""The section across the shaft, seen from the machine's viewing end: cap, shells, joint, journal at rest.

The gap between journal and bore is drawn far too large, so that it can be seen; sizes of cap and shells
are only a picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.pen import Point
from whitemetal.drawing.spot import Spot, Turned
from whitemetal.drawing.view import View, length_unit, view_of
from whitemetal.units import show
from whitemetal.words import say

WIDTH, HEIGHT = 360.0, 300.0
CENTRE: Point = (180.0, 158.0)
BORE, JOURNAL, SHELL, CAP = 84.0, 72.0, 100.0, 122.0
"""Radii on the page of bore, journal, back of the shells and the cap's outside."""
FLANGE, FLANGE_HEIGHT, BASE = 152.0, 16.0, 262.0
SAME_ANGLE = math.radians(1.0)


def section_svg(card: Card, spots: Sequence[Spot] = (), *, turned: Turned = 0, title: str = "") -> str:
    """The section as SVG, 360 wide: the wires of ``spots`` at their angles, one a distinct angle."""
    view = view_of(card, turned)
    parts = [*_metal(), *_centre_lines(), *_names(card, view), *_journal_size(card)]
    parts += _wires(spots, view.sign)
    name = title or say("sheet.section_title", seen=view.seen_from)
    return pen.picture(WIDTH, HEIGHT, name, _describe(spots, view), parts, "section")


def _ring(inner: float, outer: float, start: float, end: float, centre: Point = CENTRE) -> list[Point]:
    return [*pen.arc(centre, outer, start, end), *pen.arc(centre, inner, end, start)]


def _metal() -> list[str]:
    """Cap, lower housing and both shells with hatching; adjoining parts are hatched opposite ways."""
    quarter, (x, y) = math.pi / 2, CENTRE
    step = math.sqrt(CAP**2 - FLANGE_HEIGHT**2)
    knee = math.atan2(step, FLANGE_HEIGHT)
    cap = [
        (x - FLANGE, y), (x - FLANGE, y - FLANGE_HEIGHT), *pen.arc(CENTRE, CAP, -knee, knee),
        (x + FLANGE, y - FLANGE_HEIGHT), (x + FLANGE, y), *pen.arc(CENTRE, SHELL, quarter, -quarter),
    ]  # fmt: skip
    foot = y + FLANGE_HEIGHT
    housing = [
        (x - FLANGE, y), *pen.arc(CENTRE, SHELL, -quarter, -3 * quarter), (x + FLANGE, y), (x + FLANGE, foot),
        (x + CAP, foot), (x + CAP, BASE), (x - CAP, BASE), (x - CAP, foot), (x - FLANGE, foot),
    ]  # fmt: skip
    upper, lower = (_ring(BORE, SHELL, s * quarter, (s + 2) * quarter) for s in (-1, 1))
    parts = [pen.hatch([cap], spacing=8), pen.hatch([housing], spacing=8, falling=True)]
    parts += [pen.hatch([upper], spacing=4.5, falling=True), pen.hatch([lower], spacing=4.5)]
    parts += [pen.polyline(ring, "thick", closed=True) for ring in (cap, housing, upper, lower)]
    parts.append(pen.circle(CENTRE, BORE + 4, "thin"))
    return [*parts, pen.circle((x, y + BORE - JOURNAL), JOURNAL)]


def _centre_lines() -> list[str]:
    (x, y), axis = CENTRE, CENTRE[1] + BORE - JOURNAL
    return [
        pen.line((x, y - CAP - 6), (x, BASE + 6), "centre"),
        pen.line((x - FLANGE - 8, y), (x + FLANGE + 8, y), "centre"),
        pen.line((x - JOURNAL - 6, axis), (x + JOURNAL + 6, axis), "centre"),
    ]


def _names(card: Card, view: View) -> list[str]:
    """Sides, joint and what lies in it, the view's name and which end carries the match mark."""
    y = CENTRE[1]
    mark = pen.cut(say("sheet.match_mark", end=card.bearing.match_mark_end), 48)
    at = (WIDTH - pen.breadth(mark, pen.SMALL)) / 2 + 8
    filling = card.joint.filling.split(" ", 1) if card.joint.filling != "metal to metal" else []
    return [
        pen.text((4, y - FLANGE_HEIGHT - 8), view.page_left, bold=True),
        pen.text((WIDTH - 4, y - FLANGE_HEIGHT - 8), view.page_right, anchor="end", bold=True),
        *pen.leader((CENTRE[0] - FLANGE + 6, y), (14, y + 26), ""),
        pen.text((4, y + 38), say("sheet.joint"), size=pen.SMALL),
        *(pen.text((4, y + 52 + 13 * i), pen.cut(word, 8), size=pen.SMALL) for i, word in enumerate(filling)),
        pen.text((WIDTH / 2, 13), say("sheet.section_name"), anchor="middle", size=pen.SMALL),
        pen.text((WIDTH / 2, BASE + 19), pen.cut(view.seen_from, 50), anchor="middle", size=pen.SMALL),
        pen.text((at, BASE + 35), mark, size=pen.SMALL),
        pen.match_mark((at - 11, BASE + 31), 5),
    ]


def _journal_size(card: Card) -> list[str]:
    axis = (CENTRE[0], CENTRE[1] + BORE - JOURNAL)
    turn = math.radians(-28)
    reach = JOURNAL * math.cos(turn), JOURNAL * math.sin(turn)
    unit = length_unit(card)
    words = "Ø " + show(card.bearing.journal_diameter, unit, "length", digits=5)
    number, _, name = words.rpartition(" ")
    words = f"{number.rstrip('0').rstrip('.') if '.' in number else number} {name}"
    a, b = (axis[0] - reach[0], axis[1] - reach[1]), (axis[0] + reach[0], axis[1] + reach[1])
    return pen.dimension(a, b, words, at=0.24)


def _distinct(spots: Sequence[Spot]) -> list[tuple[float, str]]:
    """Distinct angles with the labels of the spots there."""
    found: list[tuple[float, str]] = []
    for spot in sorted(spots, key=lambda s: s.angle):
        if found and spot.angle - found[-1][0] <= SAME_ANGLE:
            found[-1] = (found[-1][0], f"{found[-1][1]}, {spot.label}")
        else:
            found.append((spot.angle, spot.label))
    return found


def wire_position(angle: float) -> Point:
    """Page position of a wire at ``angle`` [rad] as on the page: midway between journal and bore."""
    axis_y = CENTRE[1] + BORE - JOURNAL
    offset = BORE - JOURNAL
    bore = offset * math.cos(angle) + math.sqrt(BORE**2 - (offset * math.sin(angle)) ** 2)
    reach = 0.5 * (JOURNAL + bore)
    return CENTRE[0] + reach * math.sin(angle), axis_y - reach * math.cos(angle)


def _wires(spots: Sequence[Spot], sign: int) -> list[str]:
    """Pieces across as arcs, places as dots, the outermost angle of each side named outside the cap."""
    parts = []
    across = [sign * s.angle for s in spots if s.lies == "across"]
    if across:
        start, end = min(across) - 0.08, max(across) + 0.08
        arc = [wire_position(start + (end - start) * i / 24) for i in range(25)]
        parts.append(pen.polyline(arc, "wire"))
    angles = sorted(sign * angle for angle, _ in _distinct(spots))
    parts += [pen.dot(wire_position(angle), 4.2) for angle in angles]
    for angle in {min(angles, default=0.0), max(angles, default=0.0)} - {0.0}:
        parts += _angle_named(angle)
    return parts


def _angle_named(angle: float) -> list[str]:
    x, y = wire_position(angle)
    reach = CAP + 8
    tip = (CENTRE[0] + reach * math.sin(angle), CENTRE[1] - reach * math.cos(angle))
    words = pen.degrees(angle)
    side = -1 if angle < 0 else 1
    at = (tip[0] + 3 * side, tip[1] + 2)
    return [pen.line((x, y), tip), pen.text(at, words, anchor="end" if side < 0 else "start", size=pen.SMALL)]


def _describe(spots: Sequence[Spot], view: View) -> str:
    wires = []
    for angle, label in _distinct(spots):
        side = say("sheet.right") if angle > 0 else say("sheet.left")
        side = say("sheet.top_centre") if abs(angle) <= SAME_ANGLE else side
        wires.append(say("sheet.wire_at", label=label, angle=pen.degrees(angle), side=side))
    return say("sheet.section_said", left=view.page_left, right=view.page_right, places="; ".join(wires))
