"""Two server processes on one PostgreSQL, behind a reverse proxy that speaks https, with accounts: what began at
one goes on at the other, and what was acknowledged is there whichever of them is killed."""

from __future__ import annotations

import re
import signal
import ssl
import subprocess
import sys
import threading
import time
import urllib.request
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlsplit

import httpx
import pytest

from tests.cli.test_people import code_in
from tests.cli.test_serve import serving
from tests.flow.proxy import Proxy, a_proxy
from tests.web.plant import begin
from tools.start_postgres import Server, a_server
from whitemetal.__main__ import _server, listen
from whitemetal.desk import Desk, Writer
from whitemetal.web.app import make_app
from whitemetal.web.authority import prepared
from whitemetal.web.render import WORD

pytestmark = pytest.mark.postgres
NAME = "plant.example"
KEPT = 1
PASSWORD = "four brass feeler gauges"
CARRIED = re.compile(rf'name="{WORD}" value="([0-9a-f]{{64}})"')


@dataclass
class Site:
    """The servers, the proxy in front, the record behind, and how the proxy's certificate is trusted."""

    database: Server
    running: list[subprocess.Popen[str]]
    proxy: Proxy
    desk: Desk
    job: str
    trust: ssl.SSLContext
    code: str

    @property
    def at(self) -> str:
        return f"https://127.0.0.1:{self.proxy.port}"

    @property
    def host(self) -> str:
        """The name by which people know it."""
        return f"{NAME}:{self.proxy.port}"

    def browser(self, cookies: httpx.Cookies | None = None) -> httpx.Client:
        """A browser that asks by the name, and looks at the certificate for it."""
        return Named(
            base_url=self.at, verify=self.trust, cookies=cookies, timeout=60, trust_env=False,
            headers={"host": self.host, "origin": f"https://{self.host}"},
        )  # fmt: skip


class Named(httpx.Client):
    """Says the plant's name where it greets the proxy (TLS, server name indication)."""

    def send(self, request: httpx.Request, **more: object) -> httpx.Response:
        request.extensions = {**request.extensions, "sni_hostname": NAME}
        return super().send(request, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    made = prepared(tmp_path_factory.mktemp("https"), [NAME], datetime.now(UTC))
    trust = ssl.create_default_context(cafile=str(made.authority))
    with a_server() as database, ExitStack() as held:
        where = database.address(database.fresh())
        desk = Desk.open(where)
        job = begin(desk, Writer("Ida Invented", "a" * 26)).job
        options = ("--database", where, "--port", "0", "--name", NAME, "--proxy", "127.0.0.1")
        served = [held.enter_context(serving(*options)) for _ in range(2)]
        ports = [int(urlsplit(address).port or 0) for _, address, _ in served]
        proxy = held.enter_context(a_proxy(ports, str(made.certificate), str(made.key)))
        code = code_in("".join(served[-1][2]))  # what was said last counts
        yield Site(database, [one for one, _, _ in served], proxy, desk, job, trust, code)
        desk.close()


@pytest.fixture(scope="module")
def keeper(site: Site) -> Iterator[httpx.Client]:
    """Who opened the first account, signed in."""
    with site.browser() as browser:
        word = word_of(browser.get("/people/first"))
        said = {"name": "Kit Keeper", "code": site.code, "new_password": PASSWORD, "again_password": PASSWORD}
        answer = browser.post("/people/first", data={**said, WORD: word})
        assert answer.status_code == 303, answer.text
        yield browser


def word_of(page: httpx.Response) -> str:
    found = CARRIED.search(page.text)
    assert found is not None, page.text[:2000]
    return found[1]


def answered_by(site: Site, path: str) -> list[int]:
    """Which servers answered requests of an address."""
    return [port for asked, port in site.proxy.asked if asked.partition("?")[0] == path]


def test_who_signs_in_at_one_is_signed_in_at_the_other_and_cookies_are_for_https_alone(
    site: Site, keeper: httpx.Client
) -> None:
    with site.browser() as phone:
        page = phone.get("/sign-in")
        assert all("Secure" in line for line in page.headers.get_list("set-cookie"))
        said = {"name": "Kit Keeper", "password": PASSWORD}
        assert phone.post("/sign-in", data={**said, WORD: "0" * 64}).status_code == 403
        answer = phone.post("/sign-in", data={**said, WORD: word_of(phone.get("/sign-in"))})
        assert answer.status_code == 303
        (line,) = [one for one in answer.headers.get_list("set-cookie") if "session" in one]
        assert line.startswith("__Host-whitemetal_session=")
        assert {"Secure", "HttpOnly", "Path=/"} <= {part.strip() for part in line.split(";")}
        assert [phone.get("/me").status_code for _ in range(4)] == [200] * 4
    assert len(set(answered_by(site, "/me"))) == 2
    assert "127.0.0.1" not in str(answer.headers)


def test_another_name_and_another_origin_are_refused(site: Site, keeper: httpx.Client) -> None:
    for host in ("evil.example", "127.0.0.2", f"{NAME}.evil.example"):
        assert keeper.get("/", headers={"host": host}).status_code in (400, 403, 421), host
    body = {"text": "from elsewhere", "seen": []}
    for origin in ("https://evil.example", f"http://{NAME}", "null"):
        answer = keeper.post(f"/api/1/jobs/{site.job}/notes", json=body, headers={"origin": origin})
        assert answer.status_code == 403, origin
    assert site.desk.job(site.job).state.notes == ()


def test_what_is_sent_once_to_each_is_kept_once(site: Site, keeper: httpx.Client) -> None:
    at = f"/jobs/{site.job}/notes"
    form = {"note": "grit in the oil", WORD: word_of(keeper.get(f"/jobs/{site.job}"))}
    for _ in range(4):
        answer = keeper.post(at, data=form, headers={"idempotency-key": "abcdefghij234567"})
        assert answer.status_code == 303
    assert Counter(answered_by(site, at)).most_common() == [(port, 2) for port in answered_by(site, at)[:2]]
    assert [note.text for note in site.desk.job(site.job).state.notes] == ["grit in the oil"]


def test_who_waits_at_one_is_woken_by_a_write_at_the_other(site: Site, keeper: httpx.Client) -> None:
    at = f"/api/1/books/{site.job}/changed"
    for _ in range(2):
        keeper.get(at)
    time.sleep(0.5)
    seen = site.desk.job(site.job).state.digest
    told: list[tuple[bool, float]] = []

    def wait() -> None:
        with site.browser(keeper.cookies) as other:
            changed = other.get(at, params={"seen": seen, "wait": "20"}).json()["changed"]
            told.append((changed, time.monotonic()))

    hand = threading.Thread(target=wait)
    hand.start()
    time.sleep(0.5)
    wrote = time.monotonic()
    note = keeper.post(f"/api/1/jobs/{site.job}/notes", json={"text": "oil dark", "seen": []})
    assert note.json()["kept"] is True
    hand.join(30)
    assert answered_by(site, at)[-1] != answered_by(site, f"/api/1/jobs/{site.job}/notes")[-1]
    assert told[0][0] is True and told[0][1] - wrote < 3


def test_one_killed_and_the_database_stopped_in_mid_write_lose_and_double_nothing(
    site: Site, keeper: httpx.Client
) -> None:
    """Six phones write, each thing until it is acknowledged, under a key of its own. Meanwhile the database is
    stopped at once and started again, and then one of the two servers is killed."""
    acknowledged: list[str] = []
    odd: list[int] = []
    stop = threading.Event()

    def phone(name: str) -> None:
        with site.browser(keeper.cookies) as sender:
            number = 0
            while not stop.is_set():
                text, number = f"{name} {number}", number + 1
                for _ in range(200):
                    status = send(sender, text)
                    if status == KEPT:
                        acknowledged.append(text)
                        break
                    odd.append(status)
                    time.sleep(0.05)

    def send(sender: httpx.Client, text: str) -> int:
        with suppress(httpx.TransportError):
            answer = sender.post(
                f"/api/1/jobs/{site.job}/notes", json={"text": text, "seen": []},
                headers={"idempotency-key": text.replace(" ", "-") + "-of-this-test"},
            )  # fmt: skip
            return KEPT if answer.is_success and answer.json()["kept"] else answer.status_code
        return 0

    hands = [threading.Thread(target=phone, args=(f"phone{n}",)) for n in range(6)]
    for hand in hands:
        hand.start()
    goes_on(acknowledged, 30)
    site.database.stop(signal.SIGQUIT)
    time.sleep(0.3)
    site.database.start()
    goes_on(acknowledged, 30)
    site.running[0].kill()
    goes_on(acknowledged, 30)
    stop.set()
    for hand in hands:
        hand.join(60)
    there = Counter(
        note.text for note in site.desk.job(site.job).state.notes if note.text.startswith("phone")
    )
    assert set(acknowledged) == set(there) and set(there.values()) == {1}
    assert len(acknowledged) == len(set(acknowledged)) >= 90
    assert set(odd) <= {503, 502, 500, 0} and odd, "some were refused meanwhile, none in another way"
    assert 500 not in odd, "none by an error of the program"
    assert site.desk.verify() == ()


def goes_on(acknowledged: list[str], more: int) -> None:
    goal, until = len(acknowledged) + more, time.monotonic() + 180
    while len(acknowledged) < goal:
        assert time.monotonic() < until, "it does not go on"
        time.sleep(0.02)


@pytest.mark.parametrize(
    "proxies", [[], ["10.2.0.5"], ["127.0.0.1"]], ids=["no proxy", "another", "this one"]
)
def test_only_a_proxy_that_was_named_is_believed(tmp_path: Path, proxies: list[str]) -> None:
    """Who says that they asked by https is believed where they are the proxy, not for being on this machine."""
    before = sys.getswitchinterval()
    desk = Desk.open(str(tmp_path / "plant.file"))
    with listen("127.0.0.1", 0, print) as listener:
        ready = threading.Event()
        server = _server(make_app(desk), None, proxies, ready.set)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        assert ready.wait(60)
        headers = {"X-Forwarded-Proto": "https"}
        asked = urllib.request.Request(f"http://127.0.0.1:{listener.getsockname()[1]}/", headers=headers)
        with urllib.request.urlopen(asked, timeout=60) as page:
            assert ("Secure" in str(page.headers["set-cookie"])) is (proxies == ["127.0.0.1"])
        server.should_exit = True
        thread.join(20)
    desk.close()
    sys.setswitchinterval(before)
