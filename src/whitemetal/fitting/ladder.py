"""The ladder of limits: which limit has the most authority, and what stands on the other rungs.

Order of authority: the maker's figure for this machine, the maker's general chart, the owner's standard,
a general rule. A general rule counts only when an engineer has adopted it by name on the card.
"""

from __future__ import annotations

from dataclasses import dataclass

from whitemetal.card import Card, Limit
from whitemetal.fitting.rules import RuleFigures, rules_for


@dataclass(frozen=True)
class Ladder:
    """chosen: the limit to judge by, None when no rung has authority. limits: all of this quantity on the
    card, highest rung first. rules: general rules side by side, worked out where no maker's figure stands."""

    chosen: Limit | None
    limits: tuple[Limit, ...]
    rules: tuple[RuleFigures, ...]


def climb(card: Card, quantity: str) -> Ladder:
    """The ladder of one quantity (a limit's ``of``) on a card."""
    limits = card.limits_on(quantity)
    chosen = next((limit for limit in limits if has_authority(limit)), None)
    by_maker = chosen is not None and chosen.rung.startswith("maker's")
    rules = rules_for(card) if quantity == "oil clearance" and not by_maker else ()
    return Ladder(chosen, limits, rules)


def has_authority(limit: Limit) -> bool:
    """Whether a limit may be judged by: it has a figure, and a general rule is signed by an engineer."""
    figured = limit.minimum is not None or limit.maximum is not None
    return figured and limit.adopted


def provisional(limit: Limit) -> bool:
    """Whether a verdict by this limit is provisional: it is a rule of thumb, the maker's figure missing."""
    return limit.rung == "general rule"
