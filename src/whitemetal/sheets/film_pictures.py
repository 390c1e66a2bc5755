"""The oil film's pictures, for page and paper: the running window, gap and pressure, the running section."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from whitemetal.card import Card
from whitemetal.drawing import (
    Field,
    Panel,
    RunningShown,
    Turned,
    WindowShown,
    maps_svg,
    running_section_svg,
    running_window_svg,
)
from whitemetal.fitting.consequence_parts import Consequence, CriterionShown, WindowPoint
from whitemetal.units import find_unit, show
from whitemetal.words import say

Rotation = Literal["clockwise", "anticlockwise"]

ZERO_CELSIUS = 273.15
"""0 degC in K. Source: the definition of the degree Celsius."""


@dataclass(frozen=True)
class FilmPictures:
    """SVG texts. maps and section are "" where there is no running state to draw."""

    window: str
    maps: str
    section: str


def film_pictures(card: Card, found: Consequence, *, turned: Turned = 0) -> FilmPictures:
    """All pictures of a film's consequence."""
    window = running_window_svg(card, window_of(card, found))
    if found.gap is None or found.theta is None or found.z is None or found.pressure is None:
        return FilmPictures(window, "", "")
    unit, size = film_unit(card)
    fields = (
        Field(say("film.map_gap"), unit, (found.gap / size).tolist(), dark_is_low=True),
        Field(say("film.map_pressure"), "bar", (found.pressure / 1e5).tolist()),
    )
    maps = maps_svg(card, fields, found.theta.tolist(), found.z.tolist(), turned=turned)
    return FilmPictures(window, maps, _section(card, found, turned))


def film_unit(card: Card) -> tuple[str, float]:
    """The unit of film thickness that goes with a bearing's clearances, and its size [m]."""
    name = "µm" if card.bearing.unit == "mm" else "thou"
    unit = find_unit(name, "length")
    return name, unit.scale if unit is not None else 1e-6


def window_of(card: Card, found: Consequence) -> WindowShown:
    """A consequence's window as plain numbers to draw."""
    unit, size = film_unit(card)
    points = found.points
    wanted = {one.name: one for one in found.criteria}
    film = Panel(
        say("film.named_film"), unit, tuple(p.least_film / size for p in points),
        _wanted(wanted.get("film"), size),
    )  # fmt: skip
    heat = Panel(
        say("film.named_temperature"), "°C", tuple(p.temperature - ZERO_CELSIUS for p in points),
        _wanted(wanted.get("temperature"), 1.0, ZERO_CELSIUS), "at most",
    )  # fmt: skip
    whirl = Panel(
        say("film.named_whirl"), "",
        tuple(_times(p, found.running) for p in points),
        _wanted(wanted.get("whirl"), 1.0),
    )  # fmt: skip
    panels = (film, heat, whirl) if any(v is not None for v in whirl.values) else (film, heat)
    measured = None
    if found.measured is not None and found.low is not None and found.high is not None:
        measured = found.measured, found.low, found.high
    return WindowShown(
        tuple(p.clearance for p in points), panels, tuple((low, high) for low, high, _, _ in found.intervals),
        measured, found.limits, found.tried,
    )  # fmt: skip


def _times(point: WindowPoint, running: float) -> float | None:
    """Whirl threshold over running speed; None where all that is known of it is a lower bound, which a line
    would show as a threshold."""
    if point.threshold is None or point.threshold_is == "at least":
        return None
    return point.threshold / running


def _wanted(criterion: CriterionShown | None, size: float, zero: float = 0.0) -> float | None:
    return None if criterion is None else (criterion.value - zero) / size


def _section(card: Card, found: Consequence, turned: Turned) -> str:
    """The section through the ring where the film is thinnest."""
    gap, pressure, theta = found.gap, found.pressure, found.theta
    if gap is None or pressure is None or theta is None or found.journal is None:
        return ""
    ring = int(gap.min(axis=0).argmin())
    deep = int(pressure.max(axis=0).argmax())
    unit, size = film_unit(card)
    least = found.state.least_film.value if found.state is not None else math.nan
    step = size if unit == "µm" else size / 100
    shown = RunningShown(
        tuple(theta.tolist()), tuple(gap[:, ring].tolist()), tuple(pressure[:, deep].tolist()), found.journal,
        show(least, unit, "length", step=step) if math.isfinite(least) else "",
        card.duty.direction, found.rotation,
    )  # fmt: skip
    return running_section_svg(card, shown, turned=turned)
