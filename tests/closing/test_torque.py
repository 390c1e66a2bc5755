"""Torque proposals: what governs, what scatter leaves, what is refused."""

from __future__ import annotations

import math
from typing import get_args

import pytest

from whitemetal.card.fasteners import ThreadIn
from whitemetal.closing.bolts import GRADES, grade, thread
from whitemetal.closing.torque import (
    HOUSINGS,
    LUBRICATED,
    on_other_lubricant,
    propose,
    stretch,
    stripping_load,
)
from whitemetal.errors import InputError


@pytest.mark.parametrize(
    ("text", "diameter_mm", "pitch_mm"),
    [
        ("M24", 24.0, 3.0), ("m24x2", 24.0, 2.0), ("M 24 × 1,5", 24.0, 1.5), ("3/4", 19.05, 2.54),
        ("1 1/4-7 UNC", 31.75, 25.4 / 7), ("1/2-20 UNF", 12.7, 1.27), ("1 in", 25.4, 3.175),
    ],
)  # fmt: skip
def test_threads_as_they_are_written(text: str, diameter_mm: float, pitch_mm: float) -> None:
    found = thread(text)
    assert (found.diameter, found.pitch) == pytest.approx((diameter_mm * 1e-3, pitch_mm * 1e-3))


@pytest.mark.parametrize("text", ["", "24", "M", "M24 x 20", "3/0", "M25", "bolt", "0/4"])
def test_what_is_no_thread_is_refused(text: str) -> None:
    with pytest.raises(InputError) as refused:
        thread(text)
    assert refused.value.problems[0].typed == text


def test_a_grade_that_is_not_known_names_those_that_are() -> None:
    assert grade("gr 5") is GRADES["Grade 5"]
    with pytest.raises(InputError, match=r"8\.8"):
        grade("8,8")


def test_a_stud_in_old_cast_iron_strips_first() -> None:
    """M24 of class 10.9, 24 mm engaged: 0.75 * 830 N/mm2 * 352.5 mm2 = 219 kN against half of
    pi * 24 * (24/3) * (1.5 + 1.9485 * tan 30) mm2 * 150 N/mm2 = 119 kN (worked by hand)."""
    m24 = thread("M24")
    made = propose(m24, grade("10.9"), LUBRICATED["oiled"], HOUSINGS["old grey cast iron"], 0.024)
    width = 1.5 + (24.0 - (24.0 - 0.6495 * 3.0)) * math.tan(math.pi / 6)
    assert made.thread_bears == pytest.approx(0.5 * math.pi * 24 * 8 * width * 150, rel=1e-9)
    assert made.bolt_bears == pytest.approx(219e3, rel=5e-3)
    assert (made.governed_by, made.preload) == ("thread", made.thread_bears)
    nut = propose(m24, grade("10.9"), LUBRICATED["oiled"], HOUSINGS["nut of the bolt's own class"], 0.024)
    assert (nut.governed_by, nut.preload) == ("bolt", made.bolt_bears)


def test_twice_the_engagement_bears_twice_as_much() -> None:
    m20 = thread("M20")
    assert stripping_load(m20, 0.04, 1e8) == pytest.approx(2.0 * stripping_load(m20, 0.02, 1e8))


def test_preload_is_shown_as_the_range_that_scatter_leaves() -> None:
    made = propose(thread("M20"), grade("8.8"), LUBRICATED["dry"], HOUSINGS["cast steel"], 0.03)
    assert (made.least, made.greatest) == pytest.approx((0.7 * made.preload, 1.3 * made.preload))
    assert made.torque == pytest.approx(made.nut_factor * 0.02 * made.preload)


def test_a_dry_torque_on_an_oiled_thread_is_cut_by_the_nut_factors() -> None:
    dry, oiled = LUBRICATED["dry"], LUBRICATED["oiled"]
    assert on_other_lubricant(400.0, dry, oiled) == pytest.approx(400.0 * 0.165 / 0.225)


def test_stretch_of_a_bar() -> None:
    """100 kN over 300 mm of 353 mm2 of steel: 100e3 * 0.3 / (353e-6 * 205e9) = 0.4146 mm, worked by hand."""
    assert stretch(100e3, 0.3, 353e-6) == pytest.approx(0.4146e-3, rel=1e-3)


@pytest.mark.parametrize(("share", "engaged"), [(0.0, 0.02), (1.0, 0.02), (0.7, 0.0), (0.7, -0.01)])
def test_impossible_figures_are_refused(share: float, engaged: float) -> None:
    with pytest.raises(InputError):
        propose(thread("M20"), grade("8.8"), LUBRICATED["dry"], HOUSINGS["cast steel"], engaged, share)


def test_a_size_beyond_the_grades_table_is_refused() -> None:
    with pytest.raises(InputError, match=r"8\.8"):
        grade("8.8").proof_stress(0.064)


def test_every_housing_that_a_card_may_name_is_known() -> None:
    """And nothing else: what a card calls not known has no figure."""
    named = set(get_args(ThreadIn))
    assert named - set(HOUSINGS) == {"not known"}
    assert set(HOUSINGS) < named
