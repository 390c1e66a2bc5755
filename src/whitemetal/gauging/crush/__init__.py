"""Crush (nip): how tightly the cap holds the shell in its housing, by wire, by joint wires or by feeler."""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contract import Field, HoldPoint, Method, Place, RejectionRule, SheetLine
from whitemetal.gauging.crush.evaluate import WAYS, evaluate
from whitemetal.gauging.crush.limits import SEATS, rules
from whitemetal.gauging.instruments import CALIBRATION_FIELD, MPE_FIELD
from whitemetal.gauging.wire.layout import stations

_PRACTICE = "common practice"
_GEOMETRY = "derived from geometry"
_YES_NO = ("yes", "no")


def standard_places(card: Card) -> tuple[Place, ...]:
    """At each end of the shell: the crown of its back, and the housing joint left and right."""
    return tuple(
        Place(f"{short} {word}", axial, angle, short, title=f"{name}, {title}")
        for short, axial, name in (stations(card)[0], stations(card)[-1])
        for word, angle, title in (
            ("crown", 0.0, "on the shell's back at the crown"),
            ("left", -0.5 * math.pi, "housing joint, left"),
            ("right", 0.5 * math.pi, "housing joint, right"),
        )
    )


CRUSH = Method(
    key="crush",
    title="Crush of the shell",
    measures="crush",
    basis="diametral",
    reading_field=Field("thickness", "Thickness of wire, or gap by feeler", "quantity", dimension="length"),
    fields=(
        Field("way", "How it is measured", "choice", choices=WAYS, needed=True,
              help="by feeler: one side home, gap at the slack side, then the other way round"),
        Field("in_which_joint", "Shims or wires lie in", "choice",
              choices=("housing joint", "shell joint", "none: feeler"), needed=True,
              help="the housing's joint, with the shell's own joint closed"),
        Field("shells_closed", "Shell halves closed on each other", "yes or no", choices=_YES_NO,
              needed=True),
        Field("tightened", "Cap tightened to", "choice", choices=("final value", "not final"), needed=True),
        Field("shim_left", "Shim in the housing joint, left", "quantity", dimension="length"),
        Field("shim_right", "Shim in the housing joint, right", "quantity", dimension="length"),
        Field("wire_diameter", "Wire diameter", "quantity", dimension="length"),
        Field("torque", "Torque used", "quantity", dimension="torque", unit="N m"),
        Field("seat_kind", "Seat", "choice", choices=SEATS, default=SEATS[0], source="the card"),
        Field("shims_out", "Shims and wires of this check taken out again", "yes or no", choices=_YES_NO),
        MPE_FIELD,
        CALIBRATION_FIELD,
    ),
    default_places=standard_places,
    evaluate=evaluate,
    views=("round",),
    ring="shell back",
    hold_points=(
        HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
                  "a machine that starts kills", people=True),
        HoldPoint("cap_held", "before", "Cap lifted with tested gear and supported; fingers out of the joint",
                  "the cap can drop or shift", people=True),
        HoldPoint("lead", "before", "Lead: no eating or smoking, hands and phone wiped, scraps bagged",
                  "lead is taken in by mouth", people=True),
        HoldPoint("backs_clean", "before", "Shell back, seat and joint faces clean and without burrs",
                  "dirt is measured as crush"),
        HoldPoint("shims_out", "after", "Shims and wires of this check out again",
                  "a shim left in lets the shell turn"),
    ),
    rejection_rules=(
        RejectionRule("crush.wrong_joint", "shims or wires in the shell's own joint", "program", _GEOMETRY),
        RejectionRule("crush.shells_open", "shell halves not closed on each other", "program", _GEOMETRY),
        RejectionRule("crush.not_final", "cap not at its final torque", "program", _PRACTICE),
        RejectionRule("crush.other_torque", "another torque than the final one", "program", _PRACTICE),
        RejectionRule("crush.shims_differ", "shims left and right not equal", "program", _PRACTICE),
        RejectionRule("crush.cocked", "joint wires left and right differ", "program", _PRACTICE),
        RejectionRule("crush.hardly_flattened", "wire hardly flattened", "program", _PRACTICE),
        RejectionRule("crush.too_thin", "less than a third of the wire left", "program", _PRACTICE),
        RejectionRule("crush.not_positive", "thickness that cannot be", "program", _GEOMETRY),
        RejectionRule("crush.no_gap", "no gap opened at either side", "program", _GEOMETRY),
        RejectionRule("crush.one_side", "feeler used at one side only", "program", _PRACTICE),
        RejectionRule("crush.stuck", "gaps from the two sides differ: shells stick", "program", _PRACTICE),
        RejectionRule("crush.nothing_in_joint", "nothing held the housing joint open", "program", _GEOMETRY),
        RejectionRule("crush.incomplete", "crown or joint not read at a station", "program", _GEOMETRY),
        RejectionRule("wire_in_slot", "wire lay in a slot or over a hole of the back", "person", _PRACTICE),
    ),
    sheet_lines=(
        SheetLine("How it is measured", "way"),
        SheetLine("Shims or wires lie in", "in_which_joint"),
        SheetLine("Tightened to", "tightened"),
        SheetLine("Torque", "torque"),
        SheetLine("Shim left", "shim_left"),
        SheetLine("Shim right", "shim_right"),
    ),
    cautions=("isolated", "cap_held", "fingers", "lead"),
    steps=(
        "Close the shell halves. Wire on the back at the crown, equal shims in the housing joint.",
        "Lower the cap, tap it home, tighten in sequence to the final torque; open, measure the wire.",
        "By feeler instead: both sides home, slacken one side, measure the gap there; then the other side.",
    ),
    assesses=("crush",),
    rules=rules,
    proves="crush",
    again="measure the crush again",
    finish="Shims and wires of this check out again.",
    about="Whether the cap holds the shell; clearance means nothing before it is right. The feeler's way is "
    "approximate and cannot tell how loose a loose shell is. For a thin shell or a very stiff housing "
    "ask the maker.",
)  # fmt: skip
