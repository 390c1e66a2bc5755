"""The curve of a run-in: every reading where it belongs, limits at their height, nothing joined over a gap."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from whitemetal.drawing.run_curve import BOTTOM, LEFT, RIGHT, TOP, RunCurve, run_curve_svg
from whitemetal.job.run_drawn import drawn

KELVIN = 273.15
TAKEN = tuple((600.0 * i, KELVIN + 20.0 + 5.0 * i) for i in range(4))


def lines(svg: str, name: str) -> list[list[tuple[float, float]]]:
    found = re.findall(rf'<polyline class="wm-{name}"[^>]* points="([^"]*)"', svg)
    return [[tuple(map(float, point.split(","))) for point in one.split()] for one in found]  # type: ignore[misc]


def test_it_is_a_picture_with_words_for_those_who_cannot_see_it() -> None:
    svg = run_curve_svg(
        RunCurve("metal", TAKEN, alarm=KELVIN + 70.0, ahead=(KELVIN + 50, KELVIN + 45, KELVIN + 58, 5000.0))
    )
    assert ElementTree.fromstring(svg).tag.endswith("svg")
    for said in ("35.0 °C at 30 minutes", "50.0 °C (95 %: 45.0 to 58.0)", "alarm 70.0"):
        assert said in svg


def test_time_runs_across_and_temperature_up() -> None:
    """An hour at least is shown: 1,800 s is the middle of it. Equal steps in both: a straight line."""
    (curve,) = lines(run_curve_svg(RunCurve("metal", TAKEN)), "accent")
    assert [x for x, _ in curve] == pytest.approx(
        [LEFT, *(LEFT + (RIGHT - LEFT) * i / 6 for i in (1, 2, 3))], abs=0.01
    )
    steps = [b[1] - a[1] for a, b in pairwise(curve)]
    assert max(steps) - min(steps) < 0.02 and max(steps) < 0.0
    assert all(TOP <= y <= BOTTOM for _, y in curve)


def test_readings_are_not_joined_over_a_gap() -> None:
    gap = (*TAKEN, *((9000.0 + 600.0 * i, KELVIN + 50.0) for i in range(3)))
    assert len(lines(run_curve_svg(RunCurve("metal", gap, gap=1500.0)), "accent")) == 2
    assert len(lines(run_curve_svg(RunCurve("metal", gap)), "accent")) == 1


def test_an_earlier_run_is_drawn_apart_and_named() -> None:
    svg = run_curve_svg(RunCurve("metal", TAKEN, earlier=tuple((t, v - 3.0) for t, v in TAKEN)))
    assert len(lines(svg, "hidden")) == 1 and "earlier run" in svg
    assert "earlier run" not in run_curve_svg(RunCurve("metal", TAKEN))


def test_hostile_words_stay_words() -> None:
    svg = run_curve_svg(RunCurve('metal, "><script>', TAKEN))
    assert "<script>" not in svg
    ElementTree.fromstring(svg)


def test_no_reading_is_no_picture() -> None:
    with pytest.raises(ValueError, match="one reading"):
        run_curve_svg(RunCurve("metal", ()))


def test_a_long_curve_loses_no_peak() -> None:
    """A reading a second for four hours, with one peak of a second: it is drawn, and so are both ends."""
    curve = tuple((float(i), 300.0 + (9.0 if i == 7001 else 0.0)) for i in range(14400))
    kept = drawn(curve)
    assert (7001.0, 309.0) in kept and kept[0] == curve[0] and kept[-1] == curve[-1]
    assert len(kept) <= 802 and list(kept) == sorted(kept)
    assert drawn(curve[:100]) == curve[:100]
