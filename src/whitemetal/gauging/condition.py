"""The bearing as it is found, before anything is lifted: marks, shims, oil, ring, feed, and signs outside.

None of it can be seen again afterwards. A sign that something is wrong asks a question: what was found out
about it. It says nothing against the bearing as it is left, which other checks prove.
"""

from __future__ import annotations

from dataclasses import replace

from whitemetal.card import Card
from whitemetal.gauging.contract import (
    Facts,
    Field,
    Finding,
    HoldPoint,
    Place,
    Reading,
    RejectionRule,
    Result,
)
from whitemetal.gauging.recorded import Look, recorded
from whitemetal.units import clearance_step, read, show
from whitemetal.words import say

PRACTICE = "common practice"

SHIM_DIFFERS = 0.02e-3
"""A difference between the shims of the two sides [m] that a micrometer shows surely. Common practice."""

SIDES = ("left", "right")

_LOOKS = (
    Look(
        "marks",
        "Match marks of cap, shells and pedestal",
        "there and read",
        "question",
        "There are no match marks: mark halves, end and side before anything is lifted, and photograph them.",
        help="halves swapped or turned round starve and wipe",
        choices=("there and read", "made now", "none"),
        also_right=("made now",),
    ),
    Look(
        "oil_level",
        "Oil level before it was drained",
        "right",
        "question",
        "The oil level was not right: since when, and why?",
        choices=("right", "low", "high", "none", "not seen"),
    ),
    Look(
        "oil_looks",
        "The oil looks and smells",
        "clear",
        "question",
        "The oil is not as it should be: take a sample before it is drained; what is it, and where from?",
        choices=("clear", "cloudy or milky", "dark or burnt", "foaming", "grit or metal in it", "not seen"),
    ),
    Look(
        "ring_seen",
        "Oil ring, when it last ran",
        "turning",
        "question",
        "The oil ring stood or jerked: look at its joint, its roundness and the level.",
        choices=("turning", "stood or jerked", "no ring", "not seen"),
        needed=False,
        also_right=("no ring", "not seen"),
    ),
    Look(
        "feed_seen",
        "Oil feed, when it last ran",
        "usual",
        "question",
        "The oil feed was not as usual: pressure, filter, orifice, pump?",
        choices=("usual", "low", "none", "no feed", "not seen"),
        needed=False,
        also_right=("no feed", "not seen"),
    ),
    Look(
        "outside",
        "Signs outside",
        "none",
        "question",
        "Something shows outside: where does it come from?",
        choices=("none", "oil at a seal", "oil at the joint", "scorched or hot", "loose or fretted"),
        needed=False,
    ),
)


def _thickness(side: str) -> Field:
    return Field(
        f"shims_{side}_thickness",
        f"Shims {side}: thickness together",
        "quantity",
        dimension="length",
        measured=True,
        help="by micrometer, all of one side together",
    )


def _count(side: str) -> Field:
    help = "0 where there are none; counted as the cap is lifted, each side kept together"
    return Field(f"shims_{side}", f"Shims {side}: how many", "number", needed=True, measured=True, help=help)


_RECORDED = recorded(
    "condition",
    "Condition as found",
    (),
    _LOOKS,
    about="Marks, shims, oil and signs outside before anything is lifted; they cannot be seen again.",
    fields=(
        Field("marks_text", "What the marks are and where", "text", help="as stamped; photograph them"),
        *(ask(side) for side in SIDES for ask in (_count, _thickness)),
        Field("sample", "Oil sample", "text", help="its number, or why there is none"),
        Field("outside_text", "What shows outside", "text"),
    ),
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; permit number noted",
            "a machine that starts kills",
            people=True,
        ),
    ),
    by_eye=(
        RejectionRule("drained", "oil drained or wiped off before it was looked at", "person", PRACTICE),
    ),
    cautions=("isolated", "defer"),
    steps=(
        "Look at the oil and take a sample before it is drained.",
        "Read and photograph every match mark before a nut is turned.",
        "Count the shims of each side as the cap is lifted, measure them, and keep the sides apart.",
    ),
)


def shims(facts: Facts, side: str, unit: str) -> tuple[int | None, float | None]:
    """How many shims lay on a side, and how thick together [m]; None where it was not recorded or cannot be
    read."""
    count = facts.get(f"shims_{side}")
    number = int(count.text) if count is not None and count.text.strip().isdecimal() else None
    thick = facts.get(f"shims_{side}_thickness")
    if thick is None or not thick.text.strip():
        return number, 0.0 if number == 0 else None
    return number, read(thick.text, "length", field=f"shims_{side}_thickness", default_unit=unit).value


def _evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """What was seen, and what the shims of both sides say of each other. Raises UnitError."""
    found = _RECORDED.evaluate(card, places, facts, readings)
    unit = card.bearing.unit
    (left, thick_left), (right, thick_right) = (shims(facts, side, unit) for side in SIDES)
    said = list(found.findings)
    if thick_left is not None and thick_right is not None and min(thick_left, thick_right) >= 0.0:
        said += _differ(abs(thick_left - thick_right), unit)
    for side, count, thick in (("left", left, thick_left), ("right", right, thick_right)):
        if thick is not None and thick < 0.0:
            text = say("condition.below_nothing", side=side)
            said.append(Finding("condition.impossible", "hold", text, "by definition", side))
        if count and thick is None:
            said.append(
                Finding(
                    f"condition.shims_{side}", "warning", say("condition.not_measured", side=side), PRACTICE
                )
            )
        if count == 0 and thick:
            text = say("condition.none_but_thick", side=side)
            said.append(Finding(f"condition.shims_{side}_none", "question", text, "by definition"))
    return replace(found, findings=tuple(said))


def _differ(by: float, unit: str) -> list[Finding]:
    if by <= SHIM_DIFFERS:
        return []
    told = show(by, unit, "length", step=clearance_step(unit))
    return [Finding("condition.shims_differ", "warning", say("condition.shims_differ", by=told), PRACTICE)]


CONDITION = replace(_RECORDED, evaluate=_evaluate)
"""The method."""
