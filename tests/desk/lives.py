"""A bearing that lives through years: a desk whose clock is set by hand, and openings with what was measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from tests.web.plant import CARD, FACTS, GAUGE, wire_reading
from whitemetal.desk import Desk, Writer

IDA = Writer("Ida Invented", "phone" + "a" * 21)
RENEWED_AT = CARD.replace('maximum = "0.30 mm"', 'maximum = "0.30 mm"\nrenewal = "0.40 mm"')
"""The card of the tests with a renewal limit."""


class Years:
    """A clock that stands where it is set and goes on a second at each look."""

    def __init__(self, day: str) -> None:
        self.set(day)

    def set(self, day: str) -> None:
        self.now = datetime.fromisoformat(f"{day}T07:00:00").replace(tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def a_desk(where: Path, day: str = "2026-03-02") -> tuple[Desk, Years]:
    """A fresh record and its clock."""
    years, numbers = Years(day), count(1)
    return Desk.open(str(where), clock=years, ids=lambda: f"n{next(numbers):06d}"), years


def seeing(desk: Desk, job: str) -> Writer:
    """Ida, who has seen all of the job."""
    return replace(IDA, seen=desk.job(job).state.heads)


def measure(desk: Desk, job: str, purpose: str, clearance: float, torque: str = "420 N m") -> str:
    """A wire check with every needed fact and a reading at every place; clearance diametral [mm]."""
    desk.keep_instrument("M-07", GAUGE, IDA)
    check = desk.start_check(job, "wire", purpose, seeing(desk, job))
    for key, text in {**FACTS, "torque": torque}.items():
        desk.keep_fact(job, check, key, text, seeing(desk, job))
    for key in ("zero_before", "zero_after"):
        desk.keep_fact(job, check, f"instrument.M-07.{key}", "0.000 mm", seeing(desk, job))
    for place in desk.job(job).state.checks[check].places:
        kept = desk.keep_reading(
            job, check, place.label, wire_reading(place, clearance), seeing(desk, job), unit="mm",
            instrument="M-07",
        )  # fmt: skip
        assert kept.problem is None, kept.problem
    return check


def opening(
    desk: Desk, bearing: str, number: str, found: float | None, left: float | None,
    between: Callable[[str], object] | None = None,
) -> str:  # fmt: skip
    """A whole opening: found, then work on the fit, then left. Returns the job."""
    job = desk.open_job(bearing, number, "opening", IDA)
    if found is not None:
        measure(desk, job, "as found", found)
    if between is not None:
        between(job)
    elif left is not None:
        desk.change_fit(job, "scraping", "upper", "", "two high spots", seeing(desk, job))
    if left is not None:
        measure(desk, job, "as left", left)
    return job
