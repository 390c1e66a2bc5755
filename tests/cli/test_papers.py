"""sheet, wire, card and schema: what they give, read back from what they wrote."""

from __future__ import annotations

import io
import json
from pathlib import Path

import jsonschema
import pytest
from pypdf import PdfReader

from tests.cli.conftest import Command
from tests.cli.program import alone
from whitemetal.card import read_card


def words(pdf: bytes) -> str:
    """The text of every page, its white space made single."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_a_filled_sheet_says_what_judge_says(command: Command, mill: Path) -> None:
    both = (
        mill / "fan_drive_end.toml", mill / "fan_drive_end.csv", "--facts", mill / "fan_drive_end.facts.toml",
    )  # fmt: skip
    answer = command("sheet", *both, "-o", mill / "sheet.pdf")
    assert (answer.status, answer.err) == (0, "")
    pdf = (mill / "sheet.pdf").read_bytes()
    assert answer.out == f"{mill / 'sheet.pdf'} written, {len(pdf) // 1000} KB\n"
    text = words(pdf)
    for expected in ("TM-31-F02", "within limits", "0.150 mm", "0,204", "maker's book, section 6"):
        assert expected.casefold() in text.casefold().replace("’", "'")
    assert "safe" not in text.casefold()
    assert command("sheet", *both, "-o", mill / "again.pdf").status == 0
    assert (mill / "again.pdf").read_bytes() == pdf


def test_a_blank_sheet_is_for_writing_by_hand(command: Command, mill: Path) -> None:
    card = mill / "gear_pinion_coupling_end.toml"
    assert command("sheet", card, "-o", mill / "blank.pdf").status == 0
    text = words((mill / "blank.pdf").read_bytes())
    for expected in ("TM-22-G01", "CE left", "BE right", "Take soft lead wire of"):
        assert expected in text
    assert "not proven" not in text.casefold()
    assert "0.0157" not in text


def test_a_sheet_on_standard_output_is_nothing_but_the_sheet(command: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    command("sheet", card, "-o", mill / "blank.pdf")
    piped = alone("sheet", card, "-o", "-")
    assert (piped.returncode, piped.stderr) == (0, b"")
    assert piped.stdout == (mill / "blank.pdf").read_bytes()


def test_a_sheet_is_not_written_without_a_name_or_from_bad_readings(command: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    assert command("sheet", card).status == 2
    (problem,) = command(
        "sheet", card, "-", "-o", mill / "x.pdf", typed="place;reading\nDE top;1,234 mm\n"
    ).wrong
    assert "1.234 or 1234" in problem
    assert not (mill / "x.pdf").exists()


def test_wire_says_what_to_take_and_what_it_can_prove(command: Command, mill: Path) -> None:
    said = " ".join(command("wire", mill / "fan_drive_end.toml").out.split())
    for expected in (
        "Expect about 0.200 mm diametral (0.100 mm radial)",
        "Take soft lead wire of 0.35 mm",
        "only 0.165 mm to 0.235 mm can be proven within limits",
        "DE left: 14.0 mm from the edge at the drive end, 11.5 deg to the left of top centre (16.0 mm along the journal)",
        "DE top: 14.0 mm from the edge at the drive end, at top centre",
    ):
        assert expected in said
    advice = json.loads(command("wire", mill / "fan_drive_end.toml", "--json").out)
    assert advice["format"] == "whitemetal.advice/1"
    assert (advice["expected_m"], advice["wire_m"]) == (pytest.approx(0.2e-3), pytest.approx(0.35e-3))
    assert 0.40 <= advice["expected_m"] / advice["wire_m"] <= 0.85
    place = advice["places"][0]
    assert (place["label"], place["piece"], place["angle_rad"]) == ("DE left", "DE", pytest.approx(-0.2))
    lengths = {key: value for each in advice["places"] for key, value in each.items() if key.endswith("_m")}
    assert set(lengths) == {"axial_m"}
    assert all(isinstance(value, float) for value in lengths.values())


def test_wire_for_a_small_bearing_warns_before_the_squeeze(command: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    for old, new in (
        ("160.00 mm", "80.00 mm"), ("140 mm", "70 mm"), ('"0.15 mm"', '"0.12 mm"'), ('"0.25 mm"', '"0.16 mm"'),
    ):  # fmt: skip
        text = text.replace(old, new)
    card.write_text(text, encoding="utf-8")
    said = " ".join(command("wire", card).out.split())
    left = float(said.split("the guard band leaves ")[1].split(" mm")[0])
    assert 0.0 < left < 0.020
    assert "finer method" in said


def test_a_card_is_shown_with_both_bases_and_its_revision(command: Command, mill: Path) -> None:
    card = mill / "gear_pinion_coupling_end.toml"
    said = " ".join(command("card", card).out.split())
    assert "0.00600 in to 0.00900 in diametral = 0.003000 in to 0.004500 in radial" in said
    assert "Basis: radial" in said
    assert "The card can be used." in said
    assert said.endswith(f"revision {read_card(card.read_bytes()).digest}")


def test_a_card_that_looks_odd_is_questioned(command: Command, mill: Path) -> None:
    """0.15 to 0.25 thou in place of millimetres: 0.02 to 0.04 per mille of the journal."""
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    for old in ("0.15", "0.25", "0.35"):
        text = text.replace(f'"{old} mm"', f'"{old} thou"')
    card.write_text(text, encoding="utf-8")
    for verb in ("card", "wire"):
        answer = command(verb, card)
        assert answer.status == 0
        assert "Look again" in answer.out
        assert "limit.1.minimum" in answer.out


def test_a_card_as_toml_is_the_same_card(command: Command, mill: Path) -> None:
    for name in ("fan_drive_end", "gear_pinion_coupling_end", "motor_drive_end"):
        card = mill / f"{name}.toml"
        written = alone("card", card, "--toml")
        assert (written.returncode, written.stderr) == (0, b"")
        assert read_card(written.stdout).digest == read_card(card.read_bytes()).digest
        assert b"160.00 mm" in written.stdout or name != "fan_drive_end"


def test_the_schemas(command: Command) -> None:
    together = json.loads(command("schema").out)
    assert set(together) == {"card", "readings", "judgement"}
    for name, schema in together.items():
        jsonschema.Draft202012Validator.check_schema(schema)
        assert json.loads(command("schema", name).out) == schema
    assert command("schema", "sheet").status == 2
