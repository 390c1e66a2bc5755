"""What a film's consequence says to people: one sentence, its assumptions, its cautions."""

from __future__ import annotations

import math
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.film.nominal import Nominal, rotation_of
from whitemetal.film.warm_up import WarmUp
from whitemetal.film.window import Window
from whitemetal.fitting.as_measured import Askew, Maps, Ran
from whitemetal.fitting.consequence_parts import StateShown, Where
from whitemetal.fitting.what_if import AS_IT_IS, WhatIf
from whitemetal.units import clearance_step, show, show_number
from whitemetal.words import say

TILT_SPOKEN_OF = 0.1
"""Part of the aligned film that taper or tilt must take before a sentence is spent on it. Our own."""

HUMP = 0.02
"""Part by which the least on the way must lie below the end before it is called a hump. Our own."""


@dataclass(frozen=True)
class Story:
    """All that the sentence is made of. mean: clearance [m], measured or expected. shown: as measured;
    aligned: the same mean in the card's own shape; half: with half the oil; tried: the clearance is one to
    try."""

    card: Card
    nominal: Nominal
    window: Window
    mean: float
    placed: Where
    shown: StateShown
    aligned: StateShown
    half: StateShown | None
    maps: Maps | None
    way: Askew | None
    tried: bool = False

    def gap(self, value: float) -> str:
        """A clearance [m] in the card's unit, as it is said."""
        return clearance_text(self.card, value)

    @property
    def wanted(self) -> float:
        """Least film that is wanted [m], 0 where none is."""
        return self.nominal.criteria.least_film or 0.0


def clearance_text(card: Card, value: float) -> str:
    """A clearance [m] in the card's unit."""
    return show(value, card.bearing.unit, "length", step=clearance_step(card.bearing.unit))


def film_text(card: Card, value: float) -> str:
    """A film [m] in µm, or in thou where the card is in inches."""
    unit, step = _film_unit(card)
    return show(value, unit, "length", step=step)


def _film_unit(card: Card) -> tuple[str, float]:
    return ("µm", 1e-6) if card.bearing.unit == "mm" else ("thou", clearance_step("thou"))


def temperature_text(value: float) -> str:
    """A temperature [K] to a degree."""
    return show(value, "degC", "temperature", step=1.0)


def speed_text(value: float) -> str:
    """A calculated speed [rad/s] to two figures: it is no better known."""
    rpm = value * 30.0 / math.pi
    step = 10.0 ** (math.floor(math.log10(rpm)) - 1) if rpm > 0.0 else 1.0
    return f"{round(rpm / step) * step:,.0f} rpm"


def sentence(story: Story) -> str:
    """The consequence: where it stands, its film, its temperature, its whirl; then why, where it is askew."""
    parts = [_begin(story), askew(story), _placed(story)]
    if story.half is not None:
        parts.append(_with_half(story, story.half))
    return " ".join(part for part in parts if part)


def _begin(story: Story) -> str:
    where = "at_measured" if story.placed != "not measured" else "at_expected"
    where = "at_tried" if story.tried else where
    lead = say(f"film.{where}", clearance=story.gap(story.mean))
    if story.shown.answer == "contact":
        return say("film.tells_contact", lead=lead)
    film = say("film.tells_film", lead=lead, film=_between(story), wanted=_wanted(story))
    if story.shown.answer == "overheats":
        return say("film.tells_overheats", film=film)
    hot = temperature_text(story.shown.hottest.value)
    most = story.nominal.criteria.hottest
    against = "" if most is None else say("film.against", most=temperature_text(most))
    return say("film.tells_running", film=film, hot=hot, against=against, whirl=_whirl(story))


def _between(story: Story) -> str:
    """The film's interval, or one figure where both ends show the same."""
    film, (unit, step) = story.shown.least_film, _film_unit(story.card)
    low, high = (show_number(each, unit, "length", step=step) for each in (film.low, film.high))
    if low == high:
        return f"{low} {unit}"
    return say("film.from_to", low=low, high=f"{high} {unit}")


def _wanted(story: Story) -> str:
    return film_text(story.card, story.wanted) if story.wanted else say("film.nothing")


def _whirl(story: Story) -> str:
    threshold = story.shown.threshold
    if threshold is None:
        return say("film.tells_centred" if story.shown.threshold_is == "centred" else "film.tells_no_whirl")
    if math.isinf(threshold):
        return say("film.tells_steady")
    running = f"{story.nominal.conditions.speed * 30.0 / math.pi:,.0f} rpm"
    name = "film.tells_whirl_above" if story.shown.threshold_is == "at least" else "film.tells_whirl"
    return say(name, threshold=speed_text(threshold), running=running)


def _placed(story: Story) -> str:
    widest = story.window.widest
    if widest is None:
        return say("film.no_window")
    low, high = story.gap(widest.low.clearance), story.gap(widest.high.clearance)
    closes = [
        say(f"film.closed_{side}", by=say(f"film.closes_{edge.closed_by}"))
        for side, edge in (("below", widest.low), ("above", widest.high))
        if edge.closed_by
    ]
    place = say(f"film.lies_{story.placed.replace(' ', '_')}")
    if not widest.high.closed_by:
        closes.append(say("film.open_above"))
    reasons = say("film.closed", closes=", ".join(closes)) if closes else ""
    return say("film.window_is", place=place, low=low, high=high, reasons=reasons)


def _with_half(story: Story, half: StateShown) -> str:
    if half.answer != "runs":
        return say("film.half_fails")
    name = "film.half_straight" if askew(story) else "film.half_tells"
    return say(
        name, film=film_text(story.card, half.least_film.value),
        hot=temperature_text(half.hottest.value),
    )  # fmt: skip


def askew(story: Story) -> str:
    """Why the mean clearance alone would mislead; "" where taper or tilt takes little."""
    aligned, film = story.aligned.least_film.value, story.shown.least_film.value
    if story.way is None or film > (1.0 - TILT_SPOKEN_OF) * aligned:
        return ""
    misled = aligned >= story.wanted > film
    cause = say(f"film.cause_{story.way}")
    fine, end = film_text(story.card, aligned), _thin_end(story)
    if story.shown.answer == "contact":
        return say("film.askew_touches", fine=fine, cause=cause)
    name = "film.askew_fails" if misled else "film.askew_thins"
    return say(name, fine=fine, cause=cause, film=film_text(story.card, film), end=end)


def _thin_end(story: Story) -> str:
    """Where along the land the film is thinnest."""
    if story.maps is None:
        return say("film.middle")
    along = story.maps.gap.min(axis=0)
    place = float(along.argmin()) / (len(along) - 1)
    first, last = story.card.bearing.ends
    return first if place < 1.0 / 3.0 else last if place > 2.0 / 3.0 else say("film.middle")


def assumed(card: Card, what_if: WhatIf, ran: Ran | None, left_out: float | None) -> tuple[str, ...]:
    """What stands behind the state, besides what the card's own film assumes. left_out: the most by which a
    single place differs from what is carried [m], None where no place stands for itself."""
    found = []
    if what_if.rotation is None and card.machine.rotation == "not known":
        found.append(say("film.rotation_assumed", rotation=rotation_of(card), end=card.machine.view_from))
    if left_out is not None:
        found.append(say("film.places_left_out", most=film_text(card, left_out)))
    if ran is not None:
        found.append(say(f"film.ran_as_{ran.way}"))
        found.append(say("film.whirl_aligned"))
    if card.bearing.seat == "spherical" and ran is not None:
        found.append(say("film.seat_aligns"))
    if what_if != AS_IT_IS:
        found.append(say("film.trial"))
    return tuple(found)


def cautions(card: Card, story: Story) -> tuple[str, ...]:
    """What nobody should read out of a film."""
    found = [say("film.aid_only"), say("film.steady_only"), say("film.rigid_rotor")]
    if not card.limits:
        found.append(say("film.no_limit_set"))
    if story.shown.bent:
        found.append(say("film.bent"))
    return tuple(found)


def warming(card: Card, found: WarmUp) -> str:
    """The way from cold to warm."""
    if found.contact:
        return say("film.warm_contact", after=_after(float(found.time[-1])))
    film = film_text(card, found.least_film)
    if found.least_film < (1.0 - HUMP) * float(found.film[-1]):
        least = say("film.warm_film_least", film=film, after=_after(found.least_film_at))
    else:
        least = say("film.warm_film_last", film=film)
    if found.least_clearance > (1.0 - HUMP) * float(found.clearance[-1]):
        return say("film.warm_no_hump", least=least)
    return say(
        "film.warm_hump", clearance=clearance_text(card, found.least_clearance),
        after=_after(found.least_clearance_at), least=least,
    )  # fmt: skip


def _after(seconds: float) -> str:
    return f"{seconds / 60.0:.0f} min" if seconds < 5400.0 else f"{seconds / 3600.0:.0f} h"
