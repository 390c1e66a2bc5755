"""A film's consequence as JSON, ``whitemetal.film/1``: keys name their SI unit, not finite is null."""

from __future__ import annotations

import math
from typing import Any

from numpy.typing import NDArray

from whitemetal.fitting.consequence_parts import Bounded, Consequence, StateShown, WindowPoint

FORMAT = "whitemetal.film/1"


def as_json(consequence: Consequence, *, maps: bool = True) -> dict[str, Any]:
    """Plain values for ``json``. maps: with the arrays of gap and pressure (shape n_theta by n_z).

    A threshold that is infinite (stable at any speed) is null with ``"stable": true``; null and false
    where it is not calculated.
    """
    c = consequence
    return {
        "format": FORMAT,
        "sentence": c.sentence,
        "warm_up": c.warm_up,
        "clearance": {
            "measured_m": c.measured, "low_m": c.low, "high_m": c.high, "probability": 0.95,
            "basis": "diametral, cold", "placed": c.placed, "tried": c.tried,
        },
        "limits": {"minimum_m": c.limits[0], "maximum_m": c.limits[1], "basis": "diametral"},
        "running_rad_per_s": c.running,
        "rotation": c.rotation,
        "criteria": [
            {"name": c.name, "value": c.value, "unit": c.unit, "way": c.way, "source": c.source}
            for c in consequence.criteria
        ],
        "intervals": [
            {"low_m": low, "high_m": high, "closed_below_by": below, "closed_above_by": above}
            for low, high, below, above in c.intervals
        ],
        "points": [_point(each) for each in c.points],
        "state": None if c.state is None else _state(c.state),
        "half_supply": None if c.half is None else _state(c.half),
        "aligned_least_film_m": c.aligned_film,
        "journal": None if c.journal is None else {"right_m": c.journal[0], "up_m": c.journal[1]},
        "maps": _maps(c) if maps else None,
        "assumed": list(c.said),
        "cautions": list(c.cautions),
    }  # fmt: skip


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None


def _threshold(value: float | None, what: str) -> dict[str, Any]:
    return {
        "threshold_rad_per_s": _finite(value),
        "threshold_is": what,
        "stable": value is not None and math.isinf(value),
    }


def _bounded(value: Bounded) -> dict[str, float | None]:
    return {"value": _finite(value.value), "low": _finite(value.low), "high": _finite(value.high)}


def _point(point: WindowPoint) -> dict[str, Any]:
    return {
        "clearance_m": point.clearance,
        "least_film_m": _finite(point.least_film),
        "temperature_K": _finite(point.temperature),
        "power_W": _finite(point.power),
        "flow_m3_per_s": _finite(point.flow),
        **_threshold(point.threshold, point.threshold_is),
        "ok": point.ok,
        "worst": point.worst,
        "contact": point.contact,
    }


def _state(state: StateShown) -> dict[str, Any]:
    return {
        "answer": state.answer,
        "supply": state.supply,
        "running_clearance_m": state.clearance,
        "least_film_m": _bounded(state.least_film),
        "film_temperature_K": _bounded(state.temperature),
        "judged_temperature_K": _bounded(state.hottest),
        "power_W": _finite(state.power),
        "flow_m3_per_s": _finite(state.flow),
        **_threshold(state.threshold, state.threshold_is),
        "eccentricity": state.eccentricity,
        "attitude_rad": state.attitude,
        "peak_Pa": _finite(state.peak),
        "uneven": state.bent,
    }


def _maps(consequence: Consequence) -> dict[str, Any] | None:
    arrays = {
        "theta_rad": consequence.theta, "z_m": consequence.z, "gap_m": consequence.gap,
        "pressure_Pa": consequence.pressure,
    }  # fmt: skip
    if any(array is None for array in arrays.values()):
        return None
    return {name: _listed(array) for name, array in arrays.items() if array is not None}


def _listed(array: NDArray[Any]) -> Any:
    return array.tolist()
