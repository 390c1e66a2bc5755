"""End float of the rotor: total, and where the rotor runs in it."""

from __future__ import annotations

from whitemetal.card import Card
from whitemetal.gauging.contract import Facts, Field, GeneralRule, HoldPoint, RejectionRule
from whitemetal.gauging.recorded import Item, Look, recorded
from whitemetal.units import INCH

PRACTICE = "common practice"
THRUSTS = ("none, rotor floats", "ball thrust bearing", "film thrust bearing")
PUMP_BALL, PUMP_FILM = (0.13e-3, 0.25e-3), (0.25e-3, 0.33e-3)
"""Axial end play [m] of a pump with sleeve bearings, by its thrust bearing: a pump maker's manual
(common practice)."""

LARGE_MOTOR = 500.0 * 745.69987158227
"""500 hp [W], where the float of a motor doubles: NEMA MG 1, from memory."""
FLOAT_SMALL, FLOAT_LARGE = 0.25 * INCH, 0.50 * INCH
"""Least total float [m] of a sleeve-bearing motor to and above 500 hp [W]. NEMA MG 1, from memory."""
MIDDLE_SMALL, MIDDLE_LARGE = 0.09 * INCH, 0.19 * INCH
"""Largest total float [m] the coupling may leave a sleeve-bearing motor to and above 500 hp [W]. NEMA MG 1,
from memory."""


def rules_of(card: Card, facts: Facts) -> tuple[GeneralRule, ...]:
    """By what takes the thrust, and for a floating motor by its power."""
    thrust = facts["thrust"].text.strip() if "thrust" in facts else ""
    if thrust == THRUSTS[1]:
        return (
            GeneralRule("end float", "sleeve and ball thrust bearing", "a pump maker's manual", *PUMP_BALL),
        )
    if thrust == THRUSTS[2]:
        return (
            GeneralRule("end float", "sleeve and film thrust bearing", "a pump maker's manual", *PUMP_FILM),
        )
    if thrust == THRUSTS[0] and card.machine.kind == "motor" and card.machine.power is not None:
        large = card.machine.power > LARGE_MOTOR
        least, most = (FLOAT_LARGE, MIDDLE_LARGE) if large else (FLOAT_SMALL, MIDDLE_SMALL)
        source = "NEMA MG 1, from memory"
        return (
            GeneralRule("end float", "floating rotor of a motor", source, least),
            GeneralRule("coupling float", "coupling of a floating motor", source, None, most),
        )
    return ()


END_FLOAT = recorded(
    "end_float",
    "End float",
    (
        Item(
            "total",
            "Total end float",
            "end float",
            15e-6,
            "dial indicator, common practice",
            "push the rotor fully one way and the other",
        ),
        Item(
            "coupling",
            "Float that the coupling leaves",
            "coupling float",
            0.5e-3,
            "rule at the coupling, our own",
            "coupling made up; from one stop of the coupling to the other",
            needed=False,
        ),
    ),
    (
        Look(
            "on_shoulder",
            "Rotor runs against a shoulder of the bearing",
            "no",
            "fault",
            "The rotor rides on a shoulder: the coupling must hold it off both.",
        ),
        Look(
            "in_the_middle",
            "Coupling holds the rotor in the middle of its float",
            "yes",
            "warning",
            "The coupling does not hold the rotor in the middle of its float.",
            needed=False,
        ),
    ),
    about="How far the rotor can move along, and that it does not ride on the shells' shoulders.",
    fields=(Field("thrust", "What takes the thrust", "choice", choices=THRUSTS, needed=True),),
    rules_of_facts=rules_of,
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; permit number noted",
            "a machine that starts kills",
            people=True,
        ),
    ),
    by_eye=(RejectionRule("not_pushed_home", "rotor not pushed fully both ways", "person", PRACTICE),),
    cautions=("isolated", "fingers"),
    steps=("Indicator on the shaft end; push fully one way, set to nothing, push the other way, read.",),
)
