"""The cap's nuts or bolts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

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
    maker's own.
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
