"""How the bearing is built, as far as it decides which steps a job on it takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

ShellMade = Literal["split", "solid", "poured in the housing", "not known"]
UpperHeld = Literal["lies loose in the cap", "screwed to the cap", "held by dowels", "not known"]
EndSeal = Literal["labyrinth", "baffle", "felt", "floating ring", "none", "not known"]
Said = Literal["yes", "no", "not known"]


@dataclass(frozen=True)
class Construction:
    """What was not said is "not known", and its steps ask a person to look.

    shell: "poured in the housing" has the white metal in cap and housing themselves. upper_held: how the
    upper shell is held, so that it cannot fall out of a lifted cap. dowels: whether something keeps them from
    turning. probes: thermometers and vibration probes in the bearing, in words. cap_mass [kg]. lifting: where
    the cap is slung; jack_points: where the rotor may be lifted from below, in the maker's words.
    """

    shell: ShellMade = "not known"
    upper_held: UpperHeld = "not known"
    dowels: Said = "not known"
    seals: EndSeal = "not known"
    insulated: Said = "not known"
    thrust_faces: Said = "not known"
    jacking_oil: Said = "not known"
    water_cooled: Said = "not known"
    probes: str = ""
    cap_mass: float | None = None
    lifting: str = ""
    jack_points: str = ""
