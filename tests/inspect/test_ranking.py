"""The damage guide: every look leads somewhere, every fact moves what it should and nothing else."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from whitemetal.errors import InputError
from whitemetal.inspect.bond import tests_for as bond_tests
from whitemetal.inspect.causes import CAUSES, Known
from whitemetal.inspect.looks import LOOKS
from whitemetal.inspect.ranking import rank

FACTS = [field.name for field in fields(Known)]

TABLE = {
    "scoring, embedded particles": {"dirt_at_assembly", "dirty_oil"},
    "wiping": {"oil_lost", "tight", "misaligned", "overload", "many_starts"},
    "fatigue": {"shaking_load", "hot_lining", "bad_bond", "misaligned"},
    "edge load": {"misaligned", "bent", "tapered"},
    "electrical erosion": {"shaft_current"},
    "cavitation": {"air_in_oil", "low_feed"},
    "corrosion, tin oxide": {"water_in_oil"},
    "fretting": {"low_crush"},
    "hydrogen blisters": {"hydrogen"},
    "bond failure": {"bad_bond"},
}
"""Causes of a look as the trade lists them (common practice), typed a second time."""


@pytest.mark.parametrize("name", TABLE)
def test_causes_are_those_the_trade_lists(name: str) -> None:
    look = next(one for one in LOOKS.values() if one.name == name)
    assert set(look.causes) == TABLE[name]


def test_every_look_leads_to_a_cause_and_every_cause_to_a_check() -> None:
    used = {cause for look in LOOKS.values() for cause in look.causes}
    assert used == set(CAUSES)
    assert all(cause.check.endswith((".", "?")) and cause.source for cause in CAUSES.values())
    assert all(sign.fact in FACTS and sign.points > 0 for cause in CAUSES.values() for sign in cause.signs)
    assert {sign.fact for cause in CAUSES.values() for sign in cause.signs} == set(FACTS)


@pytest.mark.parametrize("key", LOOKS)
@pytest.mark.parametrize("fact", FACTS)
def test_a_fact_moves_each_cause_the_way_its_reason_says(key: str, fact: str) -> None:
    plain = {one.cause.key: one.points for one in rank(key, None, Known())}
    for value in (True, False):
        moved = {one.cause.key: one.points for one in rank(key, None, replace(Known(), **{fact: value}))}
        for cause, points in moved.items():
            sign = next((one for one in CAUSES[cause].signs if one.fact == fact), None)
            change = 0 if sign is None else sign.points if value is sign.says else -sign.points
            assert points - plain[cause] == change


@pytest.mark.parametrize("key", LOOKS)
def test_points_are_the_sum_of_the_reasons_and_the_order_follows(key: str) -> None:
    ranked = rank(key, "one end", Known(dirt=True, aligned=False, hot=True))
    assert [one.points for one in ranked] == sorted((one.points for one in ranked), reverse=True)
    assert all(reason.text and reason.source for one in ranked for reason in one.reasons)


def test_wear_at_one_end_with_a_good_alignment_points_to_the_taper() -> None:
    """Alignment checked and good, clearance tapered, journal faulty: the taper before the alignment."""
    known = Known(aligned=True, tapered=True, journal_ok=False)
    assert next(one.cause.key for one in rank("one_sided", "one end", known)) == "tapered"
    assert next(one.cause.key for one in rank("one_sided", "one end", Known(aligned=False))) == "misaligned"


def test_a_look_that_is_not_known() -> None:
    with pytest.raises(InputError, match="smeared"):
        rank("smered", None, Known())


@pytest.mark.parametrize(
    ("lining", "bore", "able"),
    [
        (3e-3, 0.2, [True] * 4),
        (0.4e-3, 0.2, [False, True, False, True]),
        (3e-3, 0.08, [True, True, False, True]),
    ],
)
def test_bond_tests_that_can_be_made(lining: float, bore: float, able: list[bool]) -> None:
    assert [can for _, can in bond_tests(lining, bore)] == able


def test_every_place_that_speaks_for_a_cause_is_a_reason_of_its_own() -> None:
    """Edge load by misalignment: the usual cause (3), at one end (3), at opposite corners (3)."""
    both = next(one for one in rank("one_sided", ("one end", "opposite corners"), Known()))
    assert (both.cause.key, both.points, len(both.reasons)) == ("misaligned", 9, 3)
    assert rank("one_sided", ("one end",), Known()) == rank("one_sided", "one end", Known())
    assert rank("one_sided", (), Known()) == rank("one_sided", None, Known())
