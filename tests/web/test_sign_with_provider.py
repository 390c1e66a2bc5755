"""Signing by somebody without a password: confirmed at the provider just before, once, and sealed all the same."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from tests.desk.test_signing import GRANTED, measured, with_gauge
from tests.people.plain_provider import CLIENT, SECRET, PlainProvider, running
from tests.web.client import TestClient
from tests.web.coming import ADA, back, go, refused, tied, who
from tests.web.test_gate import TERMINAL, word_of
from tests.web.test_sign_with_accounts import post
from whitemetal.desk import Desk, by_provider, people
from whitemetal.desk.people import BOOK
from whitemetal.desk.provider import Provider
from whitemetal.people import keys, passwords, signature
from whitemetal.people.provider import Settings
from whitemetal.web.app import make_app

PASSWORD = "four brass feeler gauges"
LATER = {**GRANTED, "until": "2126-10-01"}
OUT = {"part": "did", "leaves": "out of service"}


class Plant:
    """A job ready to be signed, and Ada, who has no password, signed in by the provider."""

    def __init__(self, place: Path, plain: PlainProvider) -> None:
        self.plain = plain
        self.desk: Desk = with_gauge(place / "record.sqlite3")
        plain.clock = lambda: people.seconds(self.desk)
        self.job, _ = measured(self.desk, "0.240")
        people.open_first(self.desk, "Kit Keeper", PASSWORD, people.first_code(self.desk), "k" * 26)
        self.client = self.browser()
        self.ada = tied(self.desk, self.client, plain, roles="fit engineer")

    def browser(self, seal_key: bytes = b"k" * 32) -> TestClient:
        settings = Settings("Tarn Mill", self.plain.at, CLIENT, "http://localhost:8470")
        client = TestClient(make_app(self.desk, provider=Provider(settings, SECRET, seal_key)))
        client.get("/sign-in")
        return client

    def confirm(self, client: TestClient | None = None) -> Any:
        client = client or self.client
        return back(client, go(client, self.plain, f"/me/confirm?back=/jobs/{self.job}/sign"))

    def sign(self, client: TestClient | None = None, **typed: str) -> int:
        return post(client or self.client, self.desk, self.job, "sign", **OUT, **typed)

    def concede(self, client: TestClient | None = None) -> int:
        return post(client or self.client, self.desk, self.job, "concession", **LATER)


@pytest.fixture
def plant(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Plant]:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))
    with running() as plain:
        made = Plant(tmp_path, plain)
        yield made
        made.desk.close()


def test_signing_asks_to_confirm_first_and_seals(plant: Plant) -> None:
    page = plant.client.get(f"/jobs/{plant.job}/sign").text
    assert "Confirm with Tarn Mill" in page and 'type="password"' not in page
    assert plant.sign() == 422
    assert plant.sign(password="") == plant.sign(password="guessed") == 422
    assert plant.desk.job(plant.job).state.signing.signatures == ()

    answer = plant.confirm()
    assert answer.status_code == 303 and answer.headers["location"] == f"/jobs/{plant.job}/sign"
    assert "good for five minutes and one signature" in plant.client.get(f"/jobs/{plant.job}/sign").text
    assert plant.sign() == 303
    entry = plant.desk.entries(plant.job)[-1]
    assert entry.kind == "signed/1" and entry.by == {"name": ADA, "id": plant.ada.id}
    assert signature.standing(entry) == "good"
    assert entry.body["confirmed"]["by"] == plant.plain.at, "what is signed says how it was confirmed"
    assert people.keys_of(plant.desk)[signature.key_of(entry)] == plant.ada.id
    page = plant.client.get(f"/jobs/{plant.job}/sign").text.replace("&#39;", "'")
    assert "Sealed with the signer's key" in page
    assert f"Confirmed by a sign-in at {plant.plain.at} at " in page
    assert "Confirm with Tarn Mill" in page, "used up"
    assert plant.desk.verify(plant.job) == () == plant.desk.verify(BOOK)


def test_a_confirmation_is_for_one_signature_and_five_minutes(
    plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    plant.confirm()
    assert plant.concede() == 303
    assert plant.concede() == 422, "once"
    plant.confirm()
    now = people.seconds(plant.desk)
    monkeypatch.setattr(by_provider, "seconds", lambda desk: now + by_provider.CONFIRMED + 2)
    assert plant.concede() == 422, "over"
    assert len(plant.desk.job(plant.job).state.signing.concessions) == 1


def test_of_two_signatures_at_once_one_has_the_confirmation(
    plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both requests would be at the key together, if both came that far."""
    plant.confirm()
    together, opened = threading.Barrier(2), keys.opened_beside

    def slowly(pair: keys.KeyPair, key: bytes) -> Any:
        with suppress(threading.BrokenBarrierError):
            together.wait(1.0)
        return opened(pair, key)

    monkeypatch.setattr(keys, "opened_beside", slowly)
    with ThreadPoolExecutor(2) as hands:
        answers = sorted(hands.map(lambda _: plant.concede(), range(2)))
    assert answers == [303, 422]
    assert len(plant.desk.job(plant.job).state.signing.concessions) == 1


def test_what_was_refused_keeps_the_confirmation_and_what_was_typed(plant: Plant) -> None:
    plant.confirm()
    page = plant.client.get(f"/jobs/{plant.job}/sign").text
    typed = {"token": word_of(page), "seen": "", **LATER, "until": "1999-01-01", "reason": "as typed <here>"}
    answer = plant.client.post(f"/jobs/{plant.job}/concession", data=typed)
    assert answer.status_code == 422 and "as typed &lt;here&gt;" in answer.text
    assert plant.concede() == 303


def test_a_sign_in_of_yesterday_is_no_confirmation(plant: Plant) -> None:
    """OpenID Connect Core 1.0, section 3.1.2.1 (max_age, prompt=login) and 3.1.3.7, point 13: auth_time is
    checked here too, where a provider only says that it asked."""
    now = people.seconds(plant.desk)
    for signed_in in (now - 3600, now - 120):
        plant.plain.signed_in = signed_in
        refused(plant.confirm(), "did not ask for the sign-in again")
        assert plant.sign() == 422
    plant.plain.signed_in = 0
    plant.plain.claims = lambda claims: {k: v for k, v in claims.items() if k != "auth_time"}
    refused(plant.confirm(), "auth_time")
    assert plant.sign() == 422


def test_somebody_else_does_not_confirm(plant: Plant) -> None:
    subject = plant.plain.subject
    plant.plain.subject = "somebody-else"
    refused(plant.confirm(), "Somebody else signed in at Tarn Mill")
    assert plant.sign() == 422
    plant.plain.subject = subject
    given = go(plant.client, plant.plain, "/me/confirm?back=/")
    other = plant.browser()
    back(other, go(other, plant.plain))
    assert who(other) == ADA
    other.cookies.set("whitemetal_errand", plant.client.cookies["whitemetal_errand"])
    refused(back(other, given), "signed in anew")
    assert plant.sign(other) == plant.sign() == 422, "a confirmation is one session's"


def test_an_errand_to_sign_in_is_no_confirmation(plant: Plant) -> None:
    assert back(plant.client, go(plant.client, plant.plain)).status_code == 303
    assert who(plant.client) == ADA
    assert plant.sign() == 422


def test_a_token_and_a_key_need_a_confirmation_too(plant: Plant) -> None:
    page = plant.client.get("/me").text
    typed = {"token": word_of(page), "title": "logger", "days": "7", "scope": "look", "password": ""}
    assert plant.client.post("/me/token", data=typed).status_code == 422
    plant.confirm()
    assert "shown this once" in plant.client.post("/me/token", data=typed).text
    assert plant.client.post("/me/token", data=typed).status_code == 422
    changed = {"token": word_of(page), "password": "", "new_password": PASSWORD, "again_password": PASSWORD}
    assert plant.client.post("/me/password", data=changed).status_code == 422


def test_a_key_sealed_with_another_key_file_is_said_and_not_replaced(plant: Plant) -> None:
    plant.confirm()
    assert plant.concede() == 303
    keys = people.keys_of(plant.desk)
    other = plant.browser(b"x" * 32)
    back(other, go(other, plant.plain))
    plant.confirm(other)
    assert plant.concede(other) == 422
    assert people.keys_of(plant.desk) == keys


def test_the_key_does_not_lie_open_in_the_record(plant: Plant) -> None:
    """Whoever has the database alone opens no key: the one it is sealed with lies beside it."""
    from whitemetal.people import keys

    plant.confirm()
    assert plant.concede() == 303
    pair = people.account(plant.desk, plant.ada.id).key
    assert keys.opened_beside(pair, b"k" * 32) is not None
    assert keys.opened_beside(pair, b"x" * 32) is None
    assert keys.opened(pair, "") is None
    swapped = keys.KeyPair(keys.new_pair_beside(b"k" * 32).public, pair.sealed)
    assert keys.opened_beside(swapped, b"k" * 32) is None


def test_who_has_a_password_signs_with_it_also_where_there_is_a_provider(plant: Plant) -> None:
    """A confirmation at the provider never stands in for a password that there is."""
    people.join(plant.desk, ADA, people.new_code(plant.desk, plant.ada.id, TERMINAL), PASSWORD, "d" * 26)
    client = plant.browser()
    back(client, go(client, plant.plain))
    assert who(client) == ADA
    page = client.get(f"/jobs/{plant.job}/sign").text
    assert 'type="password"' in page and "Confirm with" not in page
    plant.confirm(client)
    assert plant.sign(client) == plant.sign(client, password="guessed") == 422
    assert plant.sign(client, password=PASSWORD) == 303
    entry = plant.desk.entries(plant.job)[-1]
    assert signature.standing(entry) == "good" and "confirmed" not in entry.body
