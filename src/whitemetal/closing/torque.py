"""A torque where the maker gives none: what bolt and thread will bear, and what scatter leaves of it.

The maker's value governs always. Without one the torque worked out here is a proposal that an engineer
signs. T = K d F (nut factor K; common practice), F the lower of the bolt's share of its proof load and of
what the tapped thread will bear before it strips. A stud in old cast iron strips before it stretches.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from whitemetal.closing.bolts import Grade, Thread
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

SHARE_OF_PROOF = 0.75
"""Preload as a share of the proof load: the usual rule for joints that are opened again. Common practice."""

SHARE_OF_STRIPPING = 0.5
"""Preload as a share of the load that strips the tapped thread. Our own: old castings are not tested."""

SCATTER = (0.25, 0.30)
"""Spread of preload at one torque with a torque wrench, to either side: 25 to 30 %. Common practice."""

HYDRAULIC_ABOVE = 678.0
"""Torque [N m] above which hydraulic tools are recommended (500 lbf ft). Common practice."""


@dataclass(frozen=True)
class Lubricated:
    """A state of thread and seat. low, high: nut factors K between which it lies."""

    name: str
    low: float
    high: float
    source: str

    @property
    def middle(self) -> float:
        """The nut factor to work with."""
        return 0.5 * (self.low + self.high)


_PRACTICE = "fastener suppliers' tables, common practice"
LUBRICATED: dict[str, Lubricated] = {
    one.name: one
    for one in (
        Lubricated("dry", 0.20, 0.25, _PRACTICE),
        Lubricated("zinc plated, light oil", 0.18, 0.22, _PRACTICE),
        Lubricated("oiled", 0.15, 0.18, _PRACTICE),
        Lubricated("anti-seize compound", 0.12, 0.16, _PRACTICE),
        Lubricated("wax or dry film", 0.10, 0.14, _PRACTICE),
    )
}

ALSO: dict[str, str] = {
    "oil": "oiled", "light oil": "oiled", "lightly oiled": "oiled", "engine oil": "oiled",
    "clean and dry": "dry", "degreased": "dry", "anti-seize": "anti-seize compound",
    "antiseize": "anti-seize compound",
    "wax": "wax or dry film", "dry film": "wax or dry film", "zinc plated": "zinc plated, light oil",
}  # fmt: skip
"""Other words for a state of thread and seat. Our own reading of them."""


@dataclass(frozen=True)
class Housing:
    """What the thread is cut into. shear: stress at which it strips [Pa]."""

    name: str
    shear: float
    source: str


_SHEAR = "tensile strength of the grade times its shear ratio in VDI 2230-1, from memory"
HOUSINGS: dict[str, Housing] = {
    one.name: one
    for one in (
        Housing("old grey cast iron", 150e6 * 1.0, "a weak old casting, 150 N/mm²; our own, on the low side"),
        Housing("grey cast iron GJL-250", 250e6 * 1.1, _SHEAR),
        Housing("nodular cast iron GJS-400", 400e6 * 0.9, _SHEAR),
        Housing("cast steel", 450e6 * 0.6, _SHEAR),
        Housing("structural steel S275", 410e6 * 0.6, _SHEAR),
        Housing(
            "nut of the bolt's own class",
            math.inf,
            "a full nut bears more than its bolt: ISO 898-2, from memory",
        ),
    )
}


@dataclass(frozen=True)
class Torque:
    """A proposal. torque [N m]; preload [N] aimed at, and the least and greatest that scatter leaves.

    bolt_bears, thread_bears [N]: the preload each will bear by its own rule. governed_by: "bolt" or "thread".
    nut_factor [-]; stretch [m] is asked for separately. signed_by: the engineer, "" for a proposal.
    """

    torque: float
    preload: float
    least: float
    greatest: float
    bolt_bears: float
    thread_bears: float
    governed_by: str
    nut_factor: float
    sources: tuple[str, ...]


def lubricated(text: str) -> Lubricated | None:
    """The state of thread and seat that a text names, None where it names none that is known."""
    wanted = " ".join(text.split()).casefold()
    return LUBRICATED.get(ALSO.get(wanted, wanted))


def torque_of(preload: float, diameter: float, nut_factor: float) -> float:
    """T = K d F [N m]: preload [N], diameter [m], nut factor [-]."""
    return nut_factor * diameter * preload


def stripping_load(thread: Thread, engaged: float, shear: float) -> float:
    """Load [N] that strips the tapped thread: pi d (m/P)(P/2 + (d - d2) tan 30°) tau.

    engaged: length of thread engaged [m]. shear [Pa]. After VDI 2230-1 (from memory), the bolt's own outer
    diameter as the sheared cylinder.
    """
    width = 0.5 * thread.pitch + (thread.diameter - thread.pitch_diameter) * math.tan(math.radians(30.0))
    return math.pi * thread.diameter * engaged / thread.pitch * width * shear


def propose(
    thread: Thread,
    grade: Grade,
    lubricated: Lubricated,
    housing: Housing,
    engaged: float,
    share: float = SHARE_OF_PROOF,
) -> Torque:
    """What torque the weaker of bolt and thread will bear. engaged [m]: thread engagement in the housing.

    Raises InputError for a share above 0.9 or an engagement that is no length.
    """
    if not 0.0 < share <= 0.9:
        raise InputError(Problem("share", f"{share:g}", say("closing.share")))
    if not engaged > 0.0:
        raise InputError(Problem("engaged", f"{engaged:g}", say("closing.engaged")))
    used = share * (2.0 / 3.0 if grade.of_yield else 1.0)
    bolt = used * grade.proof_stress(thread.diameter) * thread.stress_area
    tapped = SHARE_OF_STRIPPING * stripping_load(thread, engaged, housing.shear)
    preload, factor = min(bolt, tapped), lubricated.middle
    return Torque(
        torque_of(preload, thread.diameter, factor),
        preload,
        preload * (1.0 - SCATTER[1]),
        preload * (1.0 + SCATTER[1]),
        bolt,
        tapped,
        "bolt" if bolt <= tapped else "thread",
        factor,
        (grade.source, lubricated.source, housing.source, say("closing.share_source")),
    )


def stretch(preload: float, grip: float, area: float, modulus: float = 205e9) -> float:
    """Elongation of the bolt [m]: F L / (A E), grip L [m], area A [m²], modulus E [Pa] of steel (handbook
    value, from memory)."""
    return preload * grip / (area * modulus)


def from_yield(
    thread: Thread, proof_02: float, friction: float, head: float, hole: float
) -> tuple[float, float]:
    """Preload [N] and torque [N m] at 90 % of yield with one friction everywhere, after VDI 2230-1.

    proof_02: 0.2 % proof stress [Pa]; head: bearing diameter of the head [m]; hole [m]. Not the default for a
    bearing cap: it is there to be compared with printed tables, which quote friction and share of yield.
    """
    d2, d3, pitch = thread.pitch_diameter, thread.root_diameter, thread.pitch
    d0 = 0.5 * (d2 + d3)
    area = 0.25 * math.pi * d0**2
    twist = 1.5 * (d2 / d0) * (pitch / (math.pi * d2) + 1.155 * friction)
    preload = 0.9 * proof_02 * area / math.sqrt(1.0 + 3.0 * twist**2)
    under_head = 0.25 * (head + hole) * friction
    return preload, preload * (0.159 * pitch + 0.577 * d2 * friction + under_head)


def on_other_lubricant(torque: float, stated: Lubricated, found: Lubricated) -> float:
    """The torque [N m] that gives on ``found`` the preload it was stated for on ``stated``: K over K."""
    return torque * found.middle / stated.middle
