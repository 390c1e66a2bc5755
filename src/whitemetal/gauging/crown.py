"""Crown thickness: what the pressure half has lost since it was new, at the marks it was born with.

    wear = thickness when new - thickness now, at each mark

The pressure half carries three scribed lines at each end, the other half one; the thickness when new is
stamped on the bearing or stands in its papers and is kept for ever (after a US Navy text, NAVEDTRA 14075).
It says how much white metal is gone and on which side, and no clearance. The shell is measured off the
journal, with a ball anvil or a ball whose diameter is taken off.

A journal that has sunk by A towards the middle of the half and by S to the right has worn, at a mark at the
angle a from the middle, ``w(a) = A cos a + S sin a`` (derived from geometry, first order). The three marks
of an end give A and S by least squares: the drop of the shaft there, and the direction ``atan2(S, A)`` in
which it wears.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from whitemetal.card import Card
from whitemetal.gauging.birth import birth_of
from whitemetal.gauging.contract import (
    Assessed,
    Facts,
    Field,
    Finding,
    HoldPoint,
    Method,
    Named,
    Place,
    Reading,
    RejectionRule,
    Result,
    Severity,
    SheetLine,
)
from whitemetal.gauging.diameters import FEEL
from whitemetal.gauging.instruments import (
    CALIBRATION_FIELD,
    MPE_FIELD,
    OUTSIDE_MICROMETER,
    of_instrument,
    of_step,
)
from whitemetal.gauging.wire.facts import length, text
from whitemetal.gauging.wire.influences import ESTIMATED_DOF
from whitemetal.gauging.wire.layout import initials
from whitemetal.quantity import Influence, Quantity, combine
from whitemetal.units import clearance_step, show
from whitemetal.words import say

PRACTICE = "common practice"
NAVY = "US Navy, NAVEDTRA 14075"
MARKS = (("left", -math.radians(45.0)), ("middle", 0.0), ("right", math.radians(45.0)))
"""The three lines at each end of the pressure half and their angle from its middle [rad]; 45 degrees is
our own where the shell's lines are not measured."""

GREW = 0.02e-3
"""A thickness above the one when new by more than this [m] is another shell or another mark. Our own."""


def standard_places(card: Card) -> tuple[Place, ...]:
    """Six marks on the loaded half: left, middle and right at each end."""
    lower = card.duty.loaded_half == "lower"
    first, last = card.bearing.ends
    edge = 0.1 * card.bearing.length
    return tuple(
        Place(
            f"{initials(end)} {name}",
            axial,
            math.pi - angle if lower else angle,
            initials(end),
            title=f"{end}, {name} mark",
        )
        for end, axial in ((first, edge), (last, card.bearing.length - edge))
        for name, angle in MARKS
    )


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """Wear at each mark [m] with its uncertainty; thickness alone where the birth value is missing."""
    by_place: dict[str, list[Reading]] = {}
    for reading in readings:
        by_place.setdefault(reading.place, []).append(reading)
    if not by_place:
        return Result(None, findings=(_found("no_readings", "hold"),))
    ball = length(facts, "ball")
    findings: list[Finding] = []
    if text(facts, "anvil") == "flat":
        findings.append(_found("flat_anvil", "hold"))
    if text(facts, "anvil") == "ball beside it" and ball is None:
        findings.append(_found("no_ball", "hold"))
    wear: list[tuple[str, Quantity]] = []
    named: list[Named] = []
    for place in places:
        if place.label not in by_place:
            continue
        now = thickness(facts, place, by_place[place.label], ball)
        named.append(Named(f"thickness.{place.label}", say("crown.thickness", where=place.label), now))
        born = birth_of(card, facts, "crown", place.label, OUTSIDE_MICROMETER)
        if born is None:
            findings.append(
                _found(
                    "no_birth", "hold", place=place.label, where=place.label, thick=_shown(card, now.value)
                )
            )
            continue
        wear.append((place.label, born - now))
    findings += [*_grown(card, wear), *_direction(card, wear)]
    if not wear:
        return Result(None, named=tuple(named), findings=tuple(findings))
    found = Assessed("crown wear", say("crown.label"), tuple(q for _, q in wear), tuple(w for w, _ in wear))
    sunk = _sunk(card, wear)
    towards = [(end, drop, one) for end, drop, side in sunk for one in _towards(end, drop, side)]
    named += [one for _, _, one in towards]
    findings += [_sank(card, end, drop, one) for end, drop, one in towards]
    assessed = (found, *_drop(sunk))
    return Result(None, named=tuple(named), findings=tuple(findings), assessed=assessed)


def _sunk(card: Card, wear: Sequence[tuple[str, Quantity]]) -> tuple[tuple[str, Quantity, Quantity], ...]:
    """Of each end whose three marks are known: its name, how far the journal sank towards the middle of the
    half, and how far to the right [m]."""
    found, by_label = [], dict(wear)
    design = np.array([[math.cos(angle), math.sin(angle)] for _, angle in MARKS])
    share = np.linalg.pinv(design)
    for end in card.bearing.ends:
        three = [by_label.get(f"{initials(end)} {mark}") for mark, _ in MARKS]
        known = [one for one in three if one is not None]
        if len(known) == len(MARKS):
            found.append((end, combine(list(share[0]), known), combine(list(share[1]), known)))
    return tuple(found)


def _drop(sunk: Sequence[tuple[str, Quantity, Quantity]]) -> tuple[Assessed, ...]:
    if not sunk:
        return ()
    drops, where = tuple(drop for _, drop, _ in sunk), tuple(initials(end) for end, _, _ in sunk)
    return (
        Assessed("shaft drop", say("crown.drop"), drops, where, note=say("crown.drop_note"), needed=False),
    )


def _sank(card: Card, end: str, drop: Quantity, towards: Named) -> Finding:
    turn = math.degrees(towards.quantity.value)
    side = say("crown.right" if turn > 0.0 else "crown.left")
    deep, most = _shown(card, drop.value), f"{abs(turn):.0f}"
    return _found("sank", "note", "derived from geometry", end=end, drop=deep, degrees=most, side=side)


def _towards(end: str, drop: Quantity, side: Quantity) -> Iterator[Named]:
    """Where it wears most; nothing while what is gone is no more than what is open about it."""
    if drop.value <= 2.0 * drop.u:
        return
    turn = (side / drop).map(math.atan, lambda ratio: 1.0 / (1.0 + ratio**2))
    yield Named(f"towards.{end}", say("crown.towards", end=end), turn, "angle", say("crown.towards_note"))


def thickness(facts: Facts, place: Place, group: Sequence[Reading], ball: float | None) -> Quantity:
    """Thickness at a mark [m], the ball taken off where one was laid in."""
    mean = math.fsum(reading.value for reading in group) / len(group)
    step = of_step("crown", place.label, group)
    gauge = of_instrument("crown", facts, group[0].instrument, OUTSIDE_MICROMETER, mean)
    feel = Influence(
        f"crown.feel.{place.label}", say("diameters.feel"), FEEL["outside"] / math.sqrt(len(group)),
        ESTIMATED_DOF, "normal", say("diameters.feel_source"), "feel",
    )  # fmt: skip
    beside = ball if ball is not None and text(facts, "anvil") == "ball beside it" else 0.0
    return Quantity(mean - beside, {step: step.u, gauge: gauge.u, feel: feel.u})


def _found(
    code: str, severity: Severity, source: str = PRACTICE, place: str = "", **values: object
) -> Finding:
    return Finding(f"crown.{code}", severity, say(f"crown.{code}", **values), source, place)


def _shown(card: Card, value: float) -> str:
    return show(value, card.bearing.unit, "length", step=clearance_step(card.bearing.unit))


def _grown(card: Card, wear: Sequence[tuple[str, Quantity]]) -> Iterator[Finding]:
    for where, value in wear:
        if value.value < -max(GREW, 2.0 * value.u):
            yield _found(
                "grown",
                "question",
                "our own threshold",
                place=where,
                where=where,
                more=_shown(card, -value.value),
            )


def _direction(card: Card, wear: Sequence[tuple[str, Quantity]]) -> Iterator[Finding]:
    """Where it wears most, where the three marks of an end tell it beyond doubt."""
    for end in card.bearing.ends:
        name = initials(end)
        three = {w.removeprefix(name).strip(): q for w, q in wear if w.startswith(f"{name} ")}
        if {"left", "right"} <= set(three):
            tilt = three["right"] - three["left"]
            if abs(tilt.value) > 2.0 * tilt.u:
                side = say("crown.right" if tilt.value > 0.0 else "crown.left")
                yield _found(
                    "to_one_side", "warning", end=end, side=side, difference=_shown(card, abs(tilt.value))
                )


CROWN = Method(
    key="crown",
    title="Crown thickness",
    measures="crown wear",
    basis="none",
    reading_field=Field("thickness", "Thickness of the shell at the mark", "quantity", dimension="length"),
    fields=(
        Field(
            "anvil",
            "Measured with",
            "choice",
            choices=("ball anvil", "ball beside it", "flat"),
            needed=True,
            help="a flat anvil bridges the curve of the bore",
        ),
        Field("ball", "Diameter of the ball", "quantity", dimension="length"),
        MPE_FIELD,
        CALIBRATION_FIELD,
    ),
    default_places=standard_places,
    evaluate=evaluate,
    views=("round",),
    ring="shell back",
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; permit number noted",
            "a machine that starts kills",
            people=True,
        ),
        HoldPoint(
            "shaft_held",
            "before",
            "Shaft lifted with tested gear and blocked before the shell is rolled out",
            "a shaft that drops crushes",
            people=True,
        ),
    ),
    rejection_rules=(
        RejectionRule("crown.flat_anvil", "flat anvil on a curved bore", "program", "derived from geometry"),
        RejectionRule(
            "crown.no_ball", "ball used, its diameter not noted", "program", "derived from geometry"
        ),
        RejectionRule("crown.no_birth", "no thickness when new for the mark", "program", NAVY),
        RejectionRule("crown.grown", "thicker than when new", "program", "our own threshold"),
        RejectionRule("off_mark", "not taken on the scribed line", "person", NAVY),
    ),
    sheet_lines=(SheetLine("Measured with", "anvil"), SheetLine("Diameter of the ball", "ball")),
    cautions=("isolated", "fingers", "lead"),
    steps=(
        "Wipe the shell; ball in the bore on the scribed line, other anvil on the back; three times each.",
    ),
    assesses=("crown wear", "shaft drop"),
    stale_with=("shell", "contact"),
    repeats=False,
    births=True,
    again="measure the marks again",
    about="How much white metal is gone at each mark since the shell was new; it shows no clearance.",
)
