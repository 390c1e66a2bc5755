"""Permissible errors of the instruments of the trade, and the influences that come from them.

Shared by every gauging method but the soft wire, which knows its micrometer better. A figure recorded with
the instrument (fact ``instrument.ID.mpe``) always goes before a table's.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from whitemetal.gauging.contract import Facts, Field, Reading
from whitemetal.quantity import Influence
from whitemetal.units import read
from whitemetal.words import say


@dataclass(frozen=True)
class Instrument:
    """A kind of instrument. table: (up to this length [m], permissible error [m]), ascending."""

    kind: str
    table: tuple[tuple[float, float], ...]
    source: str

    def permissible(self, largest: float) -> float:
        """Maximum permissible error [m] for lengths up to ``largest`` [m]; beyond the table its last."""
        for length, mpe in self.table:
            if largest <= length + 1e-9:
                return mpe
        return self.table[-1][1]


OUTSIDE_MICROMETER = Instrument(
    "outside micrometer",
    ((0.050, 4e-6), (0.100, 5e-6), (0.150, 6e-6), (0.200, 7e-6), (0.250, 8e-6), (0.300, 9e-6),
     (0.350, 10e-6), (0.400, 11e-6), (0.450, 12e-6), (0.500, 13e-6)),
    "table of DIN 863 / ISO 3611 practice",
)  # fmt: skip
INSIDE_MICROMETER = Instrument(
    "inside micrometer",
    ((0.050, 7.5e-6), (0.200, 10e-6), (0.300, 12.5e-6), (0.900, 25e-6)),
    "US Army TB 9-5210-207-24",
)
DIAL_INDICATOR = Instrument("dial indicator", ((0.001, 8e-6), (0.010, 15e-6)), "common practice, from memory")
BORE_COMPARATOR = Instrument("bore comparator", ((1.0, 4e-6),), "common practice, from memory")
SETTING_RING = Instrument("setting ring", ((0.100, 2e-6), (0.500, 3e-6)), "common practice, from memory")
FEELER = Instrument("feeler blades", ((0.1e-3, 5e-6), (1.0e-3, 10e-6)), "common practice, from memory")

SHARED = "instrument"
"""First word of the key of an influence that several methods and checks may share."""

MPE_FIELD = Field("mpe", "Permissible error", "quantity", "instrument", "length",
                  help="from its certificate or book; a usual one is taken when not stated")  # fmt: skip
CALIBRATION_FIELD = Field("calibration_due", "Calibration due", "date", "instrument")


def mpe_of(facts: Facts, name: str, kind: Instrument, largest: float) -> tuple[float, str]:
    """Permissible error [m] of the instrument called ``name``, and its source. Raises UnitError."""
    fact = facts.get(f"instrument.{name}.mpe" if name else "instrument.mpe")
    if fact is not None and fact.text.strip():
        value = fact.value if fact.value is not None else read(fact.text, "length", field="mpe").value
        return value, say("instruments.recorded")
    return kind.permissible(largest), kind.source


def of_instrument(method: str, facts: Facts, name: str, kind: Instrument, largest: float) -> Influence:
    """The error that all readings taken with one instrument share: rectangular over its permissible error.

    An instrument that has a name is the same one in every method; one without is known to its method only.
    """
    mpe, source = mpe_of(facts, name, kind, largest)
    label = say("instruments.error", kind=kind.kind)
    u = mpe / math.sqrt(3.0)
    owner = SHARED if name else method
    key, family = f"{owner}.mpe.{kind.kind}.{name}", f"mpe.{kind.kind}"
    return Influence(key, label, u, math.inf, "rectangular", source, family)


def of_step(method: str, where: str, readings: Sequence[Reading]) -> Influence:
    """What the last digit leaves open, of the mean of these readings: the coarsest step, rectangular."""
    u = max(reading.resolution for reading in readings) / math.sqrt(12.0)
    label, source = say("instruments.step"), say("instruments.step_source")
    return Influence(f"{method}.step.{where}", label, u, math.inf, "rectangular", source, "reading")
