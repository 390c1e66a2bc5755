"""Signing in by an OpenID provider of another maker's, in a browser: two sites, so that cookies for one site only,
the policy of the pages and the way back are tried as they are."""

from __future__ import annotations

import socket
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.flow.slow import listening
from tests.flow.test_accounts import PASSWORD, THUMB
from whitemetal.desk import Desk, people, ties
from whitemetal.desk.people import Acting
from whitemetal.desk.provider import Provider
from whitemetal.people import passwords
from whitemetal.people.provider import Settings
from whitemetal.people.roles import roles_of

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("ignore::DeprecationWarning")]
Window = Callable[..., "Page"]


@dataclass(frozen=True)
class Mill:
    """A running program and the provider of its plant. at, issuer: their addresses, two sites."""

    at: str
    issuer: str
    desk: Desk


@pytest.fixture
def mill(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Mill]:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))
    monkeypatch.setenv("AUTHLIB_INSECURE_TRANSPORT", "1")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import oidc_provider_mock

    from whitemetal.web.app import make_app

    desk = Desk.open(str(tmp_path / "plant.db"))
    people.open_first(desk, "Kit Keeper", PASSWORD, people.first_code(desk), "k" * 26)
    listener = socket.create_server(("127.0.0.1", 0))
    at = f"http://127.0.0.1:{listener.getsockname()[1]}"
    ada = oidc_provider_mock.User(sub="ada-4711", claims={"name": "Ada Invented"})
    with oidc_provider_mock.run_server_in_thread(user_claims=[ada], require_nonce=True) as other:
        issuer = f"http://localhost:{other.server_port}"
        provider = Provider(Settings("Tarn Mill", issuer, "whitemetal", at), "word", b"k" * 32)
        with listening(make_app(desk, provider=provider), listener):
            yield Mill(at, issuer, desk)
    desk.close()


def device(page: Page) -> str:
    return next(one["value"] for one in page.context.cookies() if one["name"] == "whitemetal_device")


def to_the_provider(page: Page, mill: Mill) -> None:
    page.click("text=Sign in with Tarn Mill")
    page.wait_for_url(f"{mill.issuer}/**")


def test_the_first_time_by_code_then_by_one_button_then_confirmed(mill: Mill, window: Window) -> None:
    held, code = people.add(mill.desk, "Ada Invented", roles_of("fit"), Acting("", "at the terminal"))
    phone = window(360, 740, has_touch=True, is_mobile=True)
    phone.goto(mill.at)
    assert phone.url.endswith("/sign-in?back=/")
    box = phone.locator("text=Sign in with Tarn Mill").bounding_box()
    assert box is not None and box["height"] >= THUMB
    named = device(phone)
    to_the_provider(phone, mill)
    phone.click("button[value='ada-4711']")
    phone.wait_for_url(f"{mill.at}/sign-in/code")
    assert "Tarn Mill says that you are Ada Invented" in phone.inner_text("main")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    phone.fill("#c-code", code)
    phone.click("form[action='/sign-in/code'] button")
    phone.wait_for_url(f"{mill.at}/")
    assert "Signed in as Ada Invented." in phone.inner_text("body")
    assert device(phone) == named, "the device is still the one it was"
    assert list(ties.issuers(mill.desk)) == [held.id]

    laptop = window(1280, 800)
    laptop.goto(f"{mill.at}/instruments")
    to_the_provider(laptop, mill)
    laptop.click("button[value='ada-4711']")
    laptop.wait_for_url(f"{mill.at}/instruments")
    assert "Signed in as Ada Invented." in laptop.inner_text("body")
    laptop.go_back()
    assert "code=" not in laptop.url, "the code does not stay in the history"

    laptop.goto(f"{mill.at}/me")
    laptop.click("summary:has-text('New token')")
    laptop.click("text=Confirm with Tarn Mill >> visible=true")
    laptop.click("button[value='ada-4711']")
    laptop.wait_for_url(f"{mill.at}/me")
    laptop.click("summary:has-text('New token')")
    assert "Confirmed with Tarn Mill at" in laptop.inner_text("main")
    laptop.click("form[action='/sign-out'] button")
    laptop.wait_for_url("**/sign-in?out=provider")
    laptop.click("text=Sign out at Tarn Mill too")
    laptop.wait_for_url(f"{mill.issuer}/oauth2/end_session?client_id=whitemetal")


def test_without_a_script_one_presses_once_more(mill: Mill, window: Window) -> None:
    page = window(360, 740, java_script_enabled=False)
    page.goto(mill.at)
    to_the_provider(page, mill)
    page.click("button[value='ada-4711']")
    page.wait_for_url(f"{mill.at}/sign-in/back?**")
    page.click("text=Go on")
    page.wait_for_url(f"{mill.at}/sign-in/code")
    assert "Which account is yours?" in page.inner_text("h1")


def test_who_says_no_at_the_provider_is_not_let_in(mill: Mill, window: Window) -> None:
    page = window(1280, 800)
    page.goto(mill.at)
    to_the_provider(page, mill)
    page.click("text=Deny")
    page.wait_for_url(f"{mill.at}/sign-in/back")
    said = page.inner_text("main")
    assert "Begin again" in said or "did not let you in" in said
    assert "Name and password work as ever" in said
    page.fill("#s-name", "Kit Keeper")
    page.fill("#s-password", PASSWORD)
    page.click("form[action='/sign-in'] button")
    page.wait_for_url(lambda address: "/sign-in" not in address)
    assert "Signed in as Kit Keeper." in page.inner_text("body")
