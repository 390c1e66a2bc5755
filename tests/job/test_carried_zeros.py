"""A gauge that does not show nothing at nothing: what it shows is taken off on the device as in the record."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.job.test_carried import card, check, reckon, texts_of
from tests.job.test_carried_more import TYPED, begun, fresh, judged, read, same, with_facts
from whitemetal.job.carried import Carried, carried

BEFORE, AFTER = "instrument.M-07.zero_before", "instrument.M-07.zero_after"
REST = {key: text for key, text in TYPED.items() if key not in (BEFORE, AFTER)}
N = len(begun().places)


def zero(steps: int) -> str:
    return f"{steps * 1e-3:.3f} mm"


def told(before: int | None, after: int | None) -> dict[str, str]:
    noted = {BEFORE: before, AFTER: after}
    return {key: zero(steps) for key, steps in noted.items() if steps is not None}


@cache
def kept(before: int) -> Carried:
    """Carried along when the record holds the zero before the work, and all else that is asked."""
    return carried(with_facts(begun(), {**REST, BEFORE: zero(before)}), card(), "M-07")


STEPS = st.one_of(st.none(), st.integers(-12, 12))


@given(st.floats(0.13, 0.40), st.lists(st.floats(-0.004, 0.004), min_size=N, max_size=N), STEPS, STEPS,
       st.sampled_from([2, 3]))  # fmt: skip
def test_zeros_typed_on_the_device_are_taken_off_as_the_record_takes_them_off(
    clearance: float, off: list[float], before: int | None, after: int | None, decimals: int
) -> None:
    facts, texts = {**REST, **told(before, after)}, texts_of("mm", clearance, off, decimals)
    mine = reckon(fresh(), texts, facts)
    theirs = judged(read(with_facts(begun(), facts), [(1, text) for text in texts]))
    if before is not None and after is not None:
        apart = abs(before - after) > (2 if decimals == 3 else 0)
        assert mine["asks"] or not apart, "a zero that moved holds the check up; the record says so"
    if not mine["asks"]:
        same(mine, theirs)


@given(st.floats(0.13, 0.40), st.integers(-3, 3))
def test_the_zero_after_the_work_joins_the_one_that_the_record_holds(clearance: float, moved: int) -> None:
    before = 2
    texts, last = texts_of("mm", clearance, [0.0] * N, 3), {AFTER: zero(before + moved)}
    mine = reckon(kept(before), texts, last)
    whole = with_facts(begun(), {**REST, BEFORE: zero(before), **last})
    if not mine["asks"]:
        same(mine, judged(read(whole, [(1, text) for text in texts])))


@pytest.mark.parametrize(
    ("zeros", "mean"),
    [(told(2, 2), 0.002), (told(2, 4), 0.003), (told(-3, -2), -0.0025), (told(5, None), 0.005)],
)
def test_by_hand_a_zero_is_taken_off(zeros: Mapping[str, str], mean: float) -> None:
    """Strips at top centre less the mean of the zeros."""
    texts = texts_of("mm", 0.225, [0.0] * N, 3)
    top = next(i for i, place in enumerate(begun().places) if place.angle == 0.0)
    mine = reckon(fresh(), texts, {**REST, **zeros})
    assert mine["rows"][1 + top] == pytest.approx(1e-3 * (float(texts[top]) - mean), abs=1e-12)
    assert mine["word"] == "within limits"


def test_the_further_apart_the_zeros_the_less_is_known() -> None:
    """Half of 2 µm, rectangular: 0.58 µm more, in quadrature (by hand)."""
    sets = [one for one in fresh().sets if one.decimals == 3 and one.zeros == 2]
    by_drift = {one.drift: one for one in sets if one.below == sets[0].below}
    assert set(by_drift) == {0, 1, 2}
    for steps in (1, 2):
        more = by_drift[steps].u[1] ** 2 - by_drift[0].u[1] ** 2
        assert more == pytest.approx((0.5e-6 * steps) ** 2 / 3.0, rel=1e-6)


@pytest.mark.parametrize("zeros", [told(0, 3), {BEFORE: "0.0005 mm", AFTER: "0.001 mm"}, told(300, 300)])
def test_zeros_that_moved_too_far_or_between_the_steps_are_for_the_record(zeros: Mapping[str, str]) -> None:
    texts = texts_of("mm", 0.225, [0.0] * N, 3)
    assert reckon(fresh(), texts, {**REST, **zeros}) == {"asks": True}


def test_joint_wires_measured_with_the_same_gauge_have_its_zero_taken_off_too() -> None:
    """Joint wires of 0.050 mm, closed metal to metal: the gap at an angle a is read too large by 0.050 cos a,
    and the zero counts with 1 - cos a."""
    wires = {"joint": "joint wires", "joint_wire_left": "0.050 mm", "joint_wire_right": "0.050 mm"}
    whole = with_facts(begun(), {**REST, **wires, "final_joint": "metal to metal"})
    found = carried(whole, card(), "M-07")
    assert found.why_not == ""
    shares = {round(one.zero[0], 6) for one in found.sets if one.zeros}
    place = begun().places[0]
    assert shares == {round(1.0 - math.cos(place.angle), 6)}
    texts = texts_of("mm", 0.275, [0.0] * N, 3)
    mine = reckon(found, texts, told(-4, -3))
    assert not mine["asks"]
    same(mine, judged(read(with_facts(whole, told(-4, -3)), [(1, text) for text in texts])))


def test_inches_are_read_in_smaller_steps() -> None:
    """2 µm are 7.87 steps of 0.00001 in (by hand): 0 to 7 steps are carried along."""
    bare = check("in")
    open_ = {key: fact for key, fact in bare.facts.items() if key not in (BEFORE, AFTER)}
    found = carried(replace(bare, facts=open_), card("in"), "M-07")
    drifts = {one.drift for one in found.sets if one.decimals == 5 and one.zeros == 2}
    assert drifts == set(range(8))
