"""What the measured gap means for the oil film, beside the verdict and without a say in it."""

from __future__ import annotations

from whitemetal.fitting.consequence_parts import (
    Bounded,
    Consequence,
    CriterionShown,
    StateShown,
    Where,
    WindowPoint,
)

__all__ = ["Bounded", "Consequence", "CriterionShown", "StateShown", "Where", "WindowPoint"]
