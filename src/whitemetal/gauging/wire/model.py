"""The reading model of the soft wire: the gap between a journal at rest and the upper half (`gap_shape`)."""

from __future__ import annotations

from whitemetal.gauging.gap_shape import WRONG_FOR, design, shape_factor, shape_slope, unknowns

__all__ = ["WRONG_FOR", "design", "shape_factor", "shape_slope", "unknowns"]
