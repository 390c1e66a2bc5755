"""Running the command line as a person does, inside this process or as a program of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
ALONE = [sys.executable, "-m", "whitemetal"]


@dataclass(frozen=True)
class Answer:
    """What a command gave back. status: exit status. out, err: standard output and standard error."""

    status: int
    out: str
    err: str

    @property
    def wrong(self) -> list[str]:
        """The problems named, one a line, after the line that introduces them."""
        assert "Traceback" not in self.err
        assert (self.status, self.out) == (2, "")
        first, *problems = self.err.splitlines()
        assert first.startswith("Nothing was done")
        return problems


def environment(**more: str) -> dict[str, str]:
    """The variables of a program of its own: none that says anything about colour, letters or buffers."""
    left_out = ("NO_COLOR", "TERM", "COLUMNS", "LINES", "PYTHONIOENCODING", "PYTHONUTF8", "PYTHONUNBUFFERED")
    kept = {name: value for name, value in os.environ.items() if name not in left_out}
    return {**kept, "PYTHONPATH": str(ROOT / "src"), "LC_ALL": "C.UTF-8", **more}


def alone(*arguments: str | Path, typed: bytes = b"", **more: str) -> subprocess.CompletedProcess[bytes]:
    """The program in a process of its own. typed: standard input. more: variables of its environment."""
    return subprocess.run(
        [*ALONE, *map(str, arguments)], input=typed, capture_output=True, env=environment(**more),
        timeout=300, check=False,
    )  # fmt: skip
