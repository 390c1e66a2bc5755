"""Gear contact and backlash: the mesh follows the shafts, and the shafts follow their bearings."""

from __future__ import annotations

from whitemetal.gauging.contract import Field, HoldPoint, RejectionRule
from whitemetal.gauging.recorded import Item, Look, recorded

PRACTICE = "common practice"

GEAR_MESH = recorded(
    "gear_mesh",
    "Gear contact and backlash",
    (
        Item(
            "backlash",
            "Backlash",
            "gear backlash",
            20e-6,
            "dial indicator or soft wire, common practice",
            "least of several teeth",
            needed=True,
        ),
        Item(
            "contact_length",
            "Contact along the tooth, share of its length",
            "gear contact length",
            0.05,
            "an area estimated by eye, our own",
        ),
        Item(
            "contact_height",
            "Contact up the tooth, share of its working height",
            "gear contact height",
            0.05,
            "an area estimated by eye, our own",
            needed=False,
        ),
    ),
    (
        Look(
            "centred",
            "Pattern centred on the tooth",
            "yes",
            "warning",
            "The contact lies at one end of the tooth: the shafts are not parallel.",
        ),
        Look(
            "damage",
            "Pitting, scuffing or broken edges",
            "no",
            "warning",
            "The teeth are damaged: have them judged before the bearings are blamed.",
        ),
    ),
    about="Backlash and contact of the teeth, as found and as left; only the maker's figures count.",
    fields=(
        Field(
            "how", "Pattern taken", "choice", choices=("blue, turned by hand", "lacquer, run in"), needed=True
        ),
    ),
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; gears blocked; permit number noted",
            "gears that turn take a hand",
            people=True,
        ),
    ),
    by_eye=(RejectionRule("one_tooth", "taken on one tooth only", "person", PRACTICE),),
    cautions=("isolated", "fingers"),
    steps=(
        "Blue a few teeth of the pinion thinly, turn through by hand under a light drag, look at the wheel.",
    ),
    subject="machine",
    stale_with=("alignment",),
)
