"""A small disk that can be filled."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 96 MB of our own: only root may make one."""
    where = Path("/tmp") / f"wm-{os.getpid()}"
    where.mkdir()
    made = (
        subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=96m,mode=0755", "whitemetal", str(where)],
            capture_output=True,
            check=False,
        )
        if not os.geteuid()
        else None
    )
    if made is None or made.returncode:
        where.rmdir()
        pytest.skip("a small disk cannot be made here: that takes root")
    yield where
    subprocess.run(["umount", "-l", str(where)], check=True)
    where.rmdir()
