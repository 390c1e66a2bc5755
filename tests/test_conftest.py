"""What a missing browser or server does to a run: skipped aloud, or failed where it is required."""

from __future__ import annotations

from pathlib import Path

import pytest

MARKED = """
import pytest

@pytest.mark.browser
def test_with_browser():
    pass

@pytest.mark.postgres
def test_with_server():
    pass
"""


@pytest.fixture
def bare_machine(pytester: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> pytest.Pytester:
    """A small test folder under this project's conftest, on a machine with neither browser nor server."""
    own = Path(__file__).with_name("conftest.py").read_text(encoding="utf-8")
    pytester.makeconftest(own.replace('pytest_plugins = ["pytester"]', ""))
    pytester.makeini("[pytest]\nmarkers =\n    browser: x\n    postgres: x\n")
    pytester.makepyfile(MARKED)
    monkeypatch.setenv("CHROMIUM", "/nowhere/chromium")
    monkeypatch.setenv("POSTGRES_PROGRAMS", "/nowhere")
    for variable in ("REQUIRE_BROWSER", "REQUIRE_POSTGRES"):
        monkeypatch.delenv(variable, raising=False)
    return pytester


def test_missing_things_are_skipped_aloud(bare_machine: pytest.Pytester) -> None:
    result = bare_machine.runpytest()
    result.assert_outcomes(skipped=2)
    result.stdout.fnmatch_lines(
        ["*NOT TESTED: 1 BROWSER TEST SKIPPED*", "*NOT TESTED: 1 POSTGRES TEST SKIPPED*"]
    )


def test_missing_things_fail_where_they_are_required(
    bare_machine: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("REQUIRE_BROWSER", "1")
    monkeypatch.setenv("REQUIRE_POSTGRES", "1")
    result = bare_machine.runpytest()
    result.assert_outcomes(errors=2)
    result.stdout.fnmatch_lines(["*REQUIRE_BROWSER=1, but there is no browser here*"])
