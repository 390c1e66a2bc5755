"""The criteria of a window as rows for people: name, value, unit, source, which way."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.film.curve import HIGHEST_ECCENTRICITY
from whitemetal.film.nominal import Nominal
from whitemetal.fitting.consequence_parts import Consequence, CriterionShown, Way
from whitemetal.fitting.consequence_words import film_text, temperature_text
from whitemetal.fitting.what_if import WhatIf
from whitemetal.units import show
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


def value_text(card: Card, unit: str, value: float) -> str:
    """A value of a criterion in the unit that people read it in."""
    if math.isinf(value):
        return say("film.never")
    shown: dict[str, Callable[[float], str]] = {
        "m": lambda number: film_text(card, number),
        "K": temperature_text,
        "W": lambda number: show(number, "kW", "power"),
        "m3/s": lambda number: say("film.flow", flow=f"{number * 6e4:.2f}"),
        "-": lambda number: f"{number:.3g}",
    }
    return shown[unit](value)


@dataclass(frozen=True)
class Line:
    """A criterion as people read it: what is wanted, what there is, whether that meets it (None where it
    cannot be said), and where the wish comes from. here: "" where there is nothing to compare."""

    name: str
    wanted: str
    here: str
    met: bool | None
    source: str


def lines_of(card: Card, found: Consequence) -> tuple[Line, ...]:
    """The criteria in use against the running state."""
    return tuple(_line(card, each, found) for each in found.criteria)


def _line(card: Card, each: CriterionShown, found: Consequence) -> Line:
    wanted = f"{say('film.at_least' if each.way == 'at least' else 'film.at_most')} "
    wanted += value_text(card, each.unit, each.value)
    name, here = say(f"film.named_{each.name}"), _here(each.name, found)
    if here is None:
        return Line(name, wanted, "", None, each.source)
    met = here >= each.value if each.way == "at least" else here <= each.value
    return Line(name, wanted, value_text(card, each.unit, here), met, each.source)


def _here(name: str, found: Consequence) -> float | None:
    state = found.state
    if state is None or state.answer != "runs":
        return None
    threshold = None if state.threshold is None else state.threshold / found.running
    return {
        "load": state.eccentricity, "film": state.least_film.value, "temperature": state.hottest.value,
        "whirl": threshold, "power": state.power, "flow": state.flow, "laminar": state.turbulence,
    }.get(name)  # fmt: skip
