"""A card as the film sees it, with what an engineer changed for a trial."""

from __future__ import annotations

from dataclasses import dataclass, replace

from whitemetal.card import Card, Oil
from whitemetal.errors import InputError, Problem
from whitemetal.film.bore import Rotation
from whitemetal.film.heat import CarriedByOil, Convection, Cooling
from whitemetal.film.nominal import Nominal, nominal
from whitemetal.film.oil import OilLaw, from_grade
from whitemetal.film.permissible import Criteria
from whitemetal.units import show
from whitemetal.words import say


@dataclass(frozen=True)
class WhatIf:
    """Values in place of the card's and of the defaults; None leaves them. SI.

    oil: a grade, "ISO VG 32". load [N]. ambient: air round the housing [K]. inlet: oil that enters a
    pressure-fed bearing [K]. feed_pressure: gauge [Pa]. rotation: as seen from the machine's viewing end.
    least_film [m], hottest [K], whirl_margin [-]: criteria in place of the defaults. clearance: mean,
    diametral, cold [m], in place of the measured one; the measured change end to end and shift stay.
    """

    oil: str | None = None
    load: float | None = None
    ambient: float | None = None
    inlet: float | None = None
    feed_pressure: float | None = None
    rotation: Rotation | None = None
    least_film: float | None = None
    hottest: float | None = None
    whirl_margin: float | None = None
    clearance: float | None = None


AS_IT_IS = WhatIf()
"""Nothing changed."""


def seen(card: Card, trial: WhatIf, *, supply: float | None = None) -> Nominal:
    """The card with the trial's values. supply: part of a flooded bearing's oil, None for a flooded one.

    The housing stays the one that the card's own load and oil tell of: a thinner oil must not warm it to the
    temperature that the card states for the old one. Raises InputError with everything the card lacks.
    """
    _check(card, trial)
    filled = card if card.oil.grade or trial.oil is None else replace(card, oil=Oil(trial.oil))
    own_load = card.duty.load if card.duty.load is not None else trial.load
    own = nominal(filled, load=own_load, feed_pressure=trial.feed_pressure, rotation=trial.rotation)
    _check_warmth(own.conditions.oil if trial.oil is None else from_grade(trial.oil), card, trial)
    tried = nominal(
        filled, oil=_law(trial), cooling=_cooling(own.conditions.cooling, trial), load=trial.load,
        ambient=trial.ambient, supply=supply, feed_pressure=trial.feed_pressure, rotation=trial.rotation,
    )  # fmt: skip
    kept = own.said if trial.oil is None else own.said[len(own.conditions.oil.said) :]
    said = tuple(dict.fromkeys((*tried.said, *kept)))
    return replace(tried, criteria=_criteria(tried, trial), said=said)


def _criteria(tried: Nominal, trial: WhatIf) -> Criteria:
    changed = {
        name: value
        for name in ("least_film", "hottest", "whirl_margin")
        if (value := getattr(trial, name)) is not None and getattr(tried.criteria, name) is not None
    }
    return replace(tried.criteria, **changed)


def _law(trial: WhatIf) -> OilLaw | None:
    return None if trial.oil is None else from_grade(trial.oil)


def _cooling(own: Cooling, trial: WhatIf) -> Cooling:
    if isinstance(own, Convection) and trial.ambient is not None:
        return replace(own, ambient=trial.ambient)
    if isinstance(own, CarriedByOil) and trial.inlet is not None:
        return replace(own, inlet=trial.inlet)
    return own


def _check_warmth(oil: OilLaw, card: Card, trial: WhatIf) -> None:
    """Refuse air or oil at temperatures where the oil's table ends, by the name it was given under."""
    low, high = (show(each, "degC", "temperature", step=1.0) for each in (oil.lowest, oil.highest))
    given = {
        "ambient": trial.ambient, "inlet": trial.inlet,
        "duty.ambient": None if trial.ambient is not None else card.duty.ambient,
        "oil.inlet_temperature": None if trial.inlet is not None else card.oil.inlet_temperature,
    }  # fmt: skip
    problems = [
        Problem(name, show(value, "degC", "temperature", step=1.0), say("film.oil_known", low=low, high=high))
        for name, value in given.items()
        if value is not None and not oil.lowest <= value < oil.highest
    ]
    if problems:
        raise InputError(*problems)


def _check(card: Card, trial: WhatIf) -> None:
    problems = []
    if trial.inlet is not None and card.bearing.lubrication != "pressure-fed":
        problems.append(
            Problem("inlet", show(trial.inlet, "degC", "temperature", step=1.0), say("film.inlet_fed_only"))
        )
    for name in ("least_film", "whirl_margin", "clearance"):
        value = getattr(trial, name)
        if value is not None and not 0.0 < value < float("inf"):
            problems.append(Problem(name, f"{value:g}", say("film.above_zero")))
    if problems:
        raise InputError(*problems)
