"""Feelers: the clearance at the ends and the side clearance with the bearing closed, by blades."""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contract import Field, HoldPoint, Method, Place, RejectionRule, SheetLine
from whitemetal.gauging.feeler.evaluate import FARTHEST, LEFT, RIGHT, evaluate, rules
from whitemetal.gauging.instruments import MPE_FIELD
from whitemetal.gauging.wire.layout import initials

_PRACTICE = "common practice"
_YES_NO = ("yes", "no")
_ROUND: tuple[tuple[str, float, str], ...] = (
    ("top", 0.0, "at top centre"),
    ("45 left", -FARTHEST, "45° left of top centre"),
    ("45 right", FARTHEST, "45° right of top centre"),
    (LEFT, -0.5 * math.pi, "at the joint, left"),
    (RIGHT, 0.5 * math.pi, "at the joint, right"),
)
"""Places of an end and their angles from top centre [rad]: 45° or more from the parting line (study cards for
NSTM 244, common practice), and the joint itself (derived from geometry)."""


def standard_places(card: Card) -> tuple[Place, ...]:
    """At both ends of the land: top, 45° to each side of it, and both sides at the joint."""
    first, last = card.bearing.ends
    return tuple(
        Place(f"{initials(end)} {word}", axial, angle, initials(end), title=f"{end}, {where}")
        for end, axial in ((first, 0.0), (last, card.bearing.length))
        for word, angle, where in _ROUND
    )


FIELDS: tuple[Field, ...] = (
    Field("blade_width", "Width of the blade", "quantity", dimension="length", unit="mm", needed=True,
          help="3 to 6 mm; a wide blade bridges the curve and reads low"),
    Field("leaves", "Leaves in a stack, at most", "number", help="not more than 3"),
    Field("leaf_step", "Step between stacks tried", "quantity", dimension="length"),
    Field("journal_down", "Journal at rest on the lower shell", "yes or no", choices=_YES_NO, needed=True,
          help="coupling free, no jacking oil, no seal drag"),
    Field("tightened", "Cap tightened to", "choice", choices=("final value", "not final"), needed=True),
    Field("forced", "Blade forced in", "yes or no", choices=_YES_NO, help="a light drag is right"),
    Field("torque", "Torque used", "quantity", dimension="torque", unit="N m"),
    Field("part_temperature", "Temperature of the shell", "quantity", dimension="temperature", unit="degC"),
    Field("journal_temperature", "Temperature of the journal", "quantity", dimension="temperature",
          unit="degC"),
    Field("date", "Date of the readings", "date", help="year-month-day"),
    MPE_FIELD,
)  # fmt: skip

HOLD_POINTS: tuple[HoldPoint, ...] = (
    HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
              "a machine that starts kills", people=True),
    HoldPoint("rotor_blocked", "before", "Rotor blocked against turning; pressure and heads bled off",
              "air and oil in the system can turn it", people=True),
    HoldPoint("journal_down", "before", "Journal proven down: coupling free, no jacking oil, no seal drag",
              "the top gap is the clearance only when the journal rests at the bottom"),
    HoldPoint("ends_clear", "before", "Seals and guards off, the land's end reached, oil wiped off",
              "a blade in the chamfer reads the chamfer"),
    HoldPoint("blades_out", "after", "Every leaf out again, none broken off",
              "a leaf left in wipes the bearing"),
)  # fmt: skip

REJECTION_RULES: tuple[RejectionRule, ...] = (
    RejectionRule("feeler.too_many_leaves", "more than three leaves", "program", _PRACTICE),
    RejectionRule("feeler.journal_not_down", "journal not at rest at the bottom", "program", _PRACTICE),
    RejectionRule("feeler.not_final", "cap not at its final torque", "program", _PRACTICE),
    RejectionRule("feeler.torque_differs", "another torque than the card's", "program", _PRACTICE),
    RejectionRule("feeler.forced", "blade forced in", "program", _PRACTICE),
    RejectionRule("feeler.nothing_enters", "not even the thinnest leaf enters", "program", _PRACTICE),
    RejectionRule("feeler.sides_only", "sides alone, of one side or of a lemon not known", "program",
                  "derived from geometry"),
    RejectionRule("feeler.hot", "a part above 40 °C", "program", "our own threshold"),
    RejectionRule("feeler.unequal", "parts more than 5 K apart", "program", "our own threshold"),
    RejectionRule("in_chamfer", "blade in a chamfer, relief or groove only", "person", _PRACTICE),
    RejectionRule("unequal_leaves", "leaves of very different thickness together", "person", _PRACTICE),
    RejectionRule("worn_leaves", "leaves bent, kinked or worn", "person", _PRACTICE),
)  # fmt: skip

FEELER = Method(
    key="feeler",
    title="Feelers at ends and sides",
    measures="oil clearance",
    basis="diametral",
    reading_field=Field("thickness", "Thickest stack that enters", "quantity", dimension="length"),
    fields=FIELDS,
    default_places=standard_places,
    evaluate=evaluate,
    views=("round",),
    ring="fit",
    hold_points=HOLD_POINTS,
    rejection_rules=REJECTION_RULES,
    sheet_lines=(
        SheetLine("Width of the blade", "blade_width"),
        SheetLine("Leaves in a stack, at most", "leaves"),
        SheetLine("Step between stacks tried", "leaf_step"),
        SheetLine("Tightened to", "tightened"),
        SheetLine("Torque", "torque"),
    ),
    cautions=("isolated", "fingers"),
    assesses=("side clearance",),
    rules=rules,
    proves="clearance",
    reads="other",
    about="Clearance and side clearance with the bearing closed, at its ends only; a blade bridges the "
    "curve, so it is the coarsest way.",
    again="try the stacks again",
    finish="Every leaf out, none broken off.",
    finer="A finer method: soft wire or gauging strip with the cap off (about ± 0.02 mm, derived).",
    steps=(
        "Narrow long blades, three leaves at most, none very different in thickness.",
        "At each end: top, and 45° to each side of it or nearer to the top; never nearer to the joint.",
        "Then both sides at the joint. Note the thickest stack that enters with a light drag, well into it.",
    ),
)
