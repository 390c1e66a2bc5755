"""Values as the paper writes them."""

from __future__ import annotations

import pytest

from whitemetal.sheets import text
from whitemetal.units import INCH


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (13.4e-6, "mm", "0.013 mm"),
        (5e-6, "mm", "0.0050 mm"),
        (0.23e-6, "mm", "0.0002 mm"),
        (1e-12, "mm", "< 0.0001 mm"),
        (0.0, "mm", "0.0000 mm"),
        (1e-12, "in", "< 0.000001 in"),
        (0.00061 * INCH, "in", "0.00061 in"),
        (None, "mm", "–"),
    ],
)
def test_an_uncertainty_has_two_digits_and_never_becomes_nothing(
    value: float | None, unit: str, shown: str
) -> None:
    assert text.uncertainty(value, unit) == shown


@pytest.mark.parametrize(
    ("probability", "shown"), [(None, ""), (0.9995, "> 99.9 %"), (0.0002, "< 0.1 %"), (0.954, "95.4 %")]
)
def test_a_probability_is_never_rounded_to_certainty(probability: float | None, shown: str) -> None:
    assert text.percent(probability) == shown


@pytest.mark.parametrize(
    ("at", "offset", "shown"),
    [
        ("2026-03-02T09:15:00.000Z", 60, "2026-03-02 10:15 +01:00"),
        ("2026-03-02T01:15:00.000Z", -210, "2026-03-01 21:45 -03:30"),
        ("not a time", 0, "not a time"),
        ("9999-12-31T23:59:00Z", 600, "9999-12-31T23:59:00Z"),
    ],
)
def test_a_moment_is_shown_where_it_was_written(at: str, offset: int, shown: str) -> None:
    assert text.moment(at, offset) == shown


def test_digests_are_never_broken_and_long_words_are() -> None:
    made = text.plain({"digest": "a" * 64, "text": "b" * 64, "list": ["c" * 64]})
    assert made["digest"] == "a" * 64
    assert made["text"].replace("\u200b", "") == "b" * 64
    assert max(len(part) for part in made["text"].split("\u200b")) <= text.LONGEST_WORD
    assert "\u200b" in made["list"][0]
