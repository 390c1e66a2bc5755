"""Compiled code is kept where it can be, and nothing is lost where it cannot."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = """
import numba.core.caching as caching
{spoil}
from whitemetal.film import compiled
def twice(x):
    return 2 * x
print(compiled.compiled(twice)(21), compiled.kept())
"""


def run(spoil: str, cache: Path) -> str:
    """What a fresh interpreter prints."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", PROGRAM.format(spoil=spoil)],
        capture_output=True, text=True, check=True, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src"), "NUMBA_CACHE_DIR": str(cache)},
    )  # fmt: skip
    return done.stdout.strip()


def test_without_a_folder_it_compiles_in_memory(tmp_path: Path) -> None:
    """A function that has no file and no folder: numba refuses to keep it."""
    spoil = "caching.CacheImpl._locator_classes = []"
    assert run(spoil, tmp_path) == "42 in memory"


@pytest.mark.parametrize("module", ["gap", "reynolds", "balance"])
def test_the_film_is_imported_without_the_compiler(module: str) -> None:
    """The rest of the program starts without numba: only a solve imports it."""
    program = f"import sys, whitemetal.film.{module}; print('numba' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
    )  # fmt: skip
    assert done.stdout.strip() == "False"
