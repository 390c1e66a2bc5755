"""The pages of checks that nobody has begun yet, as a device takes them along."""

from __future__ import annotations

import pytest

from tests.web.client import TestClient
from tests.web.plant import Job
from tests.web.test_gate import TERMINAL
from tests.web.test_sign_with_accounts import PASSWORD, signed_in, word_of
from whitemetal.desk import Desk, people
from whitemetal.people import passwords
from whitemetal.people.roles import roles_of


def begin(client: TestClient, job: Job) -> tuple[str, list[str]]:
    told = client.get(f"/api/1/jobs/{job.job}/along").json()["begin"]
    return told["key"], told["pages"]


def sign_in(client: TestClient, name: str) -> None:
    typed = {"token": word_of(client.get("/sign-in").text), "name": name, "password": PASSWORD}
    assert client.post("/sign-in", data=typed, follow_redirects=False).status_code == 303


def test_pages_that_came_along_for_one_person_are_not_kept_for_the_next(
    desk: Desk, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One phone whose session ended without a word; what it holds carries a name, the word of forms and what
    is greyed, so the next person's key is another, and that of the same person is the same."""
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))
    phone = signed_in(desk, "fit", "Ada Invented")
    signed_in(desk, "fit", "Bo Invented")
    first, pages = begin(phone, job)
    assert "Ada Invented" in phone.get(pages[0]).text
    phone.cookies.delete("whitemetal_session")
    sign_in(phone, "Bo Invented")
    second, same = begin(phone, job)
    assert same == pages and "Ada Invented" not in phone.get(pages[0]).text
    assert second != first
    assert begin(phone, job)[0] == second
    sign_in(phone, "Ada Invented")
    assert begin(phone, job)[0] == first
    people.set_roles(desk, people.named(desk, "Ada Invented").id, roles_of("look"), TERMINAL)
    sign_in(phone, "Ada Invented")
    assert begin(phone, job)[0] not in (first, second)


def test_without_accounts_the_name_that_was_given_counts(client: TestClient, job: Job) -> None:
    first, _ = begin(client, job)
    client.post("/who", data={"name": "Bo Invented", "back": "/"})
    assert begin(client, job)[0] != first
