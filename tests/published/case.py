"""One published case: what somebody else printed, and what this program computes for it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

Tag = Literal["seen", "from memory", "derived", "common practice"]
"""How the expected value is known: read in the source or in a public copy of it; known from memory only;
derived here in closed form; or what the trade works by."""

RAN: list[Case] = []
"""Cases checked in this process, for the table at the end of the run."""


@dataclass(frozen=True)
class Case:
    """name: what is computed. source: document and clause. expected: the number exactly as printed there.

    compute: the same number from the code under test, in ``unit``. tolerance: half a step of the last digit
    printed, unless another is given with its reason in ``why``. slow: not computed only to be shown.
    """

    name: str
    source: str
    tag: Tag
    expected: str
    compute: Callable[[], float]
    unit: str = ""
    tolerance: float | None = None
    why: str = ""
    slow: bool = False
    _kept: list[float] = field(default_factory=list, repr=False, compare=False)

    def value(self) -> float:
        """The computed value; computed once."""
        if not self._kept:
            self._kept.append(float(self.compute()))
        return self._kept[0]

    @property
    def allowed(self) -> float:
        if self.tolerance is not None:
            return self.tolerance
        exponent = Decimal(self.expected).as_tuple().exponent
        assert isinstance(exponent, int)
        return 0.5 * 10.0**exponent * (1 + 1e-9)

    @property
    def deviation(self) -> float:
        return self.value() - float(self.expected)

    def check(self) -> None:
        """Fail unless the computed value is the printed one within what is allowed."""
        RAN.append(self)
        off = self.deviation
        assert math.isfinite(off)
        assert abs(off) <= self.allowed, (
            f"{self.name}: {self.expected} expected, off by {off:.3g} {self.unit}"
        )
