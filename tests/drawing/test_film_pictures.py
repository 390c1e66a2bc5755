"""The film's pictures: true to scale, nothing outside, the measured and the limits where they belong."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import numpy as np
import pytest

from tests.drawing import build
from whitemetal.drawing import (
    Field,
    Panel,
    RunningShown,
    WindowShown,
    maps_svg,
    running_section_svg,
    running_window_svg,
)
from whitemetal.drawing.running_section import CENTRE
from whitemetal.drawing.running_window import LEFT, RIGHT, round_marks

CLEARANCES = tuple(1e-4 * i for i in range(1, 6))
SHOWN = WindowShown(
    CLEARANCES,
    (
        Panel("film", "µm", (5.0, 20.0, 25.0, 22.0, 18.0), 10.0),
        Panel("heat", "degC", (math.inf, 80.0, 70.0, 65.0, 62.0), 90.0, "at most"),
    ),
    ((2e-4, 5e-4),),
    (3e-4, 2.8e-4, 3.2e-4),
    (1.5e-4, 2.5e-4),
)


def dots(svg: str) -> list[tuple[float, float]]:
    return [
        (float(n.get("cx", "")), float(n.get("cy", ""))) for n in build.root(svg).iter(f"{build.SVG}circle")
    ]


def test_the_measured_clearance_stands_in_its_place_on_the_scale() -> None:
    ((x, _),) = dots(running_window_svg(build.card(), SHOWN))
    assert x == pytest.approx(LEFT + 0.5 * (RIGHT - LEFT), abs=0.01)


def test_a_limit_beyond_the_sweep_widens_the_scale() -> None:
    wider = WindowShown(CLEARANCES, SHOWN.panels, SHOWN.intervals, SHOWN.measured, (None, 9e-4))
    ((x, _),) = dots(running_window_svg(build.card(), wider))
    assert x == pytest.approx(LEFT + 0.25 * (RIGHT - LEFT), abs=0.01)


def test_hatching_covers_only_what_is_outside_the_window() -> None:
    svg = running_window_svg(build.card(), SHOWN)
    edge = LEFT + 0.25 * (RIGHT - LEFT)
    hatched = "".join(re.findall(r'class="wm-hatch"[^>]* d="([^"]*)"', svg))
    xs = [float(x) for x in re.findall(r"[ML](-?[\d.]+) ", hatched)]
    assert xs
    assert max(xs) <= edge + 0.01
    none = WindowShown(CLEARANCES, SHOWN.panels)
    hatched = "".join(
        re.findall(r'class="wm-hatch"[^>]* d="([^"]*)"', running_window_svg(build.card(), none))
    )
    assert max(float(x) for x in re.findall(r"[ML](-?[\d.]+) ", hatched)) > RIGHT - 12


def test_a_curve_that_overheats_leaves_the_panel_and_does_not_enter_the_next_one() -> None:
    svg = running_window_svg(build.card(), SHOWN)
    curves = re.findall(r'<polyline class="wm-accent"[^>]*points="([^"]*)"', svg)
    heights = [[float(p.split(",")[1]) for p in curve.split()] for curve in curves]
    assert len(heights) == 2
    assert max(heights[0]) < min(heights[1])


def test_round_marks_are_round_and_inside() -> None:
    assert round_marks(0.05, 0.64, 6) == [0.1, 0.2, 0.3, 0.4, 0.5, 0.6]
    assert round_marks(0.0, 55.0, 4) == [0.0, 20.0, 40.0]


THETA = [math.radians(a) for a in range(-180, 180, 10)]
Z = [0.0, 0.035, 0.07, 0.105, 0.14]


def darkest(svg: str) -> list[float]:
    paths = re.findall(r'fill-opacity="0.9"[^>]* d="([^"]*)"', svg)
    return [float(x) for x in re.findall(r"M([\d.]+) ", paths[0])]


def test_a_peak_at_the_right_is_dark_at_the_right_and_at_the_left_as_seen_from_behind() -> None:
    rows = [[math.exp(-((a - math.pi / 2) ** 2) / 0.1)] * 5 for a in THETA]
    field = Field("pressure", "bar", rows)
    right = darkest(maps_svg(build.card(), [field], THETA, Z))
    left = darkest(maps_svg(build.card(), [field], THETA, Z, turned=180))
    assert min(right) > 8 + 80
    assert max(left) < 8 + 80


def test_an_even_map_has_no_tones_and_does_not_fail() -> None:
    svg = maps_svg(build.card(), [Field("gap", "µm", [[3.0] * 5] * 36, dark_is_low=True)], THETA, Z)
    assert "3" in svg


def test_the_thinnest_film_is_marked_where_the_gap_is_least() -> None:
    gap = tuple(1e-4 * (1 + 0.8 * math.cos(a - math.radians(140))) for a in THETA)
    pressure = tuple(max(math.cos(a), 0.0) for a in THETA)
    shown = RunningShown(tuple(THETA), gap, pressure, (-3e-5, -5e-5), "20 µm", "down", "clockwise")
    svg = running_section_svg(build.card(), shown)
    thinnest = dots(svg)[-1]
    angle = math.degrees(math.atan2(thinnest[0] - CENTRE[0], CENTRE[1] - thinnest[1]))
    assert angle == pytest.approx(-40.0, abs=0.5)
    behind = dots(running_section_svg(build.card(), shown, turned=180))[-1]
    assert behind[0] - CENTRE[0] == pytest.approx(CENTRE[0] - thinnest[0], abs=0.01)


@pytest.mark.parametrize("turned", [0, 180])
def test_the_bore_closes_round_the_journal_by_its_centre(turned: int) -> None:
    gap = tuple(1e-4 * (1 - 0.5 * math.sin(a)) for a in THETA)
    shown = RunningShown(tuple(THETA), gap, (0.0,) * 36, (5e-5, 0.0))
    svg = running_section_svg(build.card(), shown, turned=0 if turned == 0 else 180)
    bore = re.findall(r'<polygon class="wm-accent"[^>]*points="([^"]*)"', svg)[0]
    xs = [float(p.split(",")[0]) for p in bore.split()]
    middle = 0.5 * (min(xs) + max(xs))
    assert (middle - CENTRE[0]) * (1 if turned == 0 else -1) < 0, (
        "the journal lies right of the bore's centre"
    )


@pytest.mark.parametrize("least", [0.5, 1.3, 2.0, 3.4, 6.0])
@pytest.mark.parametrize("steep", [0.3, 1.0, 3.0])
def test_words_of_a_criterion_never_touch_a_falling_curve(least: float, steep: float) -> None:
    """Whirl falls with the clearance as 1/c^steep to ``least`` times the running speed."""
    values = tuple(least * (CLEARANCES[-1] / c) ** steep for c in CLEARANCES)
    panel = Panel("whirl", "", values, 1.25)
    svg = running_window_svg(build.card(), WindowShown(CLEARANCES, (panel,), (), None, (0.2e-3, 0.3e-3)))
    [(_, left, top, right, bottom)] = [one for one in build.spans(svg) if one[0] == "at least 1.25"]
    for curve in re.findall(r'<polyline class="wm-accent"[^>]*points="([^"]*)"', svg):
        points = [tuple(map(float, point.split(","))) for point in curve.split()]
        for (xa, ya), (xb, yb) in pairwise(points):
            for part in np.linspace(0.0, 1.0, 50):
                x, y = xa + part * (xb - xa), ya + part * (yb - ya)
                assert not (left < x < right and top + 0.5 < y < bottom - 2.0)


def test_words_of_a_criterion_stand_clear_of_the_measured_clearance_and_the_limits() -> None:
    """A curve that ends at 3.4 times the running speed, limits and measured right of the middle."""
    values = tuple(3.4 * CLEARANCES[-1] / c for c in CLEARANCES)
    shown = WindowShown(
        CLEARANCES,
        (Panel("whirl", "", values, 1.25),),
        ((1e-4, 5e-4),),
        (4.2e-4, 4e-4, 4.4e-4),
        (2e-4, 4.5e-4),
    )
    svg = running_window_svg(build.card(), shown)
    [(_, left, top, right, bottom)] = [one for one in build.spans(svg) if one[0] == "at least 1.25"]
    for node in build.root(svg).iter(f"{build.SVG}line"):
        x1, x2, y1, y2 = (float(node.get(key, "nan")) for key in ("x1", "x2", "y1", "y2"))
        assert x1 != x2 or not left < x1 < right or max(y1, y2) < top or min(y1, y2) > bottom
