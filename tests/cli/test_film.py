"""The commands ``film`` and ``window``: one card, readings, many cards, bad input."""

from __future__ import annotations

import json
import subprocess
import sys
from importlib import resources
from pathlib import Path

import pytest

from whitemetal.cli import run
from whitemetal.cli.film_cards import tasks_of
from whitemetal.cli.options import parser
from whitemetal.errors import InputError

MILL = resources.files("whitemetal.demo_mill")
FAN, MOTOR = "fan_drive_end.toml", "motor_drive_end.toml"
GEAR, GEAR_READINGS = "gear_pinion_coupling_end.toml", "gear_pinion_coupling_end.readings.toml"
TRIED = ["--load", "9 kN"]


@pytest.fixture
def mill(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the demo's files, which is the working folder."""
    for file in MILL.iterdir():
        if file.name.endswith((".toml", ".csv")):
            (tmp_path / file.name).write_bytes(file.read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def command(*words: str) -> int:
    return run(words, lambda _: 0)


def test_film_of_a_card_with_its_readings(mill: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert command("film", FAN, "fan_drive_end.csv", "--facts", "fan_drive_end.facts.toml") == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    for text in ("as measured", "With half the oil", "Warming up", "Criteria", "maker's limit governs"):
        assert text in shown.out
    assert max(map(len, shown.out.splitlines())) <= 78


def test_window_marks_the_measured_clearance_and_the_limits(
    mill: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command("window", GEAR, GEAR_READINGS, "--plain") == 0
    shown = capsys.readouterr().out
    assert shown.isascii()
    rows = [line.split() for line in shown.splitlines() if line.startswith("    0.0")]
    assert len(rows) >= 40 and [float(row[0]) for row in rows] == sorted(float(row[0]) for row in rows)
    (measured,) = [row for row in rows if "measured" in row]
    assert float(measured[0]) == pytest.approx(0.00875, rel=0.04)
    assert any("minimum" in row for row in rows) and any("maximum" in row for row in rows)


def test_json_alone(mill: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert command("film", GEAR, "--json") == 0
    film = json.loads(capsys.readouterr().out)
    assert command("window", GEAR, "--json") == 0
    window = json.loads(capsys.readouterr().out)
    assert film["format"] == window["format"] == "whitemetal.film/1"
    assert film["maps"] is not None and window["maps"] is None
    assert film["points"] == window["points"]


def test_many_cards_at_once(mill: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three cards, one of them without its load: the others are run all the same, by worker processes."""
    (mill / MOTOR).write_text((mill / MOTOR).read_text("utf-8").split("[duty]")[0], "utf-8")
    assert command("window", FAN, GEAR, GEAR_READINGS, MOTOR, "--json") == 2
    shown = capsys.readouterr()
    rows = json.loads(shown.out)["bearings"]
    assert [row["card"] for row in rows] == [FAN, GEAR, MOTOR]
    assert rows[1]["film"]["clearance"]["measured_m"] == pytest.approx(0.00875 * 0.0254, rel=1e-2)
    assert rows[0]["film"]["clearance"]["measured_m"] is None
    assert rows[2]["film"] is None and "duty.load" in rows[2]["problems"][0]
    assert "3 of 3" in shown.err and "2 of 3 bearings run" in shown.err and MOTOR in shown.err


def test_a_trial_of_another_oil(mill: Path, capsys: pytest.CaptureFixture[str]) -> None:
    films = []
    for extra in ((), ("--oil", "ISO VG 32")):
        assert command("film", FAN, "--json", *extra) == 0
        films.append(json.loads(capsys.readouterr().out)["state"]["least_film_m"]["value"])
    assert films[1] < 0.9 * films[0]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((FAN, "--load", "lots"), "--load"),
        ((FAN, "--oil", "water"), "oil.grade"),
        ((FAN, "--load", "-3 kN"), "load"),
        ((FAN, "--inlet", "40 degC"), "inlet"),
        ((FAN, "--ambient", "-60 degC"), "ambient"),
        ((GEAR, "--inlet", "400 degC"), "inlet"),
        (("nowhere.toml",), "nowhere.toml"),
        ((GEAR_READINGS, GEAR), "the card before its readings"),
        ((GEAR, GEAR_READINGS, GEAR_READINGS), "one readings file a card"),
        ((FAN, "--facts", "fan_drive_end.facts.toml"), "exactly one readings file"),
        (("-", "-"), "standard input"),
    ],
)
def test_bad_input_is_told(
    mill: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], told: str
) -> None:
    assert command("film", *words) == 2
    shown = capsys.readouterr()
    assert told in shown.err and "Traceback" not in shown.err and shown.out == ""


def test_readings_belong_to_the_card_before_them(mill: Path) -> None:
    tasks = tasks_of(parser().parse_args(["film", FAN, GEAR, GEAR_READINGS, *TRIED]))
    assert [(task.name, task.readings_name) for task in tasks] == [(FAN, ""), (GEAR, GEAR_READINGS)]
    assert tasks[0].what_if.load == 9000.0
    with pytest.raises(InputError):
        tasks_of(parser().parse_args(["film", FAN, "--load", "x", "--hottest", "y"]))


def test_the_other_commands_start_without_the_compiler() -> None:
    """Neither numba nor scipy is loaded to show a card or the help."""
    script = (
        "import sys; from whitemetal.cli import run; run(['film', '--help'], lambda _: 0);"
        f"run(['card', {str(MILL / FAN)!r}], lambda _: 0); sys.exit('numba' in sys.modules or 'scipy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", script], capture_output=True, check=False).returncode == 0
