"""The other part's diameters for an order, from the checks that took them."""

from __future__ import annotations

from collections.abc import Sequence

from whitemetal.card import Card
from whitemetal.fitting.bore_order import Spread
from whitemetal.gauging.bore.evaluate import sizes as bore_sizes
from whitemetal.gauging.contract import Facts, Place, Reading
from whitemetal.gauging.diameters import Diameter
from whitemetal.gauging.journal.evaluate import sizes as journal_sizes
from whitemetal.words import say


def journal_measured(
    card: Card, method: str, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]
) -> Spread | None:
    """The journal from a journal survey or from a check of bore and journal; None where neither took it."""
    if method == "journal":
        taken = journal_sizes(card, places, facts, readings)
        return _spread(taken, say("bore_order.from_survey", count=len(taken)))
    if method == "bore" and card.bearing.profile != "tilting pad":
        taken = bore_sizes(card, places, facts, readings)[1]
        return _spread(taken, say("bore_order.from_bore_check", count=len(taken)))
    return None


def bore_measured(
    card: Card, method: str, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]
) -> Spread | None:
    """The bore, its joint as at the final closing, from a check of bore and journal; None without one."""
    if method != "bore" or card.bearing.profile == "tilting pad":
        return None
    taken = bore_sizes(card, places, facts, readings)[0]
    return _spread(taken, say("bore_order.from_bore_check", count=len(taken)))


def _spread(taken: Sequence[Diameter], source: str) -> Spread | None:
    if not taken:
        return None
    least = min(taken, key=lambda one: one.value.value).value
    greatest = max(taken, key=lambda one: one.value.value).value
    return Spread(least.value, greatest.value, max(least.u, greatest.u), source)
