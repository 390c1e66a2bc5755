"""How a generated page looks: its first lines, tables and value texts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

MADE = "<!-- Made from the code by `make docs`; `make check` fails when it is stale. Do not edit by hand. -->"


def page(title: str, *parts: str) -> str:
    """A whole page: title, the line that says it is made, its parts."""
    return "\n\n".join([f"# {title}", MADE, *(part.strip("\n") for part in parts if part)]) + "\n"


def table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A Markdown table; "" when it has no rows."""
    lines = ["| " + " | ".join(_cell(cell) for cell in row) + " |" for row in rows]
    if not lines:
        return ""
    return "\n".join(["| " + " | ".join(heads) + " |", "|" + "---|" * len(heads), *lines])


def section(title: str, *parts: str) -> str:
    """A section of a page; "" when it is empty."""
    kept = [part.strip("\n") for part in parts if part]
    return "\n\n".join([f"## {title}", *kept]) if kept else ""


def number(value: float, unit: str = "") -> str:
    """A number in SI as people write it: short, exponent only where it is shorter."""
    text = f"{value:.6g}".replace("e-0", "e-").replace("e+0", "e")
    return f"{text} {unit}".rstrip()


def micro(value: float, unit: str) -> str:
    """As `number`, but small lengths in µm and mm."""
    if unit == "m" and 0 < abs(value) < 1e-3:
        return number(value * 1e6, "µm")
    if unit == "m" and abs(value) < 1:
        return number(value * 1e3, "mm")
    return number(value, unit)


def _cell(value: object) -> str:
    text = "yes" if value is True else "" if value is None or value is False else str(value)
    return " ".join(text.split()).replace("|", "\\|")
