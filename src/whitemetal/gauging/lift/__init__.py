"""Lift: the oil clearance from how far the shaft can be raised in its bearing, by dial indicator."""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contract import Field, HoldPoint, Method, Place, RejectionRule, SheetLine
from whitemetal.gauging.instruments import CALIBRATION_FIELD, MPE_FIELD
from whitemetal.gauging.lift.evaluate import CAP, FACTORS, ROUND, SHAFT, evaluate

_PRACTICE = "common practice"
_GEOMETRY = "derived from geometry"


def standard_places(card: Card) -> tuple[Place, ...]:
    """Two indicators: on the shaft beside the bearing, and on the cap."""
    middle = 0.5 * card.bearing.length
    return (
        Place(
            SHAFT, middle, 0.0, "indicators", title="indicator on the shaft beside the bearing: its travel"
        ),
        Place(CAP, middle, math.radians(60.0), "indicators", title="indicator on the cap: its travel"),
    )


LIFT = Method(
    key="lift",
    title="Lift of the shaft",
    measures="oil clearance",
    basis="diametral",
    reading_field=Field("travel", "Travel of the indicator", "quantity", dimension="length"),
    fields=(
        Field("joint_closed", "Joint clamped and checked closed", "yes or no", choices=("yes", "no"),
              needed=True),
        Field("coupled", "Coupling made up", "yes or no", choices=("yes", "no"), needed=True,
              help="a coupling holds the shaft down or up"),
        Field("lifted", "Lifted in a", "choice", choices=tuple(FACTORS), default=ROUND,
              source="the card's bore", help="tilting pads lift further than the clearance"),
        Field("to_indicator", "From the far bearing to the indicator", "quantity", dimension="length",
              help="leave both empty when the indicator stands at the bearing"),
        Field("to_bearing", "From the far bearing to this bearing", "quantity", dimension="length"),
        Field("force", "Lifting force", "quantity", dimension="force", unit="kN",
              help="1.1 to 1.2 times the bearing's share of the rotor"),
        Field("part_temperature", "Temperature of the shell", "quantity", dimension="temperature",
              unit="degC"),
        Field("journal_temperature", "Temperature of the journal", "quantity", dimension="temperature",
              unit="degC"),
        Field("date", "Date of the readings", "date", help="year-month-day"),
        MPE_FIELD,
        CALIBRATION_FIELD,
    ),
    default_places=standard_places,
    evaluate=evaluate,
    views=("round",),
    hold_points=(
        HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
                  "a machine that starts kills", people=True),
        HoldPoint("lifting_gear", "before", "Tested jack or beam under the shaft; no hand between",
                  "a shaft that drops crushes", people=True),
        HoldPoint("jacking_oil", "before", "Jacking oil off and bled", "oil under the shaft is read as lift"),
        HoldPoint("shaft_down", "after", "Shaft lowered, jack and blocks out", "a block left in stops it"),
    ),
    rejection_rules=(
        RejectionRule("lift.no_cap", "no indicator on the cap", "program", _PRACTICE),
        RejectionRule("lift.joint_open", "joint not clamped and closed", "program", _PRACTICE),
        RejectionRule("lift.coupled", "coupling made up", "program", _PRACTICE),
        RejectionRule("lift.which_pads", "pads, and not said how it was lifted", "program", _GEOMETRY),
        RejectionRule("lift.no_pads", "factor for pads in a bore without any", "program", _GEOMETRY),
        RejectionRule("lift.force_large", "too much force: the shaft bends", "program", _PRACTICE),
        RejectionRule("lift.force_small", "too little force to lift it", "program", _PRACTICE),
        RejectionRule("lift.lifts_differ", "lifts do not agree", "program", _PRACTICE),
        RejectionRule("lift.hot", "parts hot", "program", _PRACTICE),
        RejectionRule("lift.not_positive", "travel that cannot be", "program", _GEOMETRY),
        RejectionRule("indicator_moved", "indicator or its stand moved", "person", _PRACTICE),
    ),
    sheet_lines=(
        SheetLine("Joint clamped and closed", "joint_closed"),
        SheetLine("Lifted in a", "lifted"),
        SheetLine("Lifting force", "force"),
        SheetLine("Far bearing to indicator", "to_indicator"),
        SheetLine("Far bearing to this bearing", "to_bearing"),
    ),
    cautions=("isolated", "fingers"),
    steps=(
        "One indicator on the shaft beside the bearing, one on the cap, both to nothing.",
        "Lift until the shaft indicator stops, with little more than the bearing's share of the weight.",
        "Note both travels, lower, see that both come back to nothing; do it three times.",
    ),
    proves="clearance",
    reads="other",
    about="The clearance without opening the bearing; it says nothing of taper, and without an indicator on "
    "the cap it reads too much.",
    again="lift again",
    finish="Lower the shaft, take jack and blocks out.",
    finer="A finer method: soft wire, or bore less journal, with the bearing open.",
)  # fmt: skip
