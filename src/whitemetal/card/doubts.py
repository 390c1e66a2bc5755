"""What looks odd on a card that can be read: the other unit, the other basis, a radius for a diameter.

Nothing here refuses a card; each doubt is a question for the person who wrote it. A limit whose
``confirmed_by`` names who looked again is not asked about.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from whitemetal.card.card import Card
from whitemetal.card.limits import Limit
from whitemetal.units import UNITS, find_unit, read, show
from whitemetal.words import say

RELATIVE = (0.3e-3, 4e-3)
"""Diametral clearance over journal diameter between which bearings run. Common practice."""

TWICE = (1.8, 2.2)
"""Two limits of one quantity whose middles are about this ratio apart: one may be radial. Common practice."""

SLENDER = (0.2, 2.0)
"""Length over diameter of a white-metal bearing; outside, a radius may stand for a diameter. Our own."""

SURFACE_SPEED = 100.0
"""Surface speed of a journal [m/s] above which speed or diameter is asked about. Our own."""


@dataclass(frozen=True)
class CardWarning:
    """A doubt. code: name of its message. field: path on the card; typed: as typed; text: one sentence."""

    code: str
    field: str
    typed: str
    text: str
    source: str = "common practice"


def card_warnings(card: Card) -> tuple[CardWarning, ...]:
    """Every doubt about a card, in the order of its fields."""
    return (*_journal(card), *_limits(card), *_bases(card))


def _journal(card: Card) -> Iterator[CardWarning]:
    path = "bearing.journal_diameter"
    typed = card.typed.get(path, "")
    if not SLENDER[0] <= card.bearing.slenderness <= SLENDER[1]:
        text = say("card.slender", ratio=card.bearing.slenderness)
        yield CardWarning("card.slender", path, typed, text, "our own threshold")
    speed = 0.5 * card.machine.speed * card.bearing.journal_diameter
    if speed > SURFACE_SPEED:
        text = say("card.fast", speed=speed)
        yield CardWarning("card.fast", path, typed, text, "our own threshold")


def _limits(card: Card) -> Iterator[CardWarning]:
    for number, limit in enumerate(card.limits, start=1):
        for which in ("minimum", "maximum", "renewal"):
            path = f"limit.{number}.{which}"
            figure = limit.diametral(which)
            if figure is None or not _odd(figure, card) or limit.confirmed_by or limit.of != "oil clearance":
                continue
            typed = card.typed.get(path, show(figure, card.bearing.unit, "length"))
            permille = f"{1e3 * figure / card.bearing.journal_diameter:.2g}"
            yield CardWarning(
                "card.limit_relative", path, typed,
                say("card.limit_relative", typed=typed, basis=limit.basis, permille=permille,
                    hint=_hint(card, limit, typed, figure)),
            )  # fmt: skip


def _odd(figure: float, card: Card) -> bool:
    return not RELATIVE[0] <= figure / card.bearing.journal_diameter <= RELATIVE[1]


def _hint(card: Card, limit: Limit, typed: str, figure: float) -> str:
    """The unit or the basis in which the same digits would be a usual clearance."""
    own = find_unit(read(typed, "length", field="limit").unit, "length")
    for unit in UNITS:
        if own is None or unit is own or unit.name not in ("mm", "µm", "in", "thou"):
            continue
        if not _odd(figure / own.scale * unit.scale, card):
            return say("card.hint_unit", unit=unit.name)
    other, factor = ("radial", 2.0) if limit.basis == "diametral" else ("diametral", 0.5)
    if not _odd(figure * factor, card):
        return say("card.hint_basis", basis=other)
    return say("card.hint_look")


def _bases(card: Card) -> Iterator[CardWarning]:
    """Limits of one quantity that differ by a factor of two."""
    for (a, first), (b, second) in combinations(enumerate(card.limits, start=1), 2):
        one, other = _middle(first), _middle(second)
        if first.of != second.of or one is None or other is None:
            continue
        ratio = max(one, other) / min(one, other)
        if TWICE[0] <= ratio <= TWICE[1] and not (first.confirmed_by or second.confirmed_by):
            text = say("card.factor_two", first=a, second=b, ratio=ratio, basis=second.basis)
            yield CardWarning("card.factor_two", f"limit.{b}.basis", second.basis, text)


def _middle(limit: Limit) -> float | None:
    low, high = limit.diametral("minimum"), limit.diametral("maximum")
    if low is None or high is None or low + high <= 0.0:
        return None
    return 0.5 * (low + high)
