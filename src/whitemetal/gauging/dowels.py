"""Dowels and anti-rotation pins: there, in the right hole, free, and not carrying what they must not."""

from __future__ import annotations

from whitemetal.gauging.contract import GeneralRule, HoldPoint, RejectionRule
from whitemetal.gauging.recorded import Item, Look, recorded

PRACTICE = "common practice"
SIDE = (0.1e-3, 0.3e-3)
"""Side clearance of an anti-rotation pin [m]. Common practice."""

DOWELS = recorded(
    "dowels",
    "Dowels and pins",
    (
        Item(
            "side_clearance",
            "Side clearance of the pin",
            "dowel side clearance",
            20e-6,
            "feeler, common practice",
            needed=False,
        ),
    ),
    (
        Look(
            "present",
            "Dowel or pin present",
            "yes",
            "fault",
            "The dowel is missing: the shell can turn and close its oil feed.",
        ),
        Look(
            "right_hole",
            "In the right hole, match marks together",
            "yes",
            "fault",
            "The shell sits in the wrong hole or the wrong way round: look at oil feed, dam and match marks.",
        ),
        Look(
            "holes_meet",
            "Oil holes of shell and housing meet",
            "yes",
            "fault",
            "The oil hole is covered: the bearing will starve.",
        ),
        Look(
            "carries_float",
            "Pin carries the end float of the shell",
            "no",
            "fault",
            "The pin carries the end float: it will shear.",
        ),
        Look(
            "sheared",
            "Pin bent, worn or sheared",
            "no",
            "fault",
            "The pin is damaged: find out what turned the shell.",
        ),
    ),
    about="Whether the shells sit where they belong and cannot turn.",
    rules=lambda card: (GeneralRule("dowel side clearance", "0.1 to 0.3 mm", PRACTICE, *SIDE),),
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; permit number noted",
            "a machine that starts kills",
            people=True,
        ),
    ),
    by_eye=(RejectionRule("by_feel", "judged through the joint without looking", "person", PRACTICE),),
    cautions=("isolated", "fingers"),
    steps=("Look at each pin and each oil hole with the shell out, then with it in.",),
)
