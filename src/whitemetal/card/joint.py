"""What belongs in the joint when the bearing is finally closed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

JointFilling = Literal["metal to metal", "shims", "gasket", "sealant", "joint wires"]
ShimSits = Literal["shell joint", "housing joint", "both", "lined cap joint", "nowhere"]


@dataclass(frozen=True)
class Joint:
    """filling: what lies in the joint at the final closing. left, right: its thickness under load [m].

    shim_sits: which joint the shim or gasket is in. A gap in the shell joint, in both joints or in the
    joint of a lined cap opens the bore by that much; one in the housing joint outside a shell does not.
    """

    filling: JointFilling = "metal to metal"
    left: float = 0.0
    right: float = 0.0
    shim_sits: ShimSits = "nowhere"

    @property
    def gap(self) -> float:
        """Mean thickness of both sides [m]."""
        return 0.5 * (self.left + self.right)

    @property
    def opens_bore(self) -> bool:
        return self.shim_sits in ("shell joint", "both", "lined cap joint")
