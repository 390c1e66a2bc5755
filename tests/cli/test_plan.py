"""The commands plan and order: as text, as JSON, as paper, and what they refuse."""

from __future__ import annotations

import io
import json
from pathlib import Path

from pypdf import PdfReader

from tests.cli.conftest import Command

PUMP, BLOWER = "pump_outboard_end", "blower_coupling_end"


def test_a_plan_as_text(command: Command, mill: Path) -> None:
    answer = command("plan", mill / f"{PUMP}.toml", mill / f"{PUMP}.readings.toml")
    out = " ".join(answer.out.split())
    assert answer.status == 0
    assert "1. Take 0.100 mm of shims a side out of the lined cap joint, both sides alike." in out
    assert "coupling end (mark end) only: one finishing pass" in out
    assert "WITHIN LIMITS" in out and "0.263 mm -> 0.166 mm" in out


def test_a_plan_as_json_with_what_was_typed(command: Command, mill: Path) -> None:
    """One piece of 0.01 mm at hand: out with 0.10, in with 0.01, one opening."""
    answer = command(
        "plan", mill / f"{PUMP}.toml", mill / f"{PUMP}.readings.toml", "--json", "--stock", "0.01 mm",
        "--in", "0.10 mm",
    )  # fmt: skip
    found = json.loads(answer.out)
    assert (found["format"], found["works"], found["openings"]) == ("whitemetal.plan/1", True, 1)


def test_nothing_works(command: Command, mill: Path) -> None:
    out = command("plan", mill / f"{BLOWER}.toml", mill / f"{BLOWER}.readings.toml").out
    assert "Nothing works, because" in out and "no shim may lie in a joint" in " ".join(out.split())


def test_what_a_plan_refuses(command: Command, mill: Path) -> None:
    card, readings = mill / f"{PUMP}.toml", mill / f"{PUMP}.readings.toml"
    (wrong,) = command("plan", card, readings, "--in", "shell joint: 0.1 mm").wrong
    assert "lined cap joint" in wrong
    (wrong,) = command("plan", card, readings, "--stock", "thick").wrong
    assert "stock" in wrong and "thick" in wrong
    (wrong,) = command("plan", card, "-", "--crush", "-").wrong
    assert "-" in wrong


def test_an_order_as_text_json_and_paper(command: Command, mill: Path) -> None:
    """110.00 + 0.20, IT7 0.035: 110.183 to 110.217 mm in whole micrometres."""
    card = mill / f"{BLOWER}.toml"
    assert "110.183 mm to 110.217 mm" in command("order", card).out
    found = json.loads(command("order", card, "--json", "--grade", "6").out)
    assert (found["format"], found["grade"], found["fits"]) == ("whitemetal.bore-order/1", 6, True)
    paper = mill / "order.pdf"
    assert command("order", card, "-o", paper).status == 0
    assert "110.183 mm" in PdfReader(io.BytesIO(paper.read_bytes())).pages[0].extract_text()


def test_what_an_order_refuses(command: Command, mill: Path) -> None:
    card = mill / f"{BLOWER}.toml"
    (wrong,) = command("order", card, "--grade", "four").wrong
    assert "5 to 11" in wrong
    (wrong,) = command("order", card, "--part", "journal").wrong
    assert "a check of bore and journal" in wrong
