"""General rules for the crush, by seat and size; the maker's figure governs."""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contract import Facts, GeneralRule

PRACTICE = "common practice"
ZEIDAN = "Zeidan and Herbage, 20th Turbomachinery Symposium 1991"

SMALL, LARGE = 0.150, 0.300
"""Journal diameters [m] at which the rules for cylindrical seats change. Common practice."""

SEATS = (
    "as on the card", "spherical, fixed", "spherical, aligns itself under load", "thin-walled insert",
)  # fmt: skip


def rules(card: Card) -> tuple[GeneralRule, ...]:
    """Rules by the card alone: a cylindrical seat by its size, a spherical one both ways."""
    if card.bearing.seat == "spherical":
        return (
            _rule("spherical seat, fixed", 0.0, 0.02e-3),
            _rule("spherical seat, self-aligning", -0.03e-3, 0.0),
        )
    return _cylindrical(card)


def rules_of(card: Card, facts: Facts) -> tuple[GeneralRule, ...]:
    """What the seat as recorded adds: a thin-walled insert, whose figure is a joint gap (over pi)."""
    kind = facts["seat_kind"].text.strip() if "seat_kind" in facts else ""
    if kind != SEATS[3]:
        return ()
    return (_rule("thin-walled insert, 0.05 to 0.15 mm of joint gap", 0.05e-3 / math.pi, 0.15e-3 / math.pi),)


def _cylindrical(card: Card) -> tuple[GeneralRule, ...]:
    made = [GeneralRule("crush", "thick shell, metal to metal to 0.05 mm", ZEIDAN, 0.0, 0.05e-3)]
    diameter = card.bearing.journal_diameter
    if diameter <= SMALL:
        made.append(_rule("cylindrical seat, journal to 150 mm", 0.01e-3, 0.04e-3))
    elif diameter <= LARGE:
        made.append(_rule("cylindrical seat, journal 150 to 300 mm", 0.02e-3, 0.06e-3))
    if card.machine.kind == "turbine":
        made.append(_rule("cylindrical seat, power-plant turbine", 0.05e-3, 0.15e-3))
    return tuple(made)


def _rule(title: str, low: float, high: float) -> GeneralRule:
    return GeneralRule("crush", title, PRACTICE, low, high)
