"""Simple acceptance on the device: the word of the record, not less, with the rule and who chose it beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.job.test_carried import reckon, texts_of
from tests.job.test_carried_more import TYPED, begun, read, same, with_facts
from tests.job.test_carried_zeros import REST, told
from tests.web.plant import CARD
from whitemetal.card import Card, read_card
from whitemetal.job.carried import Carried, carried
from whitemetal.job.judge import judge_check
from whitemetal.job.judgement import Judgement
from whitemetal.job.state import CheckState

N = len(begun().places)
CHOSEN = {
    "rule": "simple acceptance",
    "rule_by": "Ann Invented",
    "rule_why": "the maker states both (invented)",
}


@cache
def stated() -> Card:
    """The maker states the limits together with the wire method."""
    return read_card(CARD.replace('minimum = "0.15 mm"', 'minimum = "0.15 mm"\nwith_wire_method = true'))


def chosen() -> CheckState:
    return replace(begun(), **CHOSEN)  # type: ignore[arg-type]


@cache
def along() -> Carried:
    return carried(chosen(), stated(), "M-07")


def judged(texts: Sequence[str], facts: dict[str, str], card: Card | None = None) -> Judgement:
    whole = read(with_facts(chosen(), facts), [(1, text) for text in texts])
    return judge_check(whole, card or stated(), ())


@given(st.floats(0.14, 0.32), st.lists(st.floats(-0.006, 0.006), min_size=N, max_size=N),
       st.sampled_from([2, 3]), st.sampled_from([None, -3, 0, 2]))  # fmt: skip
def test_simple_acceptance_gives_the_word_of_the_record(
    clearance: float, off: list[float], decimals: int, zero: int | None
) -> None:
    facts, texts = (
        {**REST, **told(zero, zero), "wire_diameter": "0.30 mm"},
        texts_of("mm", clearance, off, decimals),
    )
    mine, theirs = reckon(along(), texts, facts), judged(texts, facts)
    if not mine["asks"]:
        same(mine, theirs)
        assert mine["word"] == theirs.verdict


@pytest.mark.parametrize(
    ("clearance", "zero", "word"),
    [
        (0.150, 0, "within limits"), (0.149, 0, "outside limits"), (0.156, 6, "within limits"),
        (0.155, 6, "outside limits"),
    ],
)  # fmt: skip
def test_a_value_at_the_limit_is_within(clearance: float, zero: int, word: str) -> None:
    """By hand: at top centre the strip is the clearance, less the zero in steps of 0.001 mm; at the other
    places it is made 0.010 mm more."""
    off = [0.0 if place.angle == 0.0 else 0.01 for place in begun().places]
    facts, texts = {**REST, **told(zero, zero), "wire_diameter": "0.30 mm"}, texts_of("mm", clearance, off, 3)
    mine, theirs = reckon(along(), texts, facts), judged(texts, facts)
    assert not mine["asks"] and mine["word"] == theirs.verdict == word


def test_who_chose_the_rule_is_carried_along_and_a_doubt_still_counts() -> None:
    assert "Ann Invented: the maker states both (invented)" in along().simple
    texts = texts_of("mm", 0.225, [0.0] * N, 3)
    assert reckon(along(), texts)["word"] == "not proven", "what is missing is missing by any rule"


def test_where_the_maker_does_not_state_both_the_usual_rule_counts() -> None:
    facts, texts = {**TYPED, "wire_diameter": "0.30 mm"}, texts_of("mm", 0.158, [0.0] * N, 3)
    words = []
    for card in (read_card(CARD), stated()):
        found = carried(with_facts(chosen(), facts), card, "M-07")
        assert bool(found.simple) == (card == stated())
        words.append(reckon(found, texts)["word"])
        assert words[-1] == judged(texts, facts, card).verdict
    assert words == ["not proven", "within limits"]
