"""Tightening: the cap's nuts pulled one by one in passes, and the joint tried with a feeler afterwards."""

from __future__ import annotations

from whitemetal.closing.torque import LUBRICATED
from whitemetal.gauging.contract import Field, HoldPoint, Method, RejectionRule, SheetLine
from whitemetal.gauging.instruments import CALIBRATION_FIELD
from whitemetal.gauging.tightening.evaluate import MOVED, STILL, evaluate
from whitemetal.gauging.tightening.layout import nuts

_PRACTICE = "common practice"
_YES_NO = ("yes", "no")

FIELDS: tuple[Field, ...] = (
    Field("thread", "Threads and seats go in", "choice", choices=tuple(LUBRICATED), needed=True,
          help="as they are now; the torque on the card counts for one state only"),
    Field("grade", "Grade stamped on the bolts or nuts", "text", needed=True,
          help="as it stands there; none where nothing is stamped"),
    Field("threads", "Threads and seats whole and clean, nuts run down by hand", "yes or no",
          choices=_YES_NO, needed=True),
    Field("tapped", "Cap tapped home on its dowels before the nuts took load", "yes or no", choices=_YES_NO,
          needed=True, help="nuts that pull it home bend the dowels"),
    Field("last_round", "Last round at the final torque", "choice", choices=(STILL, MOVED), needed=True,
          measured=True, help="go round until none moves"),
    Field("joint_feeler", "Thickest feeler that enters the closed joint", "quantity", dimension="length",
          measured=True, help="0 when the thinnest blade does not enter anywhere"),
    Field("wrench", "Tightened with", "choice",
          choices=("torque wrench", "hydraulic torque tool", "multiplier", "hydraulic tensioner")),
    Field("date", "Date of the tightening", "date", help="year-month-day"),
    CALIBRATION_FIELD,
)  # fmt: skip

HOLD_POINTS: tuple[HoldPoint, ...] = (
    HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
              "a machine that starts kills", people=True),
    HoldPoint("fingers_out", "before", "Fingers, rags and tools out of the joint; wires counted out",
              "a closing joint crushes", people=True),
)  # fmt: skip

REJECTION_RULES: tuple[RejectionRule, ...] = (
    RejectionRule("tightening.overload", "dry torque on an oiled thread", "program", _PRACTICE),
    RejectionRule("tightening.underload", "torque for an oiled thread on a dry one", "program", _PRACTICE),
    RejectionRule("tightening.grade_differs", "another grade than the card's", "program", _PRACTICE),
    RejectionRule("tightening.unit", "read in another unit than written", "program", "by definition"),
    RejectionRule("tightening.over", "pulled beyond the final torque", "program", _PRACTICE),
    RejectionRule("tightening.under", "not pulled to the final torque", "program", _PRACTICE),
    RejectionRule("tightening.missed", "a nut left out", "program", _PRACTICE),
    RejectionRule("tightening.at_once", "pulled home in one go", "program", _PRACTICE),
    RejectionRule("tightening.moved", "a nut moved in the last round", "program", _PRACTICE),
    RejectionRule("tightening.joint_open", "joint stands open afterwards", "program", _PRACTICE),
    RejectionRule("yields", "a nut turns on without the torque rising: the stud yields or strips", "person",
                  _PRACTICE),
    RejectionRule("jerks", "wrench jerked, or read while it crept", "person", _PRACTICE),
)  # fmt: skip

TIGHTENING = Method(
    key="tightening",
    title="Tightening",
    measures="tightening",
    basis="none",
    reading_field=Field("torque_applied", "Torque applied", "quantity", dimension="torque", unit="N m"),
    fields=FIELDS,
    default_places=nuts,
    evaluate=evaluate,
    views=("cap",),
    hold_points=HOLD_POINTS,
    rejection_rules=REJECTION_RULES,
    sheet_lines=(
        SheetLine("Threads and seats", "thread"),
        SheetLine("Grade stamped", "grade"),
        SheetLine("Threads whole and clean", "threads"),
        SheetLine("Cap tapped home", "tapped"),
        SheetLine("Last round", "last_round"),
        SheetLine("Feeler at the closed joint", "joint_feeler"),
        SheetLine("Tightened with", "wrench"),
    ),
    cautions=("isolated", "fingers", "before_tightening"),
    proves="tightening",
    stale_with=("tightening", "clearance", "oil_ring", "dowels"),
    reads="other",
    passes=True,
    about="That every nut is at its final torque and the joint is shut; how hard a stud really pulls a "
    "wrench cannot tell: at one torque that scatters by a quarter and more.",
    again="loosen in two steps and tighten again",
    finish="Locking devices on, then count out once more.",
    finer="A finer proof for long studs: their stretch.",
    steps=(
        "Threads and seats wiped, lubricated as the card says, nuts run down by hand; cap tapped home.",
        "Rounds in the order drawn, each a set here: 30, 60, 100 % of the final torque, or as on the card.",
        "A last round at the final torque until no nut moves; then a thin feeler all round the joint.",
    ),
)
