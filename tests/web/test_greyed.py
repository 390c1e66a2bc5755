"""A form that would be refused says so before anything is typed into it."""

from __future__ import annotations

import re

import pytest

from tests.web.client import TestClient
from tests.web.plant import Job
from tests.web.test_sign_with_accounts import PASSWORD, signed_in, word_of
from whitemetal.desk import Desk
from whitemetal.people import passwords
from whitemetal.web.app import make_app
from whitemetal.web.greyed import greyed


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))


def test_only_a_form_that_lacks_something_is_greyed_and_the_reason_stands_once() -> None:
    html = (
        '<main id="m"><form method="get" action="/a"><p>1</p></form><form class="x" method="post" action="/b?c=1#d">'
        '<p>2</p></form><form method="post" action="/e"><p>3</p></form><form method="post" action="/b"></form></main>'
    )
    made = greyed(html, {"/a": "look", "/b": "write <entries>", "/e": ""}.__getitem__)
    assert re.findall(r"disabled>(.*?)</fieldset></form>", made) == ["<p>2</p>", ""]
    assert made.count("it may not write &lt;entries&gt;.") == 1
    assert made.index('<main id="m"><p class="finding hold" role="note">') == 0
    assert greyed(html, lambda path: "") == html


def open_forms(text: str) -> set[str]:
    """Addresses of the forms on a page that can be sent, but for the one to sign out by."""
    forms = re.findall(
        r'<form\b[^>]*method="post"[^>]*action="([^"]*)"[^>]*>(?:<input[^>]*>)?(<fieldset class="greyed")?',
        text,
    )
    assert forms
    return {re.sub(r"[a-z2-7]{26}", "x", at) for at, shut in forms if not shut} - {"/sign-out"}


def test_each_role_sees_what_is_not_for_it(desk: Desk, job: Job) -> None:
    lines = {
        "look": "it may not sign, nor set limits and give concessions.",
        "fit": "it may not set limits and give concessions.",
    }
    for roles, said in lines.items():
        text = signed_in(desk, roles, roles.title()).get(f"/jobs/{job.job}/sign").text
        assert said in text
        assert open_forms(text) == (set() if roles == "look" else {"/jobs/x/sign"})
    text = signed_in(desk, "engineer", "Engineer").get(f"/jobs/{job.job}/sign").text
    assert "it may not" not in text
    assert open_forms(text) == {"/jobs/x/sign", "/jobs/x/concession"}
    assert open_forms(signed_in(desk, "look", "Another").get("/me").text) >= {
        "/me/password",
        "/me/everywhere",
    }


def test_what_a_live_page_asks_again_is_greyed_too(desk: Desk, job: Job) -> None:
    looker = signed_in(desk, "look", "Lou Looker")
    text = looker.get(f"{job.at}").text
    assert text.count("it may not write entries.") == 1
    assert open_forms(text) == set()
    parts = looker.get(f"{job.at}/live", headers={"accept": "application/json"}).json()["parts"]
    assert all("<form" not in part or not open_forms(part) for part in parts.values())


def test_nobody_who_signs_in_nowhere_sees_anything_greyed(desk: Desk, job: Job) -> None:
    assert "greyed" not in TestClient(make_app(desk)).get(f"/jobs/{job.job}/sign").text


@pytest.mark.parametrize(
    ("browser", "said"),
    [
        ("Sheet/5.0 (Linux; Android 14; K) Engine/1.2 (like others) Page/3", "Linux; Android 14; K"),
        ("a-script/1.0", "a-script/1.0"),
        ("", "an unnamed program"),
    ],
)
def test_a_device_that_is_signed_in_is_named_by_its_kind(
    desk: Desk, job: Job, browser: str, said: str
) -> None:
    signed_in(desk, "look", "Lou Looker")
    client = TestClient(make_app(desk), headers={"user-agent": browser})
    word = word_of(client.get("/sign-in").text)
    client.post("/sign-in", data={"token": word, "name": "Lou Looker", "password": PASSWORD})
    assert f"<p>{said} · <b>this device</b></p>" in client.get("/me").text


def test_a_token_that_is_no_good_is_told_so(desk: Desk, job: Job) -> None:
    signed_in(desk, "look", "Lou Looker")
    for at in ("/api/1/plant", "/"):
        answer = TestClient(make_app(desk)).get(at, headers={"authorization": "Bearer nonsense"})
        assert (answer.status_code, "This token is not known here" in answer.text) == (401, True), at
