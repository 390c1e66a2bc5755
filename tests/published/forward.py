"""A soft wire between a bore and a journal, by exact distance. Knows nothing of the program under test.

Two circles in each section: the bore of radius R, halves separate, and the journal of radius r resting on
the lower half. Angles are from top centre about the journal's centre, positive to the right; x to the right,
y up, lengths in metres. The joint is closed when the upper half is not raised; a sideways cap or a journal
that has rolled up one side of the lower half are separate causes, so that what a wire can tell of them is
found out and not assumed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Section:
    """One section across the shaft.

    journal, bore: diameters of the circles [m]; the bore's is that of each half's own arc. raised: upper half
    above its place at the final closing [m]. cap_right: upper half to the right [m]. rolled: angle [rad] by
    which the journal touches to the right of the bottom. squashed: lemon bore only, the centre of each half's
    arc past the joint plane towards the other half [m].
    """

    journal: float
    bore: float
    raised: float = 0.0
    cap_right: float = 0.0
    rolled: float = 0.0
    squashed: float = 0.0
    turned: float = 0.0

    @property
    def journal_centre(self) -> tuple[float, float]:
        drop = 0.5 * (self.bore - self.journal)
        x, y = self._turn(0.0, self.squashed)
        return x + drop * math.sin(self.rolled), y - drop * math.cos(self.rolled)

    @property
    def upper_centre(self) -> tuple[float, float]:
        return self._turn(self.cap_right, self.raised - self.squashed)

    def _turn(self, x: float, y: float) -> tuple[float, float]:
        sine, cosine = math.sin(self.turned), math.cos(self.turned)
        return x * cosine + y * sine, y * cosine - x * sine

    def along_ray(self, angle: float) -> float:
        """Gap along the ray from the journal's centre: from the journal's surface to the upper bore [m]."""
        ox, oy = self._offset()
        radius = 0.5 * self.bore
        along = ox * math.sin(angle) + oy * math.cos(angle)
        across = ox * math.cos(angle) - oy * math.sin(angle)
        return along + math.sqrt(radius * radius - across * across) - 0.5 * self.journal

    def nearest(self, angle: float) -> float:
        """Least distance from the point of the journal at ``angle`` to the upper bore [m]."""
        ox, oy = self._offset()
        px, py = 0.5 * self.journal * math.sin(angle), 0.5 * self.journal * math.cos(angle)
        return 0.5 * self.bore - math.hypot(px - ox, py - oy)

    def _offset(self) -> tuple[float, float]:
        (jx, jy), (ux, uy) = self.journal_centre, self.upper_centre
        return ux - jx, uy - jy


@dataclass(frozen=True)
class Bearing:
    """A bearing along its axis; z in metres from the edge of the land at the first end.

    clearance: bore minus journal diameter at mid-land [m]; change: from the first end to the last [m].
    cause: where the change comes from: the bore is tapered, the journal is, or the cap stands higher at one end.
    cap_right, rolled, squashed: as in `Section`, the same in every section.
    """

    journal: float
    length: float
    clearance: float
    change: float = 0.0
    cause: str = "bore"
    cap_right: float = 0.0
    rolled: float = 0.0
    squashed: float = 0.0

    def section(self, z: float, raised: float = 0.0) -> Section:
        """The section at z, with the upper half raised by the gap at the joint."""
        here = self.change * (z / self.length - 0.5)
        journal, bore, cap = self.journal, self.journal + self.clearance, raised
        if self.cause == "bore":
            bore += here
        elif self.cause == "journal":
            journal -= here
        elif self.cause == "cap":
            cap += here
        else:
            raise ValueError(self.cause)
        return Section(journal, bore, cap, self.cap_right, self.rolled, self.squashed)

    def reading(self, z: float, angle: float, raised: float = 0.0) -> float:
        """Thickness of a wire squeezed at z [m], angle [rad], upper half raised [m]; without any error."""
        return self.section(z, raised).along_ray(angle)

    def top_clearance(self, z: float) -> float:
        """Gap above the journal at top centre with the joint as at the final closing [m]."""
        return self.section(z).along_ray(0.0)
