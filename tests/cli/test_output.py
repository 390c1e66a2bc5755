"""Where the output goes wrong: nobody reads, the disk is full, the folder is read-only."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tests.cli.program import ALONE, environment
from whitemetal.demo_mill.load import demo_text


def into(target: int, *arguments: str | Path) -> tuple[int, str]:
    """Exit status and standard error of the program, its standard output going to a file's descriptor."""
    answer = subprocess.run(
        [*ALONE, *map(str, arguments)], stdout=target, stderr=subprocess.PIPE, env=environment(),
        timeout=300, check=False,
    )  # fmt: skip
    return answer.returncode, answer.stderr.decode()


def judging(mill: Path) -> tuple[str | Path, ...]:
    facts = mill / "fan_drive_end.facts.toml"
    return ("judge", mill / "fan_drive_end.toml", mill / "fan_drive_end.csv", "--facts", facts)


@pytest.mark.parametrize("what", ["json", "sheet", "help"])
def test_nobody_reads_any_more(mill: Path, what: str) -> None:
    arguments = {
        "json": (*judging(mill), "--json"),
        "sheet": ("sheet", mill / "fan_drive_end.toml", "-o", "-"),
        "help": ("judge", "--help"),
    }[what]
    reader, writer = os.pipe()
    os.close(reader)
    status, said = into(writer, *arguments)
    os.close(writer)
    assert (status, said) == (141, "")


@pytest.mark.parametrize("what", ["judge", "json", "sheet", "help"])
def test_a_full_disk_behind_standard_output(mill: Path, what: str) -> None:
    card = mill / "fan_drive_end.toml"
    arguments = {
        "judge": judging(mill),
        "json": (*judging(mill), "--json"),
        "sheet": ("sheet", card, "-o", "-"),
        "help": ("judge", "--help"),
    }[what]
    full = os.open("/dev/full", os.O_WRONLY)
    status, said = into(full, *arguments)
    os.close(full)
    assert status == 1
    assert said == "Not done: the output could not be written (no space left on device).\n"


def test_a_full_disk_under_a_sheet_leaves_the_old_one(mill: Path) -> None:
    """The operating system refuses every file above 20 000 bytes: a sheet is larger."""
    sheet = mill / "sheet.pdf"
    sheet.write_bytes(b"the sheet of yesterday")
    answer = subprocess.run(
        [*ALONE, "sheet", mill / "fan_drive_end.toml", "-o", sheet],
        capture_output=True, env=environment(PYTHONDONTWRITEBYTECODE="1"), timeout=300, check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000)),
    )  # fmt: skip
    assert answer.returncode == 2
    assert b"a file that can be written (file too large); nothing was written" in answer.stderr
    assert sheet.read_bytes() == b"the sheet of yesterday"
    assert list(mill.glob("sheet*")) == [sheet]


def test_a_device_is_written_to_and_not_replaced(command: Command, mill: Path) -> None:
    """A pipe stands for every device: a file put in its place would never reach who waits for it."""
    pipe = mill / "pipe"
    os.mkfifo(pipe)
    heard: list[bytes] = []
    reading = threading.Thread(target=lambda: heard.append(pipe.read_bytes()), daemon=True)
    reading.start()
    assert command("sheet", mill / "fan_drive_end.toml", "-o", pipe).status == 0
    reading.join(60)
    assert pipe.is_fifo()
    assert heard[0].startswith(b"%PDF-")


def test_a_link_stays_a_link(command: Command, mill: Path) -> None:
    (mill / "far").mkdir()
    (mill / "sheet.pdf").symlink_to(mill / "far" / "sheet.pdf")
    assert command("sheet", mill / "fan_drive_end.toml", "-o", mill / "sheet.pdf").status == 0
    assert (mill / "sheet.pdf").is_symlink()
    assert (mill / "far" / "sheet.pdf").read_bytes().startswith(b"%PDF-")


def test_a_folder_that_is_missing_or_none(command: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    for target, reason in (
        (mill / "no" / "sheet.pdf", "no such file or directory"),
        (card / "sheet.pdf", "not a directory"),
        (mill, "is a directory"),
    ):
        (problem,) = command("sheet", card, "-o", target).wrong
        assert f"a file that can be written ({reason}); nothing was written" in problem


WITHOUT_RIGHTS = """
import os, sys
from whitemetal.cli import run
open_folder, shut, card = sys.argv[1:]
def every(folder):
    return [run(line, None) for line in (
        ["sheet", card, "-o", f"{folder}/sheet.pdf"], ["sheet", card, "-o", f"{folder}/new.pdf"],
        ["demo", "--files", f"{folder}/mill"], ["demo", "--into", f"{folder}/mill.sqlite3"],
        ["demo", "--into", f"{folder}/other/mill.sqlite3"])]
assert every(open_folder) == [0, 0, 0, 0, 0]
if os.getuid() == 0:
    os.setuid(65534)
print("now", file=sys.stderr)
statuses = every(shut)
print(statuses)
"""
"""For root no folder is read-only: so everything is done once as root, which loads what it needs, and then
again as nobody."""


def test_a_read_only_folder() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        card = folder / "card.toml"
        card.write_text(demo_text("fan_drive_end.toml"), encoding="utf-8")
        for each in ("open", "shut"):
            (folder / each).mkdir()
        (folder / "shut" / "sheet.pdf").write_bytes(b"the sheet of yesterday")
        (folder / "shut").chmod(0o555)
        answer = subprocess.run(
            [sys.executable, "-c", WITHOUT_RIGHTS, folder / "open", folder / "shut", card],
            capture_output=True, env=environment(), timeout=300, check=False,
        )  # fmt: skip
        said = answer.stderr.decode().split("\nnow\n")[1]
        assert answer.stdout.splitlines()[-1] == b"[2, 2, 2, 1, 1]"
        assert said.count("a file that can be written (permission denied); nothing was written") == 3
        assert said.count("read-only") + said.count("cannot be made: Permission denied") == 2
        assert "fault" not in said
        assert "Traceback" not in said
        assert [each.name for each in (folder / "shut").iterdir()] == ["sheet.pdf"]
        assert (folder / "shut" / "sheet.pdf").read_bytes() == b"the sheet of yesterday"
