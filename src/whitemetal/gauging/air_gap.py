"""Air gap of a motor: at four places at each end, its mean and how far any place is off it."""

from __future__ import annotations

from whitemetal.card import Card
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
from whitemetal.gauging.instruments import CALIBRATION_FIELD, MPE_FIELD
from whitemetal.gauging.recorded import Look, field_of_look, wrong
from whitemetal.gauging.round_gaps import Gaps, gaps_of, ring_places
from whitemetal.gauging.wire.layout import initials
from whitemetal.quantity import Quantity
from whitemetal.words import say

PRACTICE = "common practice"
OFF_MEAN = 0.10
"""Largest deviation of any place from the mean of its end, over that mean. Common practice, from memory; the
maker's book governs."""

LOOKS = (
    Look(
        "same_tooth",
        "Taken at the same place of the rotor each time, the rotor turned",
        "yes",
        "warning",
        "Taken at different places of the rotor: its own out-of-round is in the deviation.",
        needed=False,
    ),
)


def _places(card: Card) -> tuple[Place, ...]:
    first, last = card.bearing.ends
    ends = ((first, 0.0), (last, card.bearing.length))
    return ring_places([(initials(end), axial, f"air gap, {end} of the motor") for end, axial in ends])


def deviation(ring: Gaps) -> Quantity:
    """Greatest deviation of a place from the mean of its ring, over the mean [-]."""
    mean = ring.mean
    side = max(ring.by_side, key=lambda one: abs(ring.by_side[one].value - mean.value))
    off = ring.by_side[side] - mean
    return (off if off.value >= 0.0 else -off) / mean


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """Gap at each place [m] and the greatest deviation from the mean of each end [-]."""
    rings, findings = gaps_of("air_gap", places, facts, readings)
    findings = (*findings, *wrong("air_gap", LOOKS, facts))
    if not rings:
        return Result(None, findings=findings)
    if any(ring.mean.value <= 0.0 for ring in rings):
        touches = Finding("air_gap.no_gap", "hold", say("recorded.no_gap"), "by definition")
        return Result(None, findings=(*findings, touches))
    each = [(f"{ring.piece} {side}", gap) for ring in rings for side, gap in ring.by_side.items()]
    off = Assessed(
        "motor air gap deviation",
        "Deviation from the mean",
        tuple(deviation(ring) for ring in rings),
        tuple(ring.piece for ring in rings),
    )
    gap = Assessed(
        "motor air gap", "Air gap", tuple(q for _, q in each), tuple(w for w, _ in each), needed=False
    )
    return Result(None, findings=findings, assessed=(off, gap))


AIR_GAP = Method(
    key="air_gap",
    title="Motor air gap",
    measures="motor air gap",
    basis="radial",
    reading_field=Field("gap", "Air gap", "quantity", dimension="length"),
    fields=(*(field_of_look(look) for look in LOOKS), MPE_FIELD, CALIBRATION_FIELD),
    default_places=_places,
    evaluate=evaluate,
    views=("round",),
    ring="rotor",
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked, tried and earthed; permit number noted",
            "a motor that starts kills, and so does its supply",
            people=True,
        ),
    ),
    rejection_rules=(
        RejectionRule("air_gap.one_side", "gaps read on one side only", "program", "derived from geometry"),
        RejectionRule("air_gap.impossible", "a gap below nothing", "program", "by definition"),
        RejectionRule("air_gap.no_gap", "no gap anywhere at an end", "program", "by definition"),
        RejectionRule("air_gap.same_tooth", "taken at different places of the rotor", "program", PRACTICE),
        RejectionRule("on_a_wedge", "taken on a slot wedge or on paint", "person", PRACTICE),
    ),
    sheet_lines=tuple(SheetLine(look.label, look.key) for look in LOOKS),
    cautions=("isolated",),
    steps=("Turn the same place of the rotor to each reading; long feeler on bare iron.",),
    assesses=("motor air gap deviation", "motor air gap"),
    rules=lambda card: (
        GeneralRule(
            "motor air gap deviation", "no place more than 10 % off the mean", PRACTICE, None, OFF_MEAN
        ),
    ),
    subject="machine",
    stale_with=("alignment",),
    again="read the gaps again",
    about="Where the rotor lies in its stator, at both ends; other shells or scraping move it.",
)
