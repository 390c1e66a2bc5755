"""A light command stays light: nothing heavy is imported before it is needed."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.program import environment

HEAVY = {"numpy", "scipy", "fastapi", "starlette", "uvicorn", "sqlalchemy", "alembic", "typst", "jinja2"}


def imported(*arguments: str | Path) -> tuple[set[str], str]:
    """The packages a command imports, as the interpreter itself tells, and what it prints."""
    answer = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "whitemetal", *map(str, arguments)],
        capture_output=True, env=environment(), timeout=300, check=True, text=True,
    )  # fmt: skip
    names = re.findall(r"^import time:.*\| +([\w.]+)$", answer.stderr, re.MULTILINE)
    assert "whitemetal.cli" in names
    return {name.split(".")[0] for name in names}, answer.stdout


@pytest.mark.parametrize("arguments", [("--help",), ("--version",), ("judge", "--help")])
def test_help_imports_nothing_heavy(arguments: tuple[str, ...]) -> None:
    packages, said = imported(*arguments)
    assert "whitemetal" in said
    assert packages & HEAVY == set()


def test_a_card_needs_no_numbers(mill: Path) -> None:
    packages, said = imported("card", mill / "fan_drive_end.toml")
    assert "The card can be used." in said
    assert packages & HEAVY == set()


def test_judge_needs_no_pages_no_record_and_no_paper(mill: Path) -> None:
    packages, said = imported(
        "judge", mill / "gear_pinion_coupling_end.toml", mill / "gear_pinion_coupling_end.readings.toml"
    )
    assert "NOT PROVEN" in said
    assert packages & HEAVY <= {"numpy", "scipy"}
