"""Before the squeeze: the wire and what can be proven."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.gauging.build import MAKER, card
from whitemetal.card import Joint
from whitemetal.errors import MethodRefused
from whitemetal.fitting.wire_choice import RATIO, advise


def test_the_wire_is_one_and_a_half_to_two_and_a_half_times_the_clearance() -> None:
    """Common practice: 1.5 to 2 times the expected clearance; 0.24 mm takes 0.4 mm."""
    advice = advise(card())
    assert advice.expected == pytest.approx(0.24e-3)
    assert advice.wire == pytest.approx(0.40e-3)
    assert all(RATIO[0] <= wire / 0.24e-3 <= RATIO[1] for wire in advice.wires)


def test_a_piece_is_a_quarter_of_the_journal_long() -> None:
    assert advise(card()).piece == pytest.approx(0.040)


def test_a_small_bearing_is_told_before_the_squeeze() -> None:
    small = card(diameter=0.080, length=0.080, limits=(replace(MAKER, minimum=0.12e-3, maximum=0.16e-3),))
    advice = advise(small)
    assert advice.coarse
    assert advice.left is not None
    assert 8e-6 < advice.left < 13e-6, "some 12 µm by a worked budget of 8.7 µm"
    assert any("finer method" in sentence for sentence in advice.sentences)


def test_without_limits_the_expectation_is_by_rule() -> None:
    advice = advise(card(limits=()))
    assert advice.by_rule
    assert advice.left is None


def test_a_joint_that_opens_the_bore_is_named() -> None:
    shims = card(joint=Joint("shims", 0.30e-3, 0.30e-3, "shell joint"))
    assert any("with the shims of 0.300 mm" in sentence for sentence in advise(shims).sentences)
    outside = card(joint=Joint("shims", 0.30e-3, 0.30e-3, "housing joint"))
    assert not any("shims" in sentence for sentence in advise(outside).sentences)


def test_wrong_bores_are_refused() -> None:
    with pytest.raises(MethodRefused, match="pads"):
        advise(card(profile="tilting pad"))


def test_what_to_do_is_told_from_what_to_know() -> None:
    advice = advise(card())
    assert [sentence.split()[0] for sentence in advice.to_do] == ["Take", "Cut"]
    assert [sentence for sentence in advice.sentences if sentence in advice.to_do] == list(advice.to_do)
    assert len(advice.sentences) > len(advice.to_do)
    small = advise(
        card(diameter=0.080, length=0.080, limits=(replace(MAKER, minimum=0.12e-3, maximum=0.16e-3),))
    )
    assert [sentence.split()[0] for sentence in small.to_do] == ["Take", "Cut", "Of", "Think"], (
        "where the method is too coarse, what it can prove is not left to be looked up"
    )
