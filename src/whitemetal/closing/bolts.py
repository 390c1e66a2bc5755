"""Sizes, grades and proof stresses of bolts and studs.

Stress area of a metric thread: pi/4 (d - 0.9382 P)^2 (ISO 898-1, from memory); of a unified inch thread:
pi/4 (d - 0.9743 P)^2 (ASME B1.1, from memory). Proof stresses: ISO 898-1 and SAE J429, from memory.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from whitemetal.errors import InputError, Problem
from whitemetal.units import INCH, POUND_FORCE
from whitemetal.words import say

KSI = 1000.0 * POUND_FORCE / INCH**2
"""A thousand pounds per square inch [Pa]: exact, from the pound-force and the inch."""

COARSE_PITCH: dict[float, float] = {
    5: 0.8, 6: 1.0, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2.0, 16: 2.0, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3.0,
    27: 3.0, 30: 3.5, 33: 3.5, 36: 4.0, 39: 4.0, 42: 4.5, 45: 4.5, 48: 5.0, 52: 5.0, 56: 5.5, 60: 5.5,
    64: 6.0,
}  # fmt: skip
"""Pitch of the metric coarse series [mm] by size: ISO 261 / ISO 262, from memory."""

COARSE_THREADS: dict[float, float] = {
    0.25: 20, 0.3125: 18, 0.375: 16, 0.4375: 14, 0.5: 13, 0.5625: 12, 0.625: 11, 0.75: 10, 0.875: 9, 1.0: 8,
    1.125: 7, 1.25: 7, 1.375: 6, 1.5: 6, 1.75: 5, 2.0: 4.5,
}  # fmt: skip
"""Threads an inch of the unified coarse series by diameter [in]: ASME B1.1, from memory."""


@dataclass(frozen=True)
class Thread:
    """diameter, pitch [m]. name: as written, e.g. "M24" or "3/4-10 UNC"."""

    name: str
    diameter: float
    pitch: float
    metric: bool

    @property
    def stress_area(self) -> float:
        """Tensile stress area [m²]."""
        return 0.25 * math.pi * (self.diameter - (0.9382 if self.metric else 0.9743) * self.pitch) ** 2

    @property
    def pitch_diameter(self) -> float:
        """d2 [m], 60 degree thread: d - 0.6495 P (derived from geometry)."""
        return self.diameter - 0.6495 * self.pitch

    @property
    def root_diameter(self) -> float:
        """d3 [m]: d - 1.2269 P (ISO 68-1, from memory)."""
        return self.diameter - 1.2269 * self.pitch


@dataclass(frozen=True)
class Grade:
    """A property class or grade. proof: (up to this diameter [m], proof stress [Pa]), ascending; nothing
    beyond the last. yield_share: proof stress over yield stress, for a grade stated by its yield."""

    name: str
    proof: tuple[tuple[float, float], ...]
    source: str
    of_yield: bool = False

    def proof_stress(self, diameter: float) -> float:
        """Proof stress [Pa]. Raises InputError for a diameter that the grade's table does not reach."""
        for largest, stress in self.proof:
            if diameter <= largest + 1e-9:
                return stress
        raise InputError(
            Problem("size", f"{diameter * 1e3:.4g} mm", say("closing.grade_size", grade=self.name))
        )


_ISO = "ISO 898-1, from memory"
_SAE = "SAE J429, from memory"
_LARGE = 0.039
"""ISO 898-1 reaches M39 [m]; from memory."""

GRADES: dict[str, Grade] = {
    grade.name: grade
    for grade in (
        Grade("4.6", ((_LARGE, 225e6),), _ISO),
        Grade("5.6", ((_LARGE, 280e6),), _ISO),
        Grade("5.8", ((_LARGE, 380e6),), _ISO),
        Grade("6.8", ((_LARGE, 440e6),), _ISO),
        Grade("8.8", ((0.016, 580e6), (_LARGE, 600e6)), _ISO),
        Grade("10.9", ((_LARGE, 830e6),), _ISO),
        Grade("12.9", ((_LARGE, 970e6),), _ISO),
        Grade("Grade 2", ((0.75 * INCH, 55 * KSI), (1.5 * INCH, 33 * KSI)), _SAE),
        Grade("Grade 5", ((1.0 * INCH, 85 * KSI), (1.5 * INCH, 74 * KSI)), _SAE),
        Grade("Grade 8", ((1.5 * INCH, 120 * KSI),), _SAE),
        Grade("B7", ((2.5 * INCH, 105 * KSI),), "ASTM A193, from memory: yield stress", of_yield=True),
    )
}

_METRIC = re.compile(
    r"\s*M\s*([0-9]+(?:[.,][0-9]+)?)\s*(?:[x×]\s*([0-9]+(?:[.,][0-9]+)?))?\s*", re.IGNORECASE
)
_INCH = re.compile(
    r"\s*(?:([0-9]+)\s+)?([0-9]+)(?:/([0-9]+))?\s*(?:in|\")?\s*(?:-\s*([0-9]+(?:[.,][0-9]+)?))?\s*(?:UNC|UNF|UN)?\s*",
    re.IGNORECASE,
)


def thread(text: str) -> Thread:
    """A thread from what is written on the card: "M24", "M24 x 2", "3/4", "1 1/4-7 UNC".

    Without a pitch the coarse one is taken. Raises InputError.
    """
    metric = _METRIC.fullmatch(text)
    if metric:
        size = _number(metric.group(1))
        pitch = _number(metric.group(2)) if metric.group(2) else COARSE_PITCH.get(size)
        if pitch is not None and 0.0 < pitch < 0.5 * size:
            return Thread(text.strip(), size * 1e-3, pitch * 1e-3, True)
    inch = _INCH.fullmatch(text)
    if inch and inch.group(3) != "0":
        size = int(inch.group(1) or 0) + int(inch.group(2)) / int(inch.group(3) or 1)
        threads = _number(inch.group(4)) if inch.group(4) else COARSE_THREADS.get(size)
        if threads is not None and size > 0.0 and threads > 2.0 / size:
            return Thread(text.strip(), size * INCH, INCH / threads, False)
    raise InputError(Problem("size", text, say("closing.size")))


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def grade(text: str) -> Grade:
    """The grade called ``text``. Raises InputError naming those that are known."""
    wanted = " ".join(text.split()).casefold()
    for one in GRADES.values():
        if wanted in (one.name.casefold(), one.name.casefold().replace("grade ", "gr ")):
            return one
    raise InputError(Problem("grade", text, say("closing.grade", known=", ".join(GRADES))))
