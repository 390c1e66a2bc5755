"""From a card to what the film needs: conditions, the nominal shape's curve, criteria, a bore as measured.

Every number the card does not give is a labelled assumption in ``said``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from whitemetal.card import Bearing, Card, Duty
from whitemetal.card.bearing import Profile
from whitemetal.card.duty import LoadDirection
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.errors import InputError, Problem
from whitemetal.film.bore import Bore, Measured, Rotation, bore_of, grooved
from whitemetal.film.curve import Curve
from whitemetal.film.heat import (
    AMBIENT,
    AREA_OVER_PROJECTED,
    STILL_AIR,
    SUPPLY,
    CarriedByOil,
    Convection,
    Cooling,
    Held,
    conductance_from,
)
from whitemetal.film.oil import OilLaw, from_grade
from whitemetal.film.permissible import Criteria, usual
from whitemetal.film.running import Conditions, settle
from whitemetal.film.solved import MeasuredFilm, Setting, round_bearing, solve_setting, starved_bearing
from whitemetal.units import clearance_step, show
from whitemetal.words import say

RULED_RELATIVE = 1.5e-3
"""Clearance over diameter at which a known running temperature is believed when the card has no limits:
middle of the general rules. Common practice."""


@dataclass(frozen=True)
class Nominal:
    """A card as the film sees it. curve: of the card's own shape, never of a measured one. said: what was
    assumed, one sentence each."""

    conditions: Conditions
    curve: Curve
    criteria: Criteria
    said: tuple[str, ...]


def nominal(
    card: Card,
    *,
    oil: OilLaw | None = None,
    cooling: Cooling | None = None,
    load: float | None = None,
    ambient: float | None = None,
    supply: float | None = None,
    feed_pressure: float | None = None,
    rotation: Rotation | None = None,
) -> Nominal:
    """Conditions, curve and criteria of a card. oil, cooling, load [N], ambient [K]: instead of the card's
    ("what if"). supply: part of the oil a flooded bearing loses that is delivered (rings), None for a flooded
    film; then there is no stiffness, and no whirl criterion. feed_pressure: in the grooves [Pa]. rotation:
    seen from the machine's viewing end. What is None is the card's, or assumed.

    Raises InputError with everything the card lacks (``duty.load``, ``duty.direction``, ``oil.grade``), for
    a bore that is not fixed (``bearing.profile``) and for a part of the supply in a bore that is not plain.
    """
    force = card.duty.load if load is None else load
    problems = []
    if force is None:
        problems.append(Problem("duty.load", "", say("film.no_load")))
    if card.duty.direction == "not known":
        problems.append(Problem("duty.direction", "not known", say("film.no_direction")))
    if oil is None and not card.oil.grade:
        problems.append(Problem("oil.grade", "", say("film.no_grade")))
    if problems or force is None:
        raise InputError(*problems)
    law = from_grade(card.oil.grade) if oil is None else oil
    pressure = feed_pressure_of(card) if feed_pressure is None else feed_pressure
    around = ambient if ambient is not None else card.duty.ambient
    curve = curve_of(card.bearing, card.duty, rotation or rotation_of(card))
    given = Conditions(
        card.bearing.journal_diameter, card.bearing.length, card.machine.speed, force, law,
        Held(AMBIENT), ambient=AMBIENT if around is None else around, feed_pressure=pressure,
        mass=card.duty.rotor_mass,
    )  # fmt: skip
    found, said = (cooling, []) if cooling is not None else _cooling(card, given, curve)
    conditions = replace(given, cooling=found)
    by_air = isinstance(found, Convection)
    criteria = usual(conditions.diameter, conditions.surface_speed, by_convection=by_air)
    said = [*law.said, *said, *_cautions(card, around)]
    if supply is None:
        return Nominal(conditions, curve, criteria, tuple(said))
    said.append(say("film.part_supplied", percent=f"{100 * supply:.0f}"))
    return Nominal(conditions, _starved(card, supply), replace(criteria, whirl_margin=None), tuple(said))


def rotation_of(card: Card) -> Rotation:
    """Which way the shaft turns: the card's, else clockwise."""
    return "clockwise" if card.machine.rotation == "not known" else card.machine.rotation


def feed_pressure_of(card: Card) -> float:
    """Pressure in the grooves [Pa]: the card's where oil is fed under pressure, else none."""
    fed = card.bearing.lubrication == "pressure-fed"
    return card.oil.feed_pressure or 0.0 if fed else 0.0


def _starved(card: Card, supply: float) -> Curve:
    if card.bearing.profile != "plain" or card.bearing.groove_at_top:
        raise InputError(Problem("bearing.profile", card.bearing.profile, say("film.plain_only")))
    return starved_bearing(card.bearing.slenderness, supply)


def curve_of(bearing: Bearing, duty: Duty, rotation: Rotation = "clockwise") -> Curve:
    """The curve of a card's shape: solved once for each shape, load direction and rotation.

    Raises InputError for a bore that is not fixed or a direction that is not known.
    """
    bore_of(bearing, duty, Measured(1.0), rotation=rotation, n_theta=12, n_z=11)
    if bearing.profile == "plain" and not bearing.groove_at_top:
        return round_bearing(bearing.slenderness)
    return _shaped(
        bearing.profile, bearing.slenderness, bearing.side_to_top, bearing.groove_at_top, duty.direction,
        rotation,
    )  # fmt: skip


@lru_cache(maxsize=32)
def _shaped(
    profile: Profile, slenderness: float, side_to_top: float | None, at_top: bool, direction: LoadDirection,
    rotation: Rotation,
) -> Curve:  # fmt: skip
    shape = Bearing("", 1.0, slenderness, profile, side_to_top=side_to_top, groove_at_top=at_top)
    bore = bore_of(shape, Duty(direction=direction), Measured(1.0), rotation=rotation)
    return solve_setting(Setting(bore.dimensionless, slenderness, bore.load_angle, bore.feed))


def measured_film(bore: Bore, *, moving: bool = False) -> MeasuredFilm:
    """The film of a bore as measured (`bore_of`); its departures stay while the clearance warms.

    The film is free to start where it likes: the widest gap of a bore whose halves are shifted jumps from one
    joint to the other while the journal moves. In a round bore the two starts differ by 0.1 % in film.
    """
    return MeasuredFilm(
        bore.clearance - bore.reference, bore.slenderness, bore.load_angle, bore.feed, moving, "free"
    )  # fmt: skip


def _cooling(card: Card, given: Conditions, curve: Curve) -> tuple[Cooling, list[str]]:
    if card.bearing.lubrication == "pressure-fed":
        return _carried_away(card, given)
    if card.duty.hot_temperature is not None:
        return _housing_as_it_runs(card, given, curve, card.duty.hot_temperature)
    area = AREA_OVER_PROJECTED * given.diameter * given.length
    text = say(
        "film.housing_from_size",
        conductance=f"{STILL_AIR * area:.3g}", coefficient=f"{STILL_AIR:.0f}", area=f"{area:.2g}",
    )  # fmt: skip
    return Convection(given.ambient, area), [text]


def _carried_away(card: Card, given: Conditions) -> tuple[Cooling, list[str]]:
    """By oil fed under pressure."""
    said, inlet = [], card.oil.inlet_temperature
    if inlet is None:
        said.append(say("film.supply_assumed", temperature=show(SUPPLY, "degC", "temperature", step=1.0)))
    if given.feed_pressure == 0.0:
        said.append(say("film.feed_left_out"))
    elif not grooved(card.bearing):
        said.append(say("film.feed_no_groove"))
    return CarriedByOil(SUPPLY if inlet is None else inlet), said


def _housing_as_it_runs(card: Card, given: Conditions, curve: Curve, hot: float) -> tuple[Cooling, list[str]]:
    """What the housing gives off, from the temperature it is known to run at with the expected clearance."""
    cold = expected_clearance(card)
    state = settle(replace(given, cooling=Held(hot)), cold, curve)
    conductance = conductance_from(hot, given.ambient, state.power)
    text = say(
        "film.housing_from_temperature",
        temperature=show(hot, "degC", "temperature", step=1.0),
        clearance=show(cold, card.bearing.unit, "length", step=clearance_step(card.bearing.unit)),
        conductance=f"{conductance:.3g}",
    )
    return Convection(given.ambient, conductance / STILL_AIR), [text]


def expected_clearance(card: Card) -> float:
    """Diametral clearance to expect [m]: the middle of the limit with both figures that has the most
    authority, else by rule."""
    for limit in card.limits_on(OIL_CLEARANCE):
        low, high = limit.diametral("minimum"), limit.diametral("maximum")
        if low is not None and high is not None:
            return 0.5 * (low + high)
    return RULED_RELATIVE * card.bearing.journal_diameter


def _cautions(card: Card, ambient: float | None) -> list[str]:
    said = [say("film.housing_expands")]
    if ambient is None and card.bearing.lubrication != "pressure-fed":
        said.append(say("film.ambient_assumed", temperature=show(AMBIENT, "degC", "temperature", step=1.0)))
    if card.bearing.lubrication == "ring-oiled":
        said.append(say("film.ring_optimistic"))
    if card.duty.direction != "down" and card.duty.rotor_mass is None:
        said.append(say("film.mass_from_load"))
    return said
