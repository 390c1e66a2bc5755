"""The table of published cases: what was printed elsewhere, what is computed here, how far apart they are."""

from __future__ import annotations

import importlib
import math
import pkgutil
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from .case import Case

HEADS = ("case", "source", "known", "expected", "computed", "deviation", "allowed")
MANY = 8
"""On the terminal more cases than this of one source become one line."""


class Row(NamedTuple):
    """One line of the table; texts, in the order of ``HEADS``."""

    case: str
    source: str
    known: str
    expected: str
    computed: str
    deviation: str
    allowed: str


def all_cases() -> dict[str, tuple[Case, ...]]:
    """The cases of each test file of this folder that has some, by the file's name."""
    found = {}
    for each in pkgutil.iter_modules([str(Path(__file__).parent)]):
        module = importlib.import_module(f"{__package__}.{each.name}")
        held = tuple(case for case in getattr(module, "CASES", ()) if isinstance(case, Case))
        if held:
            found[each.name] = held
    return found


def row(case: Case, simulated: bool) -> Row:
    """A case as a line. simulated: with the result of a simulation, which takes some seconds."""
    allowed = f"{case.allowed:.2g}"
    if case.slow and not simulated:
        return Row(
            case.name, case.source, case.tag, _with_unit(case), "at the end of `make test`", "", allowed
        )
    digits = max(0, 1 - math.floor(math.log10(case.allowed)))
    computed, off = f"{case.value():.{digits}f}", f"{case.deviation:+.{digits}f}"
    off = "0" if float(off) == 0.0 else off
    return Row(case.name, case.source, case.tag, _with_unit(case), computed, off, allowed)


def _with_unit(case: Case) -> str:
    return f"{case.expected} {case.unit}".rstrip()


def rows() -> dict[str, tuple[Row, ...]]:
    """Every line, by the name of the test file it stands in; simulations are shown at the end of the run."""
    return {name: tuple(_with_reason(case) for case in held) for name, held in all_cases().items()}


def _with_reason(case: Case) -> Row:
    line = row(case, simulated=False)
    return line._replace(allowed=f"{line.allowed} ({case.why})") if case.why else line


def lines(cases: Iterable[Case]) -> Iterator[str]:
    """The table for a terminal, aligned; many cases of one source in one line with the worst of them."""
    by_source: dict[str, list[Case]] = {}
    for case in cases:
        by_source.setdefault(case.source, []).append(case)
    shown: list[Row] = []
    for held in by_source.values():
        worst = max(held, key=lambda case: abs(case.deviation) / case.allowed)
        many = len(held) > MANY
        some = [row(case, simulated=True) for case in ([worst] if many else held)]
        shown += [some[0]._replace(case=f"{len(held)} values, worst: {worst.name}")] if many else some
    texts = [HEADS, *shown]
    widths = [max(len(line[i]) for line in texts) for i in range(len(HEADS))]
    for line in texts:
        yield "  ".join(text.ljust(width) for text, width in zip(line, widths, strict=True)).rstrip()
