"""The draughtsman's pen: lines, text, arrows, hatching and marks as SVG elements.

Line weights in the manner of ISO 128 (from memory): thick 0.5 mm for visible edges, thin 0.25 mm for
dimensions, hatching and centre lines; one unit of a picture is 1/96 inch. Every element carries its look
as plain attributes, so that it prints without a style sheet, and a class, so that a page may restyle it
(see `STYLE`). There are no ids, styles or scripts inside a picture, so pictures never disturb each other.
"""

from __future__ import annotations

import html
import math
import re
from collections.abc import Iterable, Sequence
from typing import Literal

from whitemetal.drawing.spot import State

Weight = Literal["thick", "thin", "centre", "hidden", "wire", "accent", "edge"]
Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]

FONT = "'DejaVu Sans Mono', ui-monospace, monospace"
ADVANCE = 0.602
"""Width of a letter over its size in the drawing's font, whose letters are all equally wide."""
ACCENT = "#1f6fb2"
SMALL, PLAIN = 11.0, 13.0
BOX_MARGIN = 5.0
"""What is written in a box keeps so far from its sides."""

STYLE = """\
.wm-drawing{color:inherit;max-width:100%;height:auto}
.wm-drawing .wm-thick,.wm-drawing .wm-thin,.wm-drawing .wm-centre,.wm-drawing .wm-hidden,
.wm-drawing .wm-edge{stroke:var(--drawing-ink,currentColor)}
.wm-drawing .wm-wire,.wm-drawing .wm-accent{stroke:var(--drawing-accent,#1f6fb2)}
.wm-drawing .wm-hatch{stroke:var(--drawing-hatch,currentColor)}
.wm-drawing text,.wm-drawing .wm-solid{fill:var(--drawing-ink,currentColor)}
.wm-drawing .wm-accent-solid{fill:var(--drawing-accent,#1f6fb2)}
.wm-drawing .wm-box{stroke:var(--drawing-ink,currentColor)}
"""
"""A style sheet a page may include: custom properties for ink, accent and hatching."""

_LOOK: dict[Weight, str] = {
    "thick": 'stroke="currentColor" stroke-width="1.9"',
    "thin": 'stroke="currentColor" stroke-width="0.95"',
    "centre": 'stroke="currentColor" stroke-width="0.95" stroke-dasharray="14 3 2 3"',
    "hidden": 'stroke="currentColor" stroke-width="0.95" stroke-dasharray="6 3"',
    "wire": f'stroke="{ACCENT}" stroke-width="3.4" stroke-linecap="round"',
    "accent": f'stroke="{ACCENT}" stroke-width="1.9"',
    "edge": 'stroke="currentColor" stroke-width="1.3" stroke-dasharray="9 4"',
}
_UNWRITABLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def number(value: float) -> str:
    """A coordinate with at most two decimals, never "-0"."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Text escaped for XML: what XML cannot carry is replaced, line ends and tabs become spaces."""
    return html.escape(re.sub(r"\s+", " ", _UNWRITABLE.sub("\ufffd", text)).strip(), quote=True)


def degrees(angle: float) -> str:
    """Size of an angle [rad] to a tenth of a degree, without idle zeros: "11.5°", "15°"."""
    return f"{number(round(abs(math.degrees(angle)), 1))}°"


def cut(text: str, letters: int) -> str:
    """Text of at most so many letters; a longer one ends in an ellipsis."""
    text = " ".join(text.split())
    return text if len(text) <= letters else text[: max(letters - 1, 0)].rstrip() + "…"


def breadth(text: str, size: float) -> float:
    """Width of a line of text in the drawing's font."""
    return len(text) * size * ADVANCE


def picture(
    width: float, height: float, title: str, description: str, parts: Iterable[str], name: str
) -> str:
    """A whole SVG picture with its title and description for those who cannot see it."""
    body = "\n".join(parts)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="wm-drawing wm-{name}" role="img"'
        f' viewBox="0 0 {number(width)} {number(height)}" width="{number(width)}" height="{number(height)}"'
        f' fill="none" font-family="{FONT}" font-size="{number(PLAIN)}">\n'
        f"<title>{clean(title)}</title>\n<desc>{clean(description)}</desc>\n{body}\n</svg>\n"
    )


def line(a: Point, b: Point, weight: Weight = "thin") -> str:
    """A straight line."""
    ends = f'x1="{number(a[0])}" y1="{number(a[1])}" x2="{number(b[0])}" y2="{number(b[1])}"'
    return f'<line class="wm-{weight}" {_LOOK[weight]} {ends}/>'


def polyline(points: Sequence[Point], weight: Weight = "thin", *, closed: bool = False) -> str:
    """Straight lines through points, back to the first one when closed."""
    tag = "polygon" if closed else "polyline"
    return f'<{tag} class="wm-{weight}" {_LOOK[weight]} stroke-linejoin="round" points="{_points(points)}"/>'


def circle(centre: Point, radius: float, weight: Weight = "thick") -> str:
    """A circle."""
    where = f'cx="{number(centre[0])}" cy="{number(centre[1])}" r="{number(radius)}"'
    return f'<circle class="wm-{weight}" {_LOOK[weight]} {where}/>'


def dot(centre: Point, radius: float = 3.0, *, accent: bool = True) -> str:
    """A filled circle, in the accent colour or in ink."""
    look = f'class="wm-accent-solid" fill="{ACCENT}"' if accent else 'class="wm-solid" fill="currentColor"'
    return f'<circle {look} cx="{number(centre[0])}" cy="{number(centre[1])}" r="{number(radius)}"/>'


def box(corner: Point, width: float, height: float, weight: Weight = "thin") -> str:
    """An upright box from its top left corner."""
    where = f'x="{number(corner[0])}" y="{number(corner[1])}"'
    size = f'width="{number(width)}" height="{number(height)}"'
    return f'<rect class="wm-box" {_LOOK[weight]} {where} {size}/>'


def text(
    at: Point,
    words: str,
    *,
    anchor: Anchor = "start",
    size: float = PLAIN,
    bold: bool = False,
    turn: float = 0.0,
) -> str:
    """A line of text. at: its baseline at the anchor. turn [deg]: clockwise."""
    x, y = number(at[0]), number(at[1])
    turned = f' transform="rotate({number(turn)} {x} {y})"' if turn else ""
    weight = ' font-weight="bold"' if bold else ""
    look = f'fill="currentColor" font-size="{number(size)}" text-anchor="{anchor}"{weight}{turned}'
    return f'<text x="{x}" y="{y}" {look}>{clean(words)}</text>'


def written(words: str, middle: Point, width: float) -> list[str]:
    """What was read, in the middle of a box: as large as the box allows with room at its sides, 9 to 16."""
    words = " ".join(words.split())
    if not words:
        return []
    room = width - 2 * BOX_MARGIN
    size = min(16.0, max(9.0, room / (len(words) * ADVANCE)))
    words = cut(words, int(room / (size * ADVANCE) + 1e-9))
    return [text((middle[0], middle[1] + size * 0.35), words, anchor="middle", size=size)]


def arrow(tip: Point, towards: float) -> str:
    """A filled arrow head, 9 long, pointing in direction ``towards`` [rad, clockwise from right]."""
    back = [(tip[0] - 9 * math.cos(towards + s), tip[1] - 9 * math.sin(towards + s)) for s in (-0.17, 0.17)]
    return f'<polygon class="wm-solid" fill="currentColor" points="{_points([tip, *back])}"/>'


def dimension(a: Point, b: Point, words: str, *, size: float = SMALL, at: float = 0.5) -> list[str]:
    """A dimension line from a to b with an arrow at each end and its value above the line, read from the
    bottom or from the right. at: where along the line the value stands, 0 to 1. Short dimensions get their
    arrows from outside and the value beyond b."""
    angle = math.atan2(b[1] - a[1], b[0] - a[0])
    long = math.dist(a, b)
    along = (math.cos(angle), math.sin(angle))
    upright = -math.pi / 2 - 1e-6 <= angle < math.pi / 2 - 1e-6
    reading = angle if upright else angle - math.pi
    up = (math.sin(reading), -math.cos(reading))
    if long >= 26:
        parts = [line(a, b), arrow(a, angle + math.pi), arrow(b, angle)]
    else:
        tail = [(p[0] + s * 16 * along[0], p[1] + s * 16 * along[1]) for p, s in ((a, -1), (b, 1))]
        parts = [line(tail[0], tail[1]), arrow(a, angle), arrow(b, angle + math.pi)]
    middle = at * long
    if breadth(words, size) > long - 4:
        middle = long + 20 + breadth(words, size) / 2
    spot = (a[0] + middle * along[0] + 3.5 * up[0], a[1] + middle * along[1] + 3.5 * up[1])
    return [*parts, text(spot, words, anchor="middle", size=size, turn=math.degrees(reading))]


def leader(at: Point, to: Point, words: str, *, size: float = SMALL) -> list[str]:
    """A thin line from the thing at ``at`` (with a dot on it) to words at ``to``."""
    left = to[0] < at[0]
    shelf = (to[0] + (-6 if left else 6), to[1])
    anchor: Anchor = "end" if left else "start"
    gap = -3 if left else 3
    words_at = (shelf[0] + gap, to[1] + size * 0.35)
    parts = [dot(at, 1.8, accent=False), polyline([at, to, shelf])]
    return [*parts, text(words_at, words, anchor=anchor, size=size)] if words else parts


def hatch(outlines: Sequence[Sequence[Point]], *, spacing: float = 7.0, falling: bool = False) -> str:
    """Section hatching at 45 degrees inside closed outlines, ``spacing`` apart.

    Inside is where an odd number of outlines surround. falling: from top left to bottom right.
    """
    slope, pitch = (1.0 if falling else -1.0), spacing * math.sqrt(2)
    offsets = [y - slope * x for ring in outlines for x, y in ring]
    strokes = []
    for step in range(math.ceil(min(offsets) / pitch), math.floor(max(offsets) / pitch) + 1):
        offset = step * pitch + 1e-7
        crossings = sorted(x for ring in outlines for x in _crossings(ring, slope, offset))
        for enter, leave in zip(crossings[::2], crossings[1::2], strict=False):
            if leave - enter > 0.4:
                ends = (enter, slope * enter + offset), (leave, slope * leave + offset)
                strokes.append("M" + "L".join(f"{number(x)} {number(y)}" for x, y in ends))
    look = 'stroke="currentColor" stroke-width="0.7" stroke-opacity="0.75"'
    return f'<path class="wm-hatch" {look} d="{"".join(strokes)}"/>'


def arc(centre: Point, radius: float, start: float, end: float, steps: int = 72) -> list[Point]:
    """Points along a circle. start, end [rad]: from top, clockwise as drawn."""
    turns = [start + (end - start) * i / steps for i in range(steps + 1)]
    return [(centre[0] + radius * math.sin(a), centre[1] - radius * math.cos(a)) for a in turns]


def match_mark(centre: Point, size: float = 5.5) -> str:
    """The symbol for the match mark: a filled diamond."""
    x, y = centre
    corners = [(x, y - size), (x + size, y), (x, y + size), (x - size, y)]
    return f'<polygon class="wm-solid" fill="currentColor" points="{_points(corners)}"/>'


def mark(centre: Point, state: State, size: float = 4.5) -> list[str]:
    """The mark of a state, so that no colour has to be told apart."""
    x, y = centre
    if state == "within limits":
        return [polyline([(x - size, y), (x - size * 0.25, y + size * 0.8), (x + size, y - size)], "thick")]
    if state == "outside limits":
        corners = ((x - size, y - size), (x + size, y + size)), ((x - size, y + size), (x + size, y - size))
        return [line(a, b, "thick") for a, b in corners]
    sign = {"not proven": "?", "unreadable": "!"}.get(state, "")
    return [text((x, y + size), sign, anchor="middle", size=PLAIN, bold=True)] if sign else []


def break_line(x: float, top: float, bottom: float) -> str:
    """A thin zigzag line from top to bottom: what lies between is left out."""
    middle = 0.5 * (top + bottom)
    zigzag = [(x, middle - 8), (x - 4, middle - 3), (x + 4, middle + 3), (x, middle + 8)]
    return polyline([(x, top), *zigzag, (x, bottom)])


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def _crossings(ring: Sequence[Point], slope: float, offset: float) -> list[float]:
    """Abscissae at which the line y = slope x + offset crosses a closed outline."""
    found = []
    for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True):
        above, below = y1 - slope * x1 - offset, y2 - slope * x2 - offset
        if (above < 0) != (below < 0):
            found.append(x1 + (x2 - x1) * above / (above - below))
    return found
