"""What a film's consequence is made of: plain numbers [SI], ready for pictures, pages and JSON."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from whitemetal.film.bore import Rotation
from whitemetal.film.running import Known

Way = Literal["at least", "at most"]

Where = Literal["inside", "partly inside", "below", "above", "no window", "not measured"]
"""Where the measured interval lies against the widest interval of the window."""


@dataclass(frozen=True)
class Bounded:
    """A result with the 95 % interval that the measurement leaves it."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class WindowPoint:
    """The film of the card's own shape at one cold diametral clearance [m].

    least_film [m]; temperature: the one that is judged (housing, or oil that leaves) [K], infinite where it
    overheats; power [W]; flow: leakage and flow by feed pressure [m³/s]; threshold: whirl [rad/s], infinite
    where stable at any speed, None where it is not calculated. ok: every criterion is met. worst: the
    criterion with the least margin. contact: the film cannot carry the load. threshold_is: what it is.
    """

    clearance: float
    least_film: float
    temperature: float
    power: float
    flow: float
    threshold: float | None
    ok: bool
    worst: str
    contact: bool = False
    threshold_is: Known = "known"


@dataclass(frozen=True)
class CriterionShown:
    """A criterion in use. name: as in `film.window.Criterion`. value in ``unit`` ("m", "K", "-", "W",
    "m3/s")."""

    name: str
    value: float
    unit: str
    source: str
    way: Way


@dataclass(frozen=True)
class StateShown:
    """How the bearing as measured runs. answer: "runs", "contact" or "overheats".

    clearance: mean diametral, running [m]. least_film [m]; temperature: effective, of the film [K]; hottest:
    the one that is judged [K]; power [W]; flow [m³/s]; threshold: whirl, rigid rotor [rad/s], infinite where
    stable at any speed, None where not calculated; threshold_is: what it is; eccentricity over the radial
    clearance; attitude from the load in the direction of rotation [rad]; peak pressure [Pa]; bent: the
    uncertainty is not to be trusted at its ends. supply: part of a flooded bearing's oil that it gets.
    turbulence: Reynolds number over its limit.
    """

    answer: Literal["runs", "contact", "overheats"]
    clearance: float
    least_film: Bounded
    temperature: Bounded
    hottest: Bounded
    power: float
    flow: float
    threshold: float | None
    eccentricity: float
    attitude: float
    peak: float
    bent: bool = False
    supply: float = 1.0
    threshold_is: Known = "known"
    turbulence: float = 0.0


@dataclass(frozen=True)
class Consequence:
    """What a measured gap means for the oil film; plain numbers, SI. It changes no verdict and no fit.

    measured, low, high: cold diametral clearance and its 95 % interval [m], None without readings; the one to
    try where one is (tried). points:
    the window of the card's own shape, rising. intervals: (from [m], to [m], what closes it below, above),
    "" where the sweep ended first. placed: see `Where`. state: as measured, with a full supply; half: with
    half of it (ring-oiled, plain bore). aligned_film: least film [m] of the same mean clearance without the
    measured taper, tilt and shift. journal: centre in the bore, (right, up) [m] as seen from the machine's
    viewing end. gap [m], pressure [Pa]: shape (n_theta, n_z), at the running state. theta: from top centre,
    positive right, rising [rad], shape (n_theta,); z: from the edge of the land at the card's first end [m],
    shape (n_z,). running: running speed [rad/s]. rotation: which way it was taken to turn. limits: of the
    card, diametral [m]. sentence: the consequence in one. said: what was assumed. cautions: what a film does
    not know. warm_up: one sentence.
    """

    measured: float | None
    low: float | None
    high: float | None
    points: tuple[WindowPoint, ...]
    criteria: tuple[CriterionShown, ...]
    intervals: tuple[tuple[float, float, str, str], ...]
    placed: Where
    state: StateShown | None
    half: StateShown | None
    aligned_film: float | None
    journal: tuple[float, float] | None
    gap: NDArray[np.float64] | None
    pressure: NDArray[np.float64] | None
    theta: NDArray[np.float64] | None
    z: NDArray[np.float64] | None
    running: float
    rotation: Rotation
    limits: tuple[float | None, float | None]
    sentence: str
    said: tuple[str, ...]
    cautions: tuple[str, ...]
    warm_up: str
    tried: bool = False
