"""The README does what it says: its library example runs, its links and pictures are there."""

from __future__ import annotations

import contextlib
import io
import re

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
