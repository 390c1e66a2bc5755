"""agree: several readings files of one bearing side by side."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from tests.cli.conftest import Command
from whitemetal.card import read_card
from whitemetal.gauging import METHODS

WIRE = """\
format = "whitemetal.readings/1"
method = "wire"
measured_with = "M1"
unit = "mm"

[facts]
purpose = "as left"
wire_diameter = "0.35 mm"
journal_down = "yes"
oil_wiped = "yes"
wires_in = 2
wires_out = 2

[squeeze.1]
joint = "metal to metal"
tightened = "final value"
torque = "420 N m"

[instrument.M1]
zero_before = "0.000 mm"
zero_after = "0.000 mm"
calibration_due = "2026-11-30"
anvil = "ball"
"""

BORE = """\
format = "whitemetal.readings/1"
method = "bore"
measured_with = "B1"
unit = "mm"

[facts]
purpose = "as left"
bore_gauge = "comparator set on a ring"
tightened = "final value"
torque = "420 N m"
shells_home = "yes"
part_temperature = "20 degC"
journal_temperature = "20 degC"

[instrument.B1]
zero_before = "0.000 mm"
zero_after = "0.000 mm"
calibration_due = "2026-11-30"
"""


def files(mill: Path, wire: float, bore: float) -> tuple[Path, Path, Path]:
    """The fan's card with a wire check and a bore-less-journal check of these clearances [mm]."""
    card_file = mill / "fan_drive_end.toml"
    card = read_card(card_file.read_text(encoding="utf-8"))

    def rows(method: str) -> str:
        said = []
        for place in METHODS[method].default_places(card):
            turned = wire * (1.0 + math.cos(place.angle)) / 2.0
            size = turned if method == "wire" else 160.0 + (bore if place.piece.endswith("bore") else 0.0)
            said.append(f'\n[[reading]]\nplace = "{place.label}"\ntext = "{size:.3f}"\n')
        return "".join(said)

    one, other = mill / "wire.toml", mill / "bore.toml"
    one.write_text(WIRE + rows("wire"), encoding="utf-8")
    other.write_text(BORE + rows("bore"), encoding="utf-8")
    return card_file, one, other


def test_what_agrees_is_pooled(command: Command, mill: Path) -> None:
    shown = command("agree", *files(mill, 0.200, 0.204))
    assert (shown.status, shown.err) == (0, "")
    assert "as left: agree\n" in shown.out
    assert "They agree: together 0.20" in shown.out


def test_what_contradicts_is_explained(command: Command, mill: Path) -> None:
    shown = command("agree", *files(mill, 0.240, 0.200))
    assert shown.status == 0
    assert "as left: contradict each other\n" in shown.out
    words = " ".join(shown.out.split())
    assert "Furthest apart: Soft-wire clearance reads 0.040 mm more than Bore less journal" in words
    assert "1. Soft-wire clearance: the shell was not home" in words
    assert "What to measure next to find out" in words


def test_as_json(command: Command, mill: Path) -> None:
    told = json.loads(command("agree", *files(mill, 0.240, 0.200), "--json").out)
    assert told["format"] == "whitemetal.agreement/1"
    (purpose,) = told["purposes"]
    values = {v["title"]: v["value_m"] for v in purpose["measured"][0]["values"]}
    assert values == {"Soft-wire clearance": pytest.approx(0.240e-3, abs=1e-6),
                      "Bore less journal": pytest.approx(0.200e-3, abs=1e-6)}  # fmt: skip


def test_one_file_alone_has_nothing_beside_it(command: Command, mill: Path) -> None:
    card, wire, _ = files(mill, 0.240, 0.200)
    assert "nothing to put side by side" in " ".join(command("agree", card, wire).out.split())


def test_bad_files_are_named(command: Command, mill: Path) -> None:
    card, wire, bore = files(mill, 0.240, 0.200)
    bore.write_text(bore.read_text(encoding="utf-8").replace('"160.200"', '"big"', 1), encoding="utf-8")
    answer = command("agree", card, wire, bore)
    assert answer.status == 2
    assert "bore.toml" in answer.err and "big" in answer.err
    wire.write_text(wire.read_text(encoding="utf-8").replace('method = "wire"', ""), encoding="utf-8")
    answer = command("agree", card, wire)
    assert answer.status == 2
    assert "wire.toml" in answer.err and "method" in answer.err
    assert "Traceback" not in answer.err
