"""Closing up in a whole job: what was taken at another torque, and counting out after the last opening."""

from __future__ import annotations

import pytest

from tests.mistakes.hand import COUNTED_OUT, Hand, a_hand
from whitemetal.gauging import METHODS
from whitemetal.job.closing_up import final_torque

SAID = "another torque closes the bore differently"


def flagged(hand: Hand, check: str) -> list[str]:
    return [text for text in hand.told(check) if SAID in text]


@pytest.mark.parametrize(("squeezed", "odd"), [("420 N m", False), ("410 N m", False), ("300 N m", True), ("310 lbf ft", False)])  # fmt: skip
def test_a_wire_squeezed_at_another_torque_than_the_final_one_is_flagged(squeezed: str, odd: bool) -> None:
    """4 % of 420 N m is 16.8 N m, so 410 is the same torque; 310 lbf ft are 420.3 N m."""
    with a_hand() as hand:
        wire = hand.wire(torque=squeezed)
        assert flagged(hand, wire) == [], "the cap is not yet shut"
        hand.tighten()
        assert bool(flagged(hand, wire)) is odd
        assert (hand.word(wire) == "within limits") is (squeezed in ("420 N m", "310 lbf ft"))


def test_the_torque_the_nuts_were_pulled_to_counts_whatever_the_card_says() -> None:
    """The wire was squeezed at the card's 420 N m, the nuts pulled to 500."""
    with a_hand() as hand:
        wire = hand.wire()
        hand.tighten(500.0)
        (text,) = flagged(hand, wire)
        assert "Taken at 420 N m, but the nuts were finally pulled to 500 N m" in text


def test_a_torque_in_the_other_unit_is_asked_about() -> None:
    """310 N m where 310 lbf ft were meant: 310 * 1.3558 = 420.3."""
    with a_hand() as hand:
        wire = hand.wire(torque="310 N m")
        hand.tighten()
        (text,) = flagged(hand, wire)
        assert text.endswith("in the ratio of lbf ft to N m: is it the unit?")


def final(hand: Hand) -> float | None:
    view = hand.desk.job(hand.job)
    return final_torque(view.state, view.card)


def test_nuts_on_their_way_and_an_opened_cap_say_no_final_torque() -> None:
    with a_hand() as hand:
        check = hand.check("tightening", {})
        for nut in range(1, 5):
            hand.desk.keep_reading(hand.job, check, f"nut {nut}", "252 N m", hand.writer, squeeze=2)
        assert final(hand) is None
        hand.tighten()
        assert final(hand) == 420.0
        hand.change("cap opened")
        assert final(hand) is None


def test_nuts_written_down_with_no_torque_at_all_say_no_final_torque() -> None:
    with a_hand() as hand:
        wire, check = hand.wire(), hand.check("tightening", {})
        for nut in range(1, 5):
            hand.desk.keep_reading(hand.job, check, f"nut {nut}", "0 N m", hand.writer, squeeze=3)
        assert final(hand) is None
        assert flagged(hand, wire) == []
        assert hand.word(check) == "outside limits"


def test_a_clearance_as_found_has_its_own_tightening() -> None:
    with a_hand() as hand:
        wire = hand.wire(purpose="as found", torque="300 N m")
        hand.tighten()
        assert flagged(hand, wire) == []


def counting(hand: Hand) -> list[str]:
    return [one.why for one in hand.desk.chain(hand.job).counting]


def count_out(hand: Hand, **changed: str) -> str:
    check = hand.check("closed_up", {**COUNTED_OUT, **changed})
    for point in METHODS["closed_up"].hold_points:
        hand.desk.set_hold(hand.job, point.key, "closed", "seen", hand.writer, check=check)
    return check


def test_once_the_nuts_are_pulled_in_a_check_the_bearing_is_counted_out_or_not_fit() -> None:
    with a_hand() as hand:
        assert counting(hand) == []
        hand.tighten()
        assert ["nobody has counted out" in why for why in counting(hand)] == [True]
        assert "Closed up and counted out" in hand.desk.chain(hand.job).still_open
        count_out(hand)
        assert counting(hand) == []


def test_a_rag_left_in_keeps_it_open() -> None:
    with a_hand() as hand:
        hand.tighten()
        check = count_out(hand, rags_out="0")
        assert hand.word(check) == "outside limits"
        assert ["outside limits" in why for why in counting(hand)] == [True]


def test_opened_again_both_must_be_done_again() -> None:
    with a_hand() as hand:
        tight, counted = hand.tighten(), count_out(hand)
        hand.change("cap opened")
        state = hand.desk.job(hand.job).state
        assert state.checks[tight].stale and state.checks[counted].stale
        links = {link.key: link for link in hand.desk.chain(hand.job).links}
        assert not links["tightening"].closed
        hand.tighten()
        assert ["cap opened" in why for why in counting(hand)] == [True]
        count_out(hand)
        assert counting(hand) == []


def test_counting_out_waits_for_the_second_person() -> None:
    with a_hand() as hand:
        hand.tighten()
        check = count_out(hand)
        hand.desk.set_hold(hand.job, "second_count", "open", "not yet", hand.writer, check=check)
        assert ["Counted out by a second person" in why for why in counting(hand)] == [True]
