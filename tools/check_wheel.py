"""Builds the wheel, installs it into an empty environment outside the checkout, and does a job with it there.

Proves that the package carries everything it needs (templates, styles, demo cards, typst sources) and leans
on nothing in the checkout. The dependencies are those of requirements.lock, by their hashes.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

LIBRARY = """
import pathlib, whitemetal
where = pathlib.Path(whitemetal.__file__)
assert "site-packages" in where.parts, where
print("imported from site-packages;", len(whitemetal.__all__), "public names")
"""


def run(*command: str | Path, cwd: Path) -> str:
    """Run a command away from the checkout; its output, or an end with what it said."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    done = subprocess.run(
        [str(word) for word in command], cwd=cwd, env=kept, capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        sys.exit(f"{' '.join(map(str, command))}\n{done.stdout}\n{done.stderr}")
    return done.stdout


def make(folder: Path) -> Path:
    """An environment in ``folder`` with the pinned packages and the wheel in it; its programs' folder."""
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet")
    run(*pip, "wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", folder, ROOT, cwd=folder)
    wheel = next(folder.glob("whitemetal-*.whl"))
    print(f"built {wheel.name}, {wheel.stat().st_size // 1024} KB")
    venv.create(folder / "env", with_pip=True)
    own = (folder / "env" / "bin" / "python", *pip[1:], "install")
    run(*own, "--require-hashes", "-r", ROOT / "requirements.lock", cwd=folder)
    run(*own, "--no-deps", "--no-index", wheel, cwd=folder)
    return folder / "env" / "bin"


def use(programs: Path, folder: Path) -> None:
    """Import the library and do a whole job by command, in an empty folder."""
    print(run(programs / "python", "-c", LIBRARY, cwd=folder).strip())
    run(programs / "whitemetal", "demo", "--files", "mill", cwd=folder)
    card, readings = (
        folder / "mill" / f"gear_pinion_coupling_end{end}" for end in (".toml", ".readings.toml")
    )
    judged = run(programs / "whitemetal", "judge", card, readings, cwd=folder)
    print(next(line for line in judged.splitlines() if line.startswith("The check:")))
    run(programs / "whitemetal", "sheet", card, readings, "-o", "sheet.pdf", cwd=folder)
    print(f"sheet.pdf, {(folder / 'sheet.pdf').stat().st_size // 1024} KB")
    run(programs / "whitemetal", "demo", "--into", "mill.sqlite3", cwd=folder)
    print(run(programs / "whitemetal", "verify", "mill.sqlite3", cwd=folder).strip())


def main() -> None:
    """Build, install, use."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        use(make(folder), folder)


if __name__ == "__main__":
    main()
