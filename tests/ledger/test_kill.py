"""kill -9 at any moment loses no acknowledged entry and leaves no half-written one.

A kill does not try the disk's own cache; that every connection answers ``synchronous=FULL`` is tried beside.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tools.start_postgres import Server


def killed(where: str, kills: int, seed: int, seconds: float) -> dict[str, int]:
    command = [sys.executable, "-m", "tests.ledger.killing", where, str(kills), str(seed)]
    root = Path(__file__).parents[2]
    done = subprocess.run(command, cwd=root, capture_output=True, text=True, timeout=seconds, check=False)
    assert done.returncode == 0, done.stderr
    seen: dict[str, int] = json.loads(done.stdout)
    return seen


def sound(seen: dict[str, int], kills: int) -> None:
    assert {key: seen[key] for key in ("missing", "faults", "half", "unsound")} == {
        "missing": 0, "faults": 0, "half": 0, "unsound": 0
    }  # fmt: skip
    assert seen["kills"] == kills
    assert seen["acknowledged"] > kills / 3
    assert seen["in_a_write"] > kills / 20


@pytest.fixture
def where(kept_in: str, request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where the records are: a folder, or a server."""
    if kept_in == "sqlite":
        return str(tmp_path)
    server: Server = request.getfixturevalue("postgres")
    return server.address("postgres")


def test_500_kills_lose_no_acknowledged_entry(where: str) -> None:
    """400 with a file, 100 with a server."""
    kills = 100 if "://" in where else 400
    sound(killed(where, kills, 1, 900), kills)


@pytest.mark.soak
def test_10_000_kills_lose_no_acknowledged_entry(where: str) -> None:
    """5,000 on each database."""
    sound(killed(where, 5_000, 2, 3600), 5_000)
