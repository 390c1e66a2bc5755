"""Plastic gauging strip: the oil clearance from the width of flattened strips between journal and shell."""

from __future__ import annotations

from whitemetal.card import Card
from whitemetal.gauging.contract import Field, HoldPoint, Method, Place, RejectionRule, SheetLine
from whitemetal.gauging.strip.doubts import (
    DRY,
    ELSEWHERE,
    EXPIRED,
    GOOD,
    HOT_STORED,
    NOT_KNOWN,
    OILED,
    WIDEST,
)
from whitemetal.gauging.strip.evaluate import evaluate
from whitemetal.gauging.strip.ranges import ARMY, STRIPS
from whitemetal.gauging.wire.layout import BESIDE_GROOVE, stations

_PRACTICE = "common practice"
_YES_NO = ("yes", "no")
_CLOSED = ("metal to metal", "shims", "gasket", "sealant")


def standard_places(card: Card) -> tuple[Place, ...]:
    """A strip along the land at top centre, read at each station; one on each side of a groove there."""
    sides: tuple[tuple[str, float, str], ...] = (("top", 0.0, "at top centre"),)
    if card.bearing.groove_at_top:
        sides = (
            ("left", -BESIDE_GROOVE, "left of the groove"),
            ("right", BESIDE_GROOVE, "right of the groove"),
        )
    return tuple(
        Place(f"{short} {side}", axial, angle, side, "along", f"{name}, {where}")
        for side, angle, where in sides
        for short, axial, name in stations(card)
    )


FIELDS: tuple[Field, ...] = (
    Field("strip_range", "Range of the strip", "choice", choices=tuple(STRIPS), needed=True,
          help="as printed on its packet"),
    Field("scale_step", "Step of its scale", "quantity", dimension="length",
          help="0.0005 to 0.001 in usual"),
    Field("strip_condition", "Age of the strip", "choice", choices=(GOOD, EXPIRED, HOT_STORED, NOT_KNOWN),
          needed=True, help="old or warm strip no longer flows as its scale says"),
    Field("strip_expires", "Strip to be used by", "date", help="year-month-day"),
    Field("read_at", "Each reading taken at", "choice", choices=(WIDEST, ELSEWHERE), default=WIDEST,
          source="US Army TM 55-1905-220-14-4", help="the widest point is the least gap there"),
    Field("off_centre", "Strip laid off top centre by", "quantity", dimension="length",
          help="along the journal, right positive; some 6 mm clears an oil hole"),
    Field("oil", "Strip laid", "choice", choices=(DRY, OILED), default=DRY,
          source="sources conflict: the strip dissolves in oil, but some oil it in place"),
    Field("journal_down", "Journal at rest on the shell away from the strip", "yes or no", choices=_YES_NO,
          needed=True, help="held down where it overhangs; coupling free, no jacking oil"),
    Field("weight_on_strip", "Shaft's weight on the strip", "yes or no", choices=_YES_NO, needed=True,
          help="from below: jack the shaft against the upper shell first"),
    Field("shaft_turned", "Shaft turned with the strip in", "yes or no", choices=_YES_NO),
    Field("final_joint", "Joint at the final closing", "choice", choices=_CLOSED,
          help="as on the card unless said otherwise"),
    Field("final_joint_left", "Final joint, thickness left under load", "quantity", dimension="length"),
    Field("final_joint_right", "Final joint, thickness right under load", "quantity", dimension="length"),
    Field("part_temperature", "Temperature of the shell", "quantity", dimension="temperature", unit="degC"),
    Field("journal_temperature", "Temperature of the journal", "quantity", dimension="temperature",
          unit="degC"),
    Field("date", "Date of the readings", "date", help="year-month-day"),
    Field("joint", "Joint at this squeeze", "choice", "squeeze", choices=_CLOSED, needed=True,
          help="what lay between the halves when the strip was squeezed"),
    Field("joint_left", "Joint at this squeeze, left", "quantity", "squeeze", "length"),
    Field("joint_right", "Joint at this squeeze, right", "quantity", "squeeze", "length"),
    Field("tightened", "Cap tightened to", "choice", "squeeze", choices=("final value", "not final"),
          needed=True),
    Field("torque", "Torque used", "quantity", "squeeze", "torque", "N m"),
)  # fmt: skip

HOLD_POINTS: tuple[HoldPoint, ...] = (
    HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
              "a machine that starts kills", people=True),
    HoldPoint("rotor_blocked", "before", "Rotor blocked against turning; pressure and heads bled off",
              "air and oil in the system can turn it", people=True),
    HoldPoint("cap_held", "before", "Cap lifted with tested gear and supported; fingers out of the joint",
              "the cap can drop or shift", people=True),
    HoldPoint("journal_down", "before", "Journal proven down, away from the strip",
              "the gap is the clearance only when the journal rests opposite"),
    HoldPoint("clean_dry", "before", "Oil and blue wiped off, no strip in a groove, relief or hole",
              "the strip dissolves in oil; blue reads thick"),
    HoldPoint("strip_out", "after", "Every piece of strip out again", "a strip left in blocks oil"),
    HoldPoint("closing_repeats", "after", "Final closing repeats this tightening and this joint",
              "another closing is another clearance"),
)  # fmt: skip

REJECTION_RULES: tuple[RejectionRule, ...] = (
    RejectionRule("strip.out_of_range", "reading off the strip's scale", "program", ARMY),
    RejectionRule("strip.expired", "strip past its date", "program", _PRACTICE),
    RejectionRule("strip.stored_hot", "strip stored hot", "program", _PRACTICE),
    RejectionRule("strip.shaft_turned", "shaft turned with the strip in", "program", ARMY),
    RejectionRule("strip.weight", "shaft's weight on the strip", "program", "an engine maker's manual"),
    RejectionRule("strip.journal_not_down", "journal not at rest away from the strip", "program", _PRACTICE),
    RejectionRule("strip.not_widest", "not read at the widest point", "program",
                  "US Army TM 55-1905-220-14-4"),
    RejectionRule("strip.tightening_not_final", "cap not at its final torque", "program", _PRACTICE),
    RejectionRule("strip.tightening_differs", "another torque than the card's", "program", _PRACTICE),
    RejectionRule("strip.left_out_at_closing", "gasket or shim changed or left out", "program", _PRACTICE),
    RejectionRule("strip.beyond_30", "more than 30° off top centre", "program", _PRACTICE),
    RejectionRule("strip.hot", "a part above 40 °C", "program", "our own threshold"),
    RejectionRule("strip.unequal", "parts more than 5 K apart", "program", "our own threshold"),
    RejectionRule("in_groove", "strip lay in a groove, relief or hole", "person", _PRACTICE),
    RejectionRule("torn", "strip torn, doubled or stuck to both parts", "person", _PRACTICE),
    RejectionRule("not_seated", "shell not seated", "person", _PRACTICE),
)  # fmt: skip

STRIP = Method(
    key="strip",
    title="Gauging strip",
    measures="oil clearance",
    basis="diametral",
    reading_field=Field("gap", "Gap read on the strip's scale", "quantity", dimension="length"),
    fields=FIELDS,
    default_places=standard_places,
    evaluate=evaluate,
    hold_points=HOLD_POINTS,
    rejection_rules=REJECTION_RULES,
    sheet_lines=(
        SheetLine("Range of the strip", "strip_range"),
        SheetLine("Step of its scale", "scale_step"),
        SheetLine("Age of the strip", "strip_condition"),
        SheetLine("Strip laid", "oil"),
        SheetLine("Off top centre by", "off_centre"),
        SheetLine("Joint at squeeze", "joint"),
        SheetLine("Joint at final closing", "final_joint"),
        SheetLine("Tightened to", "tightened"),
        SheetLine("Torque", "torque"),
    ),
    cautions=("isolated", "cap_held", "fingers"),
    proves="clearance",
    about="The oil clearance place by place without marking the white metal, for small clearances; it shows "
    "one direction only, so neither an oval journal nor one that runs out.",
    again="squeeze new strips",
    finish="Every piece of strip out, journal and shell wiped.",
    finer="A finer method: bore less journal with a bore gauge set on a ring, the cap tightened (about "
    "± 0.014 mm, derived).",
    steps=(
        "Choose the strip whose scale holds both limits. Wipe journal and shell dry.",
        "Lay it along the whole width of the land at top centre, clear of grooves and oil holes.",
        "Lower the cap, tighten in sequence to the final torque; do not turn the shaft.",
        "Lift the cap. At each station hold the scale to the widest point and note the gap it shows.",
    ),
)
