"""The seat: blue on the shell's back, rocking, bright spots, and a feeler at the joint."""

from __future__ import annotations

from whitemetal.gauging.contract import GeneralRule, HoldPoint, RejectionRule
from whitemetal.gauging.recorded import Item, Look, recorded

PRACTICE = "common practice"
LEAST_CONTACT = 0.75
"""Least share of the shell's back that carries. Common practice: 75 % and more."""

JOINT = 0.02e-3
"""A feeler thicker than this [m] must not enter the closed joint anywhere. Common practice: 0.02 to 0.03 mm
(0.001 in) must not enter; the stricter of them, since 0.001 in lies between."""

SEAT = recorded(
    "seat",
    "Joint faces and seat",
    (
        Item(
            "contact",
            "Share of the shell's back that takes blue",
            "seat contact",
            0.05,
            "an area estimated by eye, our own",
            "thin blue on the seat, shell pressed home",
        ),
        Item(
            "joint_feeler",
            "Thickest feeler that enters the closed joint",
            "joint feeler",
            5e-6,
            "feeler blades, common practice",
            "0 when the thinnest blade does not enter anywhere",
            read_off=False,
        ),
    ),
    (
        Look(
            "rocks",
            "Shell rocks in its seat",
            "no",
            "fault",
            "The shell rocks: look for dirt and burrs before anything else.",
        ),
        Look(
            "bright_spots",
            "Bright spots or rust-red dust on the back",
            "no",
            "warning",
            "The shell has moved in its seat: measure the crush.",
        ),
        Look(
            "faces_clean",
            "Joint faces clean and without burrs",
            "yes",
            "hold",
            "Dirt or burrs hold the joint open: every later reading would be of the dirt.",
        ),
        Look(
            "marks_meet",
            "Match marks together, halves the right way round",
            "yes",
            "fault",
            "Halves swapped or turned: oil grooves and dams end up on the wrong side.",
        ),
    ),
    about="Whether faces and seat are clean and carry; everything after rests on it.",
    rules=lambda card: (
        GeneralRule("seat contact", "at least 75 % of the back", PRACTICE, LEAST_CONTACT),
        GeneralRule(
            "joint feeler", "no feeler of 0.02 to 0.03 mm (0.001 in) may enter", PRACTICE, None, JOINT
        ),
    ),
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
            "Shaft lifted with tested gear and blocked before the lower shell is rolled out",
            "a shaft that drops crushes",
            people=True,
        ),
    ),
    by_eye=(RejectionRule("thick_blue", "blue laid on thick", "person", PRACTICE),),
    cautions=("isolated", "cap_held", "fingers"),
    steps=(
        "Stone the joint faces, wipe seat and back, thin blue on the seat, press the shell home, lift, look.",
        "Close the joint with the final tightening and try a thin feeler all round.",
    ),
    proves="joint_faces",
)
