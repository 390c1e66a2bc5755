"""Reads a QR code from its SVG, for a test: byte mode, versions 2 to 6, every level, a code without damage.

After ISO/IEC 18004 (from memory), written apart from the library that draws the codes.
"""

from __future__ import annotations

import re

Modules = list[list[bool]]

LEVELS = {0b01: "L", 0b00: "M", 0b11: "Q", 0b10: "H"}
BLOCKS = {
    "L": {2: (34,), 3: (55,), 4: (80,), 5: (108,), 6: (68, 68)},
    "M": {2: (28,), 3: (44,), 4: (32, 32), 5: (43, 43), 6: (27,) * 4},
    "Q": {2: (22,), 3: (17, 17), 4: (24, 24), 5: (15, 15, 16, 16), 6: (19,) * 4},
    "H": {2: (16,), 3: (13, 13), 4: (9,) * 4, 5: (11, 11, 12, 12), 6: (15,) * 4},
}
"""Data codewords of each block, by level and version."""

MASKS = (
    lambda r, c: (r + c) % 2 == 0, lambda r, c: r % 2 == 0, lambda r, c: c % 3 == 0,
    lambda r, c: (r + c) % 3 == 0, lambda r, c: (r // 2 + c // 3) % 2 == 0,
    lambda r, c: r * c % 2 + r * c % 3 == 0, lambda r, c: (r * c % 2 + r * c % 3) % 2 == 0,
    lambda r, c: ((r + c) % 2 + r * c % 3) % 2 == 0,
)  # fmt: skip


def read_qr(svg: str) -> str:
    """The text of the code drawn in this SVG."""
    modules = _modules(svg)
    size = len(modules)
    version = (size - 17) // 4
    level, mask = _format(modules)
    bits = [
        modules[row][column] != MASKS[mask](row, column)
        for row, column in _way(size)
        if not _reserved(row, column, size, version)
    ]
    words = [int("".join("01"[bit] for bit in bits[at : at + 8]), 2) for at in range(0, len(bits) - 7, 8)]
    return _text(_in_order(words, BLOCKS[level][version]))


def _modules(svg: str) -> Modules:
    """Dark modules from the strokes of the drawing's path: rows of "M x y" or "m dx dy" and "h length"."""
    path = re.search(r'class="qrline"[^>]*d="([^"]+)"|d="([^"]+)"[^>]*class="qrline"', svg)
    assert path is not None
    dark, x, y = set(), 0.0, 0.0
    for command, numbers in re.findall(r"([MmhH])([-\d. ,]+)", path.group(1) or path.group(2)):
        values = [float(each) for each in re.findall(r"-?[\d.]+", numbers)]
        if command == "M":
            x, y = values
        elif command == "m":
            x, y = x + values[0], y + values[1]
        else:
            dark |= {(int(y), int(x) + step) for step in range(int(values[0]))}
            x += values[0]
    top, left = min(row for row, _ in dark), min(column for _, column in dark)
    size = max(column for _, column in dark) - left + 1
    return [[(top + row, left + column) in dark for column in range(size)] for row in range(size)]


def _format(modules: Modules) -> tuple[str, int]:
    """Level and mask from the format information beside the upper left finder, its own mask taken off."""
    word = [modules[8][column] for column in (0, 1, 2, 3, 4)]
    read = int("".join("01"[bit] for bit in word), 2) ^ 0b10101
    return LEVELS[read >> 3], read & 0b111


def _reserved(row: int, column: int, size: int, version: int) -> bool:
    corner = (row < 9 and column < 9) or (row < 9 and column >= size - 8) or (row >= size - 8 and column < 9)
    middle = 4 * version + 10
    alignment = abs(row - middle) <= 2 and abs(column - middle) <= 2
    return corner or row == 6 or column == 6 or alignment


def _way(size: int) -> list[tuple[int, int]]:
    """Up and down in columns of two from the lower right, the timing column left out."""
    found, upwards, right = [], True, size - 1
    while right > 0:
        if right == 6:
            right -= 1
        rows = range(size - 1, -1, -1) if upwards else range(size)
        found += [(row, column) for row in rows for column in (right, right - 1)]
        upwards, right = not upwards, right - 2
    return found


def _in_order(words: list[int], blocks: tuple[int, ...]) -> list[int]:
    """Data codewords block after block; they are laid out one of each block in turn."""
    apart: list[list[int]] = [[] for _ in blocks]
    coming = iter(words)
    for turn in range(max(blocks)):
        for block, length in zip(apart, blocks, strict=True):
            if turn < length:
                block.append(next(coming))
    return [word for block in apart for word in block]


def _text(words: list[int]) -> str:
    bits = "".join(f"{word:08b}" for word in words)
    assert bits[:4] == "0100", "byte mode"
    length = int(bits[4:12], 2)
    return bytes(int(bits[12 + 8 * at : 20 + 8 * at], 2) for at in range(length)).decode()
