"""Tilting pads: the ring's bore less two pads less the journal, ``Cd = ring - 2 t - d``.

Worked example of a published paper on the clearance of pivoted shoes: 7.000 - 1.991 - 5.000 = 0.009 in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from whitemetal.card import Card
from whitemetal.gauging.bore import doubts
from whitemetal.gauging.bore.layout import JOURNAL, PADS, RING, part_of
from whitemetal.gauging.bore.observe import Measured
from whitemetal.gauging.bore.stations import mean
from whitemetal.gauging.contract import CLEARANCE, Finding, Named, Place, PlaceResult, Result
from whitemetal.gauging.diameters import Diameter
from whitemetal.quantity import covariance_matrix
from whitemetal.words import say

LEAST_PADS = 3
"""A bearing of tilting pads has at least this many. Derived from geometry: two hold no journal."""


def size_of(card: Card) -> Callable[[Place], float | None]:
    """About what a place reads [m]: known of the journal alone."""
    return lambda place: card.bearing.journal_diameter if part_of(place) == JOURNAL else None


def result(measured: Measured) -> Result:
    """The clearance under the pads, least and greatest; diametral, SI, at 20 °C."""
    ring, pads, journals = measured.of[RING], measured.of[PADS], measured.of[JOURNAL]
    findings = tuple(_missing(measured))
    if not (ring and pads and journals):
        return Result(None, findings=findings)
    results = (
        _clearance("least", min(ring, key=_size), max(pads, key=_size), max(journals, key=_size)),
        _clearance("greatest", max(ring, key=_size), min(pads, key=_size), min(journals, key=_size)),
    )
    overall = mean(ring) - mean(pads) * 2.0 - mean(journals)
    spread = max(pads, key=_size).value - min(pads, key=_size).value
    return Result(
        overall=overall,
        places=results,
        covariance=covariance_matrix([one.value for one in results]),
        named=(Named("pads_differ", say("bore.pads_differ"), spread),),
        findings=findings,
        unknown=(say("bore.unknown_pivots"), say("bore.unknown_assembled")),
        says={CLEARANCE: overall},
    )


def _size(one: Diameter) -> tuple[float, str]:
    return one.value.value, one.place.label


def _clearance(word: str, ring: Diameter, pad: Diameter, journal: Diameter) -> PlaceResult:
    title = say(
        f"bore.pads_{word}", ring=ring.place.label, pad=pad.place.label, journal=journal.place.label
    )  # fmt: skip
    place = Place(f"pads {word}", ring.place.axial, pad.place.angle, PADS, "across", title)
    count = ring.count + pad.count + journal.count
    read = ring.read - 2.0 * pad.read - journal.read
    return PlaceResult(place, ring.value - pad.value * 2.0 - journal.value, read, count)


def _missing(measured: Measured) -> Iterator[Finding]:
    for part in (RING, JOURNAL):
        if not measured.of[part]:
            yield doubts.found("no_part", "hold", part=part)
    if len(measured.of[PADS]) < LEAST_PADS:
        yield doubts.found("few_pads", "hold", count=len(measured.of[PADS]), least=LEAST_PADS)
