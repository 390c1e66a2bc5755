"""Rings and the grid of the blue in characters, for the terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import zip_longest

from whitemetal.card import Card
from whitemetal.drawing import letters as chars
from whitemetal.drawing.contact_grid import HEAVY, LIGHT, NONE, grid_of
from whitemetal.drawing.ring_kinds import Ring, has_joint, kind_of
from whitemetal.drawing.round_view import carries_mark, ring_words, rings_of, short_label, side_of
from whitemetal.drawing.spot import Spot, Turned
from whitemetal.drawing.view import View, view_of
from whitemetal.words import say

RING_WIDTH = 11
CELL_SIGNS: dict[bool, dict[str, str]] = {
    False: {HEAVY: "■", LIGHT: "▒", NONE: "·"},
    True: {HEAVY: "@", LIGHT: "+", NONE: "."},
}
"""What stands for a cell's word, by whether only ASCII may be used."""


def rings_text(
    card: Card, spots: Sequence[Spot], ring: Ring, *, width: int = 78, turned: Turned = 0, plain: bool = False
) -> str:
    """Every ring with its places around it, no line longer than ``width`` (at least 48).

    Each place: its number and direction, below them what was read and the sign of its state.
    """
    room = max(width, chars.LEAST_WIDTH)
    view = view_of(card, turned)
    mark = chars.ink_of(plain).mark
    numbered = [
        replace(spot, label=f"{i} {short_label(spot)}") for i, spot in enumerate(spots, start=1)
    ]  # fmt: skip
    axials = [members[0].axial for members in rings_of(spots).values()]
    lines = [chars.three(view.page_left, chars.printable(view.seen_from, plain), view.page_right, room)]
    for piece, members in rings_of(numbered).items():
        kind, axial = kind_of(piece, ring), members[0].axial
        diamond = f"{mark} " if carries_mark(card, axial, axials) else ""
        name = chars.printable(f"{diamond}{ring_words(card, piece, kind, axial)}", plain)
        lines += ["", chars.centred(name, room), *_ring(members, view, room, plain, has_joint(kind))]
    if any(carries_mark(card, axial, axials) for axial in axials):
        lines += ["", chars.centred(f"{mark} {say('sheet.carries_mark')}", room)]
    return "".join(line.rstrip() + "\n" for line in lines)


def _ring(members: Sequence[Spot], view: View, room: int, plain: bool, joint: bool) -> list[str]:
    """One ring: places at the top above it, at its sides beside it, at the bottom below it."""
    sides: dict[str, list[str]] = {"left": [], "right": [], "top": [], "bottom": []}
    slot = (room - RING_WIDTH) // 2
    for spot in sorted(members, key=lambda one: -math.cos(one.angle)):
        side = side_of(view.sign * spot.angle)
        wide = room if side in ("top", "bottom") else slot
        sides[side] += _place(spot, wide - 1, plain)
    beside = [
        f"{' ' * (slot - 1 - chars.cells(left))}{left} {ring} {right}"
        for left, ring, right in _level(sides["left"], _glyph(plain, joint), sides["right"])
    ]
    return [
        *(chars.centred(line, room) for line in sides["top"]),
        *beside,
        *(chars.centred(line, room) for line in sides["bottom"]),
    ]


def _place(spot: Spot, room: int, plain: bool) -> list[str]:
    """Its label, and below it what was read and the sign of its state, which is never cut off."""
    sign = chars.SIGNS.get(spot.state, "")
    read = chars.fit(chars.printable(spot.text, plain).strip() or "....", room - 3 - len(sign))
    return [chars.fit(chars.printable(spot.label, plain), room), f"[{read}] {sign}".rstrip()]


def _level(left: list[str], ring: list[str], right: list[str]) -> list[tuple[str, str, str]]:
    """Three columns with their middles level."""
    tall = max(len(left), len(ring), len(right))

    def padded(lines: list[str], empty: str) -> list[str]:
        above = (tall - len(lines)) // 2
        return [empty] * above + lines + [empty] * (tall - len(lines) - above)

    columns = padded(left, ""), padded(ring, " " * len(ring[0])), padded(right, "")
    return list(zip_longest(*columns, fillvalue=""))


def _glyph(plain: bool, joint: bool) -> list[str]:
    """A ring nine columns wide, with its joint where it has one."""
    if plain:
        sides = "+       +" if joint else "|       |"
        return [".-------.", "|       |", sides, "|       |", "'-------'"]
    sides = "┿       ┿" if joint else "│       │"
    return ["╭───────╮", "│       │", sides, "│       │", "╰───────╯"]


def grid_text(
    card: Card, spots: Sequence[Spot], *, width: int = 78, turned: Turned = 0, plain: bool = False
) -> str:
    """The grid in characters: a sign a cell, ends and sides named, "v" above the load."""
    grid = grid_of(card, spots, turned)
    view, ink = grid.view, chars.ink_of(plain)
    room = max(width, chars.LEAST_WIDTH)
    cell = max(1, min(4, (room - 8) // max(1, len(grid.columns))))
    inner = cell * len(grid.columns)
    wide = max(inner + 2, 36)
    far, near = (
        chars.printable(f"{ink.mark} {end}" if end == card.bearing.match_mark_end else end, plain)
        for end in (view.far, view.near)
    )
    joint = say("sheet.joint")
    lines = [
        chars.three(view.page_left, far, view.page_right, wide),
        *([_load(grid.load, inner)] if grid.load is not None else []),
        ink.corners[0] + ink.flat * inner + ink.corners[1],
        *(_row(spots, row, cell, ink.upright, plain) for row in grid.rows),
        ink.corners[2] + ink.flat * inner + ink.corners[3],
        chars.three(joint, near, joint, wide),
        chars.centred(chars.printable(view.seen_from, plain), wide),
        chars.fit(
            ", ".join(f"{sign} {say(f'sheet.grid_{word}')}" for word, sign in CELL_SIGNS[plain].items()), wide
        ),
    ]
    if card.bearing.match_mark_end in card.bearing.ends:
        lines.append(f"{ink.mark} {say('sheet.carries_mark')}")
    return "".join(f"    {line}".rstrip() + "\n" for line in lines)


def _row(spots: Sequence[Spot], row: Sequence[int | None], cell: int, upright: str, plain: bool) -> str:
    words = ["" if at is None else spots[at].text for at in row]
    signs = "".join(chars.centred(chars.printable(_sign(word, plain), plain), cell) for word in words)
    named = next((spots[at].piece for at in row if at is not None), "")
    return f"{upright}{signs}{upright} {chars.fit(chars.printable(named, plain), 3)}"


def _sign(word: str, plain: bool) -> str:
    """The sign of a word: of an unknown word its first letter, of none at all an underscore."""
    return CELL_SIGNS[plain].get(word, word.strip()[:1] or "_")


def _load(load: float, inner: int) -> str:
    """The line above the grid with a "v" where the load points, and its name beside."""
    at = 1 + min(max(round((0.5 + load / math.pi) * inner - 0.5), 0), inner - 1)
    word = say("sheet.load_line")
    return " " * at + f"v {word}" if at < inner / 2 + 1 else f"{word} v".rjust(at + 1)
