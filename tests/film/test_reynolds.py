"""The Reynolds solver against exact solutions, finer grids, direct solves and its own symmetries."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from whitemetal.errors import InputError
from whitemetal.film import field, gap
from whitemetal.film.kinds import Array
from whitemetal.film.reynolds import Film, solve


def grooved(
    eccentricity: float, n: int = 180, m: int = 41, slenderness: float = 1.0, **options: object
) -> Film:
    """Two part-length grooves, a journal that is tilted and eccentric."""
    feed = gap.groove(math.pi / 2, 0.35, 0.75, n, m) | gap.groove(1.5 * math.pi, 0.35, 0.75, n, m)
    h = gap.circular(eccentricity, 0.4, n, m, tilt=(0.05, -0.03), taper=0.1)
    return solve(h, slenderness, feed=feed, feed_pressure=0.02, **options)  # type: ignore[arg-type]


def manufactured(n: int, m: int) -> float:
    """Largest error of P = (1 - zeta^2)(2 + cos(theta - 1))/10 in the gap 1 + 0.4 cos theta + 0.1 zeta, with
    the squeeze that makes it exact (derived by differentiating it)."""
    theta, zeta, slenderness = gap.around(n)[:, None], gap.along(m)[None, :], 0.8
    h = 1.0 + 0.4 * np.cos(theta) + 0.1 * zeta
    h_t, h_z = -0.4 * np.sin(theta), 0.1
    p = (1 - zeta**2) * (2 + np.cos(theta - 1)) / 10
    p_t, p_tt = -(1 - zeta**2) * np.sin(theta - 1) / 10, -(1 - zeta**2) * np.cos(theta - 1) / 10
    p_z, p_zz = -2 * zeta * (2 + np.cos(theta - 1)) / 10, -2 * (2 + np.cos(theta - 1)) / 10
    round_ = 3 * h**2 * h_t * p_t + h**3 * p_tt
    axial = (3 * h**2 * h_z * p_z + h**3 * p_zz) / slenderness**2
    film = solve(h, slenderness, squeeze=0.5 * (round_ + axial - h_t), film_start="free", tolerance=1e-10)
    return float(np.abs(film.pressure - p).max())


def test_manufactured_solution_converges_in_second_order() -> None:
    errors = [manufactured(n, m) for n, m in ((45, 11), (90, 21), (180, 41))]
    orders = [math.log2(a / b) for a, b in pairwise(errors)]
    assert errors[-1] < 1e-4
    assert min(orders) >= 1.9


@pytest.mark.parametrize(("eccentricity", "slenderness"), [(0.5, 1.0), (0.8, 0.5), (0.3, 2.0)])
def test_order_of_convergence_inside_the_film(eccentricity: float, slenderness: float) -> None:
    """Three grids, each twice as fine, at nodes they share from the peak upstream (away from the rupture)."""
    films = [
        solve(gap.circular(eccentricity, 0.0, 90 * k, 20 * k + 1), slenderness, tolerance=1e-9)
        for k in (1, 2, 4)
    ]
    a, b, c = (film.pressure[::k, ::k] for film, k in zip(films, (1, 2, 4), strict=True))
    inside = slice(60, 84)  # from 120 degrees before the narrowest gap to 24 before it
    coarse, fine = np.abs(a - b)[inside, 3:-3].sum(), np.abs(b - c)[inside, 3:-3].sum()
    assert math.log2(coarse / fine) >= 1.9


@pytest.mark.parametrize("slenderness", [0.1, 0.5, 1.0, 4.0])
@pytest.mark.parametrize("eccentricity", [0.2, 0.8, 0.97])
def test_multigrid_gives_what_direct_solves_give(eccentricity: float, slenderness: float) -> None:
    h = gap.circular(eccentricity, 2.0, 90, 21, tilt=(0.01, 0.01))
    feed = gap.groove(3.5, 0.3, 0.6, 90, 21)
    network = field.network_of(h, slenderness, feed, 0.05, None, None)
    direct, _, _ = field.directly(network)
    relaxed = solve(h, slenderness, feed=feed, feed_pressure=0.05, tolerance=1e-9).pressure
    np.testing.assert_allclose(relaxed, direct, rtol=0, atol=1e-7 * direct.max())


def test_iterations_do_not_grow_with_the_grid() -> None:
    """Cycles to the same residual for 90x21 to 720x161; a one-grid method needs sixteen times as many."""
    counts = [
        grooved(0.7, 90 * k, 20 * k + 1, tolerance=1e-7).iterations for k in (1, 2, 4, 8)
    ]  # fmt: skip
    assert max(counts) <= 10
    assert counts[-1] <= counts[0] + 3


def test_start_of_the_iteration_does_not_matter() -> None:
    cold = grooved(0.7, tolerance=1e-9)
    for start in (np.zeros((180, 41)), np.full((180, 41), 50.0)):
        warm = grooved(0.7, start=start, tolerance=1e-9)
        np.testing.assert_allclose(warm.pressure, cold.pressure, rtol=0, atol=1e-7 * cold.peak)


def test_mirror_image_along_the_axis() -> None:
    h = gap.circular(0.6, 1.0, tilt=(0.1, 0.05))
    one, other = solve(h, 1.0), solve(h[:, ::-1], 1.0)
    assert other.load == pytest.approx(one.load, rel=1e-5)
    assert (other.moment_x, other.moment_y) == pytest.approx((-one.moment_x, -one.moment_y), rel=1e-4)
    assert abs(one.moment_y) > 0.01 * one.load


def test_turned_bearing_is_the_same_bearing() -> None:
    """By whole steps of the grid exactly; by part steps within the discretization."""
    one = solve(gap.circular(0.8, 0.0), 0.5)
    by_steps = solve(gap.circular(0.8, 2 * math.pi * 37 / 180), 0.5)
    between = solve(gap.circular(0.8, 2 * math.pi * 37.43 / 180), 0.5)
    assert by_steps.load == pytest.approx(one.load, rel=1e-5)
    assert between.load == pytest.approx(one.load, rel=3e-4)
    turned = math.remainder(between.load_angle - one.load_angle - 2 * math.pi * 37.43 / 180, 2 * math.pi)
    assert abs(turned) < 2e-4


def test_units_do_not_matter() -> None:
    """With k times the clearance P is 1/k^2 of it and so is So: both are over mu omega R^2 / c^2."""
    h = gap.circular(0.6, 0.3, tilt=(0.05, 0.0))
    one, other = solve(h, 1.0, tolerance=1e-9), solve(1e-4 * h, 1.0, tolerance=1e-9)
    assert other.load * 1e-8 == pytest.approx(one.load, rel=1e-7)
    assert other.side_flow * 1e4 == pytest.approx(one.side_flow, rel=1e-6)


def test_concentric_journal_has_petroffs_friction_and_no_load() -> None:
    """Petroff: (R/c) f = 2 pi^2 S, friction force 2 pi mu omega R^2 L / c; closed form."""
    film = solve(gap.plain(), 1.0)
    assert film.load == 0.0
    assert film.friction_full == pytest.approx(2 * math.pi, rel=1e-12)
    assert film.inlet_flow == pytest.approx(math.pi, rel=1e-12)


def test_friction_identity_of_a_round_bearing() -> None:
    """(R/c) f = 2 pi^2 S / sqrt(1 - e^2) + (e/2) sin(phi): equilibrium of the oil, closed form (published with
    the convention of Raimondi and Boyd)."""
    for eccentricity in (0.2, 0.6, 0.9):
        film = solve(gap.circular(eccentricity), 1.0, tolerance=1e-9)
        s = 1.0 / (2.0 * math.pi * film.load)
        expected = 2 * math.pi**2 * s / math.sqrt(1 - eccentricity**2) + 0.5 * eccentricity * math.sin(
            -film.load_angle
        )
        assert film.friction_coefficient == pytest.approx(expected, rel=1e-3)


def test_short_bearing_is_reached_in_the_limit() -> None:
    """Ocvirk's closed form (pi film): the finite solution leaves it as (L/D)^2."""

    def off(slenderness: float, e: float = 0.3) -> float:
        root = math.sqrt(math.pi**2 * (1 - e * e) + 16 * e * e)
        ocvirk = slenderness**2 * e * root / (2 * (1 - e * e) ** 2)
        return solve(gap.circular(e), slenderness, tolerance=1e-8).load / ocvirk - 1.0

    assert abs(off(0.1)) < 0.01
    assert off(0.2) / off(0.1) == pytest.approx(4.0, rel=0.25)


def test_moments_of_a_tilted_journal_against_a_finer_grid() -> None:
    fine = grooved(0.7, 720, 161)
    usual = grooved(0.7)
    assert (usual.moment_x, usual.moment_y) == pytest.approx(
        (fine.moment_x, fine.moment_y), abs=2e-3 * fine.load
    )
    assert math.hypot(fine.moment_x, fine.moment_y) > 0.02 * fine.load


def test_squeeze_carries_a_still_journal() -> None:
    """A journal pressed in carries load towards the side it moves to; linear in the velocity until rupture."""
    theta = gap.around()
    towards = np.broadcast_to(-np.cos(theta)[:, None], (180, 41)).copy()
    films = [solve(gap.plain(), 1.0, squeeze=k * towards, film_start="free") for k in (0.1, 0.2)]
    assert films[0].load_x > 0.0
    assert abs(films[0].load_y) < 1e-4 * films[0].load_x
    assert films[1].load == pytest.approx(2 * films[0].load, rel=1e-4)


NAN = gap.plain(24, 11)
NAN[3, 3] = math.nan
TOUCHING = gap.circular(1.001, 0.0, 24, 11)


@pytest.mark.parametrize(
    ("field", "arguments", "options"),
    [
        ("gap", (NAN, 1.0), {}),
        ("gap", (TOUCHING, 1.0), {}),
        ("gap", (np.ones(24), 1.0), {}),
        ("gap", (np.ones((4, 4)), 1.0), {}),
        ("slenderness", (gap.plain(24, 11), 0.05), {}),
        ("slenderness", (gap.plain(24, 11), math.inf), {}),
        ("slenderness", (gap.plain(24, 11), math.nan), {}),
        ("feed", (gap.plain(24, 11), 1.0), {"feed": np.ones((24, 11), bool)}),
        ("feed", (gap.plain(24, 11), 1.0), {"feed": np.ones((11, 24), bool)}),
        ("feed_pressure", (gap.plain(24, 11), 1.0), {"feed_pressure": -1.0}),
        ("squeeze", (gap.plain(24, 11), 1.0), {"squeeze": NAN}),
        ("start", (gap.plain(24, 11), 1.0), {"start": NAN}),
        ("tolerance", (gap.plain(24, 11), 1.0), {"tolerance": 0.0}),
        ("supply", (gap.plain(24, 11), 1.0), {"supply": 0.0}),
        ("rupture", (gap.plain(24, 11), 1.0), {"rupture": "gumbel"}),
        ("film_start", (gap.plain(24, 11), 1.0), {"film_start": "widest"}),
    ],
)
def test_bad_input_names_its_field(
    field: str, arguments: tuple[Array, float], options: dict[str, object]
) -> None:
    with pytest.raises(InputError) as caught:
        solve(*arguments, **options)  # type: ignore[arg-type]
    assert [problem.field for problem in caught.value.problems] == [field]


def test_every_fault_is_named_at_once() -> None:
    with pytest.raises(InputError) as caught:
        solve(TOUCHING, 9.0, feed_pressure=math.nan)
    assert {problem.field for problem in caught.value.problems} == {"gap", "slenderness", "feed_pressure"}


@pytest.mark.parametrize("angle", [0.3, 2.0, 5.5])
@pytest.mark.parametrize("fed", [True, False])
def test_behind_the_rupture_the_gap_keeps_what_left_the_film(angle: float, fed: bool) -> None:
    """By going round each column from where its film is full: the oil is the least gap passed since."""
    h = gap.circular(0.7, angle, 90, 21, tilt=(0.05, 0.02))
    feed = gap.groove(angle + 2.0, 0.3, 0.6, 90, 21) if fed else None
    film = solve(h, 0.8, feed=feed)
    full = film.pressure > 0.0 if feed is None else (film.pressure > 0.0) | feed
    for j in range(1, 20):
        if not full[:, j].any():
            continue
        oil, first = 0.0, int(full[:, j].argmax())
        for i in [*range(first, 90), *range(first)]:
            begins = feed is None and film.fill[i, j] == 1.0 and (film.fill[i] == 1.0).all()
            oil = h[i, j] if full[i, j] or begins else min(oil, h[i, j])
            assert film.fill[i, j] == pytest.approx(oil / h[i, j], rel=1e-12)
