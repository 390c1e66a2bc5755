"""What a terminal is shown: colour only on one, its width, its letters, and no control characters."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tests.cli.program import ALONE, Answer, alone, environment
from tests.cli.test_judge import csv

COLOUR = re.compile(r"\x1b\[[0-9;]*m")


def on_a_terminal(*arguments: str | Path, columns: int = 90, **more: str) -> str:
    """What the program writes to a terminal of that many columns."""
    ours, theirs = pty.openpty()
    variables = environment(**{"TERM": "xterm", "COLUMNS": str(columns), **more})
    running = subprocess.Popen([*ALONE, *map(str, arguments)], stdout=theirs, env=variables)
    os.close(theirs)
    said = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:
            break
        if not part:
            break
        said += part
    os.close(ours)
    assert running.wait(300) == 0
    return said.decode().replace("\r\n", "\n")


def test_colour_on_a_terminal_and_the_same_words_without(command: Command, mill: Path) -> None:
    arguments = (
        "judge",
        mill / "gear_pinion_coupling_end.toml",
        mill / "gear_pinion_coupling_end.readings.toml",
    )
    coloured = on_a_terminal(*arguments, columns=78)
    assert "\x1b[1;33mThe check: NOT PROVEN\x1b[0m" in coloured
    piped = command(*arguments)
    assert "\x1b" not in piped.out
    assert COLOUR.sub("", coloured) == piped.out


@pytest.fixture
def terminal(command: Command, monkeypatch: pytest.MonkeyPatch) -> Command:
    """The command line inside this process, its output taken for a terminal."""
    for name in ("NO_COLOR", "TERM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("COLUMNS", "90")

    def ran(*arguments: str | Path) -> Answer:
        monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
        return command(*arguments)

    return ran


def test_no_color_on_a_terminal(mill: Path) -> None:
    said = on_a_terminal("wire", mill / "motor_drive_end.toml", NO_COLOR="1")
    assert "Before the squeeze" in said
    assert "\x1b" not in said


def test_colour_only_where_it_is_wanted(
    terminal: Command, mill: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    card = mill / "motor_drive_end.toml"
    assert "\x1b[1mBefore the squeeze\x1b[0m" in terminal("wire", card).out
    assert "\x1b" not in terminal("wire", card, "--plain").out
    monkeypatch.setenv("NO_COLOR", "")
    assert "\x1b" in terminal("wire", card).out
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b" not in terminal("wire", card).out
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert "\x1b" not in terminal("wire", card).out


@pytest.mark.parametrize("columns", [60, 90])
def test_lines_fit_the_terminal(
    terminal: Command, mill: Path, monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    facts = mill / "fan_drive_end.facts.toml"
    said = terminal("judge", mill / "fan_drive_end.toml", mill / "fan_drive_end.csv", "--facts", facts).out
    table = re.compile(r"mm  .*(within limits)$")
    widths = [len(line) for line in COLOUR.sub("", said).splitlines() if not table.search(line)]
    assert columns - 12 < max(widths) <= columns


def test_ascii_letters_only(command: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    card.write_text(text.replace("bark boiler", "Kesselgebläse"), encoding="utf-8")
    answer = command("judge", card, "-", "--plain", typed="place;reading\nDE top;0.200 mm\n")
    assert answer.out.isascii()
    assert "+/-" in answer.out
    assert "0.200 mm" in answer.out
    by_itself = alone("wire", card, PYTHONIOENCODING="ascii")
    assert by_itself.returncode == 0
    assert by_itself.stdout.isascii()
    assert b"Take soft lead wire of 0.35 mm" in by_itself.stdout


def test_files_keep_every_letter_whatever_the_terminal_has(mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    card.write_text(text.replace("bark boiler", "Gebläse µ"), encoding="utf-8")
    kept = alone("card", card, "--toml", PYTHONIOENCODING="ascii")
    assert "Gebläse µ" in kept.stdout.decode("utf-8")
    readings = mill / "six.csv"
    readings.write_text(csv(), encoding="utf-8")
    judged = alone("judge", card, readings, "--json", PYTHONIOENCODING="ascii")
    assert judged.stdout.isascii()
    assert b"Gebl\\u00e4se \\u00b5" in judged.stdout


def test_control_characters_are_shown_and_not_obeyed(command: Command, mill: Path) -> None:
    """A card or a reading from somebody else must not clear the screen or rewrite a line of it."""
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    card.write_text(text.replace("bark boiler", r"\u001b[2Jbark\u202e boiler"), encoding="utf-8")
    for verb in ("card", "wire"):
        answer = command(verb, card)
        assert answer.status == 0
        assert r"\x1b[2Jbark\u202e" in answer.out
        assert not set(answer.out) & set("\x1b\u202e")
    (problem,) = command("judge", card, "-", typed="place;reading\nDE top;\x1b[31m\ax\n").wrong
    assert r"\x1b[31m\x07x" in problem


def test_control_characters_on_a_terminal_with_colours(terminal: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    card.write_text(text.replace("bark boiler", r"\u001b[2Jbark boiler"), encoding="utf-8")
    said = terminal("wire", card).out
    assert r"\x1b[2Jbark" in said
    assert "\x1b" not in COLOUR.sub("", said)


def test_closed_streams_are_no_fault_of_the_program(mill: Path) -> None:
    card = str(mill / "fan_drive_end.toml")
    for shut, arguments, status in (
        ("<&-", ["judge", card, "-"], 2),
        (">&-", ["card", card], 0),
        ("2>&-", ["card", card + "x"], 2),
    ):
        answer = subprocess.run(
            ["sh", "-c", f'"$@" {shut}', "sh", sys.executable, "-m", "whitemetal", *arguments],
            capture_output=True, env=environment(), check=False, timeout=300,
        )  # fmt: skip
        assert answer.returncode == status
        assert b"fault" not in answer.stderr
        assert b"Traceback" not in answer.stderr
