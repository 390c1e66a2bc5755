"""Gauging strips on the device: the same digits as the record, and less or the same word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.job.test_carried import Typed, card, reckon
from tests.job.test_carried_more import same
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Fact, Reading
from whitemetal.job.carried import Carried, carried
from whitemetal.job.judge import judge_check
from whitemetal.job.judgement import Judgement
from whitemetal.job.state import CheckState
from whitemetal.job.typed import read_fact, read_reading

STRIP = method_named("strip")
MIDDLE, WIDE = "0.100 to 0.250 mm", "0.175 to 0.500 mm"
TYPED = {
    "strip_range": MIDDLE, "strip_condition": "in date, kept cool", "journal_down": "yes",
    "weight_on_strip": "no", "shaft_turned": "no", "joint": "metal to metal", "tightened": "final value",
    "torque": "420 N m", "oil": "oiled", "read_at": "widest point",
}  # fmt: skip
AGAIN = {"joint@2": "metal to metal", "tightened@2": "final value"}


def begun(typed: Mapping[str, str] | None = None) -> CheckState:
    facts = {}
    for key, text in (typed or {}).items():
        fact = read_fact(STRIP, key, text)
        assert isinstance(fact, Fact), key
        facts[key] = fact
    return CheckState("c", "strip", "as left", STRIP.default_places(card()), facts, ())


N = len(begun().places)
assert N == 2


@cache
def fresh() -> Carried:
    return carried(begun(), card())


def read(found: CheckState, typed: Sequence[Typed]) -> CheckState:
    readings = []
    for i, (squeeze, text) in enumerate(typed):
        place = found.places[i % N].label
        value = read_reading(STRIP, place, text, "mm")
        assert isinstance(value, Reading)
        readings.append(Reading(place, text, value.value, value.resolution, squeeze, "M-07"))
    return replace(found, readings=tuple(readings))


def judged(typed: Sequence[Typed], facts: Mapping[str, str]) -> Judgement:
    return judge_check(read(begun(facts), typed), card(), ())


READ = st.lists(st.tuples(st.floats(0.11, 0.40), st.sampled_from([2, 3, 4])), min_size=N, max_size=N).map(
    lambda rows: [f"{value:.{decimals}f}" for value, decimals in rows]
)
ALIKE = st.tuples(st.floats(0.11, 0.40), st.lists(st.floats(-0.012, 0.012), min_size=N, max_size=N)).map(
    lambda row: [f"{row[0] + off:.3f}" for off in row[1]]
)


@given(st.one_of(READ, ALIKE), st.sampled_from([MIDDLE, WIDE, "0.004 to 0.009 in (0.102 to 0.229 mm)", ""]),
       st.sets(st.sampled_from(sorted(set(TYPED) - {"strip_range"}))))  # fmt: skip
def test_strips_are_judged_as_the_record_judges_them(
    texts: list[str], strip: str, left_out: set[str]
) -> None:
    facts = {
        key: text for key, text in {**TYPED, "strip_range": strip}.items() if key not in left_out and text
    }
    typed = [(1, text) for text in texts]
    mine = reckon(fresh(), typed, facts)
    if not mine["asks"]:
        theirs = judged(typed, facts)
        same(mine, theirs)
        assert set(mine["against"]) <= {warned.text for warned in theirs.warnings}


@pytest.mark.parametrize(
    ("strip", "texts", "word"),
    [
        (MIDDLE, ["0.2", "0.225"], "asks"),  # 0.1 mm is coarser than the scale's 0.025
        (MIDDLE, ["0.20", "0.225"], "within limits"),
        (MIDDLE, ["0.26", "0.250"], "asks"),  # off the scale
        (WIDE, ["0.36", "0.360"], "outside limits"),
        (WIDE, ["0.30", "0.300"], "not proven"),
        ("0.500 to 1.000 mm", ["0.55", "0.55"], "asks"),  # its scale begins beyond the limits
    ],
)  # fmt: skip
def test_what_a_scale_can_say(strip: str, texts: list[str], word: str) -> None:
    facts, typed = {**TYPED, "strip_range": strip}, [(1, text) for text in texts]
    mine = reckon(fresh(), typed, facts)
    assert ("asks" if mine["asks"] else mine["word"]) == word
    if not mine["asks"]:
        same(mine, judged(typed, facts))


def test_without_the_strip_it_says_what_is_lacking_and_a_place_read_twice_is_for_the_record() -> None:
    assert "Range of the strip" in fresh().lacking
    facts = {key: text for key, text in TYPED.items() if key != "strip_range"}
    assert reckon(fresh(), [(1, "0.20")] * N, facts) == {"asks": True}
    assert reckon(fresh(), [(1, "0.20")] * 2 * N, TYPED) == {"asks": True}
    assert reckon(fresh(), [(1, "0.20")] * N, {**TYPED, "weight_on_strip": "yes"}) == {"asks": True}


@pytest.mark.parametrize("step", ["", "0.005 mm"])
def test_a_second_squeeze_and_the_step_that_the_record_holds(step: str) -> None:
    kept = {**TYPED, **({"scale_step": step} if step else {})}
    first = [(1, "0.200"), (1, "0.205")]
    found = carried(read(begun(kept), first), card())
    assert {one.squeezes for one in found.sets} == {1, 2} and found.gauge is None
    typed = [*first, (2, "0.210"), (2, "0.205")]
    mine = reckon(found, typed, AGAIN)
    assert not mine["asks"]
    same(mine, judged(typed, {**kept, **AGAIN}))


def test_inches() -> None:
    """Steps of half a thousandth: four decimals of an inch say so much, three do not."""
    found = carried(begun(), card("in"))
    assert {one.decimals for one in found.sets if one.at.startswith("0.004")} == {3}
    assert {one.decimals for one in found.sets if one.at.startswith("0.175")} == {3}
