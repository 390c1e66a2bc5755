"""The README does what it says: its library example runs, its links and pictures are there."""

from __future__ import annotations

import contextlib
import io
import re
import subprocess
import sys
from pathlib import Path

from tools import source

README = (source.ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    """Fenced blocks of one language."""
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_the_library_example_runs_and_prints_what_it_shows() -> None:
    [example] = blocks("python")
    [shown] = blocks("text")
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        exec(compile(example, "README.md", "exec"), {"__name__": "__readme__"})
    assert printed.getvalue().rstrip() == shown.rstrip()


def test_the_commands_of_the_tour_do_what_they_say(tmp_path: Path) -> None:
    """Each line as it stands, in an empty folder, in order; the one that serves is for a person."""
    lines = re.findall(r"^    (whitemetal .*?)(?:  +.*)?$", README, re.MULTILINE)
    assert len(lines) > 5
    for line in lines:
        if line.split()[1] != "serve":
            command = [sys.executable, "-m", *line.split()]
            done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
            assert done.returncode == 0, f"{line}: {done.stderr}"
    assert (tmp_path / "blank.pdf").read_bytes().startswith(b"%PDF")


def test_every_link_leads_somewhere() -> None:
    pages = [*(source.ROOT / "docs").rglob("*.md"), source.ROOT / "README.md"]
    lost = []
    for page in pages:
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            if not (page.parent / target).exists():
                lost.append(f"{page.name}: {target}")
    assert lost == []


def test_every_make_target_named_exists() -> None:
    makefile = (source.ROOT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z-]+):", makefile, re.MULTILINE))
    assert set(re.findall(r"\bmake ([a-z-]+)", README)) - targets == set()
