"""A server that follows another one, for reports: really started, as an operator does, and asked for everything.

Whatever can be read is read there as at the main server; whatever would be kept is refused in words, with what
was typed handed back; and nothing the program does by itself (tables, marks, lists) needs to write.
"""

from __future__ import annotations

import re
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import pytest

from tests.cli.test_serve import serving
from tests.web.client import TestClient
from tests.web.plant import Job, begin, fill
from tests.web.test_pages import DAYS, ROUTES_SHOWN, addresses
from tools.start_postgres import Server, a_follower, a_server
from whitemetal.cli import run
from whitemetal.desk import Desk, Writer, people, signing_in
from whitemetal.errors import CannotWrite
from whitemetal.ledger.connect import LATEST, migrate
from whitemetal.ledger.postgres import engine
from whitemetal.people import passwords
from whitemetal.people.sessions import MARKED
from whitemetal.web.app import make_app
from whitemetal.web.doors import DOORS

pytestmark = pytest.mark.postgres
ANN = Writer("Ida Invented", "a" * 26)
PASSWORD = "four brass feeler gauges"
SLOW = re.compile(r"/film|/plan(/|$)|/order|work-pack|\\.xlsx|/carried")
"""Pages that reckon or draw for a second or more."""
ONLY_READ = "The record is read-only here"
REFUSED = "its server follows another one"


@dataclass
class Pair:
    """A main server and its follower, each opened; without accounts."""

    main: Server
    follower: Server
    name: str
    desk: Desk
    behind: Desk
    job: Job

    def arrived(self) -> None:
        """Wait until the follower has all that the main server kept."""
        where = one(self.main, "SELECT pg_current_wal_lsn()::text")
        until = time.monotonic() + 120
        while one(self.follower, f"SELECT (pg_last_wal_replay_lsn() >= '{where}')::text") != "true":
            assert time.monotonic() < until, "it does not follow"
            time.sleep(0.02)


def one(server: Server, statement: str) -> str:
    import psycopg

    with psycopg.connect(server.address("postgres"), autocommit=True) as connection:
        row = connection.execute(statement.encode()).fetchone()
        assert row is not None
        return str(row[0])


@pytest.fixture(scope="module")
def pair() -> Iterator[Pair]:
    with a_server() as main:
        name = main.fresh()
        desk = Desk.open(main.address(name))
        job = begin(desk, ANN)
        fill(desk, job, ANN)
        with a_follower(main) as follower:
            behind = Desk.open(follower.address(name))
            yield Pair(main, follower, name, desk, behind, job)
            behind.close()
        desk.close()


def browser(desk: Desk) -> TestClient:
    client = TestClient(make_app(desk), raise_server_exceptions=False)
    client.cookies.set("whitemetal_name", "Ada%20Invented")
    return client


@pytest.mark.parametrize("slow", [False, pytest.param(True, marks=pytest.mark.soak)], ids=["most", "all"])
def test_it_follows_and_every_page_says_that_nothing_can_be_written(pair: Pair, slow: bool) -> None:
    """Every address there is answers as at a record that can be written (`tests.web.test_pages`)."""
    at = addresses(pair.desk, pair.job)
    here, there = browser(pair.desk), browser(pair.behind)
    assert here.get(at["/openings"]).status_code == 200, "the list is reckoned where it can be written down"
    pair.arrived()
    assert not pair.behind.writable
    asked = [route for route in ROUTES_SHOWN if slow or not SLOW.search(route)]
    answers = {route: there.get(at[route]) for route in asked}
    refused = {route: answer.status_code for route, answer in answers.items() if answer.status_code != 200}
    assert DAYS in refused and len(refused) < 8
    assert refused == {route: here.get(at[route]).status_code for route in refused}
    pages = {route: answer.text for route, answer in answers.items() if "<html" in answer.text[:200]}
    assert len(pages) > 30
    assert [route for route, text in pages.items() if ONLY_READ not in text] == []
    assert ONLY_READ not in here.get("/").text
    for route in ("/api/1/plant", "/api/1/jobs/{job}", "/api/1/openings"):
        assert answers[route].json() == here.get(at[route]).json()
    assert there.get(at["/jobs/{job}/report.pdf"]).content.startswith(b"%PDF")
    assert answers["/api/1/verify"].json()["faults"] == []


def test_every_door_refuses_in_words_and_hands_back_what_was_typed(pair: Pair) -> None:
    """What is sent through every door of the API either is no sense for this record (422, 404, 409), or is
    refused because nothing can be written; nothing breaks, and nothing is kept."""
    pair.arrived()
    before = pair.behind.walk()
    there = browser(pair.behind)
    holes = {"job": pair.job.job, "check": pair.job.check, "book": pair.job.bearing}
    told = {
        path: there.post(re.sub(r"\{(\w+)\}", lambda hole: holes[hole[1]], path), json={**body, "seen": []})
        for path, body in DOORS.items()
    }
    assert {answer.status_code for answer in told.values()} <= {503, 422, 404, 409}
    refused = [path for path, answer in told.items() if answer.status_code == 503]
    assert len(refused) > 15
    for path in refused:
        assert told[path].json()["kept"] is False and REFUSED in told[path].json()["problem"], path
    assert "/api/1/jobs/{job}/notes" in refused and "/api/1/bearings/new" in refused
    form = there.post(f"/jobs/{pair.job.job}/notes", data={"note": "grit in the <oil>"})
    assert form.status_code == 503
    assert "grit in the &lt;oil&gt;" in form.text and REFUSED in form.text and ONLY_READ in form.text
    assert pair.behind.walk() == before == pair.desk.walk()


def test_who_waits_at_the_follower_is_told_of_what_was_written_at_the_main_server(pair: Pair) -> None:
    """PostgreSQL does not hand on what is told, so it asks every second, and opens no listener."""
    there = browser(pair.behind)
    seen = pair.behind.job(pair.job.job).state.digest
    at = f"/api/1/books/{pair.job.job}/changed"
    assert there.get(at, params={"seen": seen}).json()["changed"] is False
    pair.desk.keep_note(pair.job.job, "oil dark", ANN)
    assert there.get(at, params={"seen": seen, "wait": "10"}).json()["changed"] is True
    assert not pair.behind._ledger.watch.listening.is_set()
    assert "oil dark" in [note.text for note in pair.behind.job(pair.job.job).state.notes]


def test_who_signed_in_at_the_main_server_is_signed_in_here_and_nobody_signs_in_here(pair: Pair) -> None:
    cost, passwords.COST = passwords.COST, passwords.Cost(time=1, memory=64, lanes=1)
    desk = Desk.open(pair.main.address(pair.main.fresh()))
    people.open_first(desk, "Kit Keeper", PASSWORD, people.first_code(desk), "k" * 26)
    session = signing_in.sign_in(desk, "Kit Keeper", PASSWORD, device="k" * 26)
    visitor = signing_in.by_session(desk, session)
    assert visitor is not None
    token = signing_in.new_token(desk, visitor, "reports", frozenset({"look"}), 30)
    pair.arrived()
    name = desk._ledger.engine.url.database
    assert name is not None
    behind = Desk.open(pair.follower.address(name))
    on_time = behind._clock
    behind._clock = lambda: on_time() + timedelta(seconds=2 * MARKED)
    app = make_app(behind, demand=True)
    cookies = {"whitemetal_session": session, "whitemetal_device": "k" * 26}
    signed_in = TestClient(app, raise_server_exceptions=False, cookies=cookies)
    stranger = TestClient(app, raise_server_exceptions=False)
    assert signed_in.get("/").status_code == 200 and "Kit Keeper" in signed_in.get("/me").text
    program = {"authorization": f"Bearer {token}"}
    assert stranger.get("/api/1/plant", headers=program).status_code == 200
    assert stranger.get("/api/1/plant").status_code == 401
    shown = stranger.get("/sign-in").text
    assert "Nobody can sign in or out here" in shown and 'type="password"' not in shown
    tried = stranger.post("/sign-in", data={"name": "Kit Keeper", "password": PASSWORD})
    assert tried.status_code in (403, 503) and PASSWORD not in tried.text
    assert {one.used for one in signing_in.sessions_of(behind, visitor.account.id)} == {
        one.used for one in signing_in.sessions_of(desk, visitor.account.id)
    }
    behind.close()
    desk.close()
    passwords.COST = cost


def test_the_commands_read_it_and_a_backup_is_made_from_it(
    pair: Pair, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def told(*arguments: object) -> str:
        assert run([str(each) for each in arguments], lambda options: 0) == 0
        return capsys.readouterr().out

    pair.arrived()
    where = pair.follower.address(pair.name)
    whole = told("verify", where)
    assert "Every chain is whole" in whole
    told("backup", "--database", where, tmp_path / "night.file")
    assert told("verify", tmp_path / "night.file") == whole
    told("export", "--database", where, "--as", "json", "-o", tmp_path / "all.json")
    assert (tmp_path / "all.json").stat().st_size > 1000


@pytest.mark.soak
def test_it_is_served(pair: Pair) -> None:
    with serving("--database", pair.follower.address(pair.name), "--port", "0") as (_, address, before):
        assert "The record can be read here and not written" in "".join(before)
        with urllib.request.urlopen(address, timeout=20) as page:
            assert ONLY_READ in page.read().decode()


def test_tables_of_an_older_program_are_left_to_the_main_server(pair: Pair) -> None:
    old = pair.main.fresh("template1")
    made = engine(pair.main.address(old), 1.0)
    migrate(made, f"{int(LATEST) - 1:04d}")
    made.dispose()
    pair.arrived()
    with pytest.raises(CannotWrite, match="those of an older version") as refused:
        Desk.open(pair.follower.address(old))
    assert "Start this version once where the record can be written" in str(refused.value)
    Desk.open(pair.main.address(old)).close()
    pair.arrived()
    opened = Desk.open(pair.follower.address(old))
    assert opened.plant() == ()
    opened.close()
    nothing = pair.main.fresh("template1")
    pair.arrived()
    with pytest.raises(CannotWrite, match="There is no record here"):
        Desk.open(pair.follower.address(nothing))


def test_it_is_read_while_the_main_server_is_away(pair: Pair) -> None:
    pair.desk.keep_note(pair.job.job, "before it went", ANN)
    pair.arrived()
    pair.main.stop()
    assert pair.behind.job(pair.job.job).state.notes[-1].text == "before it went"
    assert browser(pair.behind).get(f"/jobs/{pair.job.job}").status_code == 200
    assert pair.behind.verify() == ()
    pair.main.start()
    pair.desk.keep_note(pair.job.job, "after it came", ANN)
    pair.arrived()
    assert pair.behind.job(pair.job.job).state.notes[-1].text == "after it came"
