"""The oil film as text for the terminal. Nothing is compared or decided here."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from whitemetal.card import Card
from whitemetal.cli.judgement_text import head, listed
from whitemetal.cli.screen import Screen
from whitemetal.film.running import Known
from whitemetal.fitting.consequence import Bounded, Consequence, StateShown, WindowPoint
from whitemetal.fitting.consequence_words import clearance_text, film_text, temperature_text
from whitemetal.fitting.criteria_shown import Line, lines_of
from whitemetal.units import show
from whitemetal.words import say


def film_lines(card: Card, found: Consequence, screen: Screen) -> Iterator[str]:
    """Head, sentence, how it runs, warm-up, criteria, assumptions, cautions."""
    yield from _begin(card, found, screen)
    for title, state in (("film.as_it_runs", found.state), ("film.with_half", found.half)):
        if state is not None:
            yield screen.heading(say(title))
            yield from (f"  {label:<22}{value}" for label, value in _rows(card, state))
            yield ""
    yield from screen.wrapped(found.warm_up)
    yield ""
    yield from _end(card, found, screen)


def window_lines(card: Card, found: Consequence, screen: Screen) -> Iterator[str]:
    """Head, sentence, a row for each clearance, criteria, assumptions, cautions."""
    yield from _begin(card, found, screen)
    yield screen.heading(say("film.table"))
    film = film_text(card, 0.0).split()[1]
    yield f"  {card.bearing.unit:>9} {film:>6} {'°C':>6} {'rpm':>9} {'kW':>8} {'l/min':>8}"
    for index, point in enumerate(found.points):
        row = _row(card, point)
        marks = _marks(found, index)
        yield screen.paint(f"  {row}{marks}".rstrip(), *(() if point.ok else ("faint",)))
    yield ""
    yield from _end(card, found, screen)


def _begin(card: Card, found: Consequence, screen: Screen) -> Iterator[str]:
    yield from head(card, screen)
    yield from screen.wrapped(found.sentence)
    yield ""


def _end(card: Card, found: Consequence, screen: Screen) -> Iterator[str]:
    rows = [_criterion(each) for each in lines_of(card, found)]
    yield from listed(say("film.criteria"), rows, screen)
    yield from listed(say("film.assumed"), found.said, screen)
    yield from listed(say("film.cautions"), found.cautions, screen)


def _rows(card: Card, state: StateShown) -> Iterator[tuple[str, str]]:
    yield say("film.row_clearance"), clearance_text(card, state.clearance)
    if state.answer == "contact":
        yield say("film.row_film"), say("film.closes_load")
        return
    yield say("film.row_film"), _range(lambda value: film_text(card, value), state.least_film)
    yield say("film.row_film_temperature"), _warm(state.temperature)
    yield say("film.row_hottest"), _warm(state.hottest)
    yield say("film.row_whirl"), threshold_text(state.threshold, state.threshold_is)
    yield say("film.row_power"), show(state.power, "kW", "power")
    yield say("film.row_flow"), say("film.flow", flow=f"{state.flow * 6e4:.2f}")
    yield say("film.row_peak"), show(state.peak, "MPa", "pressure")
    yield say("film.row_eccentricity"), say("film.eccentricity", part=f"{state.eccentricity:.3f}")
    yield say("film.row_attitude"), say("film.attitude", angle=f"{math.degrees(state.attitude):.0f}")


def _range(text: Callable[[float], str], value: Bounded) -> str:
    middle, low, high = (text(each) for each in (value.value, value.low, value.high))
    return middle if low == middle == high else say("film.in_range", value=middle, low=low, high=high)


def _warm(value: Bounded) -> str:
    return _range(temperature_text, value)


def threshold_text(value: float | None, what: Known) -> str:
    """A whirl threshold [rad/s]; never for none at any speed, a dash where it is not calculated."""
    if value is None:
        return say("film.all_but_centred") if what == "centred" else "–"
    if math.isinf(value):
        return say("film.never")
    speed = f"{value * 30.0 / math.pi:,.0f} rpm"
    return say("film.above_speed", speed=speed) if what == "at least" else speed


def _row(card: Card, point: WindowPoint) -> str:
    clearance = clearance_text(card, point.clearance).split()[0]
    if point.contact:
        return f"{clearance:>9}  {say('film.closes_load')}"
    film = film_text(card, point.least_film).split()[0]
    hot = "–" if math.isinf(point.temperature) else temperature_text(point.temperature).split()[0]
    speed = threshold_text(point.threshold, "known").removesuffix(" rpm")
    return (
        f"{clearance:>9} {film:>6} {hot:>6} {speed:>9} {point.power / 1e3:>8.2f} {point.flow * 6e4:>8.2f}  "
        f"{say('film.met') if point.ok else say('film.not_met', by=say(f'film.closes_{point.worst}'))}"
    )


def _marks(found: Consequence, index: int) -> str:
    """What else lies at this clearance, nearest row: the measured one, the limits."""
    at = [each.clearance for each in found.points]
    marked: Sequence[tuple[float | None, str]] = (
        (found.limits[0], say("film.mark_minimum")),
        (found.measured, say("film.mark_measured")),
        (found.limits[1], say("film.mark_maximum")),
    )
    names = [
        name
        for value, name in marked
        if value is not None and min(range(len(at)), key=lambda i: abs(at[i] - value)) == index
    ]
    return "  <- " + ", ".join(names) if names else ""


def _criterion(line: Line) -> str:
    told = say("film.criterion", name=line.name, wanted=line.wanted, source=line.source)
    if line.met is None:
        return told
    return f"{told}; {say('film.here_met' if line.met else 'film.here_missed', value=line.here)}"
