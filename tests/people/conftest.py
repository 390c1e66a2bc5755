"""Passwords that cost little, so that tests are quick; the real cost is asserted in test_passwords."""

from __future__ import annotations

import pytest

from whitemetal.people import passwords


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))
