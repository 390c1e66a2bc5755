"""Bore less journal: the oil clearance from diameters, the cap tightened as it will run."""

from __future__ import annotations

from whitemetal.gauging.bore.evaluate import evaluate
from whitemetal.gauging.bore.layout import standard_places
from whitemetal.gauging.bore.observe import BORE_GAUGES, SHAFT, SHELL
from whitemetal.gauging.contract import Field, HoldPoint, Method, RejectionRule, SheetLine
from whitemetal.gauging.diameters import EXPANSION, INSTRUMENT_FIELDS

_PRACTICE = "common practice"
_CLOSED = ("metal to metal", "shims", "gasket", "sealant")
_MATERIALS = tuple(EXPANSION)

FIELDS: tuple[Field, ...] = (
    Field("bore_gauge", "Bore measured with", "choice", choices=BORE_GAUGES, needed=True,
          help="a comparator set on the journal's own micrometer shares its error, which drops out"),
    Field("tightened", "Cap tightened to", "choice", choices=("final value", "not final"), needed=True),
    Field("torque", "Torque used", "quantity", dimension="torque", unit="N m"),
    Field("shells_home", "Shells home, joint faces clean", "yes or no", choices=("yes", "no"), needed=True),
    Field("part_temperature", "Temperature of the shell", "quantity", dimension="temperature", unit="degC",
          needed=True, help="5 K on one part of 150 mm is 9 µm"),
    Field("journal_temperature", "Temperature of the journal", "quantity", dimension="temperature",
          unit="degC", needed=True),
    Field("shell_material", "Shell and housing", "choice", choices=_MATERIALS, default=SHELL,
          source=_PRACTICE, help="what sets how the bore grows"),
    Field("journal_material", "Journal", "choice", choices=_MATERIALS, default=SHAFT, source=_PRACTICE),
    Field("joint", "Joint when the bore was taken", "choice", choices=_CLOSED,
          help="as on the card unless said otherwise"),
    Field("joint_left", "Joint then, thickness left", "quantity", dimension="length"),
    Field("joint_right", "Joint then, thickness right", "quantity", dimension="length"),
    Field("final_joint", "Joint at the final closing", "choice", choices=_CLOSED,
          help="as on the card unless said otherwise"),
    Field("final_joint_left", "Final joint, thickness left under load", "quantity", dimension="length"),
    Field("final_joint_right", "Final joint, thickness right under load", "quantity", dimension="length"),
    Field("date", "Date of the readings", "date", help="year-month-day"),
    *INSTRUMENT_FIELDS,
)  # fmt: skip

HOLD_POINTS: tuple[HoldPoint, ...] = (
    HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
              "a machine that starts kills", people=True),
    HoldPoint("shaft_out", "before", "Shaft lifted out with tested gear and set on blocks, not on a jack",
              "a shaft that rolls crushes", people=True),
    HoldPoint("shells_home", "before", "Shells home, joint faces and backs clean, dowels in",
              "dirt behind a shell is read as bore"),
    HoldPoint("tightened", "before", "Cap tightened in sequence to the final torque, final joint in place",
              "crush changes the bore"),
    HoldPoint("same_warmth", "before", "Journal, shells and instruments have stood together",
              "5 K on one part is as much as the whole budget"),
    HoldPoint("closing_repeats", "after", "Final closing repeats this tightening and this joint",
              "another closing is another bore"),
)  # fmt: skip

REJECTION_RULES: tuple[RejectionRule, ...] = (
    RejectionRule("bore.not_final", "cap not at its final torque", "program", _PRACTICE),
    RejectionRule("bore.torque_differs", "another torque than the card's", "program", _PRACTICE),
    RejectionRule("bore.not_home", "shell not home or joint faces dirty", "program", _PRACTICE),
    RejectionRule("bore.hot", "a part above 40 °C", "program", "our own threshold"),
    RejectionRule("bore.unequal", "parts more than 5 K apart", "program", "our own threshold"),
    RejectionRule("bore.zero_drift", "instrument moved on its setting standard", "program", _PRACTICE),
    RejectionRule("bore.calibration", "calibration overdue", "program", _PRACTICE),
    RejectionRule("bore.repeats_differ", "repeats at a place do not agree", "program", "our own threshold"),
    RejectionRule("bore.far_off", "reading not near the journal diameter", "program", "our own threshold"),
    RejectionRule("bore.at_joint", "diameter ends at the joint's relief", "program", _PRACTICE),
    RejectionRule("bore.directions", "fewer than three directions at a station", "program", _PRACTICE),
    RejectionRule("bore.one_station", "one station only", "program", _PRACTICE),
    RejectionRule("bore.left_out_at_closing", "gasket or shim left out", "program", _PRACTICE),
    RejectionRule("in_groove", "gauge foot in a groove, hole or dam", "person", _PRACTICE),
    RejectionRule("not_square", "gauge not square to the axis, turning point not found", "person", _PRACTICE),
)  # fmt: skip

BORE = Method(
    key="bore",
    title="Bore less journal",
    measures="oil clearance",
    basis="diametral",
    reading_field=Field("diameter", "Diameter", "quantity", dimension="length"),
    fields=FIELDS,
    default_places=standard_places,
    evaluate=evaluate,
    views=("round",),
    ring="bore",
    hold_points=HOLD_POINTS,
    rejection_rules=REJECTION_RULES,
    sheet_lines=(
        SheetLine("Bore measured with", "bore_gauge"),
        SheetLine("Tightened to", "tightened"),
        SheetLine("Torque", "torque"),
        SheetLine("Temperature of the shell", "part_temperature"),
        SheetLine("Temperature of the journal", "journal_temperature"),
        SheetLine("Joint when the bore was taken", "joint"),
        SheetLine("Joint at final closing", "final_joint"),
    ),
    cautions=("isolated", "cap_held", "fingers"),
    proves="clearance",
    assesses=("bore out-of-round",),
    repeats=False,
    reads="other",
    about="The clearance the parts have by themselves, station by station: the least bore less the greatest "
    "journal and the other way round. It cannot see how the shaft lies in the bearing, nor an odd number of "
    "lobes, which two points never show.",
    again="take bore and journal again with instruments set anew",
    finish="Loosen in reverse; wipe bore and journal before the shaft goes in.",
    finer="A finer way: a comparator set on the journal's own micrometer, whose error then drops out.",
    steps=(
        "Shells in their housing, joint as at the final closing, cap tightened to the final torque.",
        "Let journal, shells and instruments stand together; note the temperatures.",
        "Bore: vertical and 45° to each side at every station, never at the joint. Rock the gauge; the "
        "turning point is the diameter.",
        "Journal: three diameters at the same stations. Check the instruments on their standard again.",
        "Tilting pads: bore of the ring, each pad at its pivot with ball anvils, journal.",
    ),
)
