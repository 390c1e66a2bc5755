"""Result of a bond test of the white metal, as the tester reported it."""

from __future__ import annotations

from whitemetal.gauging.contract import Field, GeneralRule, HoldPoint, RejectionRule
from whitemetal.gauging.recorded import Item, Look, recorded

PRACTICE = "common practice"
MOST = 0.05
"""Largest share of the area not bonded: 95 % bonded and more is usual. Common practice."""

LARGEST = 12e-3
"""Largest single spot not bonded [m]. Common practice."""

BOND = recorded(
    "bond",
    "Bond of the white metal",
    (
        Item(
            "not_bonded",
            "Share of the area not bonded",
            "bond defect area",
            0.01,
            "what an area is estimated to, our own",
            "from the tester's report",
            needed=False,
        ),
        Item(
            "largest",
            "Largest single spot not bonded",
            "bond defect size",
            2e-3,
            "half the step of a hand-held probe, our own",
            "from the tester's report",
            needed=False,
        ),
    ),
    (
        Look(
            "result",
            "The tester's result",
            "passed",
            "fault",
            "The bond test failed: the lining will come off.",
            choices=("passed", "failed"),
        ),
        Look(
            "at_edges",
            "Loose at an edge, at the joint or round a hole",
            "no",
            "fault",
            "Loose at an edge: ultrasound is blind there, dye is not.",
            needed=False,
        ),
        Look(
            "edges_by_dye",
            "Edges and joint faces tested with dye as well",
            "yes",
            "warning",
            "Ultrasound is blind within half a probe's diameter of edges, holes and grooves; dye the edges.",
            needed=False,
            source="ISO 4386-1, scope",
        ),
    ),
    about="Whether the lining holds on its back; each test is blind somewhere, and none shows strength but "
    "the one that tears a sample.",
    stale_with=("shell",),
    fields=(
        Field(
            "how",
            "How it was tested",
            "choice",
            needed=True,
            choices=(
                "ultrasonic and dye",
                "ultrasonic",
                "dye penetrant",
                "sample torn",
                "rung and looked at",
            ),
        ),
        Field("tester", "Tested by", "text", needed=True),
        Field("report", "Report", "text", help="number and date"),
    ),
    rules=lambda card: (
        GeneralRule("bond defect area", "at least 95 % bonded", PRACTICE, None, MOST),
        GeneralRule("bond defect size", "no single spot above 12 mm", PRACTICE, None, LARGEST),
    ),
    hold_points=(
        HoldPoint(
            "solvents",
            "before",
            "Solvents and dye: ventilated, no flame, gloves",
            "vapour burns and is breathed in",
            people=True,
        ),
    ),
    by_eye=(
        RejectionRule(
            "lining_thin", "lining thinner than the test allows (0.5 mm)", "person", "ISO 4386-1, scope"
        ),
    ),
    cautions=("defer",),
    steps=("Clean to bare metal; test the whole area, then the edges with dye; file the report.",),
)
