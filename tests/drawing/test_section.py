"""The section: the journal touches the bore at the bottom, wires lie in the gap at their angles."""

from __future__ import annotations

import math

import pytest

from tests.drawing import build
from whitemetal.drawing import LocalGap, Spot, section_gap_svg, section_svg
from whitemetal.drawing.section import BORE, CENTRE, JOURNAL, wire_position
from whitemetal.drawing.section_gap import gap_position, gap_shape, magnification


def test_the_journal_rests_at_the_bottom_of_the_bore() -> None:
    svg = section_svg(build.card(), build.spots())
    circles = {float(c.get("r", "0")): c for c in build.root(svg).iter(f"{build.SVG}circle")}
    journal = circles[JOURNAL]
    assert float(journal.get("cx", "0")) == CENTRE[0]
    assert float(journal.get("cy", "0")) + JOURNAL == pytest.approx(CENTRE[1] + BORE)


@pytest.mark.parametrize("angle", [-0.5, -0.2, 0.0, 0.26, 0.5])
def test_a_wire_lies_in_the_gap_at_its_angle(angle: float) -> None:
    x, y = wire_position(angle)
    axis = (CENTRE[0], CENTRE[1] + BORE - JOURNAL)
    assert math.atan2(x - axis[0], axis[1] - y) == pytest.approx(angle)
    to_journal = math.dist((x, y), axis) - JOURNAL
    direction = (math.sin(angle), -math.cos(angle))
    reach = to_journal + JOURNAL + to_journal
    bore = (axis[0] + reach * direction[0], axis[1] + reach * direction[1])
    assert math.dist(bore, CENTRE) == pytest.approx(BORE)


def test_turned_section_puts_a_wire_on_the_other_side_of_the_page_and_keeps_its_name() -> None:
    spots = [Spot("P", 0.05, 0.3)]
    for turned, side in ((0, 1), (180, -1)):
        svg = section_svg(build.card(), spots, turned=turned)  # type: ignore[arg-type]
        x, _ = build.text_at(svg, "17.2°")
        assert (x - CENTRE[0]) * side > 0
        right, _ = build.text_at(svg, "right")
        assert (right - CENTRE[0]) * side > 0
        assert "P at 17.2° right" in (build.root(svg)[1].text or "")


def test_the_section_says_where_it_is_seen_from_and_who_carries_the_mark() -> None:
    svg = section_svg(build.card(mark="drive end"))
    assert build.text_at(svg, "seen from the drive end")
    assert build.text_at(svg, "match mark: drive end")
    assert build.text_at(svg, "shims")


@pytest.mark.parametrize("angle", [0.0, 0.2, -0.5, math.pi / 2, 2.0, math.pi])
def test_the_plain_bore_gap_is_the_closed_form(angle: float) -> None:
    assert gap_shape(angle, 0.24e-3) == pytest.approx(0.24e-3 * (1 + math.cos(angle)) / 2)


def test_the_lemon_bore_is_continuous_at_the_joint_and_wide_there() -> None:
    above, below = (gap_shape(math.pi / 2 + s * 1e-9, 0.2e-3, 0.0, 2.0) for s in (-1, 1))
    assert above == pytest.approx(below, rel=1e-6)
    assert above == pytest.approx(0.2e-3)


def test_the_magnification_is_round_and_fills_the_picture() -> None:
    times = magnification(0.25e-3, build.card())
    drawn = times * 0.25e-3 * 72 / 0.080
    assert times == 100
    assert 12 <= drawn <= 30


def test_a_local_gap_is_drawn_at_its_angle_and_height() -> None:
    one = build.card()
    x, y = gap_position(one, 0.3, 0.2e-3, 100, (180, 200))
    assert math.atan2(x - 180, 200 - y) == pytest.approx(0.3)
    assert math.dist((x, y), (180, 200)) == pytest.approx(72 * (1 + 100 * 0.2e-3 / 0.080))


def test_values_stand_on_their_own_side_of_the_page() -> None:
    gaps = [LocalGap(f"P{i}", angle, 0.2e-3, f"0.20{i}") for i, angle in enumerate((-0.2, 0.0, 0.2))]
    for turned, order in ((0, (0, 1, 2)), (180, (2, 1, 0))):
        svg = section_gap_svg(build.card(), gaps, turned=turned)  # type: ignore[arg-type]
        xs = [build.text_at(svg, f"P{i} 0.20{i}")[0] for i in order]
        assert xs == sorted(xs)


def test_a_long_label_is_cut_and_never_its_value() -> None:
    gaps = [LocalGap("DE greatest of all", angle, 0.2e-3, "0.2435", "") for angle in (-0.2, 0.0, 0.2)]
    words = [text for text, _, _ in build.texts(section_gap_svg(build.card(), gaps, clearance=0.2e-3))]
    assert sum(text.endswith(" 0.2435") for text in words) == 3
