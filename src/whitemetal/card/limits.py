"""Limits as written down: every one with its basis, its rung, its document and revision."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from whitemetal.card.limited import IN_MAIN_BASIS

Basis = Literal["diametral", "radial", "joint gap", "as it is"]
Rung = Literal["maker's figure for this machine", "maker's general chart", "owner's standard", "general rule"]
RUNGS: tuple[Rung, ...] = (
    "maker's figure for this machine", "maker's general chart", "owner's standard", "general rule",
)  # fmt: skip
"""From the rung with most authority to the one with least."""


@dataclass(frozen=True)
class Limit:
    """A limit on one quantity, in the basis in which it was written.

    of: the quantity, a key of `limited.LIMITED`. minimum, maximum: limits for a bearing put back [SI of the
    quantity]. renewal: the value at which the part is renewed; it is not a limit for a new fit.
    basis: one of the quantity's, as written. document, revision: where it stands.
    with_wire_method: True where the maker states the limit together with the wire method (then
    simple acceptance may be chosen). signed_by: the engineer who adopted a general rule, "" if none.
    confirmed_by: who answered the question that a strange-looking limit raised, "" if nobody.
    """

    of: str
    minimum: float | None
    maximum: float | None
    rung: Rung
    document: str
    revision: str
    basis: Basis = "diametral"
    renewal: float | None = None
    with_wire_method: bool = False
    signed_by: str = ""
    confirmed_by: str = ""

    @property
    def adopted(self) -> bool:
        """Whether it counts: a general rule does so only once an engineer has signed it."""
        return self.rung != "general rule" or bool(self.signed_by)

    def diametral(self, which: Literal["minimum", "maximum", "renewal"]) -> float | None:
        """One of the limit's figures as a diametral value [m]; see `in_main_basis`."""
        return self.in_main_basis(which)

    def in_main_basis(self, which: Literal["minimum", "maximum", "renewal"]) -> float | None:
        """One of the limit's figures in the quantity's main basis [SI]."""
        figure: float | None = getattr(self, which)
        return None if figure is None else figure * IN_MAIN_BASIS.get(self.basis, 1.0)
