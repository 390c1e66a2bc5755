"""Values as the paper writes them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from whitemetal.units import clearance_step, show, show_number

LONGEST_WORD = 26
"""A longer run of letters gets places where a line may break."""


WHOLE = frozenset({"digest", "card"})
"""Digests are never broken."""


def breakable(text: str) -> str:
    """Text as it is, with invisible breaking places in very long words; control characters become spaces."""
    kept = "".join(c if c.isprintable() or c == "\n" else " " for c in text)
    return re.sub(rf"\S{{{LONGEST_WORD}}}(?=\S)", lambda m: m.group() + "\u200b", kept)


def length(value: float | None, unit: str, *, finer: bool = False) -> str:
    """A clearance in a bearing's unit; an en dash for none. finer: one half step more, for radial values."""
    if value is None:
        return "–"
    step = clearance_step(unit)
    return show(value, unit, "length", step=step / 2 if finer else step)


def bare(value: float | None, unit: str, *, finer: bool = False) -> str:
    """As `length`, without the unit's name."""
    if value is None:
        return "–"
    step = clearance_step(unit)
    return show_number(value, unit, "length", step=step / 2 if finer else step)


def uncertainty(value: float | None, unit: str) -> str:
    """An uncertainty to two digits, but never finer than a tenth of the bearing's clearance step."""
    if value is None:
        return "–"
    least = clearance_step(unit) / 10
    if 0 < value < least / 2:
        return f"< {show(least, unit, 'length', digits=1)}"
    if value < 10 * least:
        return show(value, unit, "length", step=least)
    return show(value, unit, "length", digits=2)


def percent(probability: float | None) -> str:
    """A probability for people: never rounded to a certainty it is not."""
    if probability is None:
        return ""
    if probability > 0.999:
        return "> 99.9 %"
    return "< 0.1 %" if probability < 0.001 else f"{100 * probability:.1f} %"


def dof(value: float | None) -> str:
    """Degrees of freedom; more than 200 counts as infinite."""
    return "∞" if value is None or value > 200 else f"{value:.0f}"


def moment(at: str, offset: int) -> str:
    """An entry's time where it was written: "2026-03-02 10:15 +01:00"; as stored when it cannot be read."""
    try:
        read = datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone(UTC) + timedelta(minutes=offset)
    except (ValueError, OverflowError):
        return at
    sign, size = ("-" if offset < 0 else "+"), abs(offset)
    return f"{read:%Y-%m-%d %H:%M} {sign}{size // 60:02d}:{size % 60:02d}"


def day(entries_at: list[str]) -> str:
    """The day of the last moment, "" when there is none that can be read."""
    days = [at[:10] for at in entries_at if re.fullmatch(r"\d{4}-\d\d-\d\d", at[:10])]
    return max(days, default="")


def plain(value: Any) -> Any:
    """JSON values with every text made breakable."""
    if isinstance(value, str):
        return breakable(value)
    if isinstance(value, Mapping):
        return {key: inner if key in WHOLE else plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    return value
