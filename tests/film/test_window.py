"""The running window: intervals, what closes them, where a clearance lies."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from whitemetal.errors import InputError
from whitemetal.film.curve import Curve, nodes, short_bearing, short_point
from whitemetal.film.heat import CarriedByOil
from whitemetal.film.oil import ICE, from_grade
from whitemetal.film.permissible import Criteria, least_film, usual
from whitemetal.film.running import Conditions, settle
from whitemetal.film.window import Edge, Interval, Window, clearances, place, sweep

CURVE = short_bearing(0.25)
FAN = Conditions(
    0.16, 0.04, 990 * math.pi / 30, 6000.0, from_grade("ISO VG 68"), CarriedByOil(ICE + 45.0)
)  # fmt: skip
TIGHT = Criteria(least_film=15e-6, hottest=ICE + 75.0, whirl_margin=1.25, most_flow=3e-5)


@pytest.fixture(scope="module")
def window() -> Window:
    return sweep(FAN, CURVE, TIGHT)


def test_at_least_forty_with_the_balance_closed(window: Window) -> None:
    assert len(window.states) >= 40
    assert all(abs(state.residual) <= 1e-6 for state in window.states if state.answer == "runs")


def test_temperature_closes_it_below_and_flow_above(window: Window) -> None:
    interval = window.widest
    assert interval is not None
    assert (interval.low.closed_by, interval.high.closed_by) == ("temperature", "flow")


def test_edges_are_where_the_criterion_just_holds(window: Window) -> None:
    """A heat balance made anew at the edges."""
    interval = window.widest
    assert interval is not None
    assert settle(FAN, interval.low.clearance, CURVE).hottest == pytest.approx(ICE + 75.0, abs=0.02)
    assert settle(FAN, interval.high.clearance, CURVE).side_flow == pytest.approx(3e-5, rel=1e-3)


def test_inside_all_hold_and_outside_one_fails(window: Window) -> None:
    interval = window.widest
    assert interval is not None
    for index, state in enumerate(window.states):
        met = all(row[index] >= 0.0 for row in window.margins.values())
        assert met == any(each.holds(state.cold) for each in window.intervals)


def test_together_is_what_each_alone_allows(window: Window) -> None:
    lows = [each[0].low.clearance for each in window.by_criterion.values()]
    highs = [each[0].high.clearance for each in window.by_criterion.values()]
    interval = window.widest
    assert interval is not None
    assert interval.low.clearance == pytest.approx(max(lows), rel=2e-4)
    assert interval.high.clearance == pytest.approx(min(highs), rel=2e-4)


def test_a_thicker_film_wanted_narrows_it(window: Window) -> None:
    narrower = sweep(FAN, CURVE, replace(TIGHT, least_film=24e-6)).widest
    assert narrower is not None and window.widest is not None
    assert narrower.low.closed_by == "film"
    assert narrower.low.clearance > window.widest.low.clearance
    assert settle(FAN, narrower.low.clearance, CURVE).film == pytest.approx(24e-6, rel=1e-3)


def test_no_window() -> None:
    found = sweep(FAN, CURVE, Criteria(least_film=1e-3))
    assert found.intervals == () and found.widest is None
    assert place(found, 1e-4, 2e-4).where == "no window"


def test_whirl_closes_a_light_fast_bearing() -> None:
    light = Conditions(0.1, 0.025, 900.0, 300.0, from_grade("32"), CarriedByOil(ICE + 45.0))
    found = sweep(light, CURVE, Criteria(whirl_margin=1.0, laminar=False))
    alone = found.by_criterion["whirl"]
    for interval in alone:
        for edge in (interval.low, interval.high):
            if edge.closed_by:
                assert edge.closed_by == "whirl"
                threshold = settle(light, edge.clearance, CURVE).threshold
                assert threshold == pytest.approx(light.speed, rel=2e-3)
    assert any(row < 0.0 for row in found.margins["whirl"])


def test_a_whirl_that_is_not_known_is_not_met() -> None:
    """All but centred at the narrow clearances, where nothing is known of whirl: the window does not reach
    there."""
    light = replace(FAN, load=8.0)
    found = sweep(light, CURVE, Criteria(whirl_margin=1.0))
    centred = [s.threshold_is == "centred" for s in found.states]
    assert any(centred) and not all(centred)
    assert all(row < 0.0 for row, there in zip(found.margins["whirl"], centred, strict=True) if there)


@pytest.mark.parametrize(
    ("low", "high", "where", "edges"),
    [
        (0.18e-3, 0.22e-3, "inside", 0),
        (0.05e-3, 0.08e-3, "below", 0),
        (0.55e-3, 0.60e-3, "above", 0),
        (0.08e-3, 0.2e-3, "across", 1),
        (0.3e-3, 0.6e-3, "across", 1),
        (0.05e-3, 0.6e-3, "across", 2),
    ],
)
def test_where_a_measured_clearance_lies(low: float, high: float, where: str, edges: int) -> None:
    interval = Interval(Edge(0.1e-3, "temperature"), Edge(0.5e-3, "film"))
    placed = place(Window((), TIGHT, {}, (interval,), {}), low, high)
    assert (placed.where, len(placed.edges)) == (where, edges)


def test_an_open_end_of_the_sweep_is_no_edge() -> None:
    interval = Interval(Edge(0.1e-3, ""), Edge(0.5e-3, "film"))
    assert place(Window((), TIGHT, {}, (interval,), {}), 0.05e-3, 0.2e-3).where == "inside"


def test_bad_input() -> None:
    with pytest.raises(InputError, match="clearances"):
        sweep(FAN, CURVE, TIGHT, cold=(1e-4, 2e-4))
    with pytest.raises(InputError, match="clearances"):
        sweep(FAN, CURVE, TIGHT, cold=tuple(reversed(clearances(0.16))))
    bare = Curve(tuple(replace(short_point(e, 0.25), coefficients=None) for e in nodes()))
    with pytest.raises(InputError, match="whirl"):
        sweep(FAN, bare, TIGHT)
    with pytest.raises(InputError, match="clearance"):
        place(Window((), TIGHT, {}, (), {}), 2e-4, 1e-4)


def test_usual_criteria() -> None:
    """ISO 7902-3, from memory: 160 mm at 8.3 m/s 7 µm; above 160 mm 9 µm; convection 90, oil out 100 degC."""
    assert least_film(0.16, 8.3) == 7e-6
    assert least_film(0.161, 8.3) == 9e-6
    assert least_film(0.161, 31.0) == 14e-6
    assert usual(0.16, 8.3, by_convection=True).hottest == pytest.approx(363.15)
    assert usual(0.16, 8.3, by_convection=False).hottest == pytest.approx(373.15)
    with pytest.raises(InputError, match="diameter"):
        least_film(0.01, 1.0)
