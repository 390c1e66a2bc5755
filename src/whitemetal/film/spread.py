"""The uncertainty of the measured gap carried into film thickness and temperature.

First order after JCGM 100:2008 5.1.3, with the components taken as half the change of the result between one
standard uncertainty above and below (5.1.3 note 2), so that no derivative has to be known. Correlations are
kept: a result carries the influences of its inputs. How far the result is from a straight line over that
stretch is said.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from whitemetal.film.running import Conditions, FilmAt, PressureFlow, State, no_pressure_flow, settle
from whitemetal.quantity import Quantity, combine

BENT = 0.25
"""A second-order shift above this part of the standard uncertainty is called bent: the interval is then not
to be trusted at its ends. Our own."""

GapOf = Callable[[Sequence[float]], tuple[float, FilmAt]]
"""Cold diametral clearance [m] and film of a bore from the measured numbers [SI]."""


@dataclass(frozen=True)
class Carried:
    """A result with its uncertainty. shift: mean second-order change over one standard uncertainty, summed
    over the inputs [SI]. bent: whether that is large against the uncertainty."""

    quantity: Quantity
    shift: float

    @property
    def bent(self) -> bool:
        return abs(self.shift) > BENT * self.quantity.u


@dataclass(frozen=True)
class RunningSpread:
    """state: at the measured values. film [m], temperature (effective) and hottest [K], power [W]."""

    state: State
    film: Carried
    temperature: Carried
    hottest: Carried
    power: Carried


def carry(
    run: Callable[[Sequence[float]], Sequence[float]], inputs: Sequence[Quantity]
) -> tuple[Carried, ...]:
    """Results of ``run`` with their uncertainties. run: from values to results, all [SI], of fixed length.

    An input without uncertainty costs no run; each other costs two.
    """
    values = [each.value for each in inputs]
    middle = run(values)
    slopes = [[0.0] * len(inputs) for _ in middle]
    shifts = [0.0] * len(middle)
    for column, each in enumerate(inputs):
        if each.u == 0.0:
            continue
        above, below = (run(_moved(values, column, side * each.u)) for side in (1.0, -1.0))
        for row, (high, low) in enumerate(zip(above, below, strict=True)):
            slopes[row][column] = (high - low) / (2.0 * each.u)
            shifts[row] += 0.5 * (high + low) - middle[row]
    return tuple(
        Carried(Quantity(value, combine(slope, inputs).parts), shift)
        for value, slope, shift in zip(middle, slopes, shifts, strict=True)
    )


def _moved(values: Sequence[float], column: int, step: float) -> list[float]:
    return [value + step if i == column else value for i, value in enumerate(values)]


def spread(
    conditions: Conditions,
    gap_of: GapOf,
    inputs: Sequence[Quantity],
    *,
    pressure_flow: PressureFlow = no_pressure_flow,
) -> RunningSpread:
    """How a measured bore runs, with the uncertainty that its measurement leaves.

    inputs: the measured numbers, as ``gap_of`` takes them. Raises what `settle` does. A film that touches at
    one end of the interval counts as 0 thick there, which shows as bent.
    """
    seen: list[State] = []

    def run(values: Sequence[float]) -> tuple[float, ...]:
        cold, film_at = gap_of(values)
        state = settle(conditions, cold, film_at, pressure_flow=pressure_flow)
        seen.append(state)
        return (
            state.film,
            state.temperature,
            min(state.hottest, conditions.oil.highest),
            min(state.power, 1e9),
        )

    film, temperature, hottest, power = carry(run, inputs)
    return RunningSpread(seen[0], film, temperature, hottest, power)
