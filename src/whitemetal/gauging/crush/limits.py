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
    return _spherical(card) if card.bearing.seat == "spherical" else _cylindrical(card)


def rules_of(card: Card, facts: Facts) -> tuple[GeneralRule, ...]:
    """What the seat as recorded adds: a spherical one the card does not say, or a thin-walled insert, whose
    figure is a joint gap (over pi)."""
    kind = _recorded(facts)
    if kind in SEATS[1:3]:
        return () if card.bearing.seat == "spherical" else _spherical(card)
    if kind != SEATS[3]:
        return ()
    return (_rule("thin-walled insert, 0.05 to 0.15 mm of joint gap", 0.05e-3 / math.pi, 0.15e-3 / math.pi),)


def seat_of(card: Card, facts: Facts) -> str:
    """The seat as recorded with the check, else as on the card; a thin-walled insert sits in a cylinder."""
    kind = _recorded(facts)
    if kind in SEATS[1:3]:
        return "spherical"
    return "cylindrical" if kind == SEATS[3] else card.bearing.seat


def _recorded(facts: Facts) -> str:
    return facts["seat_kind"].text.strip() if "seat_kind" in facts else ""


def _spherical(card: Card) -> tuple[GeneralRule, ...]:
    made = [
        _rule("spherical seat, fixed", 0.0, 0.02e-3),
        _rule("spherical seat, self-aligning", -0.03e-3, 0.0),
    ]
    if card.machine.kind == "turbine":
        made.append(_rule("spherical seat, power-plant turbine", -0.03e-3, 0.03e-3))
    return tuple(made)


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
