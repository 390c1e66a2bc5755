"""Openings that have come due are told once each, and again when their day moves."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.desk.lives import Years, a_desk
from tests.desk.test_openings import bearing, worn
from tests.desk.test_outbox import Hearing, hearing
from tests.desk.test_signing import GRANTED, both_sign, measured, seeing, with_gauge
from tests.ledger.writing import ANN
from tests.records import place_of
from whitemetal.cli import run, tell
from whitemetal.cli.options import parser
from whitemetal.desk import Desk, outbox
from whitemetal.desk.openings import openings, reckon_all
from whitemetal.desk.outbox import news
from whitemetal.desk.signing import concede
from whitemetal.errors import LedgerError

__all__ = ["hearing"]

pytestmark = pytest.mark.sqlite_only


@pytest.fixture
def place(tmp_path: Path) -> Iterator[tuple[Desk, Years]]:
    desk, years = a_desk(tmp_path / "record.sqlite3")
    yield desk, years
    desk.close()


@pytest.fixture
def words(tmp_path: Path, hearing: str, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """How it is told, to a program that takes everything."""
    monkeypatch.setattr(Hearing, "refuses", set())
    where = place_of(tmp_path / "record.sqlite3")
    return ["tell", "--database", where, "--place", str(tmp_path / "told"), "--to", f"{hearing}/"]


class LaterDay:
    """A calendar at which today is another day."""

    def __init__(self, day: str) -> None:
        self.day = day

    def today(self) -> LaterDay:
        return self

    def isoformat(self) -> str:
        return self.day


def test_every_bearing_is_reckoned_whoever_looked_at_the_list(place: tuple[Desk, Years]) -> None:
    desk, years = place
    books = [worn(desk, years, f"B{number}", 0.250) for number in range(6)]
    first = news(desk, day="2100-01-01")
    assert (len(first.due), first.not_reckoned) == (5, 1), "five lines are reckoned at a time"
    assert (len(news(desk, day="2100-01-01").due), news(desk, day="2100-01-01").not_reckoned) == (6, 0)
    assert {one.bearing for one in news(desk, day="2100-01-01").due} == set(books)


def test_what_is_due_is_told_once(
    place: tuple[Desk, Years], words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The days are those of the list of openings; a refusal in between costs nothing."""
    desk, years = place
    quiet, slow, fast = bearing(desk, "A"), worn(desk, years, "B", 0.250), worn(desk, years, "C", 0.300)
    reckon_all(desk)
    days = {row.book: row.due for row in openings(desk).rows}
    assert days[quiet] == "" and days[fast] < days[slow]
    monkeypatch.setattr(tell, "date", LaterDay(days[fast]))
    monkeypatch.setattr(Hearing, "refuses", {1})
    assert [run(words, lambda options: 1) for _ in range(3)] == [1, 0, 0]
    monkeypatch.setattr(tell, "date", LaterDay(days[slow]))
    assert run(words, lambda options: 1) == 0
    told = [(json.loads(body), headers["Idempotency-Key"]) for headers, body in Hearing.heard]
    assert [(one["what"], one["bearing"], one["machine"], one["day"]) for one, _ in told] == [
        ("opening due", fast, "C", days[fast]), ("opening due", slow, "B", days[slow]),
    ]  # fmt: skip
    assert all(one["id"] == key and one["format"] == "whitemetal.told/1" for one, key in told)
    assert len((tmp_path / "told").read_text().split()) == 3, "the receipt and two that are due"


def test_a_day_that_moves_is_forgotten_and_told_anew(
    place: tuple[Desk, Years], words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, years = place
    worn(desk, years, "B", 0.250)
    monkeypatch.setattr(tell, "date", LaterDay("2100-01-01"))
    assert run(words, lambda options: 1) == 0
    found = outbox.due(desk, "2100-01-01")
    monkeypatch.setattr(outbox, "due", lambda desk, day: ())
    assert run(words, lambda options: 1) == 0
    assert (tmp_path / "told").read_text().split()[1:] == []
    monkeypatch.setattr(outbox, "due", lambda desk, day: (replace(found[0], day="2099-01-01"),))
    assert run(words, lambda options: 1) == 0
    assert [json.loads(body)["day"] for _, body in Hearing.heard] == [found[0].day, "2099-01-01"]


def test_of_two_news_of_one_entry_the_first_is_not_told_again_for_the_second(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Signed under a concession: each signature is told, and that it leaves the bearing not fit. The program
    that hears refuses every other one, and comes to an end all the same."""
    desk = with_gauge(tmp_path / "record.sqlite3")
    job, _ = measured(desk, "0.400")
    concede(desk, job, GRANTED, seeing(desk, job, ANN))
    both_sign(desk, job, "concession")
    desk.close()
    monkeypatch.setattr(Hearing, "refuses", {2, 4, 6, 8})
    assert [run(words, lambda options: 1) for _ in range(5)] == [1, 1, 1, 1, 0]
    told = [json.loads(body) for _, body in Hearing.heard]
    assert [one["what"] for one in told] == ["not fit", "signed", "not fit", "signed", "not fit"]
    assert len((tmp_path / "told").read_text().split()) == 1, "nothing besides is remembered for ever"
    assert "answered 503" in capsys.readouterr().err


def test_a_record_out_of_reach_for_a_while_does_not_end_it(
    place: tuple[Desk, Years], words: list[str], monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    desk, years = place
    worn(desk, years, "B", 0.250)
    monkeypatch.setattr(tell, "date", LaterDay("2100-01-01"))
    found, asked = outbox.due(desk, "2100-01-01"), []

    def at_last(desk: Desk, day: str) -> object:
        asked.append(day)
        if len(asked) == 1:
            raise LedgerError("out of reach")
        return outbox.Due("b", "M", "end", "2099-01-01"), *found

    def stop(seconds: float) -> None:
        if len(asked) == 3:
            raise KeyboardInterrupt

    monkeypatch.setattr(outbox, "due", at_last)
    with pytest.raises(KeyboardInterrupt):
        tell.tell(parser().parse_args([*words, "--every", "5"]), stop)
    said = capsys.readouterr().err
    assert "out of reach" in said and len(Hearing.heard) == 1
    assert said.count("told") == 1, "where nothing is new a log is left alone"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--secret", "nowhere"), '--secret: "nowhere" was typed; expected a file that can be read'),
        (("--secret", "empty"), "a file with a secret in it; this one is empty"),
        (("--place", "."), "--place: "),
    ],
)
def test_a_file_that_cannot_be_is_named(
    place: tuple[Desk, Years], words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str], more: tuple[str, ...], said: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    (tmp_path / "empty").touch()
    assert run([*words, *more], lambda options: 1) == 2
    assert said in capsys.readouterr().err
