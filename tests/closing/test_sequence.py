"""Order of the nuts: every nut once, sides in turn, the middle first."""

from __future__ import annotations

import pytest

from whitemetal.closing.sequence import MOST, circle_order, row_order, sequence
from whitemetal.errors import InputError


@pytest.mark.parametrize("count", range(2, MOST + 1))
@pytest.mark.parametrize("layout", ["two rows", "circle"])
def test_every_nut_once_in_every_pass(count: int, layout: str) -> None:
    made = sequence(count, layout)  # type: ignore[arg-type]
    for one in (*made.passes, *made.loosening):
        assert sorted(one.order) == list(range(1, count + 1))


@pytest.mark.parametrize("count", range(4, MOST + 1, 2))
def test_rows_go_from_side_to_side_and_outwards(count: int) -> None:
    bolts = {bolt.number: bolt for bolt in sequence(count).bolts}
    order = [bolts[number] for number in row_order(count)]
    pairs = list(zip(order[::2], order[1::2], strict=True))
    assert all(first.side == -second.side for first, second in pairs)
    assert all(first.along == pytest.approx(1.0 - second.along) for first, second in pairs)
    out = [round(abs(first.along - 0.5), 9) for first, _ in pairs]
    assert out == sorted(out)


def test_a_cap_with_six_begins_in_the_middle_and_is_loosened_from_the_ends() -> None:
    """Bolts 1 to 3 on the left from the drive end, 4 to 6 back on the right: 2 and 5 are the middle pair."""
    made = sequence(6, torque=420.0)
    assert made.passes[0].order[:2] == (2, 5)
    assert set(made.loosening[0].order[:4]) == {1, 3, 4, 6}
    assert made.loosening[0].order == tuple(reversed(made.passes[0].order))
    assert [one.torque for one in made.passes] == pytest.approx([126.0, 252.0, 420.0, 420.0])
    assert made.passes[-1].last and not made.passes[-2].last


@pytest.mark.parametrize("count", range(4, MOST + 1, 2))
def test_on_a_circle_the_opposite_bolt_follows(count: int) -> None:
    order = circle_order(count)
    half = count // 2
    assert all(second - first == half for first, second in zip(order[::2], order[1::2], strict=True))


@pytest.mark.parametrize("count", [0, 1, 33])
def test_other_counts_are_refused_by_name(count: int) -> None:
    with pytest.raises(InputError, match="2 to 32"):
        sequence(count)


def test_the_cross_pattern_is_no_pattern_for_rows() -> None:
    for count in range(6, MOST + 1, 2):
        assert row_order(count) != circle_order(count)
