"""The public names a script may rely on; loading the package loads nothing else."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

import whitemetal

NAMES = [
    "Advice", "Card", "Consequence", "InputError", "Judgement", "Quantity", "WhatIf", "WhitemetalError", "advise",
    "as_json", "bore_order", "card_schema", "consequence", "consequence_json", "judge", "order_json", "plan", "plan_json",
    "read_card", "read_readings", "write_card",
]  # fmt: skip

CARD = """
format = "whitemetal.card/1"
[machine]
tag = "TM-F12"
name = "invented fan"
kind = "fan"
speed = "990 rpm"
[bearing]
position = "drive end bearing"
journal_diameter = "160 mm"
length = "140 mm"
[[limit]]
of = "oil clearance"
minimum = "0.20 mm"
maximum = "0.28 mm"
basis = "diametral"
rung = "maker's figure for this machine"
document = "invented drawing 12-3"
revision = "C"
"""

READINGS = "place;reading\n" + "".join(
    f"{end} {side};0,24{last} mm\n"
    for end, last in (("DE", 1), ("OE", 3))
    for side in ("left", "top", "right")
)


def test_the_public_names() -> None:
    assert sorted(whitemetal.__all__) == sorted(NAMES)
    assert all(getattr(whitemetal, name) is not None for name in NAMES)


def test_loading_the_package_loads_no_heavy_library() -> None:
    heavy = "{'numpy', 'scipy', 'fastapi', 'sqlalchemy', 'typst', 'pydantic'}"
    code = f"import sys, whitemetal; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_script_judges_six_readings() -> None:
    """Readings of 0.241 and 0.243; the four at 0.2 rad are 1 % low, so 0.242 (1 + 2/3 x 0.01007) by hand."""
    card = whitemetal.read_card(CARD)
    facts = {"wire_diameter": "0.40 mm", "journal_down": "yes", "joint": "metal to metal", "tightened": "final value",
             "instrument.M-7.anvil": "ball"}  # fmt: skip
    taken = whitemetal.read_readings(READINGS, card, form="csv", facts=facts)
    found = whitemetal.judge(card, taken)
    assert found.verdict == "within limits"
    assert found.clearance is not None
    by_hand = 0.242e-3 * (1 + 2 / 3 * (2 / (1 + math.cos(0.2)) - 1))
    assert found.clearance.diametral_m == pytest.approx(by_hand, abs=0.3e-6)
    assert whitemetal.as_json(found)["format"] == "whitemetal.judgement/1"
