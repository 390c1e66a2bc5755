"""The oil ring: round, flat, free, fastened, and deep enough in the oil."""

from __future__ import annotations

from whitemetal.gauging.contract import GeneralRule, HoldPoint, RejectionRule
from whitemetal.gauging.recorded import Item, Look, recorded

PRACTICE = "common practice"
OUT_OF_ROUND = 0.05e-3
"""Largest out-of-round of an oil ring [m]. Common practice."""

OIL_RING = recorded(
    "oil_ring",
    "Oil ring",
    (
        Item(
            "out_of_round",
            "Out-of-round of the ring",
            "oil ring out-of-round",
            10e-6,
            "calliper or inside micrometer, common practice",
            "greatest less least diameter",
        ),
        Item(
            "immersion",
            "Depth of the ring in the oil",
            "oil ring immersion",
            1e-3,
            "rule or dip stick, our own",
            "at rest, from its lowest point; the maker's level mark governs",
            needed=False,
        ),
    ),
    (
        Look(
            "flat",
            "Ring lies flat on a plate",
            "yes",
            "fault",
            "The ring is not flat: it will wobble and stick.",
        ),
        Look("burr", "Burr at its joint", "no", "fault", "A burr at the ring's joint stops it on the shaft."),
        Look(
            "screws_locked",
            "Screws of both halves tight and locked",
            "yes",
            "fault",
            "A ring screw is not locked: halves come apart while running.",
            choices=("yes", "no", "one piece"),
            also_right=("one piece",),
        ),
        Look("turns", "Ring turns freely on the shaft", "yes", "fault", "The ring does not turn freely."),
        Look(
            "level_at_mark",
            "Oil level at the maker's mark, machine at rest",
            "yes",
            "hold",
            "The oil level is not at the maker's mark.",
            help="sources differ from a tenth to a third of the ring: the mark governs",
            needed=False,
        ),
    ),
    about="The ring carries all the oil; one that sticks wipes the bearing within minutes.",
    rules=lambda card: (
        GeneralRule("oil ring out-of-round", "no more than 0.05 mm", PRACTICE, None, OUT_OF_ROUND),
    ),
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; permit number noted",
            "a machine that starts kills",
            people=True,
        ),
    ),
    by_eye=(
        RejectionRule("forced", "ring halves forced together", "person", PRACTICE),
        RejectionRule("magnetised", "ring or its screws magnetic", "person", PRACTICE),
    ),
    cautions=("isolated", "fingers"),
    steps=("Lay the ring on a plate, measure its bore in four directions, look at its joint under a lamp.",),
)
