"""What a plan starts from and what it may do: plain values, SI.

The present state is the clearance place by place with its covariance, the crush with its own where it was
measured, the shims in the joints, the stock, and what the maker and the lining allow.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from whitemetal.fitting.verdict import Band

Matrix = NDArray[np.float64]


@dataclass(frozen=True)
class Pass:
    """One pass of the scraper over one station: what it takes off, at least and at most [m]."""

    least: float
    most: float

    @property
    def middle(self) -> float:
        """What a plan reckons with [m]."""
        return 0.5 * (self.least + self.most)


ROUGH = Pass(0.010e-3, 0.020e-3)
"""A rough pass [m]. Common practice."""

FINISHING = Pass(0.002e-3, 0.005e-3)
"""A finishing pass [m]. Common practice."""

MOST_ROUNDS = 8
"""More rounds of scraping than this are the work of a boring bar. Our own."""

MOST_OF_ONE = 4
"""Shims of one thickness that a plan may add on a side: a thicker pack is springy. Our own."""

HALF = 0.5
"""No pass may take more than this part of what is left to the far limit: a first pass often takes more than
was meant. Our own."""


@dataclass(frozen=True)
class Measured:
    """A quantity at several places. where: their names. values: shape (n,) [m]; covariance: shape (n, n)
    [m²], which a check after the work will have again; dof: of the joint probability."""

    where: tuple[str, ...]
    values: Matrix
    covariance: Matrix
    dof: float

    @property
    def u(self) -> Matrix:
        """Standard uncertainties [m], shape (n,)."""
        return np.sqrt(np.diag(self.covariance))


@dataclass(frozen=True)
class Spot:
    """A place of the clearance. station: which station of the scraper it belongs to. axial [m], angle [rad]
    from top centre. by_shim, by_metal: what the clearance there gains for a shim, and for metal off the
    unloaded half, of thickness 1 [-]."""

    label: str
    station: str
    axial: float
    angle: float
    by_shim: float = 1.0
    by_metal: float = 1.0


@dataclass(frozen=True)
class Pack:
    """The shims of one joint, on each side alike: thickness of each piece [m]."""

    joint: str
    pieces: tuple[float, ...] = ()

    @property
    def thickness(self) -> float:
        """Of the whole pack on one side [m]."""
        return sum(self.pieces)


@dataclass(frozen=True)
class ContactWork:
    """Scraping of the loaded half that its contact asks for, before any of the clearance: finishing passes
    over the "full length", at one end (its name) or on the "flanks"."""

    where: str
    passes: int


@dataclass(frozen=True)
class Allowed:
    """What a plan may do. scraping: the maker's word, None when his book does not say. lining: metal that
    may still come off [m], None when not recorded; shaft_drop: how far the shaft may come down [m], None
    where nothing limits it. stock: thicknesses of shims at hand [m], as many as are needed of each."""

    stock: tuple[float, ...] = ()
    scraping: bool | None = None
    lining: float | None = None
    shaft_drop: float | None = None
    rough: Pass = ROUGH
    finishing: Pass = FINISHING
    rounds: int = MOST_ROUNDS


@dataclass(frozen=True)
class Present:
    """The present state of one bearing. band: limits of the clearance; crush_band: of the crush, None where
    the card has none. crush: None where it was not measured; has_crush: False for a lined cap. packs: the
    joints in which shims may lie. unloaded: the half that is scraped for clearance. ends: names of the
    stations at the two ends of the land, at the card's first and last end."""

    spots: tuple[Spot, ...]
    clearance: Measured
    band: Band
    crush: Measured | None = None
    crush_band: Band | None = None
    has_crush: bool = True
    packs: tuple[Pack, ...] = ()
    unloaded: str = "upper"
    length: float = 0.0
    ends: tuple[str, str] = ("", "")
    contact: ContactWork | None = None
    allowed: Allowed = field(default_factory=Allowed)

    @property
    def stations(self) -> tuple[str, ...]:
        """Stations in the order of the axis, one scraper's width each."""
        by_axis = sorted(self.spots, key=lambda spot: (spot.axial, spot.station))
        return tuple(dict.fromkeys(spot.station for spot in by_axis))


@dataclass(frozen=True)
class ShimWork:
    """Shims of one joint, on each side: pieces put in and taken out [m], thickest first."""

    joint: str
    added: tuple[float, ...] = ()
    taken: tuple[float, ...] = ()

    @property
    def change(self) -> float:
        """Of the pack's thickness on one side [m]."""
        return sum(self.added) - sum(self.taken)


@dataclass(frozen=True)
class PassWork:
    """Passes over the unloaded half at one station: rough ones first, then finishing ones."""

    station: str
    rough: int = 0
    finishing: int = 0

    @property
    def count(self) -> int:
        """Passes in all."""
        return self.rough + self.finishing


@dataclass(frozen=True)
class Work:
    """All that is done to the fit."""

    shims: tuple[ShimWork, ...] = ()
    passes: tuple[PassWork, ...] = ()

    @property
    def changes_shims(self) -> bool:
        """Whether any piece is put in or taken out."""
        return any(one.added or one.taken for one in self.shims)

    @property
    def rounds(self) -> int:
        """Openings for scraping: one pass at a station each, all stations in the same opening."""
        return max((one.count for one in self.passes), default=0)
