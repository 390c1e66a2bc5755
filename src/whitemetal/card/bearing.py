"""The bearing: journal, land, bore profile, ends and shells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Profile = Literal[
    "plain", "two axial grooves", "lemon", "tilting pad", "pressure dam", "offset halves", "multi-lobe"
]
Lubrication = Literal["ring-oiled", "pressure-fed", "flooded", "other"]


@dataclass(frozen=True)
class Bearing:
    """position: which bearing of the machine. journal_diameter, length (of the white-metal land) [m].

    ends: names of the two ends of the land; axial places are measured from the edge at ``ends[0]``.
    match_mark_end: the end that carries the match mark. side_to_top: lemon bore only, side clearance
    over top clearance, both diametral. scraping_allowed: None when the maker's book does not say.
    unit: the unit clearances of this bearing are shown in ("mm", "in" or "thou").
    """

    position: str
    journal_diameter: float
    length: float
    profile: Profile = "plain"
    ends: tuple[str, str] = ("drive end", "other end")
    match_mark_end: str = "drive end"
    lubrication: Lubrication = "other"
    side_to_top: float | None = None
    lining: str = ""
    seat: Literal["cylindrical", "spherical", "not known"] = "not known"
    scraping_allowed: bool | None = None
    groove_at_top: bool = False
    unit: Literal["mm", "in", "thou"] = "mm"

    @property
    def slenderness(self) -> float:
        """L/D [-]."""
        return self.length / self.journal_diameter
