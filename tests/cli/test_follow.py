"""``whitemetal follow``: a growing file, invented, into a record, and what it says on the way."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Command
from tests.desk.test_run_in import LIMITS, RINGED, hot
from tests.ledger.writing import ANN
from whitemetal.cli.follow import follow
from whitemetal.cli.options import parser
from whitemetal.desk import Desk, follow_log
from whitemetal.desk.run_in import add_to_log, runs
from whitemetal.errors import CannotWrite


@pytest.fixture
def record(tmp_path: Path) -> tuple[str, str]:
    """A record with a job numbered J-1, and the job's id."""
    where = str(tmp_path / "mill.sqlite3")
    desk = Desk.open(where)
    card = RINGED.replace('lubrication = "ring-oiled"\n', "") + LIMITS
    job = desk.open_job(desk.keep_card(card, ANN).bearing, "J-1", "opening", ANN)
    desk.close()
    return where, job


def options_for(path: Path, *more: str) -> argparse.Namespace:
    return parser().parse_args(["follow", str(path), "--job", "J-1", "--by", "Ann Dale", *more])


BEGIN = ("--begin", "uncoupled", "--start", "2026-02-03 13:00", "--ambient", "25 degC", "--zone", "UTC")


def line(minute: int) -> str:
    return f"2026-02-03 13:{minute:02d}:00;{hot(minute):.1f}\n"


def test_it_warns_at_the_twelfth_minute_of_what_comes_at_the_fiftieth(
    record: tuple[str, str],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each wait is a minute of the logger; the machine is stopped after the fourteenth."""
    monkeypatch.setenv("TZ", "UTC")
    where, job = record
    path = tmp_path / "live.csv"
    path.write_text("time;metal [degC]\n" + line(0))
    said: list[str] = []
    minute = 0

    def next_minute(seconds: float) -> None:
        nonlocal minute
        said.append(capsys.readouterr().out)
        minute += 1
        if minute > 14:
            raise KeyboardInterrupt
        with path.open("a") as grows:
            grows.write(line(minute))

    with pytest.raises(KeyboardInterrupt):
        follow(options_for(path, *BEGIN), where, next_minute)
    first = next(i for i, text in enumerate(said) if "WARNING: metal: On its way" in text)
    assert 10 <= first <= 12
    assert sum("On its way" in text for text in said) == 1
    assert "metal: 48.0 °C" in said[12] or "metal: 47.5 °C" in said[12]
    desk = Desk.open(where)
    assert len(runs(desk, desk.job(job))[0].values) == 15
    desk.close()


def test_it_goes_on_when_the_record_could_not_be_written_for_a_while(
    record: tuple[str, str],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The second and third minute nothing can be written, the third's text was kept all the same: the
    connection was lost with the answer."""
    where, job = record
    path = tmp_path / "live.csv"
    path.write_text("time;metal [degC]\n" + line(0))
    minute = 0

    def failing(*given: Any) -> Any:
        if minute == 2:
            raise CannotWrite("the disk is full")
        if minute == 3:
            add_to_log(*given)
            raise CannotWrite("the connection was lost")
        return add_to_log(*given)

    def next_minute(seconds: float) -> None:
        nonlocal minute
        minute += 1
        if minute > 5:
            raise KeyboardInterrupt
        with path.open("a") as grows:
            grows.write(line(minute))

    monkeypatch.setattr(follow_log, "add_to_log", failing)
    with pytest.raises(KeyboardInterrupt):
        follow(options_for(path, *BEGIN), where, next_minute)
    told = capsys.readouterr().err
    assert "the disk is full" in told and "the connection was lost" in told
    desk = Desk.open(where)
    (log,) = desk.job(job).state.runs[0].logs
    assert (log.text, log.missing, log.contradictions) == (path.read_text(), (), ())
    desk.close()


def test_once_says_by_its_status_that_something_says_stop(
    record: tuple[str, str], tmp_path: Path, command: Command
) -> None:
    where, _ = record
    path = tmp_path / "done.csv"
    path.write_text("time;metal [degC]\n" + "".join(line(minute) for minute in range(10)))
    more = ("--database", where, "--job", "J-1", "--by", "Ann", "--once")
    good = command("follow", path, *BEGIN, *more)
    assert (good.status, "STOP" in good.out) == (0, False)
    with path.open("a") as grows:
        grows.write("2026-02-03 13:09:20;80.0\n")
    bad = command("follow", path, *more)
    assert bad.status == 1
    assert "STOP: metal:" in bad.out


def test_what_is_asked_is_said_and_the_lines_are_kept(
    record: tuple[str, str], tmp_path: Path, command: Command
) -> None:
    where, job = record
    path = tmp_path / "local.csv"
    path.write_text("time;metal [degC]\n" + line(0) + line(1))
    more = ("--database", where, "--job", "J-1", "--by", "Ann", "--once")
    asked = command("follow", path, *BEGIN[:6], *more)
    assert any("zone" in problem for problem in asked.wrong)
    desk = Desk.open(where)
    assert desk.job(job).state.runs[0].logs[0].text == path.read_text()
    desk.close()


@pytest.mark.parametrize(
    ("more", "field"),
    [
        (("--job", "J-9", "--by", "Ann"), "--job"),
        (("--job", "J-1", "--by", " "), "--by"),
        (("--job", "J-1", "--by", "Ann"), "--begin"),
        (("--job", "J-1", "--by", "Ann", "--begin", "coupled", "--start", "noon"), "--start"),
        (("--job", "J-1", "--by", "Ann", "--begin", "coupled", "--column", "2=shoe"), "--column"),
    ],
)
def test_bad_options_are_named(
    record: tuple[str, str], tmp_path: Path, command: Command, more: tuple[str, ...], field: str
) -> None:
    path = tmp_path / "a.csv"
    path.write_text("time;metal [degC]\n" + line(0))
    answer = command("follow", path, "--database", record[0], "--once", *more)
    assert any(field in problem for problem in answer.wrong)


def test_a_file_that_is_not_there_is_named(record: tuple[str, str], tmp_path: Path, command: Command) -> None:
    more = ("--database", record[0], "--job", "J-1", "--by", "Ann", "--once", "--begin", "coupled")
    assert any("no such file" in problem for problem in command("follow", tmp_path / "no.csv", *more).wrong)
