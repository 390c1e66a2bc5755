"""Uncertain numbers: first-order propagation after JCGM 100:2008 (the GUM), 5.1.2.

A `Quantity` is a value and, for every `Influence` it depends on, the component of uncertainty
``c_i = (df/dx_i) u(x_i)`` (JCGM 100, 5.1.3). Influences are independent of each other; two quantities
are correlated when they share one (5.2.2, F.1.2.3). Checked against JCGM 100 H.1 and against GTC.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Shape = Literal["normal", "rectangular", "one-sided rectangular", "student"]


@dataclass(frozen=True)
class Influence:
    """One independent source of error.

    key: unique in one computation, e.g. ``wire.closure.squeeze-1``. label: for people.
    u: standard uncertainty in SI, of the influence itself. dof: its degrees of freedom (inf if exact).
    shape: the distribution it was taken from. source: where the number comes from.
    family: influences of one family are summed to one line of a budget.
    """

    key: str
    label: str
    u: float
    dof: float = math.inf
    shape: Shape = "normal"
    source: str = ""
    family: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.u) and self.u >= 0):
            raise ValueError(
                f"{self.key}: standard uncertainty must be finite and not negative, got {self.u}"
            )
        if not self.dof > 0:
            raise ValueError(f"{self.key}: degrees of freedom must be positive, got {self.dof}")

    def __hash__(self) -> int:
        """Of the key alone, whose hash Python reckons once: every sum of quantities looks influences up."""
        return hash(self.key)


@dataclass(frozen=True)
class Quantity:
    """A value [SI] with its components of uncertainty [SI], one for each influence."""

    value: float
    parts: Mapping[Influence, float] = field(default_factory=dict)

    @staticmethod
    def of(value: float, influence: Influence) -> Quantity:
        """A directly known value whose only error is ``influence``."""
        return Quantity(value, {influence: influence.u})

    @cached_property
    def variance(self) -> float:
        """Combined variance, JCGM 100 equation (10)."""
        return math.fsum(part * part for part in self.parts.values())

    @cached_property
    def u(self) -> float:
        """Combined standard uncertainty [SI]."""
        return math.sqrt(self.variance)

    @cached_property
    def dof(self) -> float:
        """Effective degrees of freedom, Welch-Satterthwaite, JCGM 100 equation (G.2b)."""
        below = math.fsum(part**4 / influence.dof for influence, part in self.parts.items())
        return self.variance**2 / below if below > 0 else math.inf

    def __add__(self, other: Quantity | float) -> Quantity:
        return _combine(self, other, _value(self) + _value(other), 1.0, 1.0)

    def __sub__(self, other: Quantity | float) -> Quantity:
        return _combine(self, other, _value(self) - _value(other), 1.0, -1.0)

    def __mul__(self, other: Quantity | float) -> Quantity:
        a, b = _value(self), _value(other)
        return _combine(self, other, a * b, b, a)

    def __truediv__(self, other: Quantity | float) -> Quantity:
        a, b = _value(self), _value(other)
        return _combine(self, other, a / b, 1.0 / b, -a / (b * b))

    __radd__ = __add__
    __rmul__ = __mul__

    def __rsub__(self, other: float) -> Quantity:
        return (self * -1.0) + other

    def __rtruediv__(self, other: float) -> Quantity:
        return exact(other) / self

    def __neg__(self) -> Quantity:
        return self * -1.0

    def map(self, function: Callable[[float], float], slope: Callable[[float], float]) -> Quantity:
        """``function`` of this quantity, with its derivative ``slope``."""
        return _combine(self, 0.0, function(self.value), slope(self.value), 0.0)

    def cos(self) -> Quantity:
        """Cosine of an angle [rad]."""
        return self.map(math.cos, lambda x: -math.sin(x))

    def sqrt(self) -> Quantity:
        """Square root; the value must be positive."""
        return self.map(math.sqrt, lambda x: 0.5 / math.sqrt(x))


def exact(value: float) -> Quantity:
    """A number without uncertainty."""
    return Quantity(value)


def covariance(a: Quantity, b: Quantity) -> float:
    """Covariance of two quantities through the influences they share, JCGM 100 equation (F.2)."""
    small, large = (a.parts, b.parts) if len(a.parts) <= len(b.parts) else (b.parts, a.parts)
    return math.fsum(part * large[influence] for influence, part in small.items() if influence in large)


def combine(weights: Sequence[float], quantities: Sequence[Quantity]) -> Quantity:
    """The weighted sum of quantities, keeping what they share."""
    parts: dict[Influence, float] = {}
    for weight, quantity in zip(weights, quantities, strict=True):
        for influence, part in quantity.parts.items():
            parts[influence] = parts.get(influence, 0.0) + weight * part
    value = math.fsum(weight * quantity.value for weight, quantity in zip(weights, quantities, strict=True))
    return Quantity(value, parts)


def covariance_matrix(quantities: Sequence[Quantity]) -> NDArray[np.float64]:
    """Covariances of n quantities through the influences they share, shape (n, n)."""
    column: dict[Influence, int] = {}
    places = [
        (row, column.setdefault(influence, len(column)), part)
        for row, quantity in enumerate(quantities)
        for influence, part in quantity.parts.items()
    ]
    parts = np.zeros((len(quantities), max(1, len(column))))
    for row, of, part in places:
        parts[row, of] = part
    return np.asarray(parts @ parts.T, dtype=np.float64)


def _value(number: Quantity | float) -> float:
    return number.value if isinstance(number, Quantity) else number


def _combine(a: Quantity | float, b: Quantity | float, value: float, da: float, db: float) -> Quantity:
    parts: dict[Influence, float] = {}
    for number, slope in ((a, da), (b, db)):
        if isinstance(number, Quantity) and slope != 0.0:
            for influence, part in number.parts.items():
                parts[influence] = parts.get(influence, 0.0) + slope * part
    return Quantity(value, parts)
