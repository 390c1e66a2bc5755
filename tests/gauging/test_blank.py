"""An empty readings file can be read as it is, and once filled in it is what was typed."""

from __future__ import annotations

import re
from importlib import resources

import pytest

from tests.gauging.made_up import MADE_UP, SHOVE
from whitemetal.card import Card, read_card
from whitemetal.gauging import METHODS, Method
from whitemetal.gauging.order import GROUPS, group_of, in_short, method_groups
from whitemetal.gauging.readings_file import blank_csv, blank_toml, read_csv, read_toml

CARD: Card = read_card(resources.files("whitemetal.demo_mill").joinpath("fan_drive_end.toml").read_bytes())
EVERY = (*METHODS.values(), *MADE_UP)


def text_of(method: Method) -> str:
    """A reading of the method, far from its limits perhaps, but one that can be read."""
    return method.reading_field.choices[0] if method.reading_field.kind == "choice" else "0.20"


@pytest.mark.parametrize("method", EVERY, ids=lambda method: method.key)
def test_a_blank_toml_holds_nothing_and_nothing_is_wrong_with_it(method: Method) -> None:
    file = read_toml(blank_toml(CARD, method), CARD, method)
    assert file.problems == ()
    assert (file.readings, dict(file.facts)) == ((), {})
    assert [place.label for place in file.places] == [p.label for p in method.default_places(CARD)]


@pytest.mark.parametrize("method", EVERY, ids=lambda method: method.key)
def test_every_fact_and_place_stands_in_it(method: Method) -> None:
    toml, csv = blank_toml(CARD, method), blank_csv(CARD, method)
    for field in method.fields:
        assert re.search(rf'^(# )?{field.key} = ""  # {re.escape(field.label)}', toml, re.MULTILINE), (
            field.key
        )
        assert f"{field.key}={field.label}" in csv, field.key
    for place in method.default_places(CARD):
        assert f'place = "{place.label}"' in toml
        assert f"\n{place.label}," in csv


@pytest.mark.parametrize(
    "method", [m for m in EVERY if m.default_places(CARD)], ids=lambda method: method.key
)
def test_filled_in_it_is_what_was_typed(method: Method) -> None:
    typed, places = text_of(method), [place.label for place in method.default_places(CARD)]
    toml = read_toml(
        re.sub('^text = ""', f'text = "{typed}"', blank_toml(CARD, method), flags=re.M), CARD, method
    )
    lines = blank_csv(CARD, method).splitlines()
    rows = [re.sub("^([^,#]+),,", rf"\1,{typed},", line) for line in lines]
    csv = read_csv("\n".join(rows), CARD, method)
    assert toml.problems == csv.problems == ()
    for file in (toml, csv):
        assert [(one.place, one.text) for one in file.readings] == [(place, typed) for place in places]


def test_a_fact_says_what_is_expected_of_it() -> None:
    blank = blank_toml(CARD, SHOVE)
    assert 'bar = ""  # Pushed with; one of: bar, jack; needed' in blank
    assert 'shove = ""  # The shaft moved by; in mm; needed' in blank
    assert 'wall = ""  # Insulation of the wall; in Mohm\n' in blank


def test_a_place_with_a_value_of_birth_asks_for_it() -> None:
    blank = blank_toml(CARD, METHODS["crown"])
    for place in METHODS["crown"].default_places(CARD):
        assert f'"birth.crown.{place.label}" = ""  # value of birth, {place.label}; in ' in blank
    assert "birth." not in blank_toml(CARD, METHODS["wire"])


def test_every_method_has_its_group_once_and_groups_follow_the_order_of_trust() -> None:
    groups = method_groups()
    assert sorted(m.key for group in groups for m in group.methods) == sorted(METHODS)
    assert [group.key for group in groups] == [key for key in GROUPS if key in {g.key for g in groups}]
    named = {key: group_of(METHODS[key]) for key in ("seat", "crush", "contact", "wire", "bore", "journal")}
    assert list(named.values()) == ["joint", "crush", "contact", "clearance", "clearance", "journal"]
    assert group_of(METHODS["seals"]) == "parts"
    assert group_of(METHODS["alignment"]) == group_of(SHOVE) == "machine"
    for method in EVERY:
        assert 0 < len(in_short(method)) < len(method.about)
