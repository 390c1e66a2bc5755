"""Impeller or wear ring: diametral clearance from the gaps read round it."""

from __future__ import annotations

from whitemetal.card import Card
from whitemetal.gauging.contract import (
    Assessed,
    Facts,
    Field,
    HoldPoint,
    Method,
    Place,
    Reading,
    RejectionRule,
    Result,
)
from whitemetal.gauging.instruments import CALIBRATION_FIELD, MPE_FIELD
from whitemetal.gauging.round_gaps import gaps_of, ring_places

PRACTICE = "common practice"


def _places(card: Card) -> tuple[Place, ...]:
    return ring_places((("S", 0.0, "suction side"), ("B", card.bearing.length, "back side")))


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """Diametral clearances up and down and side to side at each ring [m]."""
    rings, findings = gaps_of("impeller", places, facts, readings)
    across = [pair for ring in rings for pair in ring.across()]
    found = Assessed(
        "impeller clearance",
        "Clearance of impeller or wear ring",
        tuple(q for _, q in across),
        tuple(w for w, _ in across),
    )
    return Result(None, findings=findings, assessed=(found,) if across else ())


IMPELLER = Method(
    key="impeller",
    title="Impeller and wear rings",
    measures="impeller clearance",
    basis="diametral",
    reading_field=Field("gap", "Gap", "quantity", dimension="length"),
    fields=(MPE_FIELD, CALIBRATION_FIELD),
    default_places=_places,
    evaluate=evaluate,
    views=("round",),
    ring="seal",
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; drained and vented; permit number noted",
            "a head of water turns it backwards",
            people=True,
        ),
    ),
    rejection_rules=(
        RejectionRule("impeller.impossible", "a gap below nothing", "program", "by definition"),
        RejectionRule("impeller.one_side", "gaps read on one side only", "program", "derived from geometry"),
        RejectionRule("rotor_not_down", "rotor not at rest in its bearings", "person", PRACTICE),
    ),
    cautions=("isolated", "fingers"),
    steps=("Rotor at rest in its bearings; read the gap at top, right, bottom and left.",),
    assesses=("impeller clearance",),
    subject="machine",
    stale_with=("alignment",),
    again="read the gaps again",
    about="The gap of impeller or wear ring, which moves with the shaft; only the maker's figures count.",
)
