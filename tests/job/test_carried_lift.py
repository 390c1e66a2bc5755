"""A shaft that is lifted: travel less the cap's on the device, as the record reckons it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.job.test_carried import Typed, card, reckon
from tests.job.test_carried_more import same
from whitemetal.card import Card
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Fact, Reading
from whitemetal.job.carried import Carried, carried
from whitemetal.job.judge import judge_check
from whitemetal.job.judgement import Judgement
from whitemetal.job.state import CheckState
from whitemetal.job.typed import read_fact, read_reading

LIFT = method_named("lift")
TYPED = {
    "journal_down": "yes", "joint_closed": "yes", "tightened": "final value", "stopped": "yes",
    "returned": "yes", "lifted_with": "timber by hand", "torque": "420 N m",
}  # fmt: skip


def begun(typed: Mapping[str, str] | None = None) -> CheckState:
    facts = {}
    for key, text in (typed or {}).items():
        fact = read_fact(LIFT, key, text)
        assert isinstance(fact, Fact), key
        facts[key] = fact
    return CheckState("c", "lift", "as left", LIFT.default_places(card()), facts, ())


def read(found: CheckState, typed: Sequence[Typed]) -> CheckState:
    """Shaft and cap of each lift, one after the other."""
    readings = []
    for i, (squeeze, text) in enumerate(typed):
        place = found.places[i % 2].label
        value = read_reading(LIFT, place, text, "mm")
        assert isinstance(value, Reading)
        readings.append(Reading(place, text, value.value, value.resolution, squeeze, "M-07"))
    return replace(found, readings=tuple(readings))


def judged(typed: Sequence[Typed], facts: Mapping[str, str], of: Card | None = None) -> Judgement:
    return judge_check(read(begun(facts), typed), of or card(), ())


def lifts(*pairs: tuple[float, float], decimals: int = 3) -> list[Typed]:
    return [(k + 1, f"{value:.{decimals}f}") for k, pair in enumerate(pairs) for value in pair]


@cache
def fresh() -> Carried:
    return carried(begun(), card(), "M-07")


@cache
def again(done: int) -> Carried:
    """Carried along when so many lifts are read; one more is to come."""
    return carried(read(begun(TYPED), lifts(*[(0.23, 0.01)] * done)), card(), "M-07")


@given(st.floats(0.05, 1.1), st.floats(0.0, 0.08), st.sampled_from([2, 3]),
       st.sets(st.sampled_from(sorted(TYPED))))  # fmt: skip
def test_one_lift_is_judged_as_the_record_judges_it(
    shaft: float, cap: float, decimals: int, left_out: set[str]
) -> None:
    facts = {key: text for key, text in TYPED.items() if key not in left_out}
    typed = lifts((shaft, cap), decimals=decimals)
    mine = reckon(fresh(), typed, facts)
    if not mine["asks"]:
        theirs = judged(typed, facts)
        same(mine, theirs)
        assert set(mine["against"]) <= {warned.text for warned in theirs.warnings}


@given(st.floats(0.14, 0.36), st.lists(st.tuples(st.floats(-0.008, 0.008), st.floats(0.0, 0.02)),
       min_size=2, max_size=4))  # fmt: skip
def test_lifts_again_are_judged_as_the_record_judges_them(
    clearance: float, each: list[tuple[float, float]]
) -> None:
    typed = lifts(*((clearance + off + cap, cap) for off, cap in each))
    mine, theirs = reckon(again(len(each) - 1), typed), judged(typed, TYPED)
    held = [one for one in theirs.warnings if one.severity in ("hold", "question", "refused")]
    assert mine["asks"] or not held, "lifts that do not repeat"
    if not mine["asks"]:
        same(mine, theirs)


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        # by hand: shaft less cap is 0.230, in the middle of 0.15 to 0.30; 0.32 lies 0.02 outside
        (lifts((0.24, 0.01)), "within limits"), (lifts((0.39, 0.03)), "outside limits"),
        (lifts((0.30, 0.01)), "not proven"), (lifts((1.01, 0.80)), "asks"),
    ],
)  # fmt: skip
def test_by_hand(typed: list[Typed], word: str) -> None:
    mine = reckon(fresh(), typed, TYPED)
    assert ("asks" if mine["asks"] else mine["word"]) == word
    if not mine["asks"]:
        same(mine, judged(typed, TYPED))
        assert mine["rows"][0] == pytest.approx(1e-3 * (float(typed[0][1]) - float(typed[1][1])), abs=1e-12)


@pytest.mark.parametrize(("apart", "asks"), [(0.008, False), (0.009, True)])
def test_lifts_that_differ_by_more_than_the_feel_are_for_the_record(apart: float, asks: bool) -> None:
    """Two that differ by d have a standard deviation of d/√2; 6 µm are 8.5 µm apart (by hand)."""
    typed = lifts((0.23, 0.01), (0.23 + apart, 0.01))
    mine = reckon(again(1), typed)
    assert mine["asks"] == asks
    if not asks:
        same(mine, judged(typed, TYPED))


def test_a_lever_and_a_force_are_for_the_record() -> None:
    """What the arms leave open grows with the travel; a force that is known makes the bending smaller."""
    arms = begun({**TYPED, "to_indicator": "2.0 m", "to_bearing": "1.9 m"})
    assert "needs the record" in carried(arms, card(), "M-07").why_not
    assert reckon(fresh(), lifts((0.24, 0.01)), {**TYPED, "force": "900 N"}) == {"asks": True}


def test_tilting_pads_have_their_factor() -> None:
    """Five pads, the journal between two: the factor is the engine's; nobody said it, nobody reckons."""
    pads = replace(card(), bearing=replace(card().bearing, profile="tilting pad"))
    assert "needs the record" in carried(begun(TYPED), pads, "M-07").why_not
    known = {**TYPED, "pads": "5", "rests": "between two pads"}
    found, typed = carried(begun(known), pads, "M-07"), lifts((0.24, 0.01))
    mine = reckon(found, typed)
    assert not mine["asks"]
    same(mine, judged(typed, known, pads))
