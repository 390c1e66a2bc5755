"""Bridge gauge: how far the journal has come down since the last time, and no clearance.

A bridge stands on the joint at its original marks and a depth is read down to the journal; or a depth
micrometer stands on a flat machined pad whose installation constant is stamped beside it (line-shaft
bearings, after a US Navy text, NAVEDTRA 14115).

    shaft drop = depth now - depth when installed

US Navy texts no longer use it for the wear of main reduction gears: crown thickness takes its place
(NAVEDTRA 14075).
"""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.birth import BIRTH_STEP, birth_of
from whitemetal.gauging.contract import (
    Assessed,
    Facts,
    Field,
    Finding,
    HoldPoint,
    Method,
    Place,
    Reading,
    RejectionRule,
    Result,
    Severity,
    SheetLine,
)
from whitemetal.gauging.instruments import CALIBRATION_FIELD, MPE_FIELD, OUTSIDE_MICROMETER, of_step
from whitemetal.gauging.wire.facts import text
from whitemetal.gauging.wire.layout import stations
from whitemetal.quantity import Influence, Quantity
from whitemetal.words import say

PRACTICE = "common practice"
NAVY = "US Navy, NAVEDTRA 14075"
CHANGE_U = 10e-6
"""Standard uncertainty [m] of a change read on another day with the same gauge: about 0.02 mm expanded.
Common practice."""


def standard_places(card: Card) -> tuple[Place, ...]:
    """One depth at each end of the bearing."""
    ends = (stations(card)[0], stations(card)[-1])
    return tuple(
        Place(f"{s} top", axial, 0.0, s, title=f"{name}, down to the journal") for s, axial, name in ends
    )


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """Drop of the shaft at each end [m] against the value of installation."""
    findings = list(_how(card, facts))
    drops: list[tuple[str, Quantity]] = []
    for place in places:
        group = [reading for reading in readings if reading.place == place.label]
        if not group:
            continue
        born = birth_of(card, facts, "bridge", place.label, OUTSIDE_MICROMETER)
        if born is None:
            findings.append(_found("no_birth", "hold", place=place.label, where=place.label))
            continue
        now = math.fsum(reading.value for reading in group) / len(group)
        step = of_step("bridge", place.label, group)
        again = Influence(
            f"bridge.again.{place.label}",
            say("bridge.again"),
            CHANGE_U,
            math.inf,
            "normal",
            PRACTICE,
            "again",
        )
        drops.append((place.label, Quantity(now, {step: step.u, again: again.u}) - _as_read(born)))
    if not readings:
        findings.append(_found("no_readings", "hold"))
    if not drops:
        return Result(None, findings=tuple(findings))
    found = Assessed(
        "shaft drop", say("bridge.label"), tuple(q for _, q in drops), tuple(w for w, _ in drops)
    )
    return Result(None, findings=tuple(findings), assessed=(found,), unknown=(say("bridge.no_clearance"),))


def _as_read(born: Quantity) -> Quantity:
    """A value of installation with its last digit; its gauge is the same one, whose change is known."""
    return Quantity(born.value, {one: part for one, part in born.parts.items() if one.family == BIRTH_STEP})


def _found(
    code: str, severity: Severity, source: str = PRACTICE, place: str = "", **values: object
) -> Finding:
    return Finding(f"bridge.{code}", severity, say(f"bridge.{code}", **values), source, place)


def _how(card: Card, facts: Facts) -> list[Finding]:
    said = []
    if card.machine.kind == "gear unit":
        said.append(_found("gear_unit", "warning", NAVY))
    if text(facts, "same_marks") == "no":
        said.append(_found("other_marks", "hold"))
    if text(facts, "seat_shimmed") == "yes":
        said.append(_found("reshimmed", "warning"))
    return said


BRIDGE = Method(
    key="bridge",
    title="Bridge gauge",
    measures="shaft drop",
    basis="none",
    reading_field=Field("depth", "Depth down to the journal", "quantity", dimension="length"),
    fields=(
        Field(
            "gauge_kind",
            "Read with",
            "choice",
            choices=("bridge on the joint", "depth micrometer on the pad"),
            needed=True,
        ),
        Field(
            "same_marks",
            "Feet on the original marks, the same way round",
            "yes or no",
            choices=("yes", "no"),
            needed=True,
        ),
        Field(
            "seat_shimmed", "Seat shimmed since the value of installation", "yes or no", choices=("yes", "no")
        ),
        MPE_FIELD,
        CALIBRATION_FIELD,
    ),
    default_places=standard_places,
    evaluate=evaluate,
    views=("round",),
    ring="fit",
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; permit number noted",
            "a machine that starts kills",
            people=True,
        ),
        HoldPoint(
            "joint_clean", "before", "Joint or pad and feet wiped and without burrs", "dirt is read as wear"
        ),
    ),
    rejection_rules=(
        RejectionRule("bridge.other_marks", "feet not on the original marks", "program", PRACTICE),
        RejectionRule("bridge.no_birth", "no value of installation", "program", "US Navy, NAVEDTRA 14115"),
        RejectionRule("bridge.gear_unit", "main reduction gear: use crown thickness", "program", NAVY),
        RejectionRule("bridge.reshimmed", "seat shimmed since", "program", PRACTICE),
        RejectionRule("shaft_up", "journal not at rest at the bottom", "person", PRACTICE),
    ),
    sheet_lines=(SheetLine("Read with", "gauge_kind"), SheetLine("On the original marks", "same_marks")),
    cautions=("isolated", "cap_held", "fingers"),
    steps=(
        "Stand the gauge on its marks, the same way round as ever; read down to the journal; three times.",
    ),
    assesses=("shaft drop",),
    stale_with=("alignment",),
    repeats=False,
    reads="other",
    births=True,
    again="read the depth again",
    about="How far the shaft has come down since it was installed; it shows no clearance.",
)
