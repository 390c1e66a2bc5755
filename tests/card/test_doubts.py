"""Limits and journals that look like the other unit or the other basis are asked about."""

from __future__ import annotations

import pytest

from whitemetal.card import card_warnings, read_card

CARD = """\
format = "whitemetal.card/1"
[machine]
tag = "F-1"
name = "fan"
kind = "fan"
speed = "990 rpm"
[bearing]
position = "drive end"
journal_diameter = "160 mm"
length = "140 mm"
"""
LIMIT = """
[[limit]]
minimum = "{low}"
maximum = "{high}"
basis = "{basis}"
rung = "owner's standard"
document = "W-17"
revision = "2"
"""


def asked(low: str, high: str, basis: str = "diametral", more: str = "") -> list[tuple[str, str, str]]:
    card = read_card(CARD + LIMIT.format(low=low, high=high, basis=basis) + more)
    return [(warning.code, warning.field, warning.text) for warning in card_warnings(card)]


def test_a_usual_limit_is_not_asked_about() -> None:
    assert asked("0.15 mm", "0.25 mm") == []
    assert asked("0.075 mm", "0.125 mm", "radial") == []


def test_thou_typed_as_inches_and_microns_as_millimetres() -> None:
    found = asked("6 in", "10 in")
    assert [field for _, field, _ in found] == ["limit.1.minimum", "limit.1.maximum"]
    assert "thou" in found[0][2]
    assert "µm" in asked("150 mm", "250 mm")[0][2]


def test_radial_figures_called_diametral() -> None:
    ((code, field, text),) = asked("0.040 mm", "0.060 mm", more="")[:1]
    assert (code, field) == ("card.limit_relative", "limit.1.minimum")
    assert "As a radial figure" in text


def test_two_limits_a_factor_of_two_apart() -> None:
    found = asked("0.15 mm", "0.25 mm", more=LIMIT.format(low="0.15 mm", high="0.25 mm", basis="radial"))
    assert [code for code, *_ in found] == ["card.factor_two"]


def test_a_confirmed_limit_is_believed() -> None:
    assert asked("0.040 mm", "0.060 mm", more='confirmed_by = "A. N. Engineer"\n') == []


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('journal_diameter = "160 mm"', 'journal_diameter = "16 mm"', "card.slender"),
        ('"990 rpm"', '"99000 rpm"', "card.fast"),
    ],
)
def test_an_odd_journal(old: str, new: str, code: str) -> None:
    assert code in [warning.code for warning in card_warnings(read_card(CARD.replace(old, new)))]
