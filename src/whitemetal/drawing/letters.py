"""What every drawing in characters is made of: line characters, and text fitted into columns."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from whitemetal.drawing.spot import State

LEAST_WIDTH = 48
SIGNS: dict[State, str] = {"within limits": "ok", "outside limits": "X", "not proven": "?", "unreadable": "!"}


@dataclass(frozen=True)
class Ink:
    """The characters lines are made of."""

    flat: str
    upright: str
    corners: tuple[str, str, str, str]
    wire: str
    wire_upright: str
    mark: str


FANCY = Ink("─", "│", ("┌", "┐", "└", "┘"), "━", "┃", "◆")
PLAIN = Ink("-", "|", ("+", "+", "+", "+"), "=", "H", "#")


IN_ASCII = str.maketrans({"°": " deg", "·": "-", "×": "x", "µ": "u", "–": "-", "…": "...", "±": "+/-"})
"""Signs that ASCII has words for."""


def ink_of(plain: bool) -> Ink:
    """The characters for a terminal; ASCII only when plain."""
    return PLAIN if plain else FANCY


def cells(text: str) -> int:
    """Terminal columns a text takes: two for wide letters, none for combining ones."""
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text
    )


def fit(text: str, room: int) -> str:
    """Text on one line, cut with "..." to ``room`` columns."""
    words = " ".join(text.split())
    if cells(words) <= room:
        return words
    while words and cells(words) > room - 3:
        words = words[:-1]
    return words + "..."[: max(room, 0)]


def centred(text: str, room: int) -> str:
    """Text in the middle of ``room`` columns, filled with spaces."""
    words = fit(text, room)
    left = (room - cells(words)) // 2
    return " " * left + words + " " * (room - cells(words) - left)


def three(left: str, middle: str, right: str, room: int) -> str:
    """Words at the left, in the middle and at the right of a line."""
    side = 12
    first, last = fit(left, side), fit(right, side)
    a, b = first + " " * (side - cells(first)), " " * (side - cells(last)) + last
    return a + centred(middle, room - 2 * side) + b


def printable(text: str, plain: bool) -> str:
    """Text without control characters; only ASCII when plain."""
    kept = "".join(c if c.isprintable() else " " for c in text)
    if not plain:
        return kept
    kept = kept.replace("°C", "degC").replace("°F", "degF")
    return kept.translate(IN_ASCII).encode("ascii", "replace").decode()
