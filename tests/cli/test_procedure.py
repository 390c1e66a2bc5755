"""procedure: the steps on the terminal, as JSON, and the work pack, with and without a plant's own file."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

from pypdf import PdfReader

from tests.cli.conftest import Command
from whitemetal.card import read_card
from whitemetal.job.procedure.generate import generate

PLANT = 'format = "whitemetal.procedure/1"\n[[drop]]\nstep = "isolate.cooled"\nwhy = "cold plant"\n'


def test_every_step_is_listed_with_its_reason_and_its_key(command: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    answer = command("procedure", card)
    assert (answer.status, answer.err) == (0, "")
    told = " ".join(answer.out.split())
    for step in generate(read_card(card.read_text("utf-8"))):
        assert step.text in told and step.why in told and f"({step.key})" in told
    assert "29 CFR 1910.147" in told
    assert "HOLD POINT" in told and "safe" not in told.casefold()
    assert command("procedure", card, "--plain").out.isascii()


def test_json_is_the_same_list(command: Command, mill: Path) -> None:
    card = mill / "gear_pinion_coupling_end.toml"
    found = json.loads(command("procedure", card, "--json").out)
    assert found["format"] == "whitemetal.steps/1"
    assert [one["key"] for one in found["steps"]] == [
        step.key for step in generate(read_card(card.read_text("utf-8")))
    ]


def test_a_plants_file_is_refused_with_its_line_or_shown_with_who_and_why(
    command: Command, mill: Path
) -> None:
    own = mill / "plant.toml"
    own.write_text(PLANT, encoding="utf-8")
    wrong = command("procedure", mill / "fan_drive_end.toml", "--plant", own).wrong
    assert len(wrong) == 1 and "plant.toml: line 2" in wrong[0] and "cannot go silently" in wrong[0]
    own.write_text(PLANT + 'by = "Engineer B (invented)"\n', encoding="utf-8")
    told = " ".join(command("procedure", mill / "fan_drive_end.toml", "--plant", own).out.split())
    assert "[-] Bearing down to hand warmth." in told
    assert "Dropped by Engineer B (invented): cold plant" in told


def test_a_file_that_is_no_text_or_not_there(command: Command, mill: Path) -> None:
    (mill / "plant.toml").write_bytes(b"\x89PNG\r\n\x1a\n")
    assert len(command("procedure", mill / "fan_drive_end.toml", "--plant", mill / "plant.toml").wrong) == 1
    assert len(command("procedure", mill / "fan_drive_end.toml", "--plant", mill / "none.toml").wrong) == 1


def test_the_work_pack_is_written(command: Command, mill: Path) -> None:
    answer = command("procedure", mill / "motor_drive_end.toml", "-o", mill / "pack.pdf")
    assert (answer.status, answer.err) == (0, "")
    assert f"{mill / 'pack.pdf'} written" in answer.out
    first = PdfReader(io.BytesIO((mill / "pack.pdf").read_bytes())).pages[0].extract_text()
    assert "Work pack" in first and "Not in a record: no page." in first


def test_the_sheets_of_the_pack_are_chosen(command: Command, mill: Path) -> None:
    card, to = mill / "motor_drive_end.toml", mill / "pack.pdf"
    answer = command("procedure", card, "-o", to, "--sheets", "none,close.seals", "--sheets", "close.pins")
    assert (answer.status, answer.err) == (0, "")
    told = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(to.read_bytes())).pages)
    # the motor's sheets: dowels 10, seals 17
    assert set(re.findall(r"Sheet (\d+) · ", told)) == {"10", "17"}
    wrong = command("procedure", card, "-o", to, "--sheets", "close.sealz").wrong
    assert len(wrong) == 1 and "close.sealz" in wrong[0] and "close.seals" in wrong[0]
