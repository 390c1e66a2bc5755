"""How the run-in stands is told to who signs, and holds the second signature only where the plant says so.

Settled, from the run-in's own rule: under 1 K in half an hour after an hour at least. A rise of 20 K with a
time constant of 12 minutes leaves 20 exp(-60/12) = 0.13 K after an hour.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.desk.test_signing import both_sign, measured, refused, seeing, with_gauge
from tests.ledger.writing import ANN, BO
from whitemetal.desk import Desk
from whitemetal.desk.procedure import keep_plant_file, plant_files
from whitemetal.desk.run_in import begin_run, keep_run_reading, see
from whitemetal.desk.signing import run_in_lacks, shown_now, sign
from whitemetal.errors import InputError

DEMANDED = 'format = "whitemetal.procedure/1"\nrun_in_before_signing = true\n'
BEGAN = datetime(2026, 2, 3, 13, 0, tzinfo=UTC)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = with_gauge(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def at(minutes: int) -> str:
    return (BEGAN + timedelta(minutes=minutes)).isoformat().replace("+00:00", "Z")


def run_for(desk: Desk, job: str, minutes: int) -> str:
    kept = begin_run(desk, job, "coupled", at(0), "20 degC", ANN)
    assert kept.entry is not None
    run = str(kept.entry.body["run"])
    for minute in range(0, minutes + 1, 5):
        text = f"{40.0 - 20.0 * math.exp(-minute / 12.0):.1f} degC"
        keep_run_reading(desk, job, run, "metal", at(minute), text, ANN)
    return run


def test_without_a_demand_the_run_in_is_told_and_holds_nothing(desk: Desk) -> None:
    job, _ = measured(desk)
    assert shown_now(desk, desk.job(job))["run_in"] == ["Run-in: not recorded."]
    assert run_in_lacks(desk, desk.job(job)) == ""
    both_sign(desk, job)
    signing = desk.job(job).state.signing
    assert signing.signed and signing.standing[0].shown["run_in"] == ["Run-in: not recorded."]


def test_a_plant_may_hold_the_second_signature_until_the_run_is_settled_and_seen(desk: Desk) -> None:
    keep_plant_file(desk, DEMANDED, ANN, ())
    job, _ = measured(desk)
    sign(desk, job, "did", "fit", seeing(desk, job, ANN))
    with pytest.raises(InputError) as failed:
        sign(desk, job, "checked", "fit", seeing(desk, job, BO))
    assert "the plant's procedure demands" in refused(failed) and "not recorded" in refused(failed)
    run = run_for(desk, job, 30)
    sign(desk, job, "did", "fit", seeing(desk, job, ANN))
    with pytest.raises(InputError, match="running"):
        sign(desk, job, "checked", "fit", seeing(desk, job, BO))
    for minute in range(35, 91, 5):
        keep_run_reading(desk, job, run, "metal", at(minute), "40.0 degC", ANN)
    see(desk, job, run, "oil_level", "yes", "looked", ANN)
    assert shown_now(desk, desk.job(job))["run_in"] == ["Run-in, coupled: settled."]
    both_sign(desk, job)
    assert desk.job(job).state.signing.signed


def test_a_bearing_left_out_of_service_is_not_run_in(desk: Desk) -> None:
    keep_plant_file(desk, DEMANDED, ANN, ())
    job, _ = measured(desk, "0.240")
    both_sign(desk, job, "out of service")
    assert desk.job(job).state.signing.signed


def test_of_two_plant_files_the_one_that_demands_is_heard(desk: Desk) -> None:
    keep_plant_file(desk, DEMANDED, ANN, ())
    keep_plant_file(desk, 'format = "whitemetal.procedure/1"\n', BO, ())
    job, _ = measured(desk)
    assert run_in_lacks(desk, desk.job(job)).startswith("a settled run-in")
    keep_plant_file(desk, "", ANN, [one.entry for one in plant_files(desk)])
    assert run_in_lacks(desk, desk.job(job)) == ""


def test_another_oil_after_a_settled_run_in_holds_the_second_signature_again(desk: Desk) -> None:
    keep_plant_file(desk, DEMANDED, ANN, ())
    job, _ = measured(desk)
    run = run_for(desk, job, 90)
    see(desk, job, run, "oil_level", "yes", "looked", ANN)
    assert run_in_lacks(desk, desk.job(job)) == ""
    desk.change_fit(job, "oil", "", "", "ISO VG 68 in", ANN)
    (told,) = shown_now(desk, desk.job(job))["run_in"]
    assert told.startswith("Run-in, coupled: stale. This run-in no longer counts: oil: ISO VG 68 in")
    assert told.endswith("Run it in again in the present state of the fit.")
    assert run_in_lacks(desk, desk.job(job)) != ""
    sign(desk, job, "did", "fit", seeing(desk, job, ANN))
    with pytest.raises(InputError, match="stale"):
        sign(desk, job, "checked", "fit", seeing(desk, job, BO))


def test_a_stop_is_told_of_a_run_in_that_is_stale_too(desk: Desk) -> None:
    job, _ = measured(desk)
    run = run_for(desk, job, 5)
    keep_run_reading(desk, job, run, "metal", at(7), "140 degC", ANN)
    assert shown_now(desk, desk.job(job))["run_in"] == ["Run-in, coupled: stop. Stop and look."]
    desk.change_fit(job, "cap opened", "", "", "to look", ANN)
    (told,) = shown_now(desk, desk.job(job))["run_in"]
    assert told.startswith("Run-in, coupled: stop. Stop and look. This run-in no longer counts: cap opened")
