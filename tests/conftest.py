"""What every test may lean on: the browser, the database server, and a loud word when one is missing.

A test that needs a thing from outside Python carries its marker (``browser``, ``postgres``). Where the thing
is missing the test is skipped and the end of the run says so in capitals; with ``REQUIRE_BROWSER=1`` or
``REQUIRE_POSTGRES=1`` in the environment it fails instead. What is kept is tried on both databases
(`records`).
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

from tests import records
from tools import find_browser, start_postgres

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from tools.start_postgres import Server

pytest_plugins = ["pytester"]

SLOW = [HealthCheck.too_slow]
"""How long a machine takes to make an example says nothing of the program."""

settings.register_profile("the same every time", derandomize=True, deadline=None, suppress_health_check=SLOW)
settings.register_profile("search", deadline=None, suppress_health_check=SLOW)
settings.load_profile("search" if os.environ.get("SEARCH") == "1" else "the same every time")
"""`make test` tries the same generated examples every time; `make soak` looks for new ones."""


NEEDS: dict[str, tuple[str, Callable[[], str | None]]] = {
    "browser": ("REQUIRE_BROWSER", find_browser.find),
    "postgres": ("REQUIRE_POSTGRES", start_postgres.find),
}
"""Marker: the variable that makes its absence a failure, and how the thing is found."""

WITHOUT_SCREEN = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-dev-shm-usage",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Skip, or fail, a test whose thing from outside is missing."""
    for marker, (variable, find) in NEEDS.items():
        if item.get_closest_marker(marker) is None or find() is not None:
            continue
        if os.environ.get(variable) == "1":
            pytest.fail(f"{variable}=1, but there is no {marker} here", pytrace=False)
        item.config.stash.setdefault(MISSING, []).append(marker)
        pytest.skip(f"there is no {marker} here")


MISSING: pytest.StashKey[list[str]] = pytest.StashKey()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say loudly which tests nobody ran."""
    missing = terminalreporter.config.stash.get(MISSING, [])
    for marker in sorted(set(missing)):
        count, name = missing.count(marker), marker.upper()
        line = f"NOT TESTED: {count} {name} TEST{'S' * (count > 1)} SKIPPED, THERE IS NO {name} HERE"
        terminalreporter.write_sep("!", line, red=True, bold=True)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run the tests of what is kept on each database."""
    test, here = metafunc.definition, Path(__file__).parent
    if not any(test.path.is_relative_to(here / room) for room in records.ROOMS):
        return
    if any(test.get_closest_marker(marker) for marker in ("sqlite_only", "browser")):
        return
    long = [pytest.mark.soak] if records.only_when_long(test.path) else []
    on_server = pytest.param("postgres", marks=[pytest.mark.postgres, *long])
    on_file = () if test.get_closest_marker("postgres") else ("sqlite",)
    metafunc.parametrize("kept_in", [*on_file, on_server], indirect=True, scope="module")


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """A PostgreSQL server, one a run; started when the first test asks for it."""
    with start_postgres.a_server() as server:
        records.prepare(server)
        yield server


@pytest.fixture(scope="module", autouse=True)
def kept_in(request: pytest.FixtureRequest) -> Iterator[str]:
    """Which database keeps what the test opens by path: "sqlite" or "postgres"."""
    kept = getattr(request, "param", "sqlite")
    if kept != "postgres":
        yield kept
        return
    with (
        pytest.MonkeyPatch.context() as patch,
        records.on_postgres(request.getfixturevalue("postgres"), patch),
    ):
        yield kept


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A headless chromium, one a module; the test carries ``@pytest.mark.browser``."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=find_browser.find(), chromium_sandbox=False, args=list(WITHOUT_SCREEN)
        )
        yield opened
        opened.close()
