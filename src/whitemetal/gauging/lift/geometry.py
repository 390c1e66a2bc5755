r"""What a lift reads, against the diametral clearance.

Lever. The shaft pivots at the far bearing. An indicator at the distance a from it and the bearing at b move
as a : b, so the shaft rises in the bearing by ``travel * b / a`` (derived from geometry; rigid shaft).

Plain bore, journal at rest at the bottom: lifted till it touches the top it travels Cd. A bore whose upper
half is relieved along the middle (pressure dam) stops it on the lands left standing.

Tilting pads, n of them, equally spaced, each free to tip: a journal touches a pad where the pad's pivot
looks at the centre. With the radial clearance c over the pivots the journal's centre may be anywhere with
``x . e_i <= c`` for every pivot direction e_i: a regular polygon of n sides at the distance c from the
middle, with its corners, between two pads, at ``c / cos(pi/n)``.

* n even: below a pad another lies opposite, below a gap a gap. Lift over pads 2c, factor 1; between pads
  ``2c / cos(pi/n)``, factor ``1 / cos(pi/n)``: four pads 1/cos 45 deg = 1.414.
* n odd: opposite to a pad is a gap, so both ways ``c + c / cos(pi/n)``, factor ``(1 + 1/cos(pi/n)) / 2``:
  five pads (1 + 1/cos 36 deg)/2 = 1.118.
"""

from __future__ import annotations

import math

ON_PAD = "on a pad"
BETWEEN = "between two pads"
RESTS = (ON_PAD, BETWEEN)

FEWEST_PADS = 3
"""Fewer pads hold no journal. Derived from geometry."""


def pad_factor(pads: int, rests: str) -> float:
    """Lift over diametral clearance [-] of tilting pads. rests: where the journal lies, one of `RESTS`.

    Raises ValueError below three pads.
    """
    if pads < FEWEST_PADS:
        raise ValueError(f"{pads} pads hold no journal")
    corner = 1.0 / math.cos(math.pi / pads)
    if pads % 2:
        return 0.5 * (1.0 + corner)
    return corner if rests == BETWEEN else 1.0
