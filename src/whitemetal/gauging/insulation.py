"""Insulation of the bearing against shaft current."""

from __future__ import annotations

from whitemetal.gauging.contract import GeneralRule, HoldPoint, RejectionRule
from whitemetal.gauging.recorded import Item, Look, recorded

PRACTICE = "common practice"
LEAST = 1e6
"""Least resistance [ohm] at 500 V with the coupling parted and the rings clear of the shaft: a large motor
maker's manual (common practice)."""

INSULATION = recorded(
    "insulation",
    "Insulation of the bearing",
    (
        Item(
            "resistance",
            "Resistance to earth",
            "insulation resistance",
            0.2e6,
            "insulation tester, a fifth of 1 Mohm; our own",
            "after one minute",
        ),
    ),
    (
        Look(
            "coupling_parted",
            "Coupling parted",
            "yes",
            "hold",
            "With the coupling made up the other machine earths the shaft: the reading says nothing.",
        ),
        Look(
            "ring_clear",
            "Oil rings clear of the shaft",
            "yes",
            "hold",
            "An oil ring touching the shaft bridges the insulation: lift it clear and test again.",
            choices=("yes", "no", "no rings"),
            also_right=("no rings",),
        ),
        Look(
            "shaft_lifted",
            "Shaft lifted off the bearing that is not insulated",
            "yes",
            "hold",
            "One bearing is not insulated: lift the shaft a few hundredths of a millimetre off it and test "
            "again.",
            choices=("yes", "no", "both are insulated"),
            also_right=("both are insulated",),
        ),
        Look(
            "voltage",
            "Test voltage",
            "500 V",
            "warning",
            "Not tested at 500 V: the usual 1 Mohm is said of 500 V.",
            choices=("500 V", "250 V", "1000 V", "other"),
            source="a large motor maker's manual",
        ),
        Look(
            "earths_off",
            "Probes, pipes and brushes off the insulated bearing",
            "yes",
            "warning",
            "A probe, a pipe or a brush may bridge the insulation.",
            needed=False,
        ),
    ),
    about="Whether shaft current can pass; a bridged insulation pits the white metal within weeks.",
    stale_with=("insulation", "shell"),
    rules=lambda card: (
        GeneralRule("insulation resistance", "above 1 Mohm at 500 V", "a large motor maker's manual", LEAST),
    ),
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked, tried and earthed by an electrician; permit number noted",
            "the supply kills",
            people=True,
        ),
        HoldPoint(
            "discharged", "after", "Discharged after the test", "the tester leaves a charge", people=True
        ),
    ),
    by_eye=(RejectionRule("wet", "insulation wet or dirty", "person", PRACTICE),),
    cautions=("isolated",),
    steps=("Part the coupling, lift rings and shaft clear, test at 500 V for one minute, discharge.",),
)
