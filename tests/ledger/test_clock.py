"""The server's clock jumps: nothing acknowledged is lost or reordered, nobody waits for a day, and no session
lasts for longer than it should."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.ledger.writing import ANN, CARD, a_desk, a_job
from tests.web.client import TestClient
from whitemetal.desk import Desk, people, signing_in
from whitemetal.errors import InputError
from whitemetal.people import passwords
from whitemetal.people.sessions import AHEAD, LONGEST
from whitemetal.people.tries import FIRST_WAIT, FREE
from whitemetal.web.app import make_app

PASSWORD = "four brass feeler gauges"
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
DAY = timedelta(days=1)


class Clock:
    """A clock that is put right, or wrong."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        self.now += timedelta(milliseconds=1)
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    """A record with a keeper who is an engineer too."""
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))
    opened = Desk.open(str(tmp_path / "record"), clock=clock)
    people.open_first(opened, "Kit Keeper", PASSWORD, people.first_code(opened), "k" * 26)
    yield opened
    opened.close()


def test_a_clock_that_jumps_back_loses_and_reorders_nothing(tmp_path: Path) -> None:
    """On either database the order is that of the links; the clock is only shown."""
    moments = iter([10, 3600, -86400, -86399, 20, 5, 30])
    start = datetime(2026, 3, 2, 7, tzinfo=UTC)
    desk = a_desk(tmp_path / "record")
    job, _ = a_job(desk)
    desk._clock = lambda: start + timedelta(seconds=next(moments))
    for number in range(7):
        desk.keep_note(job, f"note {number}", ANN)
    assert [note.text for note in desk.job(job).state.notes] == [f"note {number}" for number in range(7)]
    assert [entry.seq for entry in desk.entries(job)] == list(range(1, 11))
    assert desk.verify() == ()
    desk.close()


def test_who_is_signed_in_writes_on_while_the_clock_jumps_back_and_forth(desk: Desk, clock: Clock) -> None:
    """By minutes the session stays; whatever was acknowledged is there, in the order in which it was sent; what
    is sent again under its key after a jump is not kept twice."""
    job = desk.open_job(desk.keep_card(CARD, ANN).bearing, "J-1", "opening", ANN)
    session = signing_in.sign_in(desk, "Kit Keeper", PASSWORD, device="k" * 26)
    cookies = {"whitemetal_session": session, "whitemetal_device": "k" * 26}
    browser = TestClient(make_app(desk), cookies=cookies, headers={"origin": "http://testserver"})
    kept = []
    for number, jump in enumerate((0, -300, 200, -90, 3600, -290)):
        clock.now += timedelta(seconds=jump)
        for _ in range(2):
            answer = browser.post(
                f"/api/1/jobs/{job}/notes", json={"text": f"note {number}", "seen": []},
                headers={"idempotency-key": f"note-{number}-of-this-test"},
            )  # fmt: skip
            assert answer.json()["kept"] is True, answer.text
        kept.append(f"note {number}")
    assert [note.text for note in desk.job(job).state.notes] == kept
    assert desk.verify() == ()


def test_wrong_tries_before_the_clock_went_back_make_nobody_wait_for_a_day(desk: Desk, clock: Clock) -> None:
    def wrong() -> str:
        with pytest.raises(InputError) as refused:
            signing_in.sign_in(desk, "Kit Keeper", "not the password", device="k" * 26)
        return str(refused.value)

    for _ in range(FREE):
        wrong()
    assert f"in {FIRST_WAIT} s" in wrong()
    clock.now -= DAY
    assert "one of them is wrong" in wrong(), "one try is looked at"
    assert f"in {2 * FIRST_WAIT} s" in wrong()
    clock.now += timedelta(seconds=2 * FIRST_WAIT + 1)
    assert signing_in.sign_in(desk, "Kit Keeper", PASSWORD, device="k" * 26)


def test_a_session_begun_while_the_clock_was_ahead_does_not_last_until_then(desk: Desk, clock: Clock) -> None:
    clock.now += 400 * DAY
    session = signing_in.sign_in(desk, "Kit Keeper", PASSWORD, device="k" * 26)
    assert signing_in.by_session(desk, session) is not None
    clock.now -= 400 * DAY
    assert signing_in.by_session(desk, session) is None
    again = signing_in.sign_in(desk, "Kit Keeper", PASSWORD, device="k" * 26)
    clock.now -= timedelta(seconds=AHEAD - 2)
    assert signing_in.by_session(desk, again) is not None, "two servers' clocks differ by as much"
    clock.now += timedelta(seconds=AHEAD + LONGEST)
    assert signing_in.by_session(desk, again) is None


def test_a_clock_that_was_put_back_is_said_in_the_record(desk: Desk, clock: Clock, tmp_path: Path) -> None:
    plain = Desk.open(str(tmp_path / "open record"), clock=clock)
    job, _ = a_job(plain)
    page = TestClient(make_app(plain))
    plain.keep_note(job, "in order", ANN)
    assert "put back" not in page.get(f"/record/{job}").text
    clock.now -= DAY
    plain.keep_note(job, "a day back", ANN)
    text = page.get(f"/record/{job}").text
    assert text.count("its clock was put back") == 1
    assert text.count("later than this record&#39;s clock") == plain.job(job).state.entries - 1
    plain.close()
