"""Cards, spots and SVG readers for the tests of the drawing; invented."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from xml.etree import ElementTree

from whitemetal.card import Bearing, Card, Joint, Machine
from whitemetal.drawing import PlaceBox, Spot

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "<script>alert('x')</script>&amp;\"\x00\x08\ud800\u202e\U0001f600 ]]> --> " + "M" * 300


def card(*, mark: str = "other end", view_from: str = "drive end", **bearing: object) -> Card:
    machine = Machine("TM-31-F02", "induced-draught fan", "fan", 103.7, view_from=view_from)
    facts = {"journal_diameter": 0.160, "length": 0.140, "match_mark_end": mark, **bearing}
    return Card(machine, Bearing("drive end bearing", **facts), joint=Joint("shims"))  # type: ignore[arg-type]


def spots(*stations: tuple[str, float], text: str = "", turn: float = 0.2) -> list[Spot]:
    """Three places at each station: left, top, right."""
    return [
        Spot(f"{short} {word}", axial, angle, text, "", short)
        for short, axial in (stations or (("DE", 0.016), ("OE", 0.124)))
        for word, angle in (("left", -turn), ("top", 0.0), ("right", turn))
    ]


def ringed(*pieces: str, angles: tuple[float, ...] = (0, 45, 90, 180, -90), text: str = "") -> list[Spot]:
    """A ring a piece, 100 mm apart along the axis, with a place at each angle [deg]."""
    return [
        Spot(f"{piece} {angle:g}", 0.016 + 0.1 * i, math.radians(angle), text, "", piece)
        for i, piece in enumerate(pieces)
        for angle in angles
    ]


def cells(rows: int = 6, columns: int = 12, middle: float = 180.0, text: str = "") -> list[Spot]:
    """A grid of cells over the half about ``middle`` [deg] from top centre, counted from the page's left."""
    side = -1 if middle == 180.0 else 1
    wide = 180.0 / columns
    return [
        Spot(
            f"{chr(65 + row)}{column + 1}",
            (row + 0.5) * 0.14 / rows,
            math.remainder(math.radians(middle + side * (column + 0.5 - columns / 2) * wide), 2 * math.pi),
            text, "", chr(65 + row),
        )
        for row in range(rows)
        for column in range(columns)
    ]  # fmt: skip


def apart(found: Sequence[PlaceBox]) -> bool:
    """Whether no two boxes overlap and none leaves the picture."""
    inside = all(b.x >= 0 and b.y >= 0 and b.x + b.width <= 1 and b.y + b.height <= 1 for b in found)
    return inside and all(
        a.x + a.width <= b.x + 1e-9
        or b.x + b.width <= a.x + 1e-9
        or a.y + a.height <= b.y + 1e-9
        or b.y + b.height <= a.y + 1e-9
        for i, a in enumerate(found)
        for b in found[i + 1 :]
    )


def drawn_boxes(svg: str) -> list[tuple[float, ...]]:
    """Corner and size of every box drawn."""
    return sorted(
        tuple(float(node.get(key, "nan")) for key in ("x", "y", "width", "height"))
        for node in root(svg).iter(f"{SVG}rect")
    )


def root(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def texts(svg: str) -> list[tuple[str, float, float]]:
    """Every text with the place of its anchor."""
    return [
        (node.text or "", float(node.get("x", "nan")), float(node.get("y", "nan")))
        for node in root(svg).iter(f"{SVG}text")
    ]


def text_at(svg: str, words: str) -> tuple[float, float]:
    """Where a text stands that occurs once."""
    [(_, x, y)] = [one for one in texts(svg) if one[0] == words]
    return x, y


def spans(svg: str) -> list[tuple[str, float, float, float, float]]:
    """Every unturned text as (words, left, top, right, bottom), from its anchor and the font's fixed width."""
    found = []
    for node in root(svg).iter(f"{SVG}text"):
        if node.get("transform"):
            continue
        size, x, y = (float(node.get(key, "nan")) for key in ("font-size", "x", "y"))
        wide = len(node.text or "") * size * 0.602
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[node.get("text-anchor", "start")] * wide
        found.append((node.text or "", left, y - 0.75 * size, left + wide, y + 0.2 * size))
    return found


def overlapping(svg: str) -> list[tuple[str, str]]:
    """Pairs of unturned texts that cover each other."""
    all_spans = [one for one in spans(svg) if one[0].strip()]
    return [
        (a[0], b[0])
        for i, a in enumerate(all_spans)
        for b in all_spans[i + 1 :]
        if a[1] < b[3] and b[1] < a[3] and a[2] < b[4] and b[2] < a[4]
    ]


def size(svg: str) -> tuple[float, float]:
    """Width and height of the view box."""
    numbers = [float(part) for part in root(svg).get("viewBox", "").split()]
    assert numbers[:2] == [0.0, 0.0]
    return numbers[2], numbers[3]


def coordinates(svg: str) -> list[float]:
    """Every number in every geometric attribute."""
    names = ("x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "points", "d", "width", "height")
    found = []
    for node in root(svg).iter():
        for name in names:
            found += [float(one) for one in re.findall(r"-?\d+\.?\d*", node.get(name, ""))]
            assert not re.search(r"nan|inf", node.get(name, "")), (node.tag, name)
    return found
