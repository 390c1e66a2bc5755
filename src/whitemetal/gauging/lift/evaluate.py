"""From the travels of two indicators to the clearance: shaft less cap, lever, factor of the bore.

``Cd = (shaft * b/a - cap) / f``: a, b and f of `geometry`. The cap's own travel was lifted by the shaft
and is no clearance. Lifting bends the shaft and springs the cap's seat, so what is left unknown of it makes
the value too large, never too small.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.gauging.asked import by_place, mean_of
from whitemetal.gauging.contract import (
    CLEARANCE,
    Assumed,
    Facts,
    Finding,
    Named,
    Place,
    PlaceResult,
    Reading,
    Result,
)
from whitemetal.gauging.gap_fit import SQUEEZES_AGREE, relative, shown, shrinking
from whitemetal.gauging.instruments import DIAL_INDICATOR, of_instrument, of_step
from whitemetal.gauging.lift import doubts
from whitemetal.gauging.lift.geometry import RESTS, pad_factor
from whitemetal.gauging.wire.facts import length, text
from whitemetal.gauging.wire.influences import ESTIMATED_DOF, STEEL_EXPANSION, amount
from whitemetal.quantity import Influence, Quantity, combine, covariance_matrix
from whitemetal.quantity.value import Shape
from whitemetal.units import read
from whitemetal.words import say

SHAFT, CAP = "shaft", "cap"

FEEL = 6e-6
"""Standard uncertainty [m] of finding where the shaft stops with a small force. Our own; with the indicators
and the bending it gives the 0.02 to 0.03 mm (k = 2) of common practice."""

BENDING = 5e-6
BENDING_FORCE_UNKNOWN = 15e-6
"""The shaft may have bent, and the reading be too large, by as much [m]: lifted with a force as recommended,
or with one that nobody recorded. Our own."""

CAP_UNREAD = 20e-6
"""Without an indicator on it the cap may have travelled by as much [m]. Our own; common practice says only
that the reading is too large."""

ARM = 5e-3
"""Lever arms are taped to this [m], rectangular. Our own."""

SHRINKS = ("reading", "feel")
"""Families that lifting again makes smaller."""


@dataclass(frozen=True)
class Lift:
    """One lift. shaft: its travel in the bearing [m]. cap: the cap's, None where it was not read."""

    number: int
    shaft: Quantity
    cap: Quantity | None
    count: int


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The oil clearance by lifting the shaft; diametral, SI. Raises UnitError on a fact that cannot be read.

    Without an indicator on the cap the result says so and asks. A bore whose factor is not known gives no
    value.
    """
    by_label = {place.label: place for place in places}
    findings = list(doubts.before(card, facts, by_label, readings))
    factor = factor_of(card, facts)
    usable = [one for one in readings if one.place in by_label and not _nothing(one)]
    lifts = lifts_of(facts, usable)
    if factor is None:
        findings.append(doubts.factor_unknown(card))
    if not lifts:
        findings.append(doubts.found("no_readings", "hold"))
    if factor is None or not lifts:
        return Result(None, findings=tuple(findings))
    clearance = _clearance(card, facts, lifts, factor)
    findings += [*_of_lifts(card, lifts), *relative("lift", card, clearance, ())]
    place = Place("lift", 0.5 * card.bearing.length, 0.0, "lift", title=say("lift.place"))
    count = sum(one.count for one in lifts)
    result = PlaceResult(place, clearance, _mean_travel(lifts), count, len(lifts))
    return Result(
        overall=clearance,
        places=(result,),
        covariance=covariance_matrix([clearance]),
        named=_named(lifts, factor),
        findings=tuple(findings),
        shrinking=shrinking([clearance], _shrinks),
        unknown=(say("lift.no_axis"), say("lift.one_direction")),
        assumed=_assumed(card, facts, lifts),
        says={CLEARANCE: clearance},
    )


def _nothing(reading: Reading) -> bool:
    """A shaft that did not rise was not lifted; a cap may well stay."""
    return reading.place == SHAFT and reading.value <= 0.0


def factor_of(card: Card, facts: Facts) -> float | None:
    """Lift over diametral clearance [-]; None where nobody knows it."""
    said = text(facts, "factor")
    if said:
        return read(said, "ratio", field="factor").value
    if card.bearing.profile in ("offset halves", "multi-lobe"):
        return None
    if card.bearing.profile != "tilting pad":
        return 1.0
    pads, rests = text(facts, "pads"), text(facts, "rests")
    if not pads.isdecimal() or int(pads) < 3 or rests not in RESTS:
        return None
    return pad_factor(int(pads), rests)


def lifts_of(facts: Facts, readings: Sequence[Reading]) -> tuple[Lift, ...]:
    """Every lift in which the shaft's travel was read."""
    groups = by_place(readings)
    found = []
    for number in sorted({squeeze for squeeze, _ in groups}):
        shaft, cap = groups.get((number, SHAFT)), groups.get((number, CAP))
        if shaft is not None:
            travel = _travel(facts, number, SHAFT, shaft) * _lever(facts)
            rise = _travel(facts, number, CAP, cap) if cap is not None else None
            found.append(Lift(number, travel, rise, len(shaft) + (len(cap) if cap else 0)))
    return tuple(found)


def _travel(facts: Facts, number: int, where: str, group: Sequence[Reading]) -> Quantity:
    """What one indicator showed in one lift. Two indicators are two instruments, whatever their names."""
    mean, name = mean_of(group), group[0].instrument
    step = of_step("lift", f"{number}.{where}", group)
    mpe = of_instrument(f"lift.{where}", facts, name, DIAL_INDICATOR, abs(mean))
    if name and where == CAP:
        key = f"{mpe.key}.{CAP}"
        mpe = Influence(key, mpe.label, mpe.u, mpe.dof, mpe.shape, mpe.source, mpe.family)
    return Quantity(mean, {step: step.u, mpe: mpe.u})


def _lever(facts: Facts) -> Quantity:
    """b/a, 1 where the arms were not recorded."""
    a, b = length(facts, "to_indicator"), length(facts, "to_bearing")
    if a is None or b is None or a <= 0.0 or b <= 0.0:
        return Quantity(1.0)
    arms = [
        Quantity.of(arm, Influence(
            f"lift.arm.{name}", say("lift.arm"), ARM / math.sqrt(3.0), math.inf, "rectangular",
            say("lift.own"), "arm",
        ))
        for name, arm in (("bearing", b), ("indicator", a))
    ]  # fmt: skip
    return arms[0] / arms[1]


def _clearance(card: Card, facts: Facts, lifts: Sequence[Lift], factor: float) -> Quantity:
    """Mean of the lifts over the factor, with what all of them share."""
    each = [_rise(one) for one in lifts]
    mean = combine([1.0 / len(each)] * len(each), each)
    scatter = _scatter(each)
    if scatter is not None:
        mean += scatter
    return (mean + Quantity(0.0, _shared(card, facts, lifts))) * (1.0 / factor)


def _rise(one: Lift) -> Quantity:
    """Shaft less cap of one lift [m], with what is open about where the shaft stopped."""
    feel = Influence(
        f"lift.feel.{one.number}", say("lift.feel"), FEEL, ESTIMATED_DOF, "normal", say("lift.own"), "feel"
    )
    rise = one.shaft + Quantity.of(0.0, feel)
    return rise - one.cap if one.cap is not None else rise


def _scatter(each: Sequence[Quantity]) -> Quantity | None:
    """What repeats show beyond the feel that the budget has already; None when they show no more."""
    if len(each) < 2:
        return None
    mean = math.fsum(one.value for one in each) / len(each)
    variance = math.fsum((one.value - mean) ** 2 for one in each) / (len(each) - 1)
    more = variance - FEEL**2
    if more <= 0.0:
        return None
    u = math.sqrt(more / len(each))
    return Quantity.of(0.0, Influence(
        "lift.scatter", say("lift.scatter"), u, float(len(each) - 1), "student",
        say("lift.scatter_source"), "reading",
    ))  # fmt: skip


def _shared(card: Card, facts: Facts, lifts: Sequence[Lift]) -> dict[Influence, float]:
    known = bool(text(facts, "force"))
    bend = BENDING if known else BENDING_FORCE_UNKNOWN
    warmth = card.bearing.journal_diameter * STEEL_EXPANSION * amount(card, "temperature")
    rows = [("lift.bending", bend), ("lift.temperature", warmth)]
    without = sum(one.cap is None for one in lifts)
    if without:
        rows.append(("lift.cap_unread", CAP_UNREAD * without / len(lifts)))
    found = {}
    for key, half in rows:
        shape: Shape = "rectangular" if key == "lift.temperature" else "one-sided rectangular"
        family = key.removeprefix("lift.")
        influence = Influence(key, say(key), half / math.sqrt(3.0), math.inf, shape, say("lift.own"), family)
        found[influence] = influence.u
    return found


def _of_lifts(card: Card, lifts: Sequence[Lift]) -> Iterator[Finding]:
    """The cap's travel, and lifts that do not repeat."""
    caps = [one.cap.value for one in lifts if one.cap is not None]
    if len(caps) < len(lifts):
        yield doubts.found("no_cap", "question")
    else:
        mean = math.fsum(caps) / len(caps)
        yield doubts.found("cap_read", "note", travel=shown(card, mean))
        if mean < 0.0:
            yield doubts.found("cap_down", "hold")
    rises = [_rise(one).value for one in lifts if len(caps) in (0, len(lifts))]
    apart = max(rises) - min(rises) if rises else 0.0
    if apart > SQUEEZES_AGREE * (1 + 1e-9):
        yield doubts.found("repeats_differ", "hold", apart=shown(card, apart),
                           allowed=shown(card, SQUEEZES_AGREE))  # fmt: skip
    if len(lifts) == 1:
        yield doubts.found("once", "warning")


def _mean_travel(lifts: Sequence[Lift]) -> float:
    return math.fsum(one.shaft.value for one in lifts) / len(lifts)


def _named(lifts: Sequence[Lift], factor: float) -> tuple[Named, ...]:
    share = [1.0 / len(lifts)] * len(lifts)
    note = say("lift.factor_note", factor=f"{factor:.3f}") if factor != 1.0 else ""
    found = [Named("shaft_travel", say("lift.shaft_travel"), combine(share, [one.shaft for one in lifts]),
                   note=note)]  # fmt: skip
    caps = [one.cap for one in lifts if one.cap is not None]
    if caps:
        found.append(
            Named("cap_travel", say("lift.cap_travel"), combine([1.0 / len(caps)] * len(caps), caps))
        )
    return tuple(found)


def _shrinks(influence: Influence) -> bool:
    return influence.family in SHRINKS


def _assumed(card: Card, facts: Facts, lifts: Sequence[Lift]) -> tuple[Assumed, ...]:
    found = []
    if not text(facts, "to_indicator") or not text(facts, "to_bearing"):
        found.append(Assumed("lever", say("lift.lever_label"), say("lift.at_bearing"), say("lift.own")))
    if not text(facts, "force"):
        most = f"{BENDING_FORCE_UNKNOWN * 1e6:g} µm"
        found.append(Assumed("bending", say("lift.bending"), most, say("lift.own")))
    if any(one.cap is None for one in lifts):
        found.append(
            Assumed("cap_unread", say("lift.cap_unread"), f"{CAP_UNREAD * 1e6:g} µm", say("lift.own"))
        )
    return tuple(found)
