"""A run in words."""

from __future__ import annotations

import math

import pytest

from whitemetal.history.wear import Against
from whitemetal.job.life_words import over_words

HOUR = 3600.0


@pytest.mark.parametrize(
    ("against", "run", "words"),
    [
        ("hours", 338_905 * HOUR, "339 000 running hours"),
        ("hours", 8_000 * HOUR, "8 000 running hours"),
        ("hours", 996.4 * HOUR, "996 running hours"),
        ("starts", 12_345.0, "12 300 starts"),
        ("starts", math.inf, "no end"),
    ],
)
def test_a_run_is_said_to_three_figures(against: Against, run: float, words: str) -> None:
    assert over_words(against, run) == words
