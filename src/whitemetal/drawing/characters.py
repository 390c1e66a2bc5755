"""The unrolled upper half in characters, for the terminal: each reading at its place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from whitemetal.card import Card
from whitemetal.drawing import grid
from whitemetal.drawing.letters import LEAST_WIDTH, SIGNS, Ink, cells, centred, fit, ink_of, printable, three
from whitemetal.drawing.spot import Spot, Turned
from whitemetal.drawing.view import axial_words, view_of
from whitemetal.words import say

MARGIN = 10
"""Columns left of the frame, for the distance of each station from the edge of the land."""
LEAST_SLOT = 13


def bearing_text(
    card: Card, spots: Sequence[Spot], *, width: int = 78, turned: Turned = 0, plain: bool = False
) -> str:
    """The unrolled half in characters, no line longer than ``width`` (at least 48).

    A spot's ``text`` stands at its place with the sign of its state: ok within limits, X outside limits,
    ? not proven, ! unreadable. plain: ASCII only, for terminals that cannot show line characters.
    """
    ink = ink_of(plain)
    inner = max(width, LEAST_WIDTH) - MARGIN - 2
    view = view_of(card, turned)
    spots = [
        replace(spot, label=printable(f"{i} {spot.label}", plain), text=printable(spot.text, plain))
        for i, spot in enumerate(spots, start=1)
    ]
    carries = card.bearing.match_mark_end
    far, near = (
        f"{ink.mark} {printable(end, plain)}" if end == carries else printable(end, plain)
        for end in (view.far, view.near)
    )
    rows = grid.stations(spots)
    if view.first_is_near:
        rows.reverse()
    joint = say("sheet.joint")
    lines = [
        " " * MARGIN + three(view.page_left, far, view.page_right, inner + 2),
        _edge(ink, ink.corners[:2], inner),
        *_body(card, spots, rows, inner, view.sign, ink),
        _edge(ink, ink.corners[2:], inner),
        " " * MARGIN + three(joint, near, joint, inner + 2),
        " " * MARGIN + centred(printable(view.seen_from, plain), inner + 2),
    ]
    if carries in card.bearing.ends:
        lines.append(" " * MARGIN + centred(f"{ink.mark} {say('sheet.carries_mark')}", inner + 2))
    return "".join(line.rstrip() + "\n" for line in lines)


def _edge(ink: Ink, corners: Sequence[str], inner: int) -> str:
    return " " * MARGIN + corners[0] + ink.flat * inner + corners[1]


def _body(
    card: Card,
    spots: Sequence[Spot],
    rows: Sequence[tuple[float, Sequence[Spot]]],
    inner: int,
    sign: int,
    ink: Ink,
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


def _framed(margin: str, line: str, ink: Ink) -> str:
    return f"{fit(margin, MARGIN - 1):>{MARGIN - 1}} {ink.upright}{line}{ink.upright}"


def _station(
    members: Sequence[Spot],
    scale: Sequence[tuple[float, float]],
    inner: int,
    sign: int,
    ink: Ink,
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
    ink: Ink,
) -> tuple[str, str]:
    labels, texts = "", ""
    for spot, middle in zip(members, middles, strict=True):
        label = centred(spot.label, slot - 1)
        sign = SIGNS.get(spot.state, "")
        text = fit(spot.text or "....", slot - 3 - (len(sign) + 1 if sign else 0))
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
