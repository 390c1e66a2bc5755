"""The load on the bearing and where it points."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LoadDirection = Literal["down", "left", "right", "up", "not known"]


@dataclass(frozen=True)
class Duty:
    """load [N] on this bearing; direction as seen from the machine's viewing end; loaded_half; ambient [K] of
    the air round the housing; rotor_mass [kg], the part of the rotor that this bearing carries."""

    load: float | None = None
    direction: LoadDirection = "down"
    loaded_half: Literal["lower", "upper"] = "lower"
    hot_temperature: float | None = None
    ambient: float | None = None
    rotor_mass: float | None = None
