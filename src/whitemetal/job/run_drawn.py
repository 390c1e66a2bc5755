"""The curve of a run-in as it is drawn, on the page and on paper alike."""

from __future__ import annotations

from itertools import pairwise

from whitemetal.drawing.run_curve import RunCurve
from whitemetal.job.run_in import PlaceShown

NEAR = 2.5
"""Readings further apart than so many usual intervals are not joined by a line. Our own."""

ALWAYS_JOINED = 15.0 * 60.0
"""Readings by hand come a quarter of an hour apart [s] and are joined. Common practice."""


MOST_DRAWN = 400
"""A curve of more readings is drawn as the lowest and highest of so many equal stretches. Our own: a picture
is a few hundred units wide."""


def drawn(curve: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """The curve as it is drawn: no peak and no step of it is lost, nor its first and last reading."""
    if len(curve) <= 2 * MOST_DRAWN:
        return curve
    size = -(-len(curve) // MOST_DRAWN)
    kept = {curve[0], curve[-1]}
    for start in range(0, len(curve), size):
        part = curve[start : start + size]
        kept |= {min(part, key=lambda one: one[1]), max(part, key=lambda one: one[1])}
    return tuple(sorted(kept))


def curve_of(place: PlaceShown) -> RunCurve:
    """A place of a run-in as it is drawn."""
    taken = tuple((one.time, one.temperature) for one in place.taken)
    apart = sorted(b[0] - a[0] for a, b in pairwise(taken))
    found = place.watched.forecast
    return RunCurve(
        place.name, drawn(taken), drawn(place.earlier),
        place.alarm.maximum if place.alarm else None, place.trip.maximum if place.trip else None,
        (found.settles, found.low, found.high, found.when) if found else None,
        tuple(one.time for one in place.watched.warned if one.weight != "note"),
        max(NEAR * apart[len(apart) // 2], ALWAYS_JOINED) if apart else float("inf"),
    )  # fmt: skip
