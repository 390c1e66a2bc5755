"""The job in the order the work happens: one line a stage, each with where it stands and where to go.

A room that has pages of its own gives its stage as a function of the desk and the job as shown; the job's
page only lists them.
"""

from __future__ import annotations

from collections.abc import Callable

from whitemetal.desk import Desk, JobView
from whitemetal.web import (
    closing_pages,
    found_pages,
    inspection_pages,
    life_pages,
    procedure_pages,
    run_pages,
    sign_pages,
)
from whitemetal.web.stage import Stage

Shown = Callable[[Desk, JobView], Stage | None]

STAGES: tuple[Shown, ...] = (
    procedure_pages.stage,
    found_pages.stage,
    inspection_pages.stage,
    closing_pages.stage,
    run_pages.stage,
    sign_pages.stage,
    life_pages.stage,
)
"""In the order of the work: prepare, as found, inspect, fit, close up, run in, sign, foresee."""


def stages_of(desk: Desk, view: JobView) -> tuple[Stage, ...]:
    """The stages of a job; those that do not apply to this bearing are left out."""
    found = (stage(desk, view) for stage in STAGES)
    return tuple(one for one in found if one is not None)
