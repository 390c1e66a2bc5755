"""The plan of work on invented bearings: what it does, what it says, and that it never leaves a limit."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from numpy.polynomial.hermite_e import hermegauss
from scipy.special import ndtr

from tests.fitting.brute_plan import UM, random_case
from tests.fitting.test_plan_solve import present_of
from tests.gauging.build import MAKER, card, facts, places_of, readings
from whitemetal.card import Card, Joint, Limit, read_card
from whitemetal.demo_mill.load import demo_text
from whitemetal.errors import InputError, MethodRefused, NotConverged
from whitemetal.fitting import plan_solve
from whitemetal.fitting.plan import Plan, Said, plan_work, tried
from whitemetal.fitting.plan_box import Box
from whitemetal.fitting.plan_model import (
    Allowed,
    ContactWork,
    Measured,
    Pack,
    PassWork,
    Present,
    ShimWork,
    Spot,
    Work,
)
from whitemetal.fitting.plan_predict import predict, values_of
from whitemetal.fitting.plan_rows import Constraint
from whitemetal.fitting.verdict import WITHIN, Band
from whitemetal.gauging import method_named
from whitemetal.gauging.contract import Assessed, Place, Result
from whitemetal.gauging.readings_file import read_toml
from whitemetal.gauging.wire import WIRE
from whitemetal.quantity import Influence, Quantity

MM = 1e-3


def demo_plan(bearing: str, said: Said | None = None) -> Plan:
    """The plan of an invented bearing of the mill."""
    one = read_card(demo_text(f"{bearing}.toml"))
    method = method_named("wire")
    taken = read_toml(demo_text(f"{bearing}.readings.toml"), one, method).sound()
    result = method.evaluate(one, taken.places, taken.facts, taken.readings)
    return plan_work(one, result, taken.facts, said=said or Said())


def test_the_pump_takes_a_tenth_of_shims_a_side_then_one_finishing_pass_at_the_mark_end() -> None:
    plan = demo_plan("pump_outboard_end")
    assert plan.works
    shims = [(one.joint, one.added, [round(size / MM, 6) for size in one.taken]) for one in plan.work.shims]
    assert shims == [("lined cap joint", (), [0.1])]
    passes = [one for one in plan.work.passes if one.count]
    assert passes == [PassWork("coupling end", rough=0, finishing=1)]
    assert [step.kind for step in plan.steps] == ["shims", "pass", "check"]
    assert plan.steps[0].text == (
        "Take 0.100 mm of shims a side out of the lined cap joint, both sides alike."
    )
    assert "coupling end (mark end) only: one finishing pass" in plan.steps[1].text
    assert (plan.openings, plan.shims, round(plan.metal / MM, 6)) == (2, 1, 0.0035)
    assert plan.prediction.word == "within limits"
    assert plan.proof is not None and (plan.proof.status, plan.proof.gap) == ("optimal", 0.0)


def test_a_new_check_with_the_shims_out_reads_what_the_plan_foresaw() -> None:
    """The wire method knows of the final joint by itself: with 0.10 mm less in it, it must say the same."""
    one = read_card(demo_text("pump_outboard_end.toml"))
    taken = read_toml(demo_text("pump_outboard_end.readings.toml"), one, WIRE).sound()
    now = WIRE.evaluate(one, taken.places, taken.facts, taken.readings)
    work = Work((ShimWork("lined cap joint", (), (0.1 * MM,)),))
    foreseen = tried(one, now, taken.facts, work).prediction
    closed = {
        key: replace(fact, text="metal to metal", value=None) if key == "final_joint" else fact
        for key, fact in taken.facts.items()
        if not key.startswith("final_joint_")
    }
    then = WIRE.evaluate(one, taken.places, closed, taken.readings)
    read = {place.place.label: place.value.value for place in then.places}
    for value in foreseen.clearance:
        assert math.isclose(value.after, read[value.where], abs_tol=1e-9), value.where


def test_nothing_works_on_the_blower_but_new_shells() -> None:
    plan = demo_plan("blower_coupling_end")
    assert not plan.works and plan.steps == ()
    assert {one.code for one in plan.colliding} == {"no_joint", "greatest"}
    assert any("metal cannot be put back" in reason for reason in plan.because)
    assert "New or re-metalled shells" in plan.way_out[-1]


def bearing(joint: str = "shell joint", crush: bool = True, **bearing_facts: Any) -> Card:
    limits = [MAKER]
    if crush:
        limits.append(Limit("crush", 0.0, 0.05 * MM, "maker's figure for this machine", "invented", "A"))
    one = card(joint=Joint("shims", 0.20 * MM, 0.20 * MM, joint), limits=tuple(limits))  # type: ignore[arg-type]
    return replace(one, bearing=replace(one.bearing, **bearing_facts))


def wires(one: Card, clearance: float, change: float = 0.0) -> Result:
    """A wire check with the clearance (final joint as on the card) and its change along the land."""
    places, known = places_of(one), facts(joint="shims", final_joint="shims")

    def gap(place: Place) -> float:
        tilt = change * (place.axial / one.bearing.length - 0.5)
        return (clearance + tilt) * (1.0 + math.cos(place.angle)) / 2.0

    return WIRE.evaluate(one, places, known, (*readings(places, gap), *readings(places, gap, 2)))


def crushed(value: float, u: float = 3e-6) -> Result:
    quantity = Quantity.of(value, Influence("crush", "crush", u))
    return Result(None, assessed=(Assessed("crush", "crush", (quantity,)),))


def planned(
    one: Card, clearance: float, crush: float | None = None, change: float = 0.0, **said: Any
) -> Plan:
    return plan_work(
        one, wires(one, clearance, change), facts(joint="shims", final_joint="shims"),
        crushed(crush) if crush is not None else None, Said(**said),
    )  # fmt: skip


PIECES = (Pack("shell joint", (0.10 * MM, 0.05 * MM, 0.05 * MM)),)


def test_shims_between_the_shell_halves_take_the_crush_with_them() -> None:
    """0.33 mm between 0.20 and 0.28: 0.10 out brings 0.23; the crush goes from 0.125 to 0.025."""
    plan = planned(bearing(), 0.33 * MM, 0.125 * MM, pack=PIECES, stock=())
    assert plan.works
    assert math.isclose(plan.prediction.crush[0].after, 0.025 * MM, abs_tol=1e-9)
    assert plan.prediction.crush_changes
    assert any("no general factor" in remark for remark in plan.remarks)
    then = " ".join(plan.steps[0].then)
    assert "Measure the crush again: 0.025 mm" in then and "before anything is scraped" in then
    assert any("0.100 mm higher than wide" in remark for remark in plan.remarks)


def test_no_shim_changes_a_crush_that_nobody_measured() -> None:
    plan = planned(bearing(), 0.33 * MM, None, pack=PIECES)
    assert not plan.works
    assert "crush_unknown" in {one.code for one in plan.colliding}
    assert plan.way_out[0] == "Measure the crush, then plan again."


def test_without_a_limit_of_the_crush_it_must_not_be_changed() -> None:
    plan = planned(bearing(crush=False), 0.33 * MM, 0.02 * MM, pack=PIECES)
    assert "crush_no_limit" in {one.code for one in plan.colliding}


def test_shims_in_both_joints_leave_the_crush() -> None:
    packs = (Pack("shell joint", (0.10 * MM,)), Pack("housing joint", (0.10 * MM,)))
    plan = planned(bearing("both"), 0.33 * MM, 0.02 * MM, pack=packs, stock=())
    assert plan.works and not plan.prediction.crush_changes
    assert [one.taken for one in plan.work.shims] == [(0.10 * MM,), (0.10 * MM,)]


def test_shims_in_the_housing_joint_mend_the_crush_alone() -> None:
    """0.12 mm of crush, 0 to 0.05 allowed: 0.10 mm into the housing joint leaves 0.02 and no change above."""
    plan = planned(bearing("housing joint"), 0.24 * MM, 0.12 * MM, pack=(), stock=(0.10 * MM,))
    assert plan.works and plan.openings == 1
    assert plan.work.shims == (ShimWork("housing joint", (0.10 * MM,), ()),)
    assert all(value.after == value.before for value in plan.prediction.clearance)


def test_the_maker_who_forbids_scraping_is_kept_to() -> None:
    freely = planned(bearing(scraping_allowed=True), 0.20 * MM, 0.02 * MM, pack=(), stock=())
    assert freely.works and freely.work.rounds >= 1
    forbidden = planned(bearing(scraping_allowed=False), 0.20 * MM, 0.02 * MM, pack=(), stock=())
    assert not forbidden.works and "do_not_scrape" in {one.code for one in forbidden.colliding}
    assert any("Ask the maker" in way for way in forbidden.way_out)


def test_no_more_lining_comes_off_than_is_left() -> None:
    plan = planned(bearing(), 0.19 * MM, 0.02 * MM, pack=(), stock=(), lining=0.004 * MM)
    assert not plan.works and "lining" in {one.code for one in plan.colliding}


def test_a_bearing_within_limits_needs_nothing() -> None:
    plan = planned(bearing(), 0.24 * MM, 0.02 * MM)
    assert plan.works and plan.openings == 0 and plan.steps == ()
    assert any("Nothing has to be done" in remark for remark in plan.remarks)


@pytest.mark.parametrize(
    ("where", "near", "far"),
    [("flanks", 0.0, 0.0), ("full length", 1.0, 1.0), ("drive end", 1.0, 0.0), ("other end", 0.0, 1.0)],
)
def test_contact_work_on_the_loaded_half_lowers_the_shaft_as_geometry_says(
    where: str, near: float, far: float
) -> None:
    """Two places at the very ends of the land; two passes of 3.5 µm in the middle of their range."""
    spots = (Spot("near", "drive end", 0.0, 0.0), Spot("far", "other end", 0.1, 0.0))
    measured = Measured(("near", "far"), np.array([240.0, 240.0]) * UM, np.eye(2) * (3 * UM) ** 2, math.inf)
    present = Present(
        spots, measured, Band(200 * UM, 280 * UM), has_crush=False, length=0.1,
        ends=("drive end", "other end"), contact=ContactWork(where, 2),
    )  # fmt: skip
    after = [value.after / UM for value in predict(present, Work()).clearance]
    np.testing.assert_allclose(after, [240.0 + 7.0 * near, 240.0 + 7.0 * far], atol=1e-6)


def test_contact_comes_before_clearance_and_after_shims() -> None:
    plan = planned(
        bearing(scraping_allowed=True), 0.31 * MM, 0.125 * MM, pack=PIECES, stock=(), contact="full length",
    )  # fmt: skip
    kinds = [step.kind for step in plan.steps]
    assert plan.works and kinds.index("shims") < kinds.index("contact") < kinds.index("check")
    assert "Scrape the lower half for its contact" in plan.steps[1].text
    assert any("alignment and seals" in remark for remark in plan.remarks)


def test_a_contact_that_is_no_place_is_asked_again() -> None:
    with pytest.raises(InputError, match="full length"):
        planned(bearing(), 0.24 * MM, 0.02 * MM, contact="somewhere")


def test_without_a_limit_there_is_no_plan() -> None:
    one = replace(bearing(), limits=())
    with pytest.raises(InputError, match="a limit of the oil clearance"):
        planned(one, 0.24 * MM)


def test_a_check_that_reads_no_place_near_the_top_carries_no_plan() -> None:
    with pytest.raises(MethodRefused):
        plan_work(bearing(), Result(None), {})


def test_an_optimum_that_is_not_proven_is_no_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Status 1 of the solver: a limit of time or nodes was reached, with some solution in hand."""
    stopped = SimpleNamespace(status=1, x=np.zeros(40), message="time limit", mip_node_count=1, mip_gap=0.3)
    monkeypatch.setattr(plan_solve, "_run", lambda *some, **more: stopped)
    with pytest.raises(NotConverged, match="time limit"):
        planned(bearing(), 0.33 * MM, 0.125 * MM, pack=PIECES)


def shared(values: list[float], own: float, common: float, packs: tuple[Pack, ...], **more: Any) -> Present:
    """Places with an error of their own and one they share [µm]."""
    spots = tuple(Spot(f"place {i}", f"station {i % 2}", 0.1 * (i % 2), 0.0) for i in range(len(values)))
    covariance = (np.eye(len(values)) * own**2 + common**2) * UM**2
    measured = Measured(tuple(spot.label for spot in spots), np.array(values) * UM, covariance, math.inf)
    return Present(spots, measured, Band(200 * UM, 250 * UM), has_crush=False, packs=packs, **more)


def chance(values: Any, own: float, common: float) -> float:
    """Probability within 200 to 250 µm of values that share one normal error: by Gauss-Hermite quadrature."""
    nodes, weights = hermegauss(80)
    each = [
        np.prod(
            [
                ndtr((250 - v / UM - common * x) / own) - ndtr((200 - v / UM - common * x) / own)
                for v in values
            ]
        )
        for x in nodes
    ]
    return float(np.sum(weights * np.array(each)) / math.sqrt(2.0 * math.pi))


@pytest.mark.parametrize("start", [261.0, 266.0])
def test_places_that_share_an_error_are_kept_inside_together(start: float) -> None:
    """Steps of 1 µm of shims: the least that may come out is where the joint probability reaches 95 %, by
    quadrature. One place alone would be content with less."""
    packs = (Pack("lined cap joint", ()),)
    present = shared([start, start - 6, start - 2, start - 4], 4.0, 5.0, packs)
    sizes = [size * UM for size in range(1, 61, 2)]
    keeps = [size for size in sizes if chance(present.clearance.values - size, 4.0, 5.0) >= WITHIN]
    with_pack = replace(present, packs=(Pack("lined cap joint", (60 * UM,)),))
    for size in sizes:
        work = Work((ShimWork("lined cap joint", (60 * UM - size,), (60 * UM,)),))
        kept = Constraint("together") not in (broken := predict(with_pack, work).broken) and not any(
            one.code in ("least", "greatest") for one in broken
        )
        near = abs(chance(present.clearance.values - size, 4.0, 5.0) - WITHIN) < 2e-3
        assert near or kept == (size in keeps)


def test_a_plane_cuts_off_what_is_outside_and_nothing_that_is_inside() -> None:
    present = shared([230.0, 228.0, 226.0], 4.0, 5.0, ())
    box = Box(present.clearance, present.band)
    rng = np.random.default_rng(7)
    for _ in range(6):
        outside = rng.uniform(190, 260, 3) * UM
        if box.inside(outside):
            continue
        plane = box.plane(outside)
        assert plane.normal @ outside < plane.bound
        inside = [v for v in rng.uniform(205, 245, (40, 3)) * UM if chance(v, 4.0, 5.0) >= WITHIN + 2e-3]
        assert inside and all(plane.normal @ v >= plane.bound for v in inside)


@pytest.mark.parametrize("seed", range(30))
def test_a_plan_never_leaves_a_limit_whatever_the_passes_take(seed: int) -> None:
    """Walked through pass by pass with what a pass takes drawn at random between its least and most: the
    clearance never passes the greatest limit, and no pass takes more than half of what was left."""
    case = replace(random_case(seed), lining=None, rounds=3)
    present = present_of(case)
    work = plan_solve.solve(present).work
    if work is None:
        return
    rng = np.random.default_rng(seed)
    shim = sum(one.change for one in work.shims) * case.joint[0] / UM
    values = np.array(case.values) + shim * np.array(case.by_shim)
    for done in work.passes:
        here = np.array([f"station {s}" == done.station for s in case.station])
        for least, most in [(10.0, 20.0)] * done.rough + [(2.0, 5.0)] * done.finishing:
            gain = rng.uniform(least, most) * np.array(case.by_metal) * here
            assert case.high is None or np.all(gain[here] <= 0.5 * (case.high - values[here]) + 1e-6)
            values = values + gain
            assert case.high is None or np.all(values <= case.high)
    if case.high is not None:
        assert np.all(ndtr((case.high - values) / case.u) >= WITHIN - 1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_neither_order_nor_unit_changes_a_plan(seed: int) -> None:
    present = present_of(random_case(seed))
    turned = list(range(len(present.spots)))[::-1]
    inches = 0.0254
    other = replace(
        present,
        spots=tuple(present.spots[i] for i in turned),
        clearance=Measured(
            tuple(present.clearance.where[i] for i in turned),
            np.array([float(f"{v / inches:.12f}") * inches for v in present.clearance.values[turned]]),
            present.clearance.covariance[np.ix_(turned, turned)], present.clearance.dof,
        ),
        packs=tuple(replace(pack, pieces=pack.pieces[::-1]) for pack in present.packs),
        allowed=replace(present.allowed, stock=present.allowed.stock[::-1]),
    )  # fmt: skip
    first, second = plan_solve.solve(present), plan_solve.solve(other)
    assert (first.work is None) == (second.work is None)
    if first.work is None:
        assert first.colliding == second.colliding
    else:
        np.testing.assert_allclose(first.reached, second.reached, atol=1e-4)


@pytest.mark.parametrize("seed", range(10))
def test_the_forecast_is_what_the_programme_reckoned(seed: int) -> None:
    """Two ways to the same numbers: rows of the programme, and the effects one by one."""
    present = replace(present_of(random_case(seed)), contact=ContactWork("full length", 1))
    joint = present.packs[0].joint
    added = present.allowed.stock[:1]
    stations = tuple(PassWork(station, rough=1, finishing=2) for station in present.stations)
    work = Work((ShimWork(joint, added, present.packs[0].pieces[:1]),), stations)
    foreseen = predict(present, work)
    np.testing.assert_allclose(
        [one.after for one in foreseen.clearance], values_of(present, work, most=False), atol=1e-12
    )
    np.testing.assert_allclose(
        [one.most for one in foreseen.clearance], values_of(present, work, most=True), atol=1e-12
    )


def test_stock_that_is_given_is_used() -> None:
    present = shared([262.0], 2.0, 2.0, (Pack("lined cap joint", (60 * UM,)),), allowed=Allowed((20 * UM,)))
    work = plan_solve.solve(present).work
    assert work is not None and work.shims[0].change == pytest.approx(-40 * UM)


def test_passes_after_a_change_of_crush_wait_for_the_new_clearance() -> None:
    """0.30 mm at one end and 0.27 at the other, limits 0.20 to 0.28, shims of 0.08 mm only, crush 0.06 to go below
    0.05: they must come out, and the end at 0.19 then needs metal."""
    pack = (Pack("shell joint", (0.08 * MM,)),)
    plan = planned(
        bearing(scraping_allowed=True), 0.285 * MM, 0.105 * MM, change=-0.030 * MM, pack=pack, stock=()
    )
    passes = [step for step in plan.steps if step.kind == "pass"]
    assert plan.works and passes and plan.prediction.crush_changes
    assert all(step.text.startswith("Only if the clearance taken after the shims") for step in passes)
    quiet = planned(bearing(scraping_allowed=True), 0.20 * MM, 0.02 * MM, pack=(), stock=())
    assert not any("Only if" in step.text for step in quiet.steps)


def test_where_the_load_points_up_the_lower_half_is_scraped() -> None:
    one = bearing(scraping_allowed=True)
    up = replace(one, duty=replace(one.duty, loaded_half="upper"))
    plan = planned(up, 0.20 * MM, 0.02 * MM, pack=(), stock=())
    assert "Scrape the lower half" in plan.steps[0].text
    assert any("press the shaft down" in remark for remark in plan.remarks)
