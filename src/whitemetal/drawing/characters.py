"""The unrolled upper half in characters, for the terminal: each reading at its place."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from whitemetal.card import Card
from whitemetal.drawing import grid
from whitemetal.drawing.spot import Spot, State, Turned
from whitemetal.drawing.view import axial_words, view_of
from whitemetal.words import say

LEAST_WIDTH = 48
MARGIN = 10
"""Columns left of the frame, for the distance of each station from the edge of the land."""
LEAST_SLOT = 13
SIGNS: dict[State, str] = {"within limits": "ok", "outside limits": "X", "not proven": "?", "unreadable": "!"}


@dataclass(frozen=True)
class _Ink:
    """The characters lines are made of."""

    flat: str
    upright: str
    corners: tuple[str, str, str, str]
    wire: str
    wire_upright: str
    mark: str


_FANCY = _Ink("─", "│", ("┌", "┐", "└", "┘"), "━", "┃", "◆")
_PLAIN = _Ink("-", "|", ("+", "+", "+", "+"), "=", "H", "#")


def bearing_text(
    card: Card, spots: Sequence[Spot], *, width: int = 78, turned: Turned = 0, plain: bool = False
) -> str:
    """The unrolled half in characters, no line longer than ``width`` (at least 48).

    A spot's ``text`` stands at its place with the sign of its state: ok within limits, X outside limits,
    ? not proven, ! unreadable. plain: ASCII only, for terminals that cannot show line characters.
    """
    ink = _PLAIN if plain else _FANCY
    inner = max(width, LEAST_WIDTH) - MARGIN - 2
    view = view_of(card, turned)
    spots = [
        replace(spot, label=_letters(f"{i} {spot.label}", plain), text=_letters(spot.text, plain))
        for i, spot in enumerate(spots, start=1)
    ]
    carries = card.bearing.match_mark_end
    far, near = (
        f"{ink.mark} {_letters(end, plain)}" if end == carries else _letters(end, plain)
        for end in (view.far, view.near)
    )
    rows = grid.stations(spots)
    if view.first_is_near:
        rows.reverse()
    joint = say("sheet.joint")
    lines = [
        " " * MARGIN + _three(view.page_left, far, view.page_right, inner + 2),
        _edge(ink, ink.corners[:2], inner),
        *_body(card, spots, rows, inner, view.sign, ink),
        _edge(ink, ink.corners[2:], inner),
        " " * MARGIN + _three(joint, near, joint, inner + 2),
        " " * MARGIN + _middle(_letters(view.seen_from, plain), inner + 2),
    ]
    if carries in card.bearing.ends:
        lines.append(" " * MARGIN + _middle(f"{ink.mark} {say('sheet.carries_mark')}", inner + 2))
    return "".join(line.rstrip() + "\n" for line in lines)


def cells(text: str) -> int:
    """Terminal columns a text takes: two for wide letters, none for combining ones."""
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text
    )


def _fit(text: str, room: int) -> str:
    """Text on one line, cut with "..." to ``room`` columns."""
    words = " ".join(text.split())
    if cells(words) <= room:
        return words
    while words and cells(words) > room - 3:
        words = words[:-1]
    return words + "..."[: max(room, 0)]


def _middle(text: str, room: int) -> str:
    words = _fit(text, room)
    left = (room - cells(words)) // 2
    return " " * left + words + " " * (room - cells(words) - left)


def _three(left: str, middle: str, right: str, room: int) -> str:
    """Words at the left, in the middle and at the right of a line."""
    side = 12
    first, last = _fit(left, side), _fit(right, side)
    a, b = first + " " * (side - cells(first)), " " * (side - cells(last)) + last
    return a + _middle(middle, room - 2 * side) + b


def _edge(ink: _Ink, corners: Sequence[str], inner: int) -> str:
    return " " * MARGIN + corners[0] + ink.flat * inner + corners[1]


def _body(
    card: Card,
    spots: Sequence[Spot],
    rows: Sequence[tuple[float, Sequence[Spot]]],
    inner: int,
    sign: int,
    ink: _Ink,
) -> list[str]:
    """The lines between the end edges, with an open line before, between and after the stations."""
    scale, _ = grid.knots(spots, sign, 0.0, float(inner))
    wires = {round(grid.across(sign * s.angle, scale)) for s in spots if s.lies == "along"}
    bare = "".join(ink.wire_upright if i in wires else " " for i in range(inner))
    lines = [_framed("", " " * inner, ink)]
    for i, (axial, members) in enumerate(rows):
        lines += [_framed("", bare, ink)] if i else []
        ordered = sorted(members, key=lambda s: sign * s.angle)
        for labels, texts in _station(ordered, scale, inner, sign, ink):
            lines += [_framed("", labels, ink), _framed(axial_words(card, axial), texts, ink)]
    return [*lines, _framed("", " " * inner, ink)]


def _framed(margin: str, line: str, ink: _Ink) -> str:
    return f"{_fit(margin, MARGIN - 1):>{MARGIN - 1}} {ink.upright}{line}{ink.upright}"


def _station(
    members: Sequence[Spot],
    scale: Sequence[tuple[float, float]],
    inner: int,
    sign: int,
    ink: _Ink,
) -> list[tuple[str, str]]:
    """Pairs of lines of one station: labels, and what was read below them."""
    middles = [grid.across(sign * s.angle, scale) for s in members]
    apart = [b - a for a, b in pairwise(middles)]
    room = min([*apart, inner / 3, 2 * middles[0], 2 * (inner - middles[-1])])
    if room >= LEAST_SLOT:
        return [_pair(members, middles, int(room), inner, ink)]
    per_line = max(1, inner // (LEAST_SLOT + 3))
    lines = math.ceil(len(members) / per_line)
    slot = inner / per_line
    pairs = []
    for line in range(lines):
        some = members[line::lines]
        places = [slot * (i + 0.5) for i in range(len(some))]
        pairs.append(_pair(some, places, int(slot), inner, ink))
    return pairs


def _pair(
    members: Sequence[Spot],
    middles: Sequence[float],
    slot: int,
    inner: int,
    ink: _Ink,
) -> tuple[str, str]:
    labels, texts = "", ""
    for spot, middle in zip(members, middles, strict=True):
        label = _middle(spot.label, slot - 1)
        sign = SIGNS.get(spot.state, "")
        text = _fit(spot.text or "....", slot - 3 - (len(sign) + 1 if sign else 0))
        written = f" {text} {sign} " if sign else f" {text} "
        labels = _put(labels, label, middle, " ")
        texts = _put(texts, written, middle, ink.wire if spot.lies == "across" else " ")
    across = bool(members) and members[-1].lies == "across"
    end = min(inner, cells(texts) + 2) if across else cells(texts)
    texts += ink.wire * (end - cells(texts))
    start = len(texts) - len(texts.lstrip(ink.wire))
    texts = " " * max(start - 2, 0) + texts[max(start - 2, 0) :]
    return labels + " " * (inner - cells(labels)), texts + " " * (inner - cells(texts))


def _put(line: str, words: str, middle: float, fill: str) -> str:
    """The line continued with ``fill`` up to words centred on ``middle``."""
    start = max(round(middle - cells(words) / 2), cells(line))
    return line + fill * (start - cells(line)) + words


def _letters(text: str, plain: bool) -> str:
    """Text without control characters; only ASCII when plain."""
    kept = "".join(c if c.isprintable() else " " for c in text)
    return kept.encode("ascii", "replace").decode() if plain else kept
