"""From readings to the crush: interference of the shell's back in its housing, diametral.

Three ways, by what is at hand:

A  wire on the back at the crown, equal shims T in the housing joint:  crush = T - t_back
B  wires in the housing joint and on the back:                         crush = (t_left + t_right)/2 - t_back
C  feeler at one joint face while the other side is home:              crush = g / pi

A and B: with the halves of the shell closed on each other and the cap held off by T, the gap between back
and cap at the crown is T less the interference (derived from geometry; shims of equal thickness on both
sides of the split are Zeidan and Herbage's way, 20th Turbomachinery Symposium 1991). C: the whole excess of
circumference, pi times the excess of diameter, shows at the one slack joint, if friction lets the shells
slide (derived); it is done from both sides and averaged. No gap at all shows that the crush is nothing or
less, not how much less.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.gauging.contract import Assessed, Facts, Finding, Place, Reading, Result, Severity
from whitemetal.gauging.crush.limits import rules_of, seat_of
from whitemetal.gauging.instruments import FEELER, OUTSIDE_MICROMETER, of_instrument, of_step
from whitemetal.gauging.wire.facts import length, text, torque
from whitemetal.gauging.wire.influences import influence
from whitemetal.gauging.wire.squeeze import JOINT_DIFFERENCE, TORQUE_SHARE, WARN
from whitemetal.quantity import Influence, Quantity, combine, probability_between
from whitemetal.units import clearance_step, show
from whitemetal.words import say

SHIMS = "wire on the back, shims in the joint"
WIRES = "wires on the back and in the joint"
FEELERS = "feeler"
WAYS = (SHIMS, WIRES, FEELERS)

SHIMS_EQUAL = 10e-6
"""Shims of one pair differ by no more [m]. Our own."""

SLIDE_SHARE = 0.25
"""By the feeler's way the shells may not have slid all the way: a quarter of the crush, rectangular. Our own;
common practice calls the way approximate."""

FEEL = 10e-6
"""Standard uncertainty of finding a gap by feel [m]. Common practice: feelers are good to 0.02 to 0.05 mm."""

LOOSE_FOR_SURE = 0.95
"""Probability at which a crush below nothing is called proven: the decision rule's own 95 % (ISO 14253-1)."""

PRACTICE = "common practice"


@dataclass(frozen=True)
class Station:
    """One ring: thickness on the back, gaps of the joint left and right [m]; None where nothing was read."""

    name: str
    back: Quantity | None
    left: Quantity | None
    right: Quantity | None


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The crush at each station, diametral, SI. Positive: tight. Raises UnitError."""
    if card.joint.shim_sits == "lined cap joint":
        return Result(None, findings=(_found("none_exists", "refused", "derived from geometry"),))
    way = text(facts, "way")
    findings = [*_closing(card, facts, way), *_readings(card, facts, way, readings)]
    bad = {finding.place for finding in findings if finding.place and finding.severity == "hold"}
    usable = [reading for reading in readings if reading.place not in bad]
    stations = _stations(card, way, places, facts, usable)
    found = [(one.name, nip) for one in stations if (nip := _crush(card, way, facts, one)) is not None]
    findings += [finding for one in stations for finding in _sides(card, way, one)]
    findings += _left_out(way, places, usable, stations, {name for name, _ in found})
    findings += _sign(card, facts, found)
    if not found:
        findings.append(_found("no_readings", "hold"))
        return Result(None, findings=tuple(findings))
    crush = Assessed(
        "crush", say("crush.label"), tuple(value for _, value in found), tuple(name for name, _ in found),
        note=say("crush.sign"), rules=rules_of(card, facts),
    )  # fmt: skip
    return Result(None, findings=tuple(findings), assessed=(crush,))


def _found(
    code: str, severity: Severity, source: str = PRACTICE, place: str = "", **values: object
) -> Finding:
    return Finding(f"crush.{code}", severity, say(f"crush.{code}", **values), source, place)


def _shown(card: Card, value: float) -> str:
    unit = card.bearing.unit
    return show(value, unit, "length", step=clearance_step(unit))


def _stations(
    card: Card, way: str, places: Sequence[Place], facts: Facts, readings: Sequence[Reading]
) -> tuple[Station, ...]:
    """The rings that were read, in the order of the places."""
    by_place: dict[str, list[Reading]] = {}
    for reading in readings:
        by_place.setdefault(reading.place, []).append(reading)
    made = {
        place.label: _thickness(card, way, place, facts, by_place[place.label])
        for place in places
        if place.label in by_place
    }
    names = dict.fromkeys(place.piece for place in places if place.label in made)
    return tuple(
        Station(name, made.get(f"{name} crown"), made.get(f"{name} left"), made.get(f"{name} right"))
        for name in names
    )


def _thickness(card: Card, way: str, place: Place, facts: Facts, group: Sequence[Reading]) -> Quantity:
    mean = math.fsum(reading.value for reading in group) / len(group)
    kind = FEELER if way == FEELERS else OUTSIDE_MICROMETER
    parts: dict[Influence, float] = {}
    for one in (
        of_step("crush", place.label, group),
        of_instrument("crush", facts, group[0].instrument, kind, mean),
        _hand(card, way, place),
    ):
        parts[one] = one.u
    return Quantity(mean, parts)


def _hand(card: Card, way: str, place: Place) -> Influence:
    """What a strip that is not uniform, or a feeler's drag, leaves open."""
    if way != FEELERS:
        return influence(card, "strip", f"crush.{place.label}")
    return Influence(
        f"crush.feel.{place.label}", say("crush.feel"), FEEL, math.inf, "normal", PRACTICE, "feel"
    )


def _crush(card: Card, way: str, facts: Facts, one: Station) -> Quantity | None:
    """The crush of a station; None while something is missing for it."""
    if way == FEELERS:
        sides = [side for side in (one.left, one.right) if side is not None]
        if not sides:
            return None
        gap = combine([1.0 / len(sides)] * len(sides), sides) * (1.0 / math.pi)
        u = SLIDE_SHARE * abs(gap.value) / math.sqrt(3.0)
        slide = Influence(
            "crush.slide", say("crush.slide"), u, math.inf, "one-sided rectangular", "our own", "slide"
        )
        return gap + Quantity.of(0.0, slide)
    joint = _shims(card, facts) if way == SHIMS else _joint_wires(one)
    if joint is None or one.back is None:
        return None
    nip = joint - one.back + Quantity.of(0.0, influence(card, "closure", "crush"))
    return nip + Quantity.of(0.0, influence(card, "spring_back", "crush")) if way == SHIMS else nip


def _shims(card: Card, facts: Facts) -> Quantity | None:
    sides = [length(facts, f"shim_{side}") for side in ("left", "right")]
    known = [side for side in sides if side is not None]
    if not known:
        return None
    return Quantity.of(math.fsum(known) / len(known), influence(card, "shim", "crush"))


def _joint_wires(one: Station) -> Quantity | None:
    if one.left is None or one.right is None:
        return None
    return combine([0.5, 0.5], [one.left, one.right])


def _closing(card: Card, facts: Facts, way: str) -> Iterator[Finding]:
    """How the cap was closed, and where the shims or wires lay."""
    if text(facts, "tightened") == "not final":
        yield _found("not_final", "hold")
    used, final = torque(facts, "torque"), card.fasteners.torque
    if used is not None and final is not None and abs(used - final) > TORQUE_SHARE * final:
        yield _found("other_torque", "hold", used=f"{used:.0f}", final=f"{final:.0f}")
    joint = text(facts, "in_which_joint")
    if way != FEELERS and joint == "shell joint":
        yield _found("wrong_joint", "refused", "derived from geometry")
    elif way != FEELERS and joint and joint != "housing joint":
        yield _found("nothing_in_joint", "hold", "derived from geometry")
    if text(facts, "shells_closed") == "no":
        yield _found("shells_open", "hold", "derived from geometry")
    left, right = length(facts, "shim_left"), length(facts, "shim_right")
    if way == SHIMS and left is not None and right is not None and abs(left - right) > SHIMS_EQUAL:
        yield _found("shims_differ", "hold", left=_shown(card, left), right=_shown(card, right))


def _readings(card: Card, facts: Facts, way: str, readings: Sequence[Reading]) -> Iterator[Finding]:
    """Wires hardly or too much flattened; a gap below nothing."""
    wire = length(facts, "wire_diameter")
    for reading in readings:
        if reading.value < 0.0 or (reading.value == 0.0 and way != FEELERS):
            yield _found("not_positive", "hold", place=reading.place, where=reading.place, typed=reading.text)
        elif way != FEELERS and wire is not None and not WARN[0] <= reading.value / wire <= WARN[1]:
            percent = f"{100 * reading.value / wire:.0f}"
            said = {"where": reading.place, "typed": reading.text, "percent": percent}
            code = "too_thin" if reading.value / wire < WARN[0] else "hardly_flattened"
            yield _found(code, "hold", place=reading.place, **said)


def _left_out(
    way: str,
    places: Sequence[Place],
    readings: Sequence[Reading],
    stations: Sequence[Station],
    done: set[str],
) -> Iterator[Finding]:
    """Readings this way has no use for, and stations it could not be worked out at."""
    useless = {SHIMS: ("left", "right"), FEELERS: ("crown",)}.get(way, ())
    read = {reading.place for reading in readings}
    for place in places:
        if place.label in read and place.label.removeprefix(place.piece).strip() in useless:
            yield _found("not_used", "warning", place=place.label, where=place.label, way=way)
    for one in stations:
        if done and one.name not in done:
            yield _found("incomplete", "hold", station=one.name)


def _sides(card: Card, way: str, one: Station) -> Iterator[Finding]:
    """Left against right, and what a feeler cannot tell."""
    if one.left is not None and one.right is not None:
        difference = abs(one.left.value - one.right.value)
        if way == WIRES and difference > JOINT_DIFFERENCE:
            yield _found("cocked", "hold", station=one.name, difference=_shown(card, difference))
    if way == FEELERS:
        sides = [side for side in (one.left, one.right) if side is not None]
        if len(sides) == 1:
            yield _found("one_side", "warning", station=one.name)
        if sides and all(side.value == 0.0 for side in sides):
            yield _found("no_gap", "hold", station=one.name)
        elif one.left is not None and one.right is not None:
            least, most = sorted((one.left.value, one.right.value))
            if most - least > max(SLIDE_SHARE * most, JOINT_DIFFERENCE):
                yield _found("stuck", "hold", station=one.name, difference=_shown(card, most - least))


def _sign(card: Card, facts: Facts, found: Sequence[tuple[str, Quantity]]) -> Iterator[Finding]:
    """The sign in words; a loose shell in a cylindrical seat is a fault."""
    for name, crush in found:
        by = _shown(card, abs(crush.value))
        yield _found("tight" if crush.value >= 0.0 else "loose", "note", station=name, by=by)
        if probability_between(crush.value, crush.u, crush.dof, None, 0.0) < LOOSE_FOR_SURE:
            continue
        seat = seat_of(card, facts)
        if seat == "cylindrical":
            yield _found("loose_in_cylinder", "fault", station=name, by=by)
        elif seat == "not known":
            yield _found("loose_seat_not_known", "hold", station=name, by=by)
