"""Which pass it is, whose turn, and what counts as pulled."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.gauging.build import card as plain_card
from tests.gauging.test_tightening import USUAL, a_card, pulled
from whitemetal.gauging.contract import Reading
from whitemetal.gauging.tightening.layout import nuts, sequence_of
from whitemetal.gauging.tightening.progress import Progress, progress

CARD = a_card()
PLACES = nuts(CARD)


def made(readings: tuple[Reading, ...]) -> Progress:
    found = progress(CARD, PLACES, readings)
    assert found is not None
    return found


def test_it_begins_with_the_first_nut_of_the_first_pass() -> None:
    found = made(())
    assert found.now.next is not None
    assert (found.now.order.number, found.now.next.label, found.now.next.turn) == (1, "nut 1", 1)
    assert [one.label for one in found.now.turns] == ["nut 1", "nut 3", "nut 2", "nut 4"]


def test_a_nut_left_out_holds_its_pass() -> None:
    """The third to be pulled is nut 2."""
    first = tuple(one for one in pulled(PLACES, passes=(0.3,)) if one.place != "nut 2")
    found = made((*first, Reading("nut 1", "252 N m", 252.0, 1.0, 2)))
    assert found.now.order.number == 1
    assert found.now.next is not None and found.now.next.label == "nut 2"
    assert (found.rounds[0].done, found.rounds[1].done) == (3, 1)


def test_three_passes_make_it_through_and_the_last_round_is_left() -> None:
    found = made(pulled(PLACES))
    assert found.through
    assert found.now.order.last and found.now.done == 0
    assert not made(pulled(PLACES, passes=(0.3, 0.6))).through


@pytest.mark.parametrize(("read", "there"), [(126.0, True), (136.0, True), (137.0, False), (115.0, False)])
def test_a_lower_pass_is_hit_within_eight_per_cent(read: float, there: bool) -> None:
    """8 % of 126 N m is 10.08."""
    (first, *_) = made((Reading("nut 1", f"{read:g} N m", read, 1.0, 1),)).rounds[0].turns
    assert (first.pulled, first.at_target) == (True, there)


def test_without_a_torque_nobody_knows_and_without_the_cards_nuts_there_is_no_order() -> None:
    untold = replace(CARD, fasteners=replace(USUAL, torque=None))
    found = progress(untold, PLACES, (Reading("nut 1", "126 N m", 126.0, 1.0, 1),))
    assert found is not None and found.rounds[0].turns[0].at_target is None
    assert progress(a_card(replace(USUAL, count=6)), PLACES, ()) is None
    for count in (None, 1, 33):
        assert sequence_of(a_card(replace(USUAL, count=count))) is None
    assert progress(plain_card(), (), ()) is None
