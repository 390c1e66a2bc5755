"""Soft wire: the oil clearance from flattened lead wires between journal and upper half."""

from __future__ import annotations

from whitemetal.gauging.contract import Field, HoldPoint, Method, RejectionRule, SheetLine
from whitemetal.gauging.wire.evaluate import evaluate
from whitemetal.gauging.wire.layout import standard_places

_JOINT = ("metal to metal", "shims", "gasket", "sealant", "joint wires")
_CLOSED = ("metal to metal", "shims", "gasket", "sealant")
_YES_NO = ("yes", "no")
_PRACTICE = "common practice"

FIELDS: tuple[Field, ...] = (
    Field("wire_diameter", "Wire diameter", "quantity", dimension="length", needed=True,
          help="before squeezing, measured"),
    Field("wire_material", "Wire", "choice",
          choices=("pure soft lead", "tin-lead solder", "steel-cored", "other"),
          default="pure soft lead", source=_PRACTICE, help="solder is too hard and reads thick"),
    Field("wires_in", "Pieces of wire put in", "number", help="joint wires too"),
    Field("wires_out", "Pieces of wire taken out", "number", help="must equal the pieces put in"),
    Field("journal_down", "Journal at rest on the lower shell", "yes or no", choices=_YES_NO, needed=True,
          help="coupling free, no jacking oil, no seal drag"),
    Field("oil_wiped", "Oil and blue wiped off before the wires", "yes or no", choices=_YES_NO),
    Field("shaft_turned", "Shaft turned with the wires in", "yes or no", choices=_YES_NO),
    Field("final_joint", "Joint at the final closing", "choice", choices=_CLOSED,
          help="as on the card unless said otherwise"),
    Field("final_joint_left", "Final joint, thickness left under load", "quantity", dimension="length"),
    Field("final_joint_right", "Final joint, thickness right under load", "quantity", dimension="length"),
    Field("part_temperature", "Temperature of the shell", "quantity", dimension="temperature", unit="degC"),
    Field("journal_temperature", "Temperature of the journal", "quantity", dimension="temperature",
          unit="degC"),
    Field("date", "Date of the readings", "date", help="year-month-day"),
    Field("joint", "Joint at this squeeze", "choice", "squeeze", choices=_JOINT, needed=True,
          help="what lay between the halves when the wires were squeezed"),
    Field("joint_left", "Joint at this squeeze, left", "quantity", "squeeze", "length"),
    Field("joint_right", "Joint at this squeeze, right", "quantity", "squeeze", "length"),
    Field("joint_wire_left", "Joint wire left", "quantity", "squeeze", "length",
          help="flattened wire between the joint faces"),
    Field("joint_wire_right", "Joint wire right", "quantity", "squeeze", "length"),
    Field("tightened", "Cap tightened to", "choice", "squeeze", choices=("final value", "not final"),
          needed=True),
    Field("torque", "Torque used", "quantity", "squeeze", "torque", "N m"),
    Field("mpe", "Permissible error", "quantity", "instrument", "length",
          help="0.004 mm for a 0 to 25 mm micrometer when not stated"),
    Field("zero_before", "Reading at zero, before", "quantity", "instrument", "length"),
    Field("zero_after", "Reading at zero, after", "quantity", "instrument", "length"),
    Field("calibration_due", "Calibration due", "date", "instrument"),
    Field("anvil", "Anvil", "choice", "instrument",
          choices=("ball", "flat, strip flattened", "flat, strip not flattened"), needed=True,
          help="a curled strip stands up under a flat anvil"),
    Field("anvil_width", "Width of the flat anvil", "quantity", "instrument", "length"),
)  # fmt: skip

HOLD_POINTS: tuple[HoldPoint, ...] = (
    HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
              "a machine that starts kills", people=True),
    HoldPoint("rotor_blocked", "before", "Rotor blocked against turning; pressure and heads bled off",
              "air and oil in the system can turn it", people=True),
    HoldPoint("cap_held", "before", "Cap lifted with tested gear and supported; fingers out of the joint",
              "the cap can drop or shift", people=True),
    HoldPoint("lead", "before", "Lead: no eating or smoking, hands and phone wiped, scraps bagged",
              "lead is taken in by mouth", people=True),
    HoldPoint("journal_down", "before", "Journal proven down: coupling free, no jacking oil, no seal drag",
              "the top gap is the clearance only when the journal rests at the bottom"),
    HoldPoint("clean_dry", "before", "Oil and blue wiped off, no wire in a groove, relief or hole",
              "oil and blue read thick"),
    HoldPoint("wires_out", "after", "Wires out equals wires in", "a wire left in wipes the bearing"),
    HoldPoint("wiped", "after", "Grease and blue wiped off journal and shells",
              "grease and blue are not clearance"),
    HoldPoint("closing_repeats", "after", "Final closing repeats this tightening and this joint",
              "another closing is another clearance"),
)  # fmt: skip

REJECTION_RULES: tuple[RejectionRule, ...] = (
    RejectionRule("wire.hardly_flattened", "wire hardly flattened", "program", _PRACTICE),
    RejectionRule("wire.too_thin", "less than a third of the wire left", "program", _PRACTICE),
    RejectionRule("broken", "wire broke or folded", "person", _PRACTICE),
    RejectionRule("in_groove", "wire lay in a groove, relief or hole", "person", _PRACTICE),
    RejectionRule("wire.joint_differs", "joint wires left and right differ", "program", _PRACTICE),
    RejectionRule("wire.shaft_turned", "shaft turned with the wires in", "program", _PRACTICE),
    RejectionRule("wire.journal_not_down", "journal not at rest at the bottom", "program", _PRACTICE),
    RejectionRule("wire.oil_under_wire", "oil or blue under the wire", "program", _PRACTICE),
    RejectionRule("wire.tightening_not_final", "cap not at its final torque", "program", _PRACTICE),
    RejectionRule("wire.left_out_at_closing", "gasket or shim changed or left out", "program", _PRACTICE),
    RejectionRule("not_seated", "shell not seated", "person", _PRACTICE),
    RejectionRule("wire.hot", "parts hot or unequally warm", "program", _PRACTICE),
    RejectionRule("wire.wrong_wire", "solder or steel-cored wire", "program", _PRACTICE),
    RejectionRule("wire.zero_drift", "micrometer zero moved", "program", _PRACTICE),
    RejectionRule("wire.ends_against_middle", "ends inconsistent with the middle", "program", _PRACTICE),
)

WIRE = Method(
    key="wire",
    title="Soft-wire clearance",
    measures="oil clearance",
    basis="diametral",
    reading_field=Field("thickness", "Thickness of the flattened wire", "quantity", dimension="length"),
    fields=FIELDS,
    default_places=standard_places,
    evaluate=evaluate,
    hold_points=HOLD_POINTS,
    rejection_rules=REJECTION_RULES,
    sheet_lines=(
        SheetLine("Wire diameter", "wire_diameter"),
        SheetLine("Joint at squeeze", "joint"),
        SheetLine("Joint at final closing", "final_joint"),
        SheetLine("Tightened to", "tightened"),
        SheetLine("Torque", "torque"),
        SheetLine("Wires in", "wires_in"),
        SheetLine("Wires out", "wires_out"),
    ),
    cautions=("isolated", "cap_held", "fingers", "lead"),
    proves="clearance",
    about="The oil clearance itself, place by place, with the cap tightened as it will run; it marks soft "
    "white metal lightly and cannot tell a cap shifted sideways from a journal off bottom.",
    again="squeeze new wires",
    finish="Count the wires out and wipe off grease and blue.",
    finer="A finer method: bore less journal with a bore gauge set on a ring, the cap tightened (about "
    "± 0.014 mm, derived).",
    steps=(
        "Wipe journal and shells dry. Lay the wires with a smear of grease, clear of grooves and holes.",
        "Lower the cap, tap it home, tighten in sequence to the final torque.",
        "Loosen in reverse, lift the cap, lift the wires off without bending them.",
        "Measure each strip left, at the top and right; note each thickness where it was taken.",
    ),
)
