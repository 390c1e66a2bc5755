"""kill -9 at any moment loses no acknowledged entry and leaves no half-written one.

A kill does not try the disk's own cache; that every connection answers ``synchronous=FULL`` is tried beside.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest


def killed(folder: Path, kills: int, seed: int, seconds: float) -> dict[str, int]:
    command = [sys.executable, "-m", "tests.ledger.killing", str(folder), str(kills), str(seed)]
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


def test_200_kills_lose_no_acknowledged_entry(tmp_path: Path) -> None:
    sound(killed(tmp_path, 200, 1, 120), 200)


@pytest.mark.soak
def test_10_000_kills_lose_no_acknowledged_entry(tmp_path: Path) -> None:
    sound(killed(tmp_path, 10_000, 2, 3600), 10_000)
