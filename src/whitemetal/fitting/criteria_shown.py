"""The criteria of a window as rows for people: name, value, unit, source, which way."""

from __future__ import annotations

from whitemetal.film.curve import HIGHEST_ECCENTRICITY
from whitemetal.film.nominal import Nominal
from whitemetal.fitting.consequence_parts import CriterionShown, Way
from whitemetal.fitting.what_if import WhatIf
from whitemetal.words import say


def criteria_of(nominal: Nominal, trial: WhatIf) -> tuple[CriterionShown, ...]:
    """Those in use, in the order of `window.margins_of`."""
    wanted = nominal.criteria
    iso, given = say("film.source_iso"), say("film.source_trial")
    whirl = say("film.source_whirl")
    rows: tuple[tuple[str, float | None, str, str, Way], ...] = (
        ("load", HIGHEST_ECCENTRICITY, "-", say("film.source_load"), "at most"),
        ("film", wanted.least_film, "m", iso if trial.least_film is None else given, "at least"),
        ("temperature", wanted.hottest, "K", iso if trial.hottest is None else given, "at most"),
        ("whirl", wanted.whirl_margin, "-", whirl if trial.whirl_margin is None else given, "at least"),
        ("power", wanted.most_power, "W", wanted.source, "at most"),
        ("flow", wanted.most_flow, "m3/s", wanted.source, "at most"),
        ("laminar", 1.0 if wanted.laminar else None, "-", say("film.source_laminar"), "at most"),
    )
    return tuple(
        CriterionShown(name, value, unit, source, way)
        for name, value, unit, source, way in rows
        if value is not None
    )
