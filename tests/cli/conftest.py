"""The files of Tarn Mill, and the command line inside this process."""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Callable
from importlib import resources
from pathlib import Path

import pytest

from tests.cli.program import Answer
from whitemetal.cli import run

Command = Callable[..., Answer]


@pytest.fixture
def mill(tmp_path: Path) -> Path:
    """A folder with the demo's cards and readings."""
    folder = tmp_path / "mill"
    folder.mkdir()
    for source in resources.files("whitemetal.demo_mill").iterdir():
        if source.name.endswith((".toml", ".csv")):
            (folder / source.name).write_bytes(source.read_bytes())
    return folder


@pytest.fixture
def served() -> list[argparse.Namespace]:
    """The options with which pages were asked for."""
    return []


@pytest.fixture
def command(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, served: list[argparse.Namespace]
) -> Command:
    """Run one command line; ``typed`` is its standard input."""

    def serve(options: argparse.Namespace) -> int:
        served.append(options)
        return 0

    def ran(*arguments: str | Path, typed: str | bytes = b"") -> Answer:
        data = typed.encode() if isinstance(typed, str) else typed
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data), encoding="utf-8"))
        capsys.readouterr()
        status = run([str(argument) for argument in arguments], serve)
        said = capsys.readouterr()
        return Answer(status, said.out, said.err)

    return ran


@pytest.fixture
def judge(command: Command, mill: Path) -> Command:
    """Judge readings typed on standard input by the fan's card, with the facts of the fan's check."""

    def judged(typed: str | bytes, *more: str | Path) -> Answer:
        facts = ("--facts", mill / "fan_drive_end.facts.toml")
        return command("judge", mill / "fan_drive_end.toml", "-", *facts, *more, typed=typed)

    return judged
