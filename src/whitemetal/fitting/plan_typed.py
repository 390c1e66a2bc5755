"""What a person types beside the checks, and work of one's own, from texts to values."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import combinations, combinations_with_replacement

from whitemetal.card import Card
from whitemetal.errors import InputError, Problem, UnitError
from whitemetal.fitting.plan_model import Pack, PassWork, Present, ShimWork, Work
from whitemetal.fitting.plan_present import Said
from whitemetal.fitting.shim_effect import joints_for_shims
from whitemetal.units import read
from whitemetal.words import say

THICKEST = 5e-3
"""No shim and no pack is thicker [m]: such a number is a slip of the key. Our own."""

MOST_PIECES = 12
"""More pieces than this do not lie in a joint. Our own."""

MOST_PASSES = 20
"""More passes than this are not tried. Our own."""

SAME = 1e-9
"""Thicknesses closer than this are equal [m]. Our own."""

_PIECE = re.compile(r"^\s*(\d{1,2})\s*(?:x|×|of)\s+(.+)$", re.IGNORECASE)


def said_from(card: Card, texts: Mapping[str, str]) -> Said:
    """What was typed. Keys: "stock", "in.JOINT", "lining", "contact", "contact_passes"; an empty text counts
    as not typed. Raises InputError with every problem."""
    problems: list[Problem] = []
    stock = _sizes(card, "stock", texts, problems)
    packs = [
        Pack(joint, found)
        for joint in joints_for_shims(card)
        if (found := _sizes(card, f"in.{joint}", texts, problems)) is not None
    ]
    lining = _lining(card, texts, problems)
    passes = _count("contact_passes", texts, problems)
    if problems:
        raise InputError(*problems)
    return Said(
        stock, tuple(packs) or None, lining, texts.get("contact", "").strip(), 1 if passes is None else passes
    )


def work_from(card: Card, present: Present, texts: Mapping[str, str]) -> Work | None:
    """Work of one's own; None where none was typed. Keys: "shim.JOINT" (change of the pack's thickness),
    "rough.STATION", "finishing.STATION" (numbers of passes). Raises InputError with every problem."""
    problems: list[Problem] = []
    keys = [f"shim.{pack.joint}" for pack in present.packs]
    keys += [f"{kind}.{station}" for kind in ("rough", "finishing") for station in present.stations]
    if not any(texts.get(key, "").strip() for key in keys):
        return None
    shims = tuple(_change(card, present, pack, texts, problems) for pack in present.packs)
    passes = tuple(
        PassWork(
            station,
            _count(f"rough.{station}", texts, problems) or 0,
            _count(f"finishing.{station}", texts, problems) or 0,
        )
        for station in present.stations
    )
    if problems:
        raise InputError(*problems)
    return Work(shims, passes)


def as_pieces(present: Present, pack: Pack, change: float) -> ShimWork:
    """A change of a pack's thickness [m] as the fewest pieces out of it and out of stock; as one piece that
    nobody has where there are none such."""
    for out, put in _handled(pack.pieces, present.allowed.stock):
        if abs(sum(put) - sum(out) - change) < SAME:
            return ShimWork(pack.joint, tuple(sorted(put, reverse=True)), tuple(sorted(out, reverse=True)))
    if change > 0.0:
        return ShimWork(pack.joint, (change,))
    return ShimWork(pack.joint, (pack.thickness + change,), tuple(sorted(pack.pieces, reverse=True)))


def _handled(
    pieces: tuple[float, ...], stock: tuple[float, ...]
) -> Iterator[tuple[tuple[float, ...], tuple[float, ...]]]:
    """Pieces out and in, few before many."""
    for count in range(5):
        for out in range(min(count, len(pieces)) + 1):
            for taken in combinations(pieces, out):
                for added in combinations_with_replacement(stock, count - out):
                    yield taken, added


def _change(
    card: Card, present: Present, pack: Pack, texts: Mapping[str, str], problems: list[Problem]
) -> ShimWork:
    key = f"shim.{pack.joint}"
    found = _length(card, key, texts.get(key, ""), problems)
    if found is not None and (found < -pack.thickness - SAME or found > THICKEST):
        problems.append(Problem(key, texts[key], say("plan.change_range")))
    return ShimWork(pack.joint) if not found else as_pieces(present, pack, found)


def _sizes(
    card: Card, key: str, texts: Mapping[str, str], problems: list[Problem]
) -> tuple[float, ...] | None:
    """Thicknesses, "2 x 0.05 mm; 0.10 mm" or parted by commas with a blank behind; "none" is none at all."""
    text = texts.get(key, "").strip()
    if not text:
        return None
    if text.casefold() in ("none", "0", "-"):
        return ()
    found: list[float] = []
    for part in re.split(r";|,\s+|\n", text):
        many = _PIECE.match(part)
        size = _length(card, key, many.group(2) if many else part, problems)
        if size is not None and not 0.0 < size <= THICKEST:
            problems.append(Problem(key, part.strip(), say("plan.shim_range")))
        elif size is not None:
            found += [size] * (int(many.group(1)) if many else 1)
    if len(found) > MOST_PIECES:
        problems.append(Problem(key, text, say("plan.too_many", most=MOST_PIECES)))
    return tuple(found)


def _lining(card: Card, texts: Mapping[str, str], problems: list[Problem]) -> float | None:
    found = _length(card, "lining", texts.get("lining", ""), problems)
    if found is not None and found < 0.0:
        problems.append(Problem("lining", texts["lining"], say("card.not_negative")))
    return found


def _length(card: Card, key: str, text: str, problems: list[Problem]) -> float | None:
    if not text.strip():
        return None
    try:
        return read(text, "length", field=key, default_unit=card.bearing.unit).value
    except UnitError as bad:
        problems += bad.problems
        return None


def _count(key: str, texts: Mapping[str, str], problems: list[Problem]) -> int | None:
    text = texts.get(key, "").strip()
    if not text:
        return None
    if not text.isascii() or not text.isdecimal() or int(text) > MOST_PASSES:
        problems.append(Problem(key, text, say("plan.count_range", most=MOST_PASSES)))
        return None
    return int(text)
