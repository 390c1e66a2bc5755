"""Everything that makes a wire reading uncertain, with default, shape, source and how far it reaches.

The scope says which readings share an influence: all of them ("check"), those of one instrument, one
squeeze, one piece, one place, or none ("reading"). What reaches no further than a squeeze shrinks when
the whole squeeze is repeated; what reaches further does not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from whitemetal.card import Card
from whitemetal.quantity import Influence
from whitemetal.quantity.value import Shape

Scope = Literal["check", "instrument", "squeeze", "piece", "place", "reading"]
REPEATING_SHRINKS: tuple[Scope, ...] = ("squeeze", "piece", "place", "reading")

ESTIMATED_DOF = 12.0
"""Degrees of freedom of a value estimated from experience and thought good to a fifth of itself:
JCGM 100:2008, equation (G.3), half of (1/5)^-2, rounded down."""

MPE_TABLE: tuple[tuple[float, float], ...] = (
    (0.050, 4e-6), (0.100, 5e-6), (0.150, 6e-6), (0.200, 7e-6), (0.250, 8e-6), (0.300, 9e-6),
    (0.350, 10e-6), (0.400, 11e-6), (0.450, 12e-6), (0.500, 13e-6),
)  # fmt: skip
"""Largest measured length [m] and maximum permissible error [m] of an outside micrometer, as in a table of
DIN 863 / ISO 3611 practice (0-50 mm: 4 µm ... 475-500 mm: 13 µm; rows between from the rule 4 + L/50)."""


@dataclass(frozen=True)
class Default:
    """A default number of the budget. value in SI; dof and shape of its distribution; editable on the card
    ([uncertainty], by key)."""

    key: str
    label: str
    value: float
    unit: str
    scope: Scope
    shape: Shape
    dof: float
    source: str


DEFAULTS: dict[str, Default] = {
    default.key: default
    for default in (
        Default("strip", "strip not uniform", 5e-6, "m", "place", "normal", ESTIMATED_DOF,
                "common practice, skilled hand; check against your own repeats"),
        Default("closure", "joint closing again", 5e-6, "m", "squeeze", "normal", ESTIMATED_DOF,
                "common practice, skilled hand; check against your own repeats"),
        Default("placement", "strip not where it is noted", 4e-6, "m", "piece", "normal", ESTIMATED_DOF,
                "common practice, skilled hand; check against your own repeats"),
        Default("spring_back", "strip springs back", 2e-6, "m", "check", "normal", ESTIMATED_DOF,
                "common practice, pure soft lead"),
        Default("placement_arc", "place along the arc", 1e-3, "m", "piece", "normal", ESTIMATED_DOF,
                "our own assumption: a place is found by eye to 1 mm"),
        Default("temperature", "journal and shell not equally warm", 1.0, "K", "check", "rectangular",
                math.inf,
                "our own assumption: equal within 1 K when the machine has stood; steel 11.5 µm/(m K)"),
        Default("zero", "zero not checked", 2e-6, "m", "instrument", "rectangular", math.inf,
                "common practice: a session with more drift than 2 µm is discarded"),
        Default("gasket_share", "gasket or sealant thickness under load", 0.1, "of the thickness", "check",
                "rectangular", math.inf, "our own assumption: known to a tenth of itself"),
        Default("shim", "shim thickness", 3e-6, "m", "check", "rectangular", math.inf,
                "our own assumption: shims measured with the same micrometer"),
        Default("anvil_width", "width of a flat anvil", 6.5e-3, "m", "instrument", "one-sided rectangular",
                math.inf, "usual anvil of an outside micrometer, from memory"),
    )
}  # fmt: skip

STEEL_EXPANSION = 11.5e-6
"""Thermal expansion of steel [1/K], from memory (common handbook value)."""


def amount(card: Card, key: str) -> float:
    """A budget number [SI]: the card's own if it has one, else the default."""
    return card.uncertainty.get(key, DEFAULTS[key].value)


def source_of(card: Card, key: str) -> str:
    """Where a budget number comes from: this bearing's card, or the default's source."""
    return "this bearing's card" if key in card.uncertainty else DEFAULTS[key].source


def influence(card: Card, key: str, where: str = "", u: float | None = None) -> Influence:
    """The influence ``key`` at ``where``; u overrides the standard uncertainty made from its default."""
    default = DEFAULTS[key]
    standard = amount(card, key) / spread(default.shape) if u is None else u
    return Influence(
        f"wire.{key}.{where}", default.label, standard, default.dof, default.shape, source_of(card, key), key
    )


def spread(shape: Shape) -> float:
    """Half-width over standard uncertainty, JCGM 100:2008, 4.3.7; a one-sided bound b that is not
    corrected has the root mean square b/sqrt(3) about zero."""
    return 1.0 if shape in ("normal", "student") else math.sqrt(3.0)


def micrometer_mpe(largest: float) -> float:
    """Maximum permissible error [m] of an outside micrometer for lengths up to ``largest`` [m]."""
    for length, mpe in MPE_TABLE:
        if largest <= length + 1e-9:
            return mpe
    return MPE_TABLE[-1][1]


def curl(anvil_width: float, journal_radius: float) -> float:
    """How far a curled strip stands up under a flat anvil [m]: w^2 / (8 R), the height of an arc of
    radius R over a chord w (derived from geometry)."""
    return anvil_width**2 / (8.0 * journal_radius)
