"""At the end of a run: the published cases that were checked, each with its source and its deviation."""

from __future__ import annotations

from typing import Any

from .case import RAN
from .table import lines


def pytest_terminal_summary(terminalreporter: Any) -> None:
    if RAN:
        terminalreporter.section("checked against the outside")
        for line in lines(RAN):
            terminalreporter.write_line(line)
