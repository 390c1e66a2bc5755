"""Bore and journal at one station: least and greatest clearance there, and what changes along the axis."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from whitemetal.card import Card
from whitemetal.gauging.bore.layout import BORE, JOURNAL, VERTICAL, station_of
from whitemetal.gauging.bore.observe import Measured
from whitemetal.gauging.contract import Place, PlaceResult
from whitemetal.gauging.diameters import Diameter
from whitemetal.quantity import Quantity, combine
from whitemetal.words import say

APART = 0.1
"""Stations closer together than this share of the land say nothing of a change along it. Our own."""


@dataclass(frozen=True)
class Station:
    """The diameters at one station. bores: those that count for the clearance; axial [m]."""

    name: str
    axial: float
    bores: tuple[Diameter, ...]
    journals: tuple[Diameter, ...]

    @property
    def least(self) -> tuple[Diameter, Diameter]:
        """The least bore and the greatest journal diameter."""
        return min(self.bores, key=_size), max(self.journals, key=_size)

    @property
    def greatest(self) -> tuple[Diameter, Diameter]:
        """The greatest bore and the least journal diameter."""
        return max(self.bores, key=_size), min(self.journals, key=_size)


def _size(one: Diameter) -> tuple[float, str]:
    return one.value.value, one.place.label


def is_vertical(place: Place) -> bool:
    """Whether a diameter is the vertical one."""
    return abs(place.angle) <= VERTICAL


def stations_of(card: Card, measured: Measured) -> tuple[Station, ...]:
    """Stations with a bore and a journal, along the axis. In a lemon bore only vertical diameters count."""
    lemon = card.bearing.profile == "lemon"
    bores = [one for one in measured.of[BORE] if is_vertical(one.place) or not lemon]
    journals = measured.of[JOURNAL]
    names = {station_of(one.place): one.place.axial for one in bores}
    found = []
    for name, axial in names.items():
        at = tuple(one for one in journals if station_of(one.place) == name)
        own = tuple(one for one in bores if station_of(one.place) == name)
        if at:
            found.append(Station(name, axial, own, at))
    return tuple(sorted(found, key=lambda station: (station.axial, station.name)))


def mean(found: Sequence[Diameter]) -> Quantity:
    """The mean of diameters, keeping what they share."""
    return combine([1.0 / len(found)] * len(found), [one.value for one in found])


def vertical(found: Sequence[Diameter]) -> Quantity:
    """The mean of the vertical diameters, or of all where none is vertical."""
    return mean([one for one in found if is_vertical(one.place)] or found)


def extremes(station: Station) -> tuple[PlaceResult, PlaceResult]:
    """The least and the greatest clearance at a station."""
    return _extreme(station, "least", *station.least), _extreme(station, "greatest", *station.greatest)


def _extreme(station: Station, word: str, bore: Diameter, journal: Diameter) -> PlaceResult:
    title = say(f"bore.{word}", station=station.name, bore=bore.place.label, journal=journal.place.label)
    place = Place(
        f"{station.name} {word}", station.axial, bore.place.angle, bore.place.piece, "across", title
    )
    value = bore.value - journal.value
    return PlaceResult(place, value, bore.read - journal.read, bore.count + journal.count)


@dataclass(frozen=True)
class Line:
    """A straight line along the land. middle: its value at mid-land; change: from the first end to the last,
    None where the stations cannot say [m]."""

    middle: Quantity
    change: Quantity | None


def along(card: Card, stations: Sequence[Station], of: Callable[[Station], Quantity]) -> Line:
    """The straight line through a quantity of each station, all of equal weight (least squares)."""
    values = [of(station) for station in stations]
    z = np.array([station.axial for station in stations]) / card.bearing.length - 0.5
    if float(np.ptp(z)) < APART:
        return Line(combine([1.0 / len(values)] * len(values), values), None)
    weights = np.linalg.pinv(np.column_stack([np.ones_like(z), z]))
    return Line(combine(weights[0].tolist(), values), combine(weights[1].tolist(), values))
