"""News for others: in order, from where they were, nothing missed and nothing twice."""

from __future__ import annotations

import hashlib
import hmac
import json
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import ClassVar

import pytest

from tests.desk.test_signing import GRANTED, both_sign, measured, seeing, with_gauge
from tests.ledger.writing import ANN
from tests.records import place_of
from whitemetal.cli import run
from whitemetal.desk import Desk
from whitemetal.desk.outbox import news, news_json
from whitemetal.desk.signing import concede, reopen
from whitemetal.errors import InputError


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = with_gauge(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def whats(desk: Desk, after: int = 0) -> list[tuple[str, str]]:
    return [(one.what, one.part) for one in news(desk, after).told]


def test_a_signed_job_is_told_and_one_opened_again(desk: Desk) -> None:
    job, _ = measured(desk)
    assert news(desk).told == ()
    both_sign(desk, job)
    assert whats(desk) == [("signed", "did"), ("signed", "checked")]
    after = news(desk).after
    reopen(desk, job, "the ring was not seen", seeing(desk, job, ANN))
    assert whats(desk, after) == [("opened again", "")]
    assert whats(desk, news(desk, after).after) == []
    told = news(desk).told[0]
    assert (told.number, told.machine, told.position, told.leaves, told.by) == (
        "J-1", "TM-31-F02", "drive end", "fit", ANN.name,
    )  # fmt: skip


def test_a_bearing_left_not_fit_is_told(desk: Desk) -> None:
    job, _ = measured(desk, "0.400")
    concede(desk, job, GRANTED, seeing(desk, job, ANN))
    both_sign(desk, job, "concession")
    assert [one.what for one in news(desk).told] == ["not fit", "signed", "not fit", "signed", "not fit"]
    assert news(desk).told[0].until == GRANTED["until"]
    assert len({one.id for one in news(desk).told}) == 5, "whoever is told twice can see it"


def test_news_come_a_page_at_a_time_and_stay_in_order_while_others_write(desk: Desk) -> None:
    for number in range(3):
        job, _ = measured(desk)
        both_sign(desk, job)
        if number == 0:
            first = news(desk, most=1)
    assert first.more and len(first.told) == 1
    got, after = list(first.told), first.after
    while True:
        page = news(desk, after, most=2)
        got += page.told
        after = page.after
        if not page.more:
            break
    assert [one.id for one in got] == [one.id for one in news(desk).told]
    assert news_json(page)["format"] == "whitemetal.news/1"


def test_a_day_that_is_none_is_asked_back(desk: Desk) -> None:
    assert news(desk, day="2026-03-02").due == ()
    for bad in ("soon", "2026-13-01"):
        with pytest.raises(InputError, match="day"):
            news(desk, day=bad)


MOVED = {"/moved": 301, "/found": 302, "/other": 303}


class Hearing(BaseHTTPRequestHandler):
    """A program that is told, and refuses the second time it is asked; at /moved it only says where it went."""

    heard: ClassVar[list[tuple[dict[str, str], bytes]]] = []
    refuses: ClassVar[set[int]] = {2}
    asked = 0

    def do_GET(self) -> None:
        self.send_response(200)
        self.end_headers()

    def do_POST(self) -> None:
        if self.path in MOVED:
            self.send_response(MOVED[self.path])
            self.send_header("Location", "/")
            self.end_headers()
            return
        type(self).asked += 1
        body = self.rfile.read(int(self.headers["Content-Length"]))
        if type(self).asked in self.refuses:
            self.send_error(503)
            return
        type(self).heard.append((dict(self.headers), body))
        self.send_response(204)
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:
        return


@pytest.fixture
def hearing() -> Iterator[str]:
    """The address of a program that is told."""
    Hearing.heard, Hearing.asked = [], 0
    server = HTTPServer(("127.0.0.1", 0), Hearing)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()


@pytest.mark.parametrize("path", MOVED)
def test_what_is_told_to_an_address_that_moved_is_not_taken_for_told(
    desk: Desk, tmp_path: Path, hearing: str, path: str, capsys: pytest.CaptureFixture[str]
) -> None:
    job, _ = measured(desk)
    both_sign(desk, job)
    words = [
        "tell",
        "--database",
        place_of(tmp_path / "record.sqlite3"),
        "--place",
        str(tmp_path / "told"),
        "--to",
    ]
    assert run([*words, hearing + path], lambda options: 1) == 1
    assert Hearing.heard == [] and str(MOVED[path]) in capsys.readouterr().err


def test_another_program_is_told_each_at_least_once_with_a_proof(
    desk: Desk, tmp_path: Path, hearing: str, capsys: pytest.CaptureFixture[str]
) -> None:
    job, _ = measured(desk)
    both_sign(desk, job)
    (tmp_path / "secret").write_bytes(b"between us\n")
    words = ["tell", "--database", place_of(tmp_path / "record.sqlite3"), "--to", f"{hearing}/"]
    words += ["--place", str(tmp_path / "told"), "--secret", str(tmp_path / "secret")]
    assert run(words, lambda options: 1) == 1, "the second was refused"
    assert run(words, lambda options: 1) == 0
    assert run(words, lambda options: 1) == 0
    assert "503" in capsys.readouterr().err
    bodies = [json.loads(body) for _, body in Hearing.heard]
    assert [one["part"] for one in bodies] == ["did", "checked"], "from where it was refused, in order"
    for headers, body in Hearing.heard:
        assert headers["Whitemetal-Hmac"] == hmac.new(b"between us", body, hashlib.sha256).hexdigest()
    (tmp_path / "told").write_text("far\n")
    assert run(words, lambda options: 1) == 2
