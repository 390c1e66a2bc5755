"""One card: one bearing in one machine."""

from __future__ import annotations

from dataclasses import dataclass, field

from whitemetal.card.bearing import Bearing
from whitemetal.card.construction import Construction
from whitemetal.card.duty import Duty
from whitemetal.card.fasteners import Fasteners
from whitemetal.card.joint import Joint
from whitemetal.card.limits import RUNGS, Limit
from whitemetal.card.machine import Machine
from whitemetal.card.oil import Oil


@dataclass(frozen=True)
class Card:
    """The standing facts of one bearing. ``typed`` keeps every value as it was typed, by field name.

    digest: SHA-256 of the card's canonical content, which names its revision; "" before it is kept.
    uncertainty: the bearing's own values for entries of the uncertainty budget, by name [SI].
    """

    machine: Machine
    bearing: Bearing
    joint: Joint = field(default_factory=Joint)
    fasteners: Fasteners = field(default_factory=Fasteners)
    oil: Oil = field(default_factory=Oil)
    duty: Duty = field(default_factory=Duty)
    construction: Construction = field(default_factory=Construction)
    limits: tuple[Limit, ...] = ()
    uncertainty: dict[str, float] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)
    digest: str = ""

    def limits_on(self, quantity: str) -> tuple[Limit, ...]:
        """The limits on a quantity (their ``of``), the rung with most authority first."""
        found = (limit for limit in self.limits if limit.of == quantity)
        return tuple(sorted(found, key=lambda limit: RUNGS.index(limit.rung)))
