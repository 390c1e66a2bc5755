"""Shaft seals: diametral clearance of each seal from the gaps read round it."""

from __future__ import annotations

from whitemetal.card import Card
from whitemetal.gauging.contract import (
    Assessed,
    Facts,
    Field,
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
from whitemetal.gauging.round_gaps import gaps_of, ring_places
from whitemetal.gauging.wire.layout import initials

PRACTICE = "common practice"
GUIDE = (0.15e-2, 0.35e-2)
"""Diametral clearance of baffles and labyrinths over shaft diameter: 0.15 to 0.35 mm per 100 mm, a guide.
Common practice; ANSI/EASA AR100 has a table of final seal dimensions for motors."""

LOOKS = (
    Look(
        "seals_rub",
        "Marks of rubbing on the seals",
        "no",
        "warning",
        "The seals have rubbed: after bearing work the shaft lies elsewhere.",
        needed=False,
    ),
    Look(
        "seal_drain",
        "Drain holes of the seals open and at the bottom",
        "yes",
        "fault",
        "A drain hole is closed or not at the bottom: oil comes out along the shaft.",
        needed=False,
    ),
)


def _places(card: Card) -> tuple[Place, ...]:
    first, last = card.bearing.ends
    length = card.bearing.length
    return ring_places(
        ((initials(first), 0.0, f"seal at the {first}"), (initials(last), length, f"seal at the {last}"))
    )


def evaluate(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """Diametral clearances up and down and side to side at each seal [m]."""
    rings, findings = gaps_of("seals", places, facts, readings)
    across = [pair for ring in rings for pair in ring.across()]
    found = Assessed(
        "seal clearance", "Seal clearance", tuple(q for _, q in across), tuple(w for w, _ in across)
    )
    said = (*findings, *wrong("seals", LOOKS, facts))
    return Result(None, findings=said, assessed=(found,) if across else ())


def rules(card: Card) -> tuple[GeneralRule, ...]:
    """The guide for baffles and labyrinths, by shaft diameter."""
    d = card.bearing.journal_diameter
    return (
        GeneralRule(
            "seal clearance", "0.15 to 0.35 mm per 100 mm of shaft", PRACTICE, GUIDE[0] * d, GUIDE[1] * d
        ),
    )


SEALS = Method(
    key="seals",
    title="Shaft seals",
    measures="seal clearance",
    basis="diametral",
    reading_field=Field("gap", "Gap between seal and shaft", "quantity", dimension="length"),
    fields=(*(field_of_look(look) for look in LOOKS), MPE_FIELD, CALIBRATION_FIELD),
    default_places=_places,
    evaluate=evaluate,
    views=("round", "section"),
    ring="seal",
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; permit number noted",
            "a machine that starts kills",
            people=True,
        ),
        HoldPoint(
            "shaft_at_rest",
            "before",
            "Shaft at rest on its bearings as it will run",
            "a lifted shaft takes the gap from the top",
        ),
    ),
    rejection_rules=(
        RejectionRule("seals.impossible", "a gap below nothing", "program", "by definition"),
        RejectionRule("seals.one_side", "gaps read on one side only", "program", "derived from geometry"),
        RejectionRule("seals.seal_drain", "drain hole closed or not at the bottom", "program", PRACTICE),
        RejectionRule("seals.seals_rub", "marks of rubbing", "program", PRACTICE),
        RejectionRule("several_leaves", "more than three feeler leaves together", "person", PRACTICE),
    ),
    sheet_lines=tuple(SheetLine(look.label, look.key) for look in LOOKS),
    cautions=("isolated", "fingers"),
    steps=(
        "Read the gap with a long narrow feeler at top, right, bottom and left of each seal.",
        "Feel for the same drag each time; do not force the blade.",
    ),
    assesses=("seal clearance",),
    rules=rules,
    proves="seals",
    again="read the gaps again",
    about="The gap of each seal round the shaft; bearing work moves the shaft, so it comes last.",
)
