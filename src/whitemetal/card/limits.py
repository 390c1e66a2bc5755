"""Limits as written down: every one with its basis, its rung, its document and revision."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Basis = Literal["diametral", "radial"]
Rung = Literal["maker's figure for this machine", "maker's general chart", "owner's standard", "general rule"]
RUNGS: tuple[Rung, ...] = (
    "maker's figure for this machine", "maker's general chart", "owner's standard", "general rule",
)  # fmt: skip
"""From the rung with most authority to the one with least."""


@dataclass(frozen=True)
class Limit:
    """A limit on one quantity, in the basis in which it was written.

    of: the quantity, e.g. "oil clearance". minimum, maximum: limits for a bearing put back [m].
    renewal: the value at which the shells are renewed [m]; it is not a limit for a new fit.
    basis: diametral or radial, as written. document, revision: where it stands.
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

    def diametral(self, which: Literal["minimum", "maximum", "renewal"]) -> float | None:
        """One of the limit's figures as a diametral value [m]."""
        figure: float | None = getattr(self, which)
        return None if figure is None else figure * (2.0 if self.basis == "radial" else 1.0)
