"""Facts that are typed where there is no record to ask: the answers that change nothing a device reckons.

Weights are made as though every fact that is still open had its usual answer. An answer counts as usual where
the engine itself, asked with it and without it, gives the same numbers and raises no doubt. A device to which
such an answer is given goes on; to which none is given says what is lacking; to which another is given says
that the record must be asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from whitemetal.gauging.contract import Fact, Finding, Reading
from whitemetal.gauging.needed import missing
from whitemetal.job.carried_sets import Case
from whitemetal.job.carried_zeros import ZEROS, fact, noted, still_open
from whitemetal.job.typed import read_fact
from whitemetal.units import find_unit

MOST_STEPS = 9
"""Two zeros of a gauge further apart than this many steps of its scale are for the record. Our own: the
engine holds a check up long before, at 2 µm."""


@dataclass(frozen=True)
class Presumed:
    """A fact that is open. texts: its usual answers. lacking: what is said while it is open, "" where the
    check does without. squeeze: from which squeeze on it counts."""

    key: str
    texts: tuple[str, ...]
    lacking: str = ""
    squeeze: int = 1


def fact_of(case: Case, key: str, text: str) -> Fact | None:
    """A fact as the record would read it, None where it could not."""
    read = read_fact(case.method, key, text)
    return read if isinstance(read, Fact) else None


def presumed(case: Case, middle: float, decimals: int) -> tuple[Presumed, ...]:
    """The open facts that have a usual answer. case: for as many squeezes as are asked about."""
    readings = case.readings(middle, decimals)
    lacking = {
        one.code.removeprefix("needed."): one.text for one in missing(case.method, case.check.facts, readings)
    }
    found = []
    for key, texts, squeeze in case.kind.answers(case.card, case.gauge, case.squeezes):
        if key in case.check.facts and case.check.facts[key].text.strip():
            continue
        usual = tuple(text for text in texts if _changes_nothing(case, key, text, readings))
        if usual:
            found.append(Presumed(key, usual, lacking.get(key, ""), squeeze))
    return tuple(found)


def _changes_nothing(case: Case, key: str, text: str, readings: tuple[Reading, ...]) -> bool:
    fact = fact_of(case, key, text)
    if fact is None:
        return False
    told = case.told({key: fact}, case.squeezes)
    before, after = case.result(readings), told.result(readings)
    if (
        before.overall is None
        or after.overall is None
        or before.covariance is None
        or after.covariance is None
    ):
        return False
    same = np.isclose(before.overall.value, after.overall.value, rtol=1e-12, atol=0.0) and np.allclose(
        before.covariance, after.covariance, rtol=1e-12, atol=0.0
    )
    own = {f"needed.{key}"}
    old = {(one.code, one.place) for one in case.weighty(readings)} - {(code, "") for code in own}
    return bool(same) and {(one.code, one.place) for one in told.weighty(readings)} <= old


def told_as_usual(case: Case, found: Sequence[Presumed]) -> Mapping[str, Fact]:
    """The open facts with their usual answers."""
    facts = {one.key: fact_of(case, one.key, one.texts[0]) for one in found}
    return {key: fact for key, fact in facts.items() if fact is not None}


def zero_ways(case: Case, decimals: int, usual: Sequence[Finding], middle: float) -> Iterator[Case]:
    """The ways in which the zeros that nobody has noted yet may turn out: none noted, one noted, and both
    noted so many steps of the scale apart, as far as that raises no other doubt than the usual ones."""
    open_ = still_open(case.check.facts, case.gauge)
    known = list(noted(case.check.facts, case.gauge).values())
    yield case
    if not case.kind.zeros:
        return
    unit = find_unit(case.card.bearing.unit, "length")
    assert unit is not None
    for count in range(1, len(open_) + 1):
        first = known[0] if known else 0.0
        told = {key: fact(first) for key in open_[:count]}
        both = len(known) + count == len(ZEROS)
        for steps in range(MOST_STEPS + 1 if both else 1):
            far = {open_[count - 1]: fact(first + steps * 10.0**-decimals * unit.scale)}
            way = replace(case.told({**told, **far}, case.squeezes), drift=steps if both else None)
            if way.weighty(way.readings(middle, decimals)) != list(usual):
                break
            yield way
