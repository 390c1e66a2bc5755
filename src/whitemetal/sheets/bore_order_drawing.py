"""The dimensioned drawing of an order: a section across the axis and one along it. Not to scale."""

from __future__ import annotations

from whitemetal.card import Card
from whitemetal.drawing import pen
from whitemetal.drawing.view import axial_words
from whitemetal.fitting.bore_order import Order
from whitemetal.fitting.bore_order_words import size, small
from whitemetal.words import say

WIDTH, HEIGHT = 640.0, 300.0
CENTRE, BORE, BACK, JOINT = (150.0, 150.0), 78.0, 112.0, 30.0
LEFT, RIGHT = 370.0, 560.0


def order_drawing(card: Card, order: Order) -> str:
    """The part with its dimensions, 640 wide, as SVG."""
    parts = _bore(card, order) if order.part == "bore" else _journal(card, order)
    described = f"{_diameter(card, order)}; {axial_words(card, card.bearing.length)}"
    return pen.picture(WIDTH, HEIGHT, say(f"bore_order.title_{order.part}"), described, parts, "order")


def _diameter(card: Card, order: Order) -> str:
    return f"Ø {size(card, order.least)} … {size(card, order.greatest)}"


def _bore(card: Card, order: Order) -> list[str]:
    return [*_shell_across(card, order), *_shell_along(card, order)]


def _shell_across(card: Card, order: Order) -> list[str]:
    """Two half shells with their joint; the bore's dimension across them."""
    x, y = CENTRE
    rings = [pen.arc(CENTRE, radius, 0.0, 6.283185, 120) for radius in (BACK, BORE)]
    parts = [pen.hatch(rings), pen.circle(CENTRE, BACK), pen.circle(CENTRE, BORE)]
    for side in (-1.0, 1.0):
        parts.append(pen.line((x + side * BORE, y), (x + side * BACK, y), "thick"))
    parts += [pen.line((x - BACK - 14, y), (x + BACK + 14, y), "centre")]
    parts += [pen.line((x, y - BACK - 14), (x, y + BACK + 14), "centre")]
    tilt = 0.7071
    a = (x - BORE * tilt, y + BORE * tilt)
    b = (x + BORE * tilt, y - BORE * tilt)
    parts += [pen.line(a, b), pen.arrow(a, 2.3562), pen.arrow(b, -0.7854)]
    parts += [pen.text((x, HEIGHT - 4), _diameter(card, order), anchor="middle", bold=True)]
    if order.shim_when_cut:
        at = (x + 0.5 * (BORE + BACK), y)
        parts += pen.leader(at, (x + BACK + 10, y - 40), small(card, order.shim_when_cut))
    return parts


def _shell_along(card: Card, order: Order) -> list[str]:
    """The land in section along the axis, its length, the roughness on its surface."""
    y, parts = CENTRE[1], []
    for top, bottom in ((y - BACK, y - BORE), (y + BORE, y + BACK)):
        corners = [(LEFT, top), (RIGHT, top), (RIGHT, bottom), (LEFT, bottom)]
        parts += [pen.hatch([corners]), pen.polyline(corners, "thick", closed=True)]
    parts += [pen.line((side, y - BORE), (side, y + BORE), "thin") for side in (LEFT, RIGHT)]
    parts.append(pen.line((LEFT - 14, y), (RIGHT + 14, y), "centre"))
    parts += _length(card, y + BACK)
    parts += pen.dimension((LEFT + 55, y + BORE), (LEFT + 55, y - BORE), "Ø", at=0.76)
    parts += _ends(card, y - BACK)
    return [*parts, *_rough((RIGHT - 50, y + BORE))]


def _journal(card: Card, order: Order) -> list[str]:
    x, y = CENTRE
    parts = [pen.circle(CENTRE, BORE), pen.hatch([pen.arc(CENTRE, BORE, 0.0, 6.283185, 120)])]
    parts += [pen.line((x - BORE - 14, y), (x + BORE + 14, y), "centre")]
    parts += [pen.line((x, y - BORE - 14), (x, y + BORE + 14), "centre")]
    parts += [pen.text((x, HEIGHT - 4), _diameter(card, order), anchor="middle", bold=True)]
    corners = [(LEFT, y - BORE), (RIGHT, y - BORE), (RIGHT, y + BORE), (LEFT, y + BORE)]
    parts.append(pen.polyline(corners, "thick", closed=True))
    for side, out in ((LEFT, -26.0), (RIGHT, 26.0)):
        for level in (y - BORE - 12, y + BORE + 12):
            parts.append(pen.line((side, level), (side + out, level), "thick"))
        parts += [pen.line((side, y - BORE - 12), (side, y + BORE + 12), "thick")]
        parts.append(pen.break_line(side + out, y - BORE - 12, y + BORE + 12))
    parts.append(pen.line((LEFT - 40, y), (RIGHT + 40, y), "centre"))
    parts += _length(card, y + BORE + 12)
    parts += pen.dimension((LEFT + 55, y + BORE), (LEFT + 55, y - BORE), "Ø", at=0.76)
    parts += _ends(card, y - BORE - 12)
    return [*parts, *_rough((RIGHT - 50, y + BORE))]


def _length(card: Card, below: float) -> list[str]:
    """The length of the land, under it."""
    level = below + 22
    tails = [pen.line((side, below + 2), (side, level + 4)) for side in (LEFT, RIGHT)]
    return [*tails, *pen.dimension((LEFT, level), (RIGHT, level), axial_words(card, card.bearing.length))]


def _ends(card: Card, above: float) -> list[str]:
    first, last = card.bearing.ends
    parts = [
        pen.text((LEFT, above - 8), first, size=pen.SMALL),
        pen.text((RIGHT, above - 8), last, anchor="end", size=pen.SMALL),
    ]
    if card.bearing.match_mark_end in card.bearing.ends:
        at_first = card.bearing.match_mark_end == first
        parts.append(pen.match_mark((LEFT - 12 if at_first else RIGHT + 12, above - 12)))
    return parts


def _rough(at: pen.Point) -> list[str]:
    """A tick on the surface that the line about roughness is meant for."""
    x, y = at
    tick = pen.polyline([(x - 6, y - 10), (x, y), (x + 12, y - 20), (x + 40, y - 20)])
    return [tick, pen.text((x + 14, y - 23), "Ra", size=pen.SMALL)]
