"""What the measured gap means for the oil film, beside the verdict and without a say in it.

The window is that of the card's own shape, which a measured shape must not move; the state is that of the
bearing as measured. Every number that the card does not give is an assumption in ``said``.
"""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.errors import InputError
from whitemetal.film.bore import Measured
from whitemetal.film.heat import Convection
from whitemetal.film.nominal import Nominal, expected_clearance, rotation_of
from whitemetal.film.running import State, settle
from whitemetal.film.warm_up import guessed, warm_up
from whitemetal.film.window import Placed, Window, margins_of, place, sweep
from whitemetal.fitting import consequence_words as words
from whitemetal.fitting.as_measured import (
    Gauged,
    Ran,
    Seat,
    gauged,
    left_out,
    maps,
    numbers,
    run,
    run_aligned,
)
from whitemetal.fitting.consequence_json import as_json
from whitemetal.fitting.consequence_parts import (
    Bounded,
    Consequence,
    CriterionShown,
    StateShown,
    Where,
    WindowPoint,
)
from whitemetal.fitting.criteria_shown import criteria_of
from whitemetal.fitting.ladder import climb
from whitemetal.fitting.what_if import AS_IT_IS, WhatIf, seen
from whitemetal.gauging.contract import Result
from whitemetal.quantity import Quantity, coverage_factor, exact
from whitemetal.words import say

HALF = 0.5
"""Part of a flooded bearing's oil at which a ring-oiled one is shown too, for nobody knows what its rings
bring. Our own."""


def consequence(card: Card, result: Result | None = None, what_if: WhatIf = AS_IT_IS) -> Consequence:
    """The running window of a card and how the bearing as measured runs in it; pure.

    result: of a gauging method, None without readings; then the state is at the clearance to expect.
    Raises InputError with everything that the card lacks (``duty.load``, ``duty.direction``, ``oil.grade``)
    and for a bore that has no fixed shape, NotConverged when a film is not found.
    """
    nominal = seen(card, what_if)
    window = sweep(nominal.conditions, nominal.curve, nominal.criteria)
    rotation = what_if.rotation or rotation_of(card)
    seat = Seat(card, nominal, rotation)
    found = _tried(None if result is None else gauged(card, result), what_if)
    mean = exact(what_if.clearance or expected_clearance(card)) if found is None else found.mean
    aligned = run_aligned(seat, mean)
    ran = None if found is None else run(seat, found)
    shown = aligned if ran is None else ran.shown
    half, half_said = _half(card, what_if, mean)
    low, high = _interval(mean)
    marked = found is not None or what_if.clearance is not None
    placed = _where(place(window, low, high)) if marked else "not measured"
    state, measured = _mapped(nominal, ran, mean.value)
    drawn = maps(seat, measured, state)
    story = words.Story(
        card, nominal, window, mean.value, placed, shown, aligned, half, drawn, ran.way if ran else None,
        what_if.clearance is not None,
    )  # fmt: skip
    return Consequence(
        measured=mean.value if marked else None,
        low=low if marked else None,
        high=high if marked else None,
        points=tuple(_point(each, window, nominal) for each in window.states),
        criteria=criteria_of(nominal, what_if),
        intervals=tuple(
            (each.low.clearance, each.high.clearance, each.low.closed_by, each.high.closed_by)
            for each in window.intervals
        ),
        placed=placed,
        state=shown,
        half=half,
        aligned_film=None if ran is None else aligned.least_film.value,
        journal=None if drawn is None else drawn.journal,
        gap=None if drawn is None else drawn.gap,
        pressure=None if drawn is None else drawn.pressure,
        theta=None if drawn is None else drawn.theta,
        z=None if drawn is None else drawn.z,
        running=nominal.conditions.speed,
        rotation=rotation,
        limits=_limits(card),
        sentence=words.sentence(story),
        said=(*nominal.said, *half_said, *words.assumed(card, what_if, ran, left_out(result))),
        cautions=words.cautions(card, story),
        warm_up=_warm_up(card, nominal, mean.value),
        tried=what_if.clearance is not None,
    )


def _tried(found: Gauged | None, what_if: WhatIf) -> Gauged | None:
    """What was measured, with the mean clearance that is tried; a trial is exact."""
    if found is None or what_if.clearance is None:
        return found
    change, shift = exact(found.end_to_end.value), exact(found.sideways.value)
    return Gauged(exact(what_if.clearance), change, shift, found.ways)


def _mapped(nominal: Nominal, ran: Ran | None, mean: float) -> tuple[State, Measured]:
    """The state and the gap that the maps show."""
    if ran is not None:
        return ran.state, ran.measured
    return settle(nominal.conditions, mean, nominal.curve), numbers("taper", (mean, 0.0, 0.0))


def _interval(mean: Quantity) -> tuple[float, float]:
    """The 95 % interval of a clearance [m]."""
    half = coverage_factor(mean.dof) * mean.u if mean.u else 0.0
    return mean.value - half, mean.value + half


def _where(placed: Placed) -> Where:
    return "partly inside" if placed.where == "across" else placed.where


def _half(card: Card, what_if: WhatIf, mean: Quantity) -> tuple[StateShown | None, tuple[str, ...]]:
    """The state of a ring-oiled bearing with half its oil, and what to say of that."""
    if card.bearing.lubrication != "ring-oiled":
        return None, ()
    try:
        starved = seen(card, what_if, supply=HALF)
    except InputError:
        return None, (say("film.half_not_shown"),)
    shown = run_aligned(Seat(card, starved, what_if.rotation or rotation_of(card)), mean, HALF)
    return shown, (say("film.half_shown"),)


def _point(state: State, window: Window, nominal: Nominal) -> WindowPoint:
    margins = margins_of(state, window.criteria, nominal.conditions.speed)
    worst = min(margins, key=lambda name: margins[name])
    threshold = None if math.isnan(state.threshold) else state.threshold
    return WindowPoint(
        state.cold, state.film, state.hottest, state.power, state.side_flow + state.pressure_flow, threshold,
        min(margins.values()) >= 0.0, worst, state.answer == "contact", state.threshold_is,
    )  # fmt: skip


def _limits(card: Card) -> tuple[float | None, float | None]:
    """Of the rung that the check is judged by, diametral [m]."""
    chosen = climb(card, "oil clearance").chosen
    if chosen is None:
        return None, None
    return chosen.diametral("minimum"), chosen.diametral("maximum")


def _warm_up(card: Card, nominal: Nominal, cold: float) -> str:
    """One sentence on the way from cold to warm, with the card's own shape at a clearance [m]."""
    given = nominal.conditions
    start = given.cooling.ambient if isinstance(given.cooling, Convection) else given.ambient
    return words.warming(card, warm_up(given, cold, nominal.curve, guessed(given, cold, start=start)))


__all__ = [
    "AS_IT_IS",
    "Bounded",
    "Consequence",
    "CriterionShown",
    "StateShown",
    "WhatIf",
    "Where",
    "WindowPoint",
    "as_json",
    "consequence",
]
