"""The present state of a bearing from its card, its newest clearance check and what else is known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from whitemetal.card import Card, Limit
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.errors import InputError, MethodRefused, Problem
from whitemetal.fitting.ladder import climb
from whitemetal.fitting.plan_model import Allowed, ContactWork, Matrix, Measured, Pack, Present, Spot
from whitemetal.fitting.shim_effect import joints_for_shims
from whitemetal.fitting.verdict import Band
from whitemetal.gauging.contract import Facts, PlaceResult, Result
from whitemetal.gauging.gap_shape import shape_factor
from whitemetal.gauging.wire.facts import joint_at_closing
from whitemetal.gauging.wire.layout import STEEPEST
from whitemetal.quantity import Quantity, covariance_matrix
from whitemetal.units import INCH, clearance_step, show
from whitemetal.words import say

METRIC_STOCK = (0.05e-3, 0.10e-3, 0.20e-3, 0.50e-3)
"""Shims taken to be at hand where nothing is said [m]. From memory: usual thicknesses of shim stock."""

INCH_STOCK = (0.002 * INCH, 0.005 * INCH, 0.010 * INCH, 0.020 * INCH)
"""The same where clearances are shown in inches [m]. From memory: usual thicknesses of shim stock."""


@dataclass(frozen=True)
class Said:
    """What a person says beside the checks; None or "" where nothing was said.

    stock: shims at hand [m]. pack: pieces that are in now, on each side, by joint [m]. lining: metal that may
    still come off [m]. contact: "good", or where the loaded half is still to be scraped for it: "full
    length", "flanks" or the name of an end; contact_passes: how many passes are reckoned for it.
    """

    stock: tuple[float, ...] | None = None
    pack: tuple[Pack, ...] | None = None
    lining: float | None = None
    contact: str = ""
    contact_passes: int = 1


NOTHING_SAID = Said()
"""Nothing beside the checks."""


@dataclass(frozen=True)
class Taken:
    """Something that was taken for granted. text: a sentence; source: where it comes from."""

    text: str
    source: str


def present_of(
    card: Card, clearance: Result, facts: Facts, crush: Result | None = None, said: Said = NOTHING_SAID
) -> tuple[Present, tuple[Taken, ...]]:
    """The present state, and what was taken for granted. clearance: of a check that reads the clearance place
    by place near top centre; facts: of that check; crush: of the newest crush check, None without one.

    Raises MethodRefused where the check cannot carry a plan, InputError where the card has no limit, or one
    that has no authority.
    """
    limit = climb(card, OIL_CLEARANCE).chosen
    if limit is None:
        raise InputError(Problem("limit", "", say("plan.no_limit")))
    if not clearance.places or any(abs(one.place.angle) > STEEPEST * 1.001 for one in clearance.places):
        raise MethodRefused(say("plan.wrong_check"), say("plan.right_check"))
    spots = tuple(_spot(card, one) for one in clearance.places)
    dof = min(one.value.dof for one in clearance.places)
    packs, pack_taken = _packs(card, facts, said)
    crush_limit = climb(card, "crush").chosen
    present = Present(
        spots=spots,
        clearance=Measured(
            tuple(spot.label for spot in spots), _values([one.value for one in clearance.places]),
            clearance.covariance, dof,
        ),
        band=_band(limit),
        crush=_crush(crush),
        crush_band=_band(crush_limit) if crush_limit is not None else None,
        has_crush=card.joint.shim_sits != "lined cap joint",
        packs=packs,
        unloaded="upper" if card.duty.loaded_half == "lower" else "lower",
        length=card.bearing.length,
        ends=card.bearing.ends,
        contact=_contact(card, said),
        allowed=Allowed(
            stock=said.stock if said.stock is not None else default_stock(card),
            scraping=card.bearing.scraping_allowed,
            lining=said.lining,
        ),
    )  # fmt: skip
    return present, (*pack_taken, *_taken(card, present, crush, said))


def default_stock(card: Card) -> tuple[float, ...]:
    """Shims taken to be at hand where nothing is said [m]."""
    return METRIC_STOCK if card.bearing.unit == "mm" else INCH_STOCK


def _values(quantities: Sequence[Quantity]) -> Matrix:
    return np.array([one.value for one in quantities])


def _band(limit: Limit) -> Band:
    return Band(limit.in_main_basis("minimum"), limit.in_main_basis("maximum"))


def _spot(card: Card, one: PlaceResult) -> Spot:
    place = one.place
    factor = shape_factor(card.bearing, place.angle)
    station = place.title.split(",")[0].strip() or place.piece
    return Spot(place.label, station, place.axial, place.angle, math.cos(place.angle) / factor, 1.0 / factor)


def _crush(result: Result | None) -> Measured | None:
    for one in result.assessed if result is not None else ():
        if one.of == "crush" and one.values:
            dof = min(value.dof for value in one.values)
            return Measured(one.where, _values(one.values), covariance_matrix(one.values), dof)
    return None


def _packs(card: Card, facts: Facts, said: Said) -> tuple[tuple[Pack, ...], list[Taken]]:
    """The pack of each joint in which shims may lie: as said, else the whole gap as a single piece."""
    joints = joints_for_shims(card)
    named = {pack.joint: pack for pack in said.pack or ()}
    gap = joint_at_closing(card, facts)
    thick = 0.5 * (gap.left + gap.right) if gap.filling == "shims" else 0.0
    packs, taken = [], []
    for joint in joints:
        if joint in named:
            packs.append(named[joint])
        elif said.pack is not None or thick <= 0.0:
            packs.append(Pack(joint))
        else:
            packs.append(Pack(joint, (thick,)))
            shown = show(thick, card.bearing.unit, "length", digits=3)
            taken.append(Taken(say("plan.pack_assumed", joint=joint, thickness=shown), say("plan.own")))
    if gap.filling == "shims" and abs(gap.left - gap.right) > 1e-6 and joints:
        taken.append(Taken(say("plan.sides_differ"), say("plan.practice")))
    return tuple(packs), taken


def _contact(card: Card, said: Said) -> ContactWork | None:
    where = said.contact.strip()
    if where in ("", "good"):
        return None
    choices = ("good", "full length", "flanks", *card.bearing.ends)
    if where not in choices:
        raise InputError(Problem("contact", where, say("plan.contact_choices", choices=", ".join(choices))))
    return ContactWork(where, said.contact_passes)


def _taken(card: Card, present: Present, crush: Result | None, said: Said) -> list[Taken]:
    unit, practice, own = card.bearing.unit, say("plan.practice"), say("plan.own")
    stock = ", ".join(show(one, unit, "length", step=clearance_step(unit)) for one in present.allowed.stock)
    found = []
    if said.stock is None and present.packs:
        found.append(Taken(say("plan.stock_assumed", stock=stock), say("plan.memory")))
    if present.allowed.scraping is None:
        found.append(Taken(say("plan.scraping_not_said"), own))
    if said.lining is None and present.allowed.scraping is not False:
        found.append(Taken(say("plan.lining_not_said"), own))
    if not said.contact:
        found.append(Taken(say("plan.contact_not_said"), practice))
    if present.has_crush and present.crush is None:
        found.append(Taken(say("plan.crush_not_measured"), practice))
    found.append(Taken(say("plan.same_uncertainty"), own))
    found.append(Taken(say("plan.pass_figures", **_figures(present, unit)), practice))
    found.append(Taken(say("plan.pass_of_station"), own))
    return found


def _figures(present: Present, unit: str) -> dict[str, str]:
    rough, fine = present.allowed.rough, present.allowed.finishing
    return {
        name: show(value, unit, "length", digits=2)
        for name, value in (
            ("rough_least", rough.least), ("rough_most", rough.most),
            ("fine_least", fine.least), ("fine_most", fine.most),
        )
    }  # fmt: skip
