"""Signing in by the plant's own provider through the pages: the whole way, and what the keeper does about it.

The provider is one made by hand of the standard library (`tests/people/plain_provider.py`) and, in
`tests/flow/test_provider.py`, one of another maker's in a browser. What is expected is in the clauses named, from memory.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.people.plain_provider import CLIENT, SECRET, SUBJECT, PlainProvider
from tests.web.client import TestClient
from tests.web.coming import ADA, ERRAND, Coming, back, enter, go, tied, who, with_other
from tests.web.plant import Job
from tests.web.test_gate import PASSWORD, TERMINAL, word_of
from whitemetal.desk import Desk, by_provider, people, signing_in, ties
from whitemetal.desk.people import BOOK
from whitemetal.people.provider import Settings
from whitemetal.people.roles import roles_of
from whitemetal.web.app import make_app


def test_the_button_is_there_where_there_is_a_provider(coming: Coming, desk: Desk) -> None:
    assert "Sign in with Tarn Mill" in coming().get("/sign-in").text
    assert "Sign in with" not in TestClient(make_app(desk)).get("/sign-in").text


def test_the_first_time_needs_the_keepers_code_and_the_next_does_not(
    coming: Coming, desk: Desk, plain: PlainProvider
) -> None:
    client = coming()
    held = tied(desk, client, plain)
    assert who(client) == ADA
    other = coming()
    answer = back(other, go(other, plain, "/sign-in/provider?back=/instruments"))
    assert (answer.status_code, answer.headers["location"]) == (303, "/instruments")
    assert who(other) == ADA
    kinds = [entry.kind for entry in desk.entries(BOOK) if entry.body.get("account") == held.id]
    assert kinds == ["account/1", "account_code/1", "account_tied/1", "signed_in/1", "signed_in/1"]
    assert desk.verify(BOOK) == ()
    page = client.get("/me").text
    assert f"tied to {plain.at}" in page and "There is no password" in page


@pytest.mark.parametrize("code", ["", "wrong", "aaaaaaaa-bbbbbbbb-cccccccc-dddddddd"])
def test_a_wrong_code_ties_nobody(coming: Coming, desk: Desk, plain: PlainProvider, code: str) -> None:
    client = coming()
    people.add(desk, ADA, roles_of("fit"), TERMINAL)
    enter(client, plain)
    page = client.get("/sign-in/code").text
    assert "Tarn Mill says that you are Ada Invented" in page
    answer = client.post("/sign-in/code", data={"token": word_of(page), "code": code})
    assert answer.status_code == 422
    assert ties.issuers(desk) == {} and who(client) == ""


def test_the_code_for_the_first_account_is_no_code_here(
    desk: Desk, settings: Settings, plain: PlainProvider
) -> None:
    code = people.first_code(desk)
    client = with_other(desk, settings, newcomers="look")
    assert client.get("/sign-in/provider", follow_redirects=False).status_code == 422
    people.open_first(desk, "Kit Keeper", PASSWORD, code, "k" * 26)
    client = with_other(desk, settings)
    enter(client, plain)
    page = client.get("/sign-in/code").text
    assert client.post("/sign-in/code", data={"token": word_of(page), "code": code}).status_code == 422


def test_an_account_is_one_persons_and_a_person_has_one_account(
    coming: Coming, desk: Desk, plain: PlainProvider
) -> None:
    """OpenID Connect Core 1.0, section 5.7: iss and sub together, nothing else; another with the same name and
    mail is another."""
    held = tied(desk, coming(), plain)
    plain.subject = "another-248289761001"
    plain.claims = lambda claims: {**claims, "email": "ada@tarnmill.example", "email_verified": True}
    other = coming()
    assert enter(other, plain).headers["location"] == "/sign-in/code"
    page = other.get("/sign-in/code").text
    code = people.new_code(desk, held.id, TERMINAL)
    refused = other.post("/sign-in/code", data={"token": word_of(page), "code": code})
    assert refused.status_code == 422 and "untie" in refused.text
    assert who(other) == ""


def test_who_waits_in_two_windows_is_given_one_account(
    coming: Coming, desk: Desk, plain: PlainProvider
) -> None:
    """Both windows wait for a code, and the keeper gave two: the second code ties nobody and stays good."""
    one, other = coming(), coming()
    enter(other, plain)
    held = tied(desk, one, plain)
    second, code = people.add(desk, "Bo Invented", roles_of("fit"), TERMINAL)
    page = other.get("/sign-in/code").text
    answer = other.post("/sign-in/code", data={"token": word_of(page), "code": code})
    assert answer.status_code == 422 and "in another window meanwhile" in answer.text
    assert set(ties.issuers(desk)) == {held.id} and who(other) == ""
    plain.subject = "another-248289761001"
    third = coming()
    enter(third, plain)
    page = third.get("/sign-in/code").text
    third.post("/sign-in/code", data={"token": word_of(page), "code": code})
    assert set(ties.issuers(desk)) == {held.id, second.id}


def test_a_browser_that_waits_for_its_account_waits_a_quarter_of_an_hour(
    coming: Coming, desk: Desk, plain: PlainProvider, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = coming()
    _, code = people.add(desk, ADA, roles_of("fit"), TERMINAL)
    enter(client, plain)
    word = word_of(client.get("/sign-in/code").text)
    now = people.seconds(desk)
    monkeypatch.setattr(by_provider, "seconds", lambda desk: now + by_provider.STANDS + 1)
    assert client.post("/sign-in/code", data={"token": word, "code": code}).status_code == 422
    assert "Nobody is waiting" in client.get("/sign-in/code").text


def test_new_people_come_in_to_look_where_the_plant_says_so(
    desk: Desk, settings: Settings, kit: str, plain: PlainProvider
) -> None:
    plain.name = "Kit Keeper"
    client = with_other(desk, settings, newcomers="look")
    assert enter(client, plain).headers["location"] == "/"
    assert who(client) == "Kit Keeper (2)", "never taken for somebody who is here"
    assert client.get("/api/1/me").json()["roles"] == ["look"]
    plain.subject, plain.name = "nameless", "\u202e\x07"
    other = with_other(desk, settings, newcomers="look")
    enter(other, plain)
    assert who(other) == "Tarn Mill"


ROLES = {"claim": "groups", "roles": {"workshop": roles_of("fit"), "reliability": roles_of("engineer")}}


def test_roles_by_the_providers_groups_are_entries_like_all_others(
    desk: Desk, settings: Settings, kit: str, plain: PlainProvider
) -> None:
    groups: list[Any] = ["workshop", "reliability", "keeper", "unknown"]
    plain.claims = lambda claims: {**claims, "groups": groups}
    client = with_other(desk, settings, **ROLES)
    held = tied(desk, client, plain, roles="look")
    assert client.get("/api/1/me").json()["roles"] == ["fit", "engineer"]
    given = [entry for entry in desk.entries(BOOK) if entry.kind == "account_roles/1"]
    assert [(entry.body["before"], entry.body["roles"]) for entry in given] == [("look", "fit engineer")]
    assert given[0].by["name"] == "Tarn Mill"
    groups[:] = ["unknown"]
    other = with_other(desk, settings, **ROLES)
    refused = enter(other, plain)
    assert refused.status_code == 422 and "you may not come in" in refused.text
    assert who(other) == who(client) == "", "what was open is over too"
    assert people.account(desk, held.id).roles == {"fit", "engineer"}


def test_who_keeps_accounts_is_never_up_to_the_provider(
    desk: Desk, settings: Settings, kit: str, plain: PlainProvider
) -> None:
    plain.claims = lambda claims: {**claims, "groups": ["workshop"]}
    client = with_other(desk, settings, **ROLES)
    tied(desk, client, plain, roles="keeper engineer")
    assert client.get("/api/1/me").json()["roles"] == ["fit", "keeper"]


def test_a_closed_account_stays_out(coming: Coming, desk: Desk, plain: PlainProvider) -> None:
    client = coming()
    held = tied(desk, client, plain)
    people.close(desk, held.id, TERMINAL)
    refused = enter(coming(), plain)
    assert refused.status_code == 422 and "you may not come in" in refused.text
    assert who(client) == ""
    people_book = [entry for entry in desk.entries(BOOK) if entry.kind == "sign_in_refused/1"]
    assert people_book[-1].body == {
        "account": held.id,
        "for": "provider",
        "device": people_book[-1].body["device"],
    }


def test_a_fresh_session_every_time_and_the_one_before_is_over(
    coming: Coming, desk: Desk, plain: PlainProvider
) -> None:
    client = coming()
    held = tied(desk, client, plain)
    before = client.cookies["whitemetal_session"]
    enter(client, plain)
    assert client.cookies["whitemetal_session"] != before
    assert len(signing_in.sessions_of(desk, held.id)) == 1
    assert signing_in.by_session(desk, before) is None


def test_the_way_back_leads_nowhere_else(coming: Coming, desk: Desk, plain: PlainProvider) -> None:
    client = coming()
    tied(desk, client, plain)
    for to in ("//elsewhere.invalid", "https://elsewhere.invalid/", "javascript:alert(1)"):
        answer = back(client, go(client, plain, f"/sign-in/provider?back={to}"))
        assert answer.headers["location"] == "/"


def test_the_device_keeps_its_name(coming: Coming, desk: Desk, plain: PlainProvider) -> None:
    """A browser shows no cookie of this site to a navigation from another one: the page it comes back to must
    not name the device anew."""
    client = coming()
    bare = TestClient(client.app)
    answer = bare.get("/sign-in/back", params={"code": "x", "state": "y"})
    assert not [one for one in answer.headers.get_list("set-cookie") if "whitemetal_device" in one]
    device = client.cookies["whitemetal_device"]
    tied(desk, client, plain)
    assert client.cookies["whitemetal_device"] == device


def test_cookies_of_an_errand_are_out_of_reach(coming: Coming, plain: PlainProvider) -> None:
    app = coming().app
    for base, name, tail in (("http", ERRAND, ""), ("https", f"__Host-{ERRAND}", "Secure")):
        client = TestClient(app, base_url=f"{base}://testserver")
        answer = client.get("/sign-in/provider", follow_redirects=False)
        cookie = next(one for one in answer.headers.get_list("set-cookie") if ERRAND in one)
        assert cookie.startswith(f"{name}=")
        for part in ("HttpOnly", "SameSite=strict", "Path=/", "Max-Age=900", tail):
            assert part in cookie
        assert "Domain" not in cookie
        code = plain.agree(answer.headers["location"])
        assert code["state"] not in cookie, "state, nonce and verifier never lie in the browser's cookie"


def test_what_the_provider_sends_is_shown_as_text(coming: Coming) -> None:
    hostile = "\"><script>alert(1)</script>'&"
    text = coming().get("/sign-in/back", params={"code": hostile, "state": hostile, "error": hostile}).text
    assert "<script>alert" not in text and "&lt;script&gt;alert" in text
    assert "form-action 'self';" in coming().get("/sign-in/back").headers["content-security-policy"]
    assert "x" * 5000 not in coming().get("/sign-in/back", params={"code": "x" * 5000}).text


def test_a_keeper_takes_the_password_away_and_unties(
    coming: Coming, desk: Desk, plain: PlainProvider
) -> None:
    client = coming()
    held = tied(desk, client, plain)
    people.join(desk, ADA, people.new_code(desk, held.id, TERMINAL), PASSWORD, "d" * 26)
    sign_in = {"name": ADA, "password": PASSWORD}
    keeper = coming()
    word = word_of(keeper.get("/sign-in").text)
    keeper.post("/sign-in", data={"token": word, "name": "Kit Keeper", "password": PASSWORD})
    page = keeper.get("/people").text
    assert f"password, or {plain.at}" in page
    word = word_of(page)
    assert keeper.post(f"/people/{held.id}/password-off", data={"token": word}).status_code == 200
    other = coming()
    answer = other.post("/sign-in", data={"token": word_of(other.get("/sign-in").text), **sign_in})
    assert answer.status_code == 422
    assert enter(other, plain).status_code == 303 and who(other) == ADA
    assert f"comes in by {plain.at} only" in keeper.get("/people").text
    assert keeper.get("/api/1/people").json()[0]["provider"] == plain.at
    assert keeper.post(f"/people/{held.id}/untie", data={"token": word}).status_code == 200
    assert who(other) == ""
    assert enter(coming(), plain).headers["location"] == "/sign-in/code"
    for verb in ("untie", "password-off"):
        assert keeper.post(f"/people/{held.id}/{verb}", data={"token": word}).status_code == 422


def test_the_last_keeper_keeps_a_password(coming: Coming, desk: Desk, plain: PlainProvider, kit: str) -> None:
    code = people.new_code(desk, kit, TERMINAL)
    client = coming()
    enter(client, plain)
    word = word_of(client.get("/sign-in/code").text)
    assert (
        client.post("/sign-in/code", data={"token": word, "code": code}, follow_redirects=False).status_code
        == 303
    )
    page = client.get("/people").text
    answer = client.post(f"/people/{kit}/password-off", data={"token": word_of(page)})
    assert answer.status_code == 422 and "another keeper first" in answer.text
    assert people.account(desk, kit).password


def test_one_signs_out_from_every_page(coming: Coming, desk: Desk, plain: PlainProvider, job: Job) -> None:
    client = coming()
    tied(desk, client, plain)
    for at in ("/", "/instruments", "/openings", f"/jobs/{job.job}", job.at, f"/jobs/{job.job}/sign", "/me"):
        text = client.get(at).text
        assert text.count('action="/sign-out"') == 1, at
    client.post("/sign-out", data={"token": word_of(text)})
    assert who(client) == ""


def test_signing_out_here_names_the_way_out_there(coming: Coming, desk: Desk, plain: PlainProvider) -> None:
    plain.document["end_session_endpoint"] = f"{plain.at}/end"
    client = coming()
    tied(desk, client, plain)
    word = word_of(client.get("/me").text)
    page = client.post("/sign-out", data={"token": word})
    assert who(client) == ""
    assert f'href="{plain.at}/end?client_id={CLIENT}"' in page.text
    assert "You are signed out here, but not at Tarn Mill" in page.text


def test_no_secret_lies_in_the_record(
    coming: Coming, desk: Desk, plain: PlainProvider, tmp_path: Path
) -> None:
    client = coming()
    tied(desk, client, plain)
    session = client.cookies["whitemetal_session"]
    said = "".join(str(entry.body) for entry in desk.entries(BOOK))
    assert SUBJECT in said
    kept = b"".join(path.read_bytes() for path in tmp_path.iterdir() if path.is_file())
    for secret in (SECRET, session, *plain.codes):
        assert secret not in said and secret.encode() not in kept
    assert not kept or SUBJECT.encode() in kept, "the file was really read"
