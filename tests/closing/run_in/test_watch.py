"""Rules before curves: each warning raised by a run that deserves it and by none that does not."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from whitemetal.closing.run_in.watch import Taken, Watched, Watching, watch

ALARM, TRIP = 273.15 + 90.0, 273.15 + 100.0
WATCHING = Watching("metal", ALARM, TRIP, "maker's book (invented)", ambient=293.15)


def run(curve: Callable[[float], float], minutes: float, every: float = 60.0) -> list[Taken]:
    times = np.arange(0.0, minutes * 60.0 + 1.0, every)
    return [Taken(float(t), curve(float(t)), "metal") for t in times]


def good(time: float) -> float:
    """Rises 30 K: 11.6 K in ten minutes (worked by hand: 30 (1 - exp(-10/20.5)))."""
    return 293.15 + 30.0 * (1.0 - float(np.exp(-time / 1230.0)))


def codes(watched: Watched) -> set[str]:
    return {one.code for one in watched.warned}


def test_a_good_run_raises_nothing_and_settles() -> None:
    watched = watch(run(good, 180.0), WATCHING)
    assert codes(watched) == set()
    assert watched.settled and watched.slope is not None
    assert watched.forecast is not None and watched.forecast.low < 323.15 < watched.forecast.high


def test_the_slope_alone_does_not_settle_a_run() -> None:
    """Level from the start for forty minutes: the slope is nothing, but an hour has not been run."""
    assert not watch(run(lambda t: 300.0, 40.0), WATCHING).settled
    assert watch(run(lambda t: 300.0, 70.0), WATCHING).settled


@pytest.mark.parametrize(("temperature", "code"), [(ALARM, "alarm"), (TRIP, "trip")])
def test_the_limits_are_stops(temperature: float, code: str) -> None:
    watched = watch([*run(good, 20.0), Taken(1260.0, temperature, "metal")], WATCHING)
    assert watched.warned[0].weight == "stop"
    assert code in codes(watched)
    assert code not in codes(watch([*run(good, 20.0), Taken(1260.0, temperature - 0.1, "metal")], WATCHING))


def test_a_step_within_seconds_goes_before_every_curve() -> None:
    """Below the alarm, and a fit through it would see a usual rise: the step itself is the warning."""
    readings = run(good, 20.0)
    step = [Taken(1205.0, good(1200.0) + 4.0, "metal")]
    watched = watch(readings + step, WATCHING)
    assert watched.warned[0].code == "jump"
    assert watched.forecast is None
    assert "jump" not in codes(watch([*readings, Taken(1205.0, good(1200.0) + 2.0, "metal")], WATCHING))


def test_a_fast_rise_after_five_minutes() -> None:
    fast = watch([*run(good, 20.0), Taken(1320.0, good(1200.0) + 5.0, "metal")], WATCHING)
    assert "fast" in codes(fast)
    assert "fast" not in codes(watch(run(lambda t: 293.15 + t / 60.0 * 2.5, 4.0), WATCHING))


@pytest.mark.parametrize(("rise", "warned"), [(13.5, False), (14.5, True)])
def test_the_rule_of_the_first_ten_minutes(rise: float, warned: bool) -> None:
    watched = watch(run(lambda t: 293.15 + rise * t / 600.0, 10.0), WATCHING)
    assert ("rise" in codes(watched)) is warned


def test_above_the_curve_of_an_earlier_run_in() -> None:
    earlier = tuple((one.time, one.temperature - 2.0) for one in run(good, 30.0))
    hotter = run(lambda t: 293.15 + 2.0 * (good(t) - 293.15), 12.0)
    watching = Watching("metal", ALARM, TRIP, ambient=293.15, earlier=earlier, self_lubricated=False)
    assert "above_earlier" in codes(watch(hotter, watching))
    assert "above_earlier" not in codes(watch(run(good, 12.0), watching))


def test_unlike_places_are_not_compared() -> None:
    sump = [Taken(600.0, TRIP + 20.0, "oil sump")]
    watched = watch([*run(good, 20.0), *sump], WATCHING)
    assert codes(watched) == {"unlike"}
    assert watched.warned[0].weight == "note"


def hot(time: float) -> float:
    """Passes 69.5 degC in the fiftieth minute: 25 + 62 (0.35 (1 - exp(-50/10)) + 0.65 (1 - exp(-50/60))) = 69.3 at
    fifty, 47.5 at twelve (worked by hand); never faster than 2 K a minute after the first five."""
    return 298.15 + 62.0 * float(0.35 * (1 - np.exp(-time / 600.0)) + 0.65 * (1 - np.exp(-time / 3600.0)))


def test_a_run_that_will_pass_the_alarm_is_warned_of_in_time() -> None:
    alarm = 273.15 + 69.5
    watching = Watching("metal", alarm, None, ambient=298.15, self_lubricated=False)
    passes = next(one.time for one in run(hot, 90.0) if one.temperature >= alarm)
    assert 50 * 60.0 <= passes <= 52 * 60.0
    early = run(hot, 12.0)
    watched = watch(early, watching)
    assert codes(watched) == {"ahead"}
    assert early[-1].temperature < alarm - 20.0


def test_a_fast_rise_is_a_stop_and_the_forecast_is_still_shown() -> None:
    fast = run(lambda t: 298.15 + 80.0 * (1.0 - float(np.exp(-t / 900.0))), 15.0)
    watched = watch(fast, Watching("metal", ALARM, None, ambient=298.15, self_lubricated=False))
    assert watched.warned[0].code == "fast"
    assert watched.forecast is not None


def test_order_of_arrival_changes_nothing() -> None:
    readings = run(good, 40.0)
    assert watch(readings[::-1], WATCHING).warned == watch(readings, WATCHING).warned


def test_a_wipe_that_takes_ten_seconds_is_a_step_to_a_logger_of_one_second() -> None:
    """0.5 K a second for ten seconds: no two readings that follow each other lie 3 K apart."""
    readings = run(good, 20.0, every=1.0)
    wipe = [Taken(1200.0 + i, good(1200.0) + 0.5 * i, "metal") for i in range(1, 11)]
    watched = watch(readings + wipe, WATCHING)
    assert [one.time for one in watched.warned if one.code == "jump"] == [1206.0]
    assert watched.warned[0].weight == "stop" and watched.forecast is None
    assert codes(watch(readings, WATCHING)) == set()


def test_a_fast_rise_is_seen_however_close_the_readings_lie() -> None:
    """3 K a minute from the sixth minute on, a reading a second; the mean rise over a minute counts, so that a
    tenth of a kelvin of a logger's last digit within a second is none."""
    fast = watch(run(lambda t: 300.0 + 3.0 * max(0.0, t - 360.0) / 60.0, 8.0, every=1.0), WATCHING)
    assert "fast" in codes(fast)
    digits = run(lambda t: round(good(t), 1) + 0.1 * (int(t) % 2), 20.0, every=1.0)
    assert codes(watch(digits, WATCHING)) == set()


def test_many_readings_are_averaged_for_the_forecast_and_say_the_same() -> None:
    close, wide = watch(run(good, 30.0, every=1.0), WATCHING), watch(run(good, 30.0, every=30.0), WATCHING)
    assert close.forecast is not None and wide.forecast is not None
    assert close.forecast.points == 240
    assert abs(close.forecast.settles - wide.forecast.settles) < 1.0


def test_many_readings_of_one_moment_say_no_slope_and_break_nothing() -> None:
    """Three hundred values that all carry the stamp of one minute, and three of one moment after a long wait."""
    watched = watch([Taken(900.0, 300.0, "metal")] * 300, WATCHING)
    assert watched.slope is None
    late = [Taken(0.0, 300.0, "metal"), *[Taken(4000.0, 301.0, "metal")] * 3]
    assert watch(late, WATCHING).slope is None and not watch(late, WATCHING).settled
