"""Stud stretch: how much longer each stud is tight than slack, a better proof of its pull than any wrench."""

from __future__ import annotations

from whitemetal.card import Card
from whitemetal.closing.torque import HOUSINGS, SHARE_OF_PROOF, SHARE_OF_STRIPPING, stretch, stripping_load
from whitemetal.errors import InputError
from whitemetal.gauging.asked import calibration, mean_of, strangers
from whitemetal.gauging.contract import (
    Assessed,
    Facts,
    Field,
    Finding,
    GeneralRule,
    HoldPoint,
    Method,
    Place,
    Reading,
    RejectionRule,
    Result,
    SheetLine,
)
from whitemetal.gauging.instruments import (
    CALIBRATION_FIELD,
    DIAL_INDICATOR,
    MPE_FIELD,
    of_instrument,
    of_step,
)
from whitemetal.gauging.tightening.doubts import found, grade_of, of_grade, thread_of
from whitemetal.gauging.tightening.evaluate import joint_findings
from whitemetal.gauging.tightening.layout import nuts
from whitemetal.gauging.wire.facts import temperature, text
from whitemetal.quantity import Quantity
from whitemetal.words import say

PRACTICE = "common practice"
LEAST_SHARE = 0.65
"""A stud is pulled to at least this share of its proof load, and to three quarters at most. Common practice:
65 to 75 %."""

WARM = 2.0
"""A stud that was warmer or colder by more than this [K] between the two lengths has grown or shrunk by as
much as a pull would: 12 µm a metre and kelvin of steel. Our own."""

_YES_NO = ("yes", "no")


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The stretch of each stud [m], with what its gauge and last digit leave open. Raises UnitError."""
    known = {place.label: place for place in places}
    groups = {label: [one for one in readings if one.place == label] for label in known}
    taken = {label: group for label, group in groups.items() if group}
    findings = [*strangers("stretch", known, readings), *_how(card, places, facts)]
    missed = [label for label in known if label not in taken]
    if missed:
        findings.append(found("missed_studs", "hold", places=", ".join(missed)))
    findings += [*of_grade(card, facts), *joint_findings(card, facts)]
    findings += calibration("stretch", facts, readings)
    if not taken:
        return Result(None, findings=tuple(findings))
    values = tuple(_stretch(facts, label, group) for label, group in taken.items())
    one = Assessed("stud stretch", say("tightening.stretch"), values, tuple(taken))
    return Result(None, findings=tuple(findings), assessed=(one,))


def _stretch(facts: Facts, label: str, group: list[Reading]) -> Quantity:
    mean = mean_of(group)
    step = of_step("stretch", label, group)
    gauge = of_instrument("stretch", facts, group[0].instrument, DIAL_INDICATOR, abs(mean))
    return Quantity(mean, {step: step.u, gauge: gauge.u})


def _how(card: Card, places: tuple[Place, ...], facts: Facts) -> list[Finding]:
    said = []
    if not places:
        said.append(found("no_nuts", "hold"))
    elif card.fasteners.count not in (None, len(places)):
        said.append(found("other_count", "hold", card=card.fasteners.count, here=len(places)))
    if text(facts, "slack_first") == "no":
        said.append(found("not_slack", "hold"))
    slack, tight = temperature(facts, "slack_temperature"), temperature(facts, "tight_temperature")
    if slack is not None and tight is not None and abs(tight - slack) > WARM:
        said.append(found("studs_warmed", "hold", source="our own threshold", kelvin=f"{tight - slack:+.0f}"))
    return said


def rules(card: Card) -> tuple[GeneralRule, ...]:
    """What studs of this card stretch at 65 to 75 % of their proof load, less where the thread they go into
    would strip first; () where size, grade or clamped length is not known."""
    size, known, grip = thread_of(card), grade_of(card.fasteners.grade), card.fasteners.grip
    if size is None or known is None or grip is None:
        return ()
    try:
        most = SHARE_OF_PROOF * (2.0 / 3.0 if known.of_yield else 1.0) * known.proof_stress(size.diameter)
    except InputError:
        return ()
    pull, housing = most * size.stress_area, HOUSINGS.get(card.fasteners.housing)
    if housing is not None and card.fasteners.engagement is not None:
        strips = stripping_load(size, card.fasteners.engagement, housing.shear)
        pull = min(pull, SHARE_OF_STRIPPING * strips)
    longest = stretch(pull, grip, size.stress_area)
    least = LEAST_SHARE / SHARE_OF_PROOF * longest
    return (
        GeneralRule("stud stretch", say("tightening.stretch_rule"), say("tightening.stretch_source"), least,
                    longest),
    )  # fmt: skip


STUD_STRETCH = Method(
    key="stud_stretch",
    title="Stud stretch",
    measures="stud stretch",
    basis="none",
    reading_field=Field("stretch", "Longer by", "quantity", dimension="length"),
    fields=(
        Field("grade", "Grade stamped on the studs", "text", needed=True,
              help="as it stands there; none where nothing is stamped"),
        Field("slack_first", "Gauge set to nothing on each stud while it was slack", "yes or no",
              choices=_YES_NO, needed=True, help="or both lengths measured and taken off each other"),
        Field("slack_temperature", "Temperature of the studs when slack", "quantity",
              dimension="temperature", unit="degC"),
        Field("tight_temperature", "Temperature of the studs when tight", "quantity",
              dimension="temperature", unit="degC"),
        Field("joint_feeler", "Thickest feeler that enters the closed joint", "quantity", dimension="length",
              measured=True, help="0 when the thinnest blade does not enter anywhere"),
        Field("date", "Date of the readings", "date", help="year-month-day"),
        MPE_FIELD,
        CALIBRATION_FIELD,
    ),
    default_places=nuts,
    evaluate=evaluate,
    views=("cap",),
    hold_points=(
        HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
                  "a machine that starts kills", people=True),
        HoldPoint("fingers_out", "before", "Fingers, rags and tools out of the joint; wires counted out",
                  "a closing joint crushes", people=True),
        HoldPoint("out_of_line", "before", "Nobody in line with a stud under a hydraulic tool",
                  "a stud that breaks flies", people=True),
    ),
    rejection_rules=(
        RejectionRule("tightening.missed_studs", "a stud left out", "program", PRACTICE),
        RejectionRule("tightening.not_slack", "gauge not set on the slack stud", "program", PRACTICE),
        RejectionRule("tightening.studs_warmed", "studs warmed between the lengths", "program",
                      "our own threshold"),
        RejectionRule("tightening.grade_differs", "another grade than the card's", "program", PRACTICE),
        RejectionRule("tightening.joint_open", "joint stands open afterwards", "program", PRACTICE),
        RejectionRule("anvil_dirty", "ends of the stud dirty or burred where it was measured", "person",
                      PRACTICE),
    ),
    sheet_lines=(
        SheetLine("Grade stamped", "grade"),
        SheetLine("Set on the slack stud", "slack_first"),
        SheetLine("Studs when slack", "slack_temperature"),
        SheetLine("Studs when tight", "tight_temperature"),
        SheetLine("Feeler at the closed joint", "joint_feeler"),
    ),
    cautions=("isolated", "fingers", "before_tightening"),
    assesses=("stud stretch",),
    rules=rules,
    proves="tightening",
    stale_with=("tightening", "clearance", "oil_ring", "dowels"),
    reads="other",
    repeats=False,
    about="How hard each stud pulls, from how much longer it is; no friction comes into it.",
    finish="Locking devices on, then count out once more.",
    steps=(
        "Both ends of each stud clean; gauge over the whole length, set to nothing while the stud is slack.",
        "Tighten in passes in the order drawn, then read each stud again at the same temperature.",
        "A thin feeler all round the joint.",
    ),
)  # fmt: skip
