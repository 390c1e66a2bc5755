"""Each mistake, made in a real job, is caught; and the same job without it is told nothing of the kind."""

from __future__ import annotations

import pytest

from tests.mistakes.table import EXISTS, MISTAKES, Mistake, caught, told


def named(one: Mistake) -> str:
    return f"{one.number}: {one.what}"


@pytest.mark.parametrize("one", EXISTS, ids=named)
def test_the_mistake_is_caught(one: Mistake) -> None:
    assert caught(one)


@pytest.mark.parametrize("one", EXISTS, ids=named)
def test_the_same_job_without_it_is_told_nothing_of_the_kind(one: Mistake) -> None:
    said, _ = told(one.number, False)
    assert [text for text in said if one.says in text] == []


ONLY_SAID = {12, 13, 14, 15, 20}
"""Mistakes that change no verdict by themselves: taper inside the limits, a zero and a turn of the journal that
the uncertainty allows for, a rule that an engineer has adopted by name, and what cannot be put right any more."""


@pytest.mark.parametrize("one", EXISTS, ids=named)
def test_the_right_job_is_within_limits_and_the_mistake_is_not(one: Mistake) -> None:
    good = {17: "settled", 19: "fit"}.get(one.number, "within limits")
    assert told(one.number, False)[1] == good
    assert (told(one.number, True)[1] == good) is (one.number in ONLY_SAID)


def test_all_twenty_one_are_there() -> None:
    assert [one.number for one in MISTAKES] == list(range(1, 22))
    assert [one.number for one in MISTAKES if one.run is None or one.still_open] == []


def test_a_ring_that_nobody_saw_turning_keeps_the_run_in_open() -> None:
    """The second half of mistake 16: what was free in the hand may still hang once it runs."""
    still = "still to be seen: Oil ring seen turning"
    assert any(still in text for text in told(16, True)[0])
    assert not any(still in text for text in told(16, False)[0])
