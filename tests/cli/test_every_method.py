"""Every gauging method from the command line: list, empty file, verdict, sheet."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tests.gauging.made_up import MADE_UP
from whitemetal.gauging import METHODS, register

SHOVED = """\
format = "whitemetal.readings/1"
method = "shove"
[facts]
bar = "jack"
shove = "0.30 mm"
"""
LIMIT = """
[[limit]]
of = "end float"
minimum = "0.35 mm"
maximum = "0.60 mm"
rung = "maker's figure for this machine"
document = "maker's book, table 9 (invented)"
revision = "B"
"""


@pytest.fixture
def made_up() -> Iterator[None]:
    for method in MADE_UP:
        register(method)
    yield
    for method in MADE_UP:
        del METHODS[method.key]


def test_the_methods_are_listed_in_the_order_of_the_job(command: Command) -> None:
    answer = command("methods", "--plain")
    assert answer.status == 0
    listed = re.findall(r"^  (\w+) +\S", answer.out, re.MULTILINE)
    assert sorted(listed) == sorted(METHODS)
    assert listed.index("seat") < listed.index("crush") < listed.index("contact") < listed.index("wire")


@pytest.mark.parametrize("key", sorted(METHODS))
def test_an_empty_file_is_printed_judged_and_put_on_a_sheet(
    command: Command, mill: Path, tmp_path: Path, key: str
) -> None:
    card = mill / "fan_drive_end.toml"
    blank = tmp_path / "blank.toml"
    assert command("blank", card, "--method", key, "-o", blank).status == 0
    judged = command("judge", card, blank, "--method", key)
    assert (judged.status, judged.err) == (0, "")
    assert "The check: NOT PROVEN" in judged.out or "The check: OUTSIDE LIMITS" in judged.out
    assert "WITHIN" not in judged.out, "nothing was measured"
    sheet = tmp_path / "sheet.pdf"
    assert command("sheet", card, blank, "--method", key, "-o", sheet).status == 0
    assert sheet.read_bytes().startswith(b"%PDF-")


def test_csv_or_toml(command: Command, mill: Path, tmp_path: Path) -> None:
    card = mill / "fan_drive_end.toml"
    printed = command("blank", card, "--csv").out
    assert "place,reading [mm],instrument,remark\nDE left,," in printed
    assert command("blank", card, "-o", tmp_path / "w.csv").status == 0
    assert (tmp_path / "w.csv").read_text(encoding="utf-8") == printed
    unknown = command("blank", card, "--method", "wishing")
    assert unknown.status == 2
    assert unknown.wrong[0].startswith('  method: "wishing" was typed; expected one of wire, ')


def test_quantities_stand_against_their_limits(command: Command, mill: Path, made_up: None) -> None:
    """0.30 mm, good to 10 µm: far below a minimum of 0.35 mm; within one rule, at the edge of another."""
    card = mill / "fan_drive_end.toml"
    without = command("judge", card, "-", "--method", "shove", typed=SHOVED).out
    assert "End float\n  0.300 mm ± 0.020 mm\n  no limit with authority on this card\n" in without
    assert "- 0.200 mm to 0.500 mm: within limits" in without
    assert "- at most 0.300 mm: not proven 50.0 %" in without
    assert "Oil clearance" not in without
    assert "The check: NOT PROVEN" in without
    card.write_text(card.read_text(encoding="utf-8") + LIMIT, encoding="utf-8")
    judged = command("judge", card, "-", "--method", "shove", typed=SHOVED).out
    assert "End float: outside limits\n  0.300 mm ± 0.020 mm  outside limits (< 0.1 %)" in judged
    assert "written as" not in judged, "there is one basis only"
    assert "All of it together" not in judged, "there is one limit only"
    assert "maker's book, table 9 (invented), revision B" in " ".join(judged.split())
    told = json.loads(command("judge", card, "-", "--method", "shove", "--json", typed=SHOVED).out)
    (quantity,) = told["assessed"]
    assert quantity["values"][0]["value"] == pytest.approx(0.30e-3)
    assert quantity["values"][0]["expanded"] == pytest.approx(19.6e-6, rel=1e-3)
    assert (quantity["limit"]["minimum"], quantity["word"]) == (pytest.approx(0.35e-3), "outside limits")


def test_a_fault_stands_first(command: Command, mill: Path, made_up: None) -> None:
    typed = SHOVED.replace('bar = "jack"', 'cracked = "yes"')
    judged = command("judge", mill / "fan_drive_end.toml", "-", "--method", "shove", typed=typed).out
    look = judged[judged.index("Look at") :].splitlines()
    assert look[1] == "  - fault: The thrust collar is cracked."
    assert "The check: OUTSIDE LIMITS" in judged


def test_words_are_judged_from_a_csv(command: Command, mill: Path, made_up: None) -> None:
    card = mill / "fan_drive_end.toml"
    wrong = command("judge", card, "-", "--method", "dab", typed="place;reading\n1a;heavy\n1b;hevy\n")
    assert wrong.status == 2
    assert "line 3" in wrong.wrong[0] and "heavy, light, none" in wrong.wrong[0]
    rows = "".join(f"{row}{column};light\n" for row in (1, 2, 3) for column in "abcd")
    judged = command("judge", card, "-", "--method", "dab", typed="place;reading\n" + rows).out
    assert "Contact area\n  100 % ± 1.96 %\n" in judged, "1.96 times 1 %"


def test_the_schema_of_any_method(command: Command) -> None:
    told = json.loads(command("schema", "readings", "--method", "contact").out)
    assert told["properties"]["method"] == {"const": "contact"}


def test_values_of_birth_are_facts_of_the_readings_file(command: Command, mill: Path) -> None:
    """12.000 when new, 11.960 now: 0.040 mm gone at the one mark that was read."""
    card = mill / "fan_drive_end.toml"
    typed = """\
format = "whitemetal.readings/1"
method = "crown"
unit = "mm"
[facts]
anvil = "ball anvil"
"birth.crown.DE middle" = "12.000"
[[reading]]
place = "DE middle"
text = "11.960"
"""
    judged = command("judge", card, "-", "--method", "crown", typed=typed)
    assert judged.status == 0 and "0.040 mm ± " in judged.out
    wrong = command(
        "judge", card, "-", "--method", "crown", typed=typed.replace("birth.crown", "birth.bridge")
    )
    assert wrong.status == 2 and "birth.bridge.DE middle" in wrong.wrong[0]
