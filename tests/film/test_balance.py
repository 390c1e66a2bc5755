"""The journal's position: it gives back the load, from any start, to contact and beyond."""

from __future__ import annotations

import math

import numpy as np
import pytest

from whitemetal.errors import InputError
from whitemetal.film import gap
from whitemetal.film.balance import position
from whitemetal.film.reynolds import solve


@pytest.mark.parametrize("slenderness", [0.25, 1.0, 4.0])
@pytest.mark.parametrize("eccentricity", [0.02, 0.3, 0.7, 0.9, 0.98])
def test_a_known_position_is_found_again(eccentricity: float, slenderness: float) -> None:
    film = solve(gap.circular(eccentricity, 2.2, 90, 21), slenderness, tolerance=1e-9)
    found = position(film.load, film.load_angle, gap.plain(90, 21), slenderness)
    assert found.eccentricity == pytest.approx(eccentricity, abs=2e-5)
    assert math.remainder(film.load_angle + found.attitude - 2.2, 2 * math.pi) == pytest.approx(0.0, abs=2e-4)
    assert not found.contact
    assert found.residual <= 1e-5


@pytest.mark.parametrize("start", [None, (0.95, 0.0), (-0.5, 0.1), (0.0, -0.9), (1e-3, 1e-3)])
def test_start_does_not_matter(start: tuple[float, float] | None) -> None:
    h = gap.displaced(gap.plain(taper=0.2), 0.0, 0.0, 0.1, -0.15)
    feed = gap.groove(math.pi / 2, 0.35, 0.8) | gap.groove(1.5 * math.pi, 0.35, 0.8)
    found = position(2.5, 0.0, h, 0.8, feed=feed, start=start)
    usual = position(2.5, 0.0, h, 0.8, feed=feed)
    assert (found.x, found.y) == pytest.approx((usual.x, usual.y), abs=1e-4)


@pytest.mark.parametrize("direction", [0.0, 1.0, math.pi, 4.4])
def test_round_bearing_has_no_preferred_direction(direction: float) -> None:
    usual, turned = (position(1.5, angle, gap.plain(), 0.7) for angle in (0.0, direction))
    assert turned.eccentricity == pytest.approx(usual.eccentricity, abs=2e-4)
    assert turned.attitude == pytest.approx(usual.attitude, abs=1e-3)


def test_lemon_bore_gives_way_less_than_its_round_arc() -> None:
    """Two arcs of clearance 2 moved together to 1 hold the journal better than the round bore of 2."""
    round_ = position(0.3, math.pi, gap.plain(clearance=2.0), 0.8, film_start="free")
    lemon = position(0.3, math.pi, gap.lemon(2.0), 0.8, film_start="free")
    assert lemon.residual <= 1e-5
    assert 0.0 < -lemon.x < -round_.x
    assert lemon.eccentricity < round_.eccentricity


def test_tilt_thins_the_film() -> None:
    """The same mean clearance and load with the journal askew: a thinner least film."""
    straight = position(3.0, 0.0, gap.plain(), 1.0)
    askew = position(3.0, 0.0, gap.displaced(gap.plain(), 0.0, 0.0, 0.25, 0.0), 1.0)
    assert askew.least_gap < 0.6 * straight.least_gap


def test_moments_can_be_balanced() -> None:
    """A tilt built into the gap is taken out again when no moment is allowed: closed form, a straight journal
    in a round bore has none."""
    tilted = gap.displaced(gap.plain(90, 21), 0.0, 0.0, 0.12, 0.05)
    found = position(1.3, 0.5, tilted, 1.0, moment=(0.0, 0.0))
    assert (found.tilt_x, found.tilt_y) == pytest.approx((-0.12, -0.05), abs=1e-3)
    straight = position(1.3, 0.5, gap.plain(90, 21), 1.0)
    assert found.eccentricity == pytest.approx(straight.eccentricity, abs=1e-3)


@pytest.mark.parametrize(("tilt", "load"), [(0.3, 0.003), (0.9, 0.01)])
def test_a_light_load_on_a_bore_askew_asks_for_a_free_start(tilt: float, load: float) -> None:
    """Started at the widest gap the film pushes towards wherever that is, with more than so light a load; let
    start freely it carries the load (checked by a film settled anew)."""
    bore = gap.displaced(gap.plain(96, 21), 0.0, 0.0, tilt, 0.0)
    with pytest.raises(InputError) as caught:
        position(load, 1.0, bore, 1.0)
    assert [problem.field for problem in caught.value.problems] == ["film_start"]
    found = position(load, 1.0, bore, 1.0, film_start="free")
    film = solve(gap.displaced(bore, found.x, found.y), 1.0, film_start="free", tolerance=1e-9)
    assert film.load == pytest.approx(load, rel=1e-4)
    assert film.load_angle == pytest.approx(1.0, abs=1e-4)


def test_contact_is_an_answer() -> None:
    found = position(1e5, 0.0, gap.plain(90, 21), 1.0)
    assert found.contact
    assert found.eccentricity == pytest.approx(0.99, abs=1e-3)
    assert found.film.load < 1e5


def test_oil_keeping_film_can_be_balanced() -> None:
    full = position(1.0, 0.0, gap.plain(90, 21), 1.0, rupture="jfo")
    starved = position(1.0, 0.0, gap.plain(90, 21), 1.0, rupture="jfo", supply=0.4)
    assert full.film.load == pytest.approx(1.0, rel=1e-5)
    assert starved.film.load == pytest.approx(1.0, rel=1e-5)
    assert starved.least_gap < full.least_gap


@pytest.mark.parametrize("seed", range(12))
def test_any_bore_any_load(seed: int) -> None:
    """Random taper, tilt, lobes, grooves, load and direction: the load is carried, or contact is said."""
    draw = np.random.default_rng(seed)
    h = gap.displaced(gap.plain(90, 21, taper=draw.uniform(-0.4, 0.4)), 0.0, 0.0, *draw.uniform(-0.2, 0.2, 2))
    if seed % 2:
        h = h + gap.lemon(draw.uniform(1.2, 2.5), draw.uniform(0, 6), 90, 21) - 1.0
    feed = gap.groove(draw.uniform(0, 6), 0.3, 0.8, 90, 21) if seed % 3 else None
    load, angle = 10 ** draw.uniform(-0.5, 1.2), draw.uniform(0, 6)
    found = position(load, angle, h, float(draw.choice([0.3, 0.7, 1.5])), feed=feed)
    carried = np.array([found.film.load_x, found.film.load_y]) / load
    left = float(np.hypot(*(carried - [math.cos(angle), math.sin(angle)])))
    assert found.contact or left <= 1e-5
    assert found.least_gap > 0.0


@pytest.mark.parametrize(
    ("field", "load", "direction"),
    [("load", 0.0, 0.0), ("load", -1.0, 0.0), ("load", math.nan, 0.0), ("direction", 1.0, math.inf)],
)
def test_bad_input_names_its_field(field: str, load: float, direction: float) -> None:
    with pytest.raises(InputError) as caught:
        position(load, direction, gap.plain(24, 11), 1.0)
    assert [problem.field for problem in caught.value.problems] == [field]


def test_every_fault_is_named_at_once() -> None:
    with pytest.raises(InputError) as caught:
        position(0.0, 0.0, gap.plain(24, 11), 9.0, feed=np.ones((24, 11), bool), supply=0.5)
    fields = {problem.field for problem in caught.value.problems}
    assert fields == {"load", "slenderness", "supply"}


def test_bores_that_touch_in_the_middle_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        position(1.0, 0.0, gap.plain(24, 11, taper=2.1), 1.0)
    assert caught.value.problems[0].field == "clearance"
