"""What puts a feeler reading in doubt before any number is used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from whitemetal.card import Card
from whitemetal.gauging import diameters
from whitemetal.gauging.asked import PRACTICE, Spoils, other_torque, spoilt, strangers
from whitemetal.gauging.contract import Facts, Finding, Place, Reading, Severity
from whitemetal.gauging.feeler.blade import BLADE, LEAVES, leaves_of, sagitta, width_of
from whitemetal.gauging.gap_fit import shown
from whitemetal.words import say

SPOILS: tuple[Spoils, ...] = (
    Spoils("journal_down", "no", "feeler.journal_not_down"),
    Spoils("tightened", "not final", "feeler.not_final"),
    Spoils("forced", "yes", "feeler.forced"),
)


def found(
    code: str, severity: Severity, source: str = PRACTICE, place: str = "", **values: object
) -> Finding:
    """A finding of this method."""
    return Finding(f"feeler.{code}", severity, say(f"feeler.{code}", **values), source, place)


def before(
    card: Card, facts: Facts, places: Mapping[str, Place], readings: Sequence[Reading]
) -> Iterator[Finding]:
    """Doubts that need no result."""
    yield from spoilt(facts, SPOILS)
    yield from other_torque("feeler", card, facts)
    yield from diameters.warmth("feeler", facts, ("part_temperature", "journal_temperature"))
    yield from strangers("feeler", places, readings)
    yield from _stack(card, facts)
    for reading in readings:
        if reading.value <= 0.0:
            yield found("nothing_enters", "hold", place=reading.place, where=reading.place)


def _stack(card: Card, facts: Facts) -> Iterator[Finding]:
    if leaves_of(facts) > LEAVES:
        yield found("too_many_leaves", "hold", leaves=leaves_of(facts))
    width = width_of(card, facts)
    if width > BLADE * (1 + 1e-6):
        low = sagitta(width, 0.5 * card.bearing.journal_diameter)
        said = {"width": shown(card, width), "low": shown(card, low)}
        yield found("wide_blade", "warning", "derived from geometry", **said)
