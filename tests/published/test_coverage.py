"""Coverage by simulation: how often does the 95 % interval hold the truth?

2,000 random bearings (`simulate`: journal 60 to 300 mm, 0.5 to 3 per mille, taper, sideways offset, standard
layout, metal to metal, joint wires, gasket left out or final shims in) are measured with errors drawn from the
stated budget, rounded to the scale of the micrometer, typed into a card and a readings file, and read back and
evaluated by the program. The interval is value +- k u with k from the effective degrees of freedom, JCGM 100:2008
G.6.4. Wanted: 93 to 97 % where the largest rectangular contribution is under half of u squared, at least 93 %
otherwise (a bounded error can never be as far off as its normal stand-in says).
"""

from __future__ import annotations

import functools
from collections import defaultdict
from collections.abc import Callable, Iterator

import pytest

from whitemetal.card import read_card, write_card
from whitemetal.gauging.readings_file import read_toml
from whitemetal.gauging.wire import WIRE
from whitemetal.quantity import Quantity, coverage_factor

from . import simulate
from .case import Case

BEARINGS = 2000
FEW = 100
"""A class with fewer intervals than this says nothing."""

MEAN, CHANGE, LOCAL = "mean diametral clearance", "change end to end", "local clearance"
Tally = dict[tuple[str, bool], list[float]]
"""For each quantity, and whether one rectangular contribution is half of u squared or more: how far the truth
lies from the value, in half-widths of the interval."""


def estimates(measured: simulate.Measured) -> Iterator[tuple[str, Quantity, float]]:
    """Name, estimate and truth of every quantity of one bearing, from its two files."""
    card = read_card(write_card(measured.card))
    file = read_toml(measured.readings_toml(), card, WIRE).sound()
    result = WIRE.evaluate(card, file.places, file.facts, file.readings)
    assert result.overall is not None
    yield MEAN, result.overall, measured.truth.clearance
    change = next(named.quantity for named in result.named if named.key == "end_to_end")
    yield CHANGE, change, measured.truth.change
    for one in result.places:
        yield LOCAL, one.value, measured.local(one.place)


def one_rectangle_rules(quantity: Quantity) -> bool:
    """Is the largest rectangular contribution half of u squared or more?"""
    squares = [part**2 for influence, part in quantity.parts.items() if "rectangular" in influence.shape]
    return bool(max(squares, default=0.0) >= 0.5 * quantity.variance)


@functools.cache
def tally() -> Tally:
    found: Tally = defaultdict(list)
    for seed in range(BEARINGS):
        for name, estimate, truth in estimates(simulate.measured(seed)):
            distance = abs(estimate.value - truth) / (coverage_factor(estimate.dof) * estimate.u)
            found[name, one_rectangle_rules(estimate)].append(distance)
    return found


def covered(name: str, ruled: bool) -> float:
    """Share of intervals that hold the truth, in per cent."""
    distances = tally()[name, ruled]
    assert len(distances) >= FEW
    return 100.0 * sum(distance <= 1.0 for distance in distances) / len(distances)


def wanted(name: str, ruled: bool) -> Case:
    share: Callable[[], float] = functools.partial(covered, name, ruled)
    source = f"simulation of {BEARINGS} bearings, seeded; JCGM 100:2008 G.6.4"
    if ruled:
        why = "at least 93 % wanted"
        return Case(
            f"95 % interval of {name}, one rectangle rules", source, "derived", "96.5", share, "%", 3.5, why
        )
    return Case(f"95 % interval of {name}", source, "derived", "95", share, "%", 2.0, "93 to 97 % wanted")


CASES = (
    wanted(MEAN, False),
    wanted(CHANGE, False),
    wanted(LOCAL, False),
    wanted(MEAN, True),
    wanted(LOCAL, True),
)
"""The micrometer's error cancels in the change end to end, so no rectangle ever rules it."""


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_interval_covers_the_truth(case: Case) -> None:
    case.check()


def test_no_rectangle_rules_the_change_end_to_end() -> None:
    assert len(tally()[CHANGE, True]) < FEW
    assert len(tally()[CHANGE, False]) > 0.95 * BEARINGS


def test_the_simulation_can_fail() -> None:
    """Intervals a fifth shorter would be caught: their coverage is under 93 % for every quantity."""
    for name in (MEAN, CHANGE, LOCAL):
        distances = tally()[name, False]
        assert sum(distance <= 0.8 for distance in distances) / len(distances) < 0.93


@pytest.mark.soak
def test_if_the_true_spreads_are_what_is_doubtful() -> None:
    """The harder reading of degrees of freedom (JCGM 101:2008 6.4.9.7): the stated figures stand, and the true
    spreads scatter about them as sqrt(nu / chi2_nu), a fifth more in the mean square. JCGM 100's interval is not
    made for it; it still covers at least 92 % of the truths."""
    hits: dict[str, list[bool]] = defaultdict(list)
    for seed in range(BEARINGS):
        for name, estimate, truth in estimates(simulate.measured(seed, doubtful=True)):
            hits[name].append(abs(estimate.value - truth) <= coverage_factor(estimate.dof) * estimate.u)
    shares = {name: sum(found) / len(found) for name, found in hits.items()}
    assert all(share >= 0.92 for share in shares.values()), shares


def test_values_are_not_biased() -> None:
    """Mean of estimate minus truth over the bearings without a one-sided error: under half a micrometre."""
    errors: dict[str, list[float]] = defaultdict(list)
    for seed in range(400):
        measured = simulate.measured(seed)
        if measured.facts["instrument.M1.anvil"] != "flat, strip not flattened":
            for name, estimate, truth in estimates(measured):
                errors[name].append(estimate.value - truth)
    for name, off in errors.items():
        spread = (sum(e * e for e in off) / len(off)) ** 0.5
        assert abs(sum(off) / len(off)) < 0.5e-6 + 3 * spread / len(off) ** 0.5, name
