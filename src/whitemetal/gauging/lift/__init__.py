"""Lift: the oil clearance from how far the shaft rises in the closed bearing, less the cap's own travel."""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contract import Field, HoldPoint, Method, Place, RejectionRule, SheetLine
from whitemetal.gauging.instruments import CALIBRATION_FIELD, MPE_FIELD
from whitemetal.gauging.lift.evaluate import CAP, SHAFT, evaluate
from whitemetal.gauging.lift.geometry import RESTS

_PRACTICE = "common practice"
_GEOMETRY = "derived from geometry"
_YES_NO = ("yes", "no")
_BESIDE = math.radians(40.0)
"""The cap's indicator stands beside the shaft's, so far round from the top [rad] as drawn. Our own."""
_SYMPOSIUM = "C. Jackson, Radial and Thrust Bearing Practices"


def standard_places(card: Card) -> tuple[Place, ...]:
    """An indicator on top of the shaft close by the bearing, another on the cap beside it."""
    middle = 0.5 * card.bearing.length
    return (
        Place(SHAFT, middle, 0.0, "lift", title="travel of the shaft, indicator on top close by the bearing"),
        Place(CAP, middle, _BESIDE, "lift", title="travel of the cap, indicator on it beside the shaft's"),
    )


FIELDS: tuple[Field, ...] = (
    Field("journal_down", "Journal at rest at the bottom before the lift", "yes or no", choices=_YES_NO,
          needed=True, help="coupling free, no jacking oil, no seal drag"),
    Field("joint_closed", "Joint clamped and checked closed", "yes or no", choices=_YES_NO, needed=True,
          help="a thin feeler enters nowhere"),
    Field("tightened", "Cap tightened to", "choice", choices=("final value", "not final"), needed=True),
    Field("stopped", "Indicator stopped while the force still rose a little", "yes or no", choices=_YES_NO,
          needed=True, help="otherwise the journal has not reached the top"),
    Field("returned", "Both indicators came back to nothing", "yes or no", choices=_YES_NO, needed=True),
    Field("force", "Force used", "quantity", dimension="force", unit="N",
          help="1.1 to 1.2 times the bearing's share of the rotor's weight"),
    Field("lifted_with", "Lifted with", "choice", choices=("timber by hand", "jack", "crane or chain block")),
    Field("to_indicator", "Far bearing to the shaft's indicator", "quantity", dimension="length", unit="m"),
    Field("to_bearing", "Far bearing to this bearing", "quantity", dimension="length", unit="m",
          help="along the shaft, centre to centre"),
    Field("pads", "Tilting pads", "number", help="how many, equally spaced"),
    Field("rests", "The journal rests", "choice", choices=RESTS, help="tilting pads only"),
    Field("factor", "Lift over clearance, from the maker", "quantity", dimension="ratio",
          help="goes before what is reckoned from the bore"),
    Field("part_temperature", "Temperature of the shell", "quantity", dimension="temperature", unit="degC"),
    Field("journal_temperature", "Temperature of the journal", "quantity", dimension="temperature",
          unit="degC"),
    Field("torque", "Torque used", "quantity", dimension="torque", unit="N m"),
    Field("date", "Date of the readings", "date", help="year-month-day"),
    MPE_FIELD,
    CALIBRATION_FIELD,
)  # fmt: skip

HOLD_POINTS: tuple[HoldPoint, ...] = (
    HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
              "a machine that starts kills", people=True),
    HoldPoint("rotor_blocked", "before", "Rotor blocked against turning; pressure and heads bled off",
              "air and oil in the system can turn it", people=True),
    HoldPoint("lift_held", "before", "Lifting point and gear by the maker's book; nobody under the shaft",
              "a shaft that slips crushes", people=True),
    HoldPoint("two_indicators", "before", "One indicator on the shaft, one on the cap, both on the base",
              "the cap rises with the shaft, and its travel is no clearance"),
    HoldPoint("joint_closed", "before", "Joint clamped to the final torque and checked closed",
              "an open joint lifts before the shaft stops"),
    HoldPoint("lowered", "after", "Shaft let down again, lifting gear away", "a shaft left up wipes the top"),
)  # fmt: skip

REJECTION_RULES: tuple[RejectionRule, ...] = (
    RejectionRule("lift.no_cap", "no indicator on the cap", "program", _PRACTICE),
    RejectionRule("lift.cap_down", "the cap went down while the shaft rose", "program", _PRACTICE),
    RejectionRule("lift.journal_not_down", "journal not at rest at the bottom", "program", _PRACTICE),
    RejectionRule("lift.joint_open", "joint not checked closed", "program", _SYMPOSIUM),
    RejectionRule("lift.not_final", "cap not at its final torque", "program", _PRACTICE),
    RejectionRule("lift.torque_differs", "another torque than the card's", "program", _PRACTICE),
    RejectionRule("lift.no_stop", "the shaft did not come to a stop", "program", _PRACTICE),
    RejectionRule("lift.not_returned", "indicators did not come back", "program", _PRACTICE),
    RejectionRule("lift.force_large", "lifted with far too much force", "program", _PRACTICE),
    RejectionRule("lift.force_small", "lifted with less than the shaft weighs there", "program", _PRACTICE),
    RejectionRule("lift.not_lifted", "the shaft did not rise", "program", _GEOMETRY),
    RejectionRule("lift.repeats_differ", "lifts do not repeat", "program", _PRACTICE),
    RejectionRule("lift.one_arm", "one lever arm only", "program", _GEOMETRY),
    RejectionRule("lift.pads_unknown", "tilting pads: how many, how it rests", "program", _GEOMETRY),
    RejectionRule("lift.factor_needed", "a bore whose factor only the maker knows", "program", _GEOMETRY),
    RejectionRule("lift.calibration", "calibration overdue", "program", _PRACTICE),
    RejectionRule("lift.hot", "a part above 40 °C", "program", "our own threshold"),
    RejectionRule("lift.unequal", "parts more than 5 K apart", "program", "our own threshold"),
    RejectionRule("base_moved", "indicator bases not on the same solid ground", "person", _PRACTICE),
    RejectionRule("seal_rubs", "a seal or a rotor part stopped the shaft first", "person", _PRACTICE),
)  # fmt: skip

LIFT = Method(
    key="lift",
    title="Lift",
    measures="oil clearance",
    basis="diametral",
    reading_field=Field("travel", "Travel of the indicator", "quantity", dimension="length"),
    fields=FIELDS,
    default_places=standard_places,
    evaluate=evaluate,
    views=("round",),
    ring="fit",
    hold_points=HOLD_POINTS,
    rejection_rules=REJECTION_RULES,
    sheet_lines=(
        SheetLine("Force used", "force"),
        SheetLine("Lifted with", "lifted_with"),
        SheetLine("Far bearing to the indicator", "to_indicator"),
        SheetLine("Far bearing to this bearing", "to_bearing"),
        SheetLine("Tilting pads", "pads"),
        SheetLine("The journal rests", "rests"),
        SheetLine("Tightened to", "tightened"),
        SheetLine("Torque", "torque"),
    ),
    cautions=("isolated", "fingers"),
    proves="clearance",
    reads="other",
    about="The clearance with the bearing closed, tilting pads too; it cannot tell one end of the land from "
    "the other, and reads too large where the cap or its seat gives way or the shaft bends.",
    again="let the shaft down and lift again",
    finish="Shaft let down, gear away, indicators off.",
    finer="A finer method: soft wire or gauging strip with the cap off (about ± 0.02 mm, derived).",
    steps=(
        "Cap clamped to the final torque, joint checked closed. One indicator on top of the shaft close by "
        "the bearing, one on the cap; both to nothing.",
        "Lift by hand with a timber until the shaft's indicator stops; a jack only with great care.",
        "Note both travels, let down, see both come back to nothing. Lift again as another squeeze.",
        "Tilting pads: note how many, and whether the journal rests on one or between two.",
    ),
)
