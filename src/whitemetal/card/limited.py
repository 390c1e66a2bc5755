"""What a limit may be set for: dimension, usual unit and bases of every quantity a limit's ``of`` can name.

A figure written in another basis than the main one is carried over exactly: radial to diametral by 2, and
the gap that shows at one joint while the other is home to a diametral interference by 1/pi (derived from
geometry: the excess of circumference is pi times the excess of diameter).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from whitemetal.units import Dimension

OIL_CLEARANCE = "oil clearance"

IN_MAIN_BASIS: dict[str, float] = {"radial": 2.0, "joint gap": 1.0 / math.pi}
"""A figure in this basis times this is a diametral one [-]: derived from geometry."""


@dataclass(frozen=True)
class Limited:
    """A quantity. bases: in which a figure may be written, the main one first; one only where there is no
    choice. signed: whether a figure may be below zero. help: half a sentence."""

    of: str
    dimension: Dimension
    unit: str
    bases: tuple[str, ...] = ("as it is",)
    signed: bool = False
    help: str = ""


LIMITED: dict[str, Limited] = {
    one.of: one
    for one in (
        Limited(OIL_CLEARANCE, "length", "mm", ("diametral", "radial")),
        Limited("crush", "length", "mm", ("diametral", "joint gap"), signed=True,
                help="above zero: the shell is held tight; below: it is loose in its seat"),
        Limited("seat contact", "ratio", "%", help="share of the shell's back that takes blue"),
        Limited("stud stretch", "length", "mm", help="tight less slack"),
        Limited("joint feeler", "length", "mm", help="the thickest feeler that enters the closed joint"),
        Limited("side clearance", "length", "mm", ("diametral", "radial")),
        Limited("crown wear", "length", "mm", signed=True),
        Limited("shaft drop", "length", "mm", signed=True),
        Limited("journal out-of-round", "length", "mm"),
        Limited("journal taper", "length", "mm"),
        Limited("journal roughness", "length", "µm"),
        Limited("journal scratch depth", "length", "mm"),
        Limited("journal undersize", "length", "mm", signed=True),
        Limited("bore out-of-round", "length", "mm"),
        Limited("contact arc", "angle", "deg"),
        Limited("contact length", "ratio", "%", help="share of the length of the white metal"),
        Limited("contact area", "ratio", "%", help="share of the area in the arc"),
        Limited("contact spots", "count per area", "per cm2"),
        Limited("contact bare end", "length", "mm"),
        Limited("oil ring out-of-round", "length", "mm"),
        Limited("oil ring immersion", "length", "mm"),
        Limited("seal clearance", "length", "mm", ("diametral", "radial")),
        Limited("impeller clearance", "length", "mm", ("diametral", "radial")),
        Limited("dowel side clearance", "length", "mm"),
        Limited("end float", "length", "mm"),
        Limited("coupling float", "length", "mm"),
        Limited("insulation resistance", "resistance", "Mohm"),
        Limited("bond defect area", "ratio", "%"),
        Limited("bond defect size", "length", "mm"),
        Limited("alignment offset", "length", "mm"),
        Limited("alignment angle", "ratio", "‰", help="face difference over its diameter"),
        Limited("soft foot", "length", "mm"),
        Limited("motor air gap", "length", "mm"),
        Limited("motor air gap deviation", "ratio", "%"),
        Limited("gear backlash", "length", "mm"),
        Limited("gear contact length", "ratio", "%"),
        Limited("gear contact height", "ratio", "%"),
        *(Limited(f"{where} temperature {what}", "temperature", "degC", help=f"taken at: {where}")
          for where in ("metal", "oil drain", "oil sump", "surface") for what in ("alarm", "trip")),
        Limited("housing vibration", "velocity", "mm/s", help="r.m.s. velocity on the bearing housing"),
        Limited("shaft vibration", "length", "µm", help="peak to peak, relative to the bearing"),
    )
}  # fmt: skip
"""By the name a limit's ``of`` carries."""


def limited(of: str) -> Limited:
    """The quantity called ``of``. Raises KeyError when there is none."""
    return LIMITED[of]
