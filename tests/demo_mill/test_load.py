"""The demo: three invented bearings, three stages, one of them not proven; the same record every time."""

from __future__ import annotations

from pathlib import Path

import pytest

from whitemetal.card import read_card
from whitemetal.demo_mill.load import (
    FAN,
    GEAR,
    MOTOR,
    SLIP,
    demo_readings,
    demo_text,
    load,
    mill_clock,
    mill_ids,
)
from whitemetal.desk import Desk
from whitemetal.desk.rows import BearingRow


def made(path: Path) -> Desk:
    desk = Desk.open(str(path), clock=mill_clock(), ids=mill_ids())
    load(desk)
    return desk


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    return made(tmp_path_factory.mktemp("mill") / "mill.sqlite3")


@pytest.fixture(scope="module", autouse=True)
def _closed(desk: Desk) -> object:
    yield
    desk.close()


def bearings(desk: Desk) -> dict[str, BearingRow]:
    return {machine.tag: bearing for machine in desk.plant() for bearing in machine.bearings}


def words(desk: Desk, tag: str) -> tuple[str, str, int]:
    """Verdict of the check, verdict of the bearing, and how many readings stand."""
    (job,) = bearings(desk)[tag].jobs
    state = desk.job(job.book).state
    (check,) = state.checks
    judgement = desk.judgement(job.book, check)
    return judgement.verdict, judgement.bearing, len(state.checks[check].readings)


def test_three_machines_each_with_a_job(desk: Desk) -> None:
    assert [(machine.tag, machine.kind, len(machine.bearings)) for machine in desk.plant()] == [
        ("TM-22-G01", "gear unit", 1), ("TM-22-M01", "motor", 1), ("TM-31-F02", "fan", 1),
    ]  # fmt: skip
    assert all(len(bearing.jobs) == 1 for bearing in bearings(desk).values())
    assert desk.verify() == ()


def test_three_stages_one_of_them_not_proven(desk: Desk) -> None:
    assert words(desk, "TM-31-F02") == ("within limits", "fit", 12)
    assert words(desk, "TM-22-G01") == ("not proven", "not fit", 9)
    assert words(desk, "TM-22-M01") == ("not proven", "not fit", 0)


def test_they_differ_as_bearings_do() -> None:
    fan, gear, motor = (read_card(demo_text(f"{name}.toml")) for name in (FAN, GEAR, MOTOR))
    assert [card.bearing.unit for card in (fan, gear, motor)] == ["mm", "in", "mm"]
    assert [card.bearing.lubrication for card in (fan, gear, motor)] == [
        "ring-oiled",
        "pressure-fed",
        "ring-oiled",
    ]
    assert motor.limits == ()
    assert [limit.rung for limit in fan.limits] == ["maker's figure for this machine"]


def test_the_gear_is_read_and_only_too_near_the_limit(desk: Desk) -> None:
    """Not proven for want of certainty, not for want of facts: nothing is held."""
    (job,) = bearings(desk)["TM-22-G01"].jobs
    (check,) = desk.job(job.book).state.checks
    judgement = desk.judgement(job.book, check)
    assert [warning.text for warning in judgement.warnings if warning.severity in ("hold", "refused")] == []
    assert judgement.clearance is not None
    assert judgement.limits is not None and judgement.limits.maximum_m is not None
    assert judgement.clearance.diametral_m < judgement.limits.maximum_m
    assert judgement.clearance.diametral_m + judgement.clearance.expanded_m > judgement.limits.maximum_m


def test_the_slip_of_the_fan_stays_to_be_seen(desk: Desk) -> None:
    (job,) = bearings(desk)["TM-31-F02"].jobs
    ((check, state),) = desk.job(job.book).state.checks.items()
    (struck,) = state.struck
    assert (struck.reading.place, struck.reading.text) == SLIP
    assert struck.why
    assert [shown.text for shown in desk.judgement(job.book, check).struck] == [SLIP[1]]


def test_every_reading_is_kept_as_typed(desk: Desk) -> None:
    for tag, bearing in (("TM-31-F02", FAN), ("TM-22-G01", GEAR)):
        (job,) = bearings(desk)[tag].jobs
        (check,) = desk.job(job.book).state.checks.values()
        kept = sorted((one.place, one.squeeze, one.text) for one in check.readings)
        assert kept == sorted((one.place, one.squeeze, one.text) for one in demo_readings(bearing).readings)


def test_everything_is_called_invented() -> None:
    for name in (
        f"{FAN}.toml",
        f"{FAN}.csv",
        f"{FAN}.facts.toml",
        f"{GEAR}.toml",
        f"{GEAR}.readings.toml",
        f"{MOTOR}.toml",
    ):
        assert demo_text(name).startswith("# INVENTED")


def test_the_same_record_every_time(desk: Desk, tmp_path: Path) -> None:
    again = made(tmp_path / "again.sqlite3")
    for tag, bearing in bearings(desk).items():
        other = bearings(again)[tag]
        assert other.book == bearing.book
        for ours, theirs in zip(bearing.jobs, other.jobs, strict=True):
            assert again.job(theirs.book).state.digest == desk.job(ours.book).state.digest
    again.close()
