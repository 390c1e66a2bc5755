"""The machine a bearing sits in. A machine holds its bearings and has one viewing direction for all."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Rotation = Literal["clockwise", "anticlockwise", "not known"]

MachineKind = Literal["fan", "pump", "motor", "gear unit", "turbine", "blower", "other"]


@dataclass(frozen=True)
class Machine:
    """tag: the plant's own number. speed [rad/s]. power [W] or None.

    view_from: the end from which left and right are meant, for the whole machine. rotation: which way the
    shaft turns, seen from there.
    """

    tag: str
    name: str
    kind: MachineKind
    speed: float
    power: float | None = None
    view_from: str = "drive end"
    maker: str = ""
    drawing: str = ""
    rotation: Rotation = "not known"

    @property
    def rpm(self) -> float:
        return self.speed * 60.0 / (2.0 * math.pi)
