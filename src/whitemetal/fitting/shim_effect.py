"""What a shim does, by the joint it lies in. Derived from geometry.

| shim of thickness s in | top clearance | crush |
|---|---|---|
| the joint between the shell halves | +s | +s |
| the housing or cap joint outside a shell | 0 | -s |
| both joints, of the same thickness | +s | 0 |
| the joint of a cap with the lining poured in it | +s | none exists |

Both sides of the joint alike; taking a shim out does the opposite.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from whitemetal.card import Card


@dataclass(frozen=True)
class ShimEffect:
    """Change of the top clearance (diametral) and of the crush (diametral) for a shim of thickness 1 [-].
    crush: None where no crush exists."""

    clearance: float
    crush: float | None


EFFECTS: Mapping[str, ShimEffect] = {
    "shell joint": ShimEffect(1.0, 1.0),
    "housing joint": ShimEffect(0.0, -1.0),
    "both joints": ShimEffect(1.0, 0.0),
    "lined cap joint": ShimEffect(1.0, None),
}
"""By joint; the table above, derived from geometry."""


def effect_of(joint: str) -> ShimEffect:
    """The effect of a shim in a joint; the card's word "both" is "both joints". Raises KeyError."""
    return EFFECTS["both joints" if joint == "both" else joint]


def joints_for_shims(card: Card) -> tuple[str, ...]:
    """The joints of this bearing in which a shim may lie, () where the card names none.

    Where shims lie in both, each joint may get another thickness: that is how the crush is changed.
    """
    sits = card.joint.shim_sits
    if sits == "nowhere" or card.joint.filling in ("gasket", "sealant"):
        return ()
    return ("shell joint", "housing joint") if sits == "both" else (sits,)
