"""The cap's nuts or bolts."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

MOST_PASSES = 8
"""More passes than this are a slip. Our own."""

Layout = Literal["two rows", "circle"]
"""Two rows beside the shaft, as on a cap, or a circle, as on a round cover."""

ThreadIn = Literal[
    "old grey cast iron", "grey cast iron GJL-250", "nodular cast iron GJS-400", "cast steel",
    "structural steel S275", "nut of the bolt's own class", "not known",
]  # fmt: skip
"""What the thread goes into."""


@dataclass(frozen=True)
class Fasteners:
    """count of nuts on the cap. torque: the final value [N m], or None. source: document and revision.

    lubricant: the state of thread and seat for which the torque is stated. layout: how they stand. housing:
    what the thread goes into. engagement: length of thread engaged in it [m]. grip: clamped length, head to
    first thread engaged [m]. signed_by: the engineer who signed a torque that is not the maker's, "" for the
    maker's own. passes: the maker's, in percent of the final torque, "" for the usual ones.
    """

    count: int | None = None
    size: str = ""
    grade: str = ""
    torque: float | None = None
    source: str = ""
    lubricant: str = ""
    layout: Layout = "two rows"
    housing: ThreadIn = "not known"
    engagement: float | None = None
    grip: float | None = None
    signed_by: str = ""
    passes: str = ""

    @property
    def shares(self) -> tuple[float, ...]:
        """Shares of the final torque, pass by pass, as the maker's book has them; () where the card does not
        say. Raises ValueError, of a card made in a script, where they are no such shares."""
        return shares_of(self.passes) if self.passes else ()


def shares_of(text: str) -> tuple[float, ...]:
    """Passes typed as percentages ("40, 70, 100") as shares: each above the one before, the last 100 %.
    Raises ValueError."""
    found = tuple(float(part.replace("%", "")) / 100.0 for part in text.split(","))
    rising = all(low < high for low, high in pairwise((0.0, *found)))
    if not rising or found[-1] != 1.0 or len(found) > MOST_PASSES:
        raise ValueError(text)
    return found
