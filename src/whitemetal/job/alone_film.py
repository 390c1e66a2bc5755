"""The oil film of a check alone, without a record: what a script needs."""

from __future__ import annotations

from typing import Any

from whitemetal.card import Card
from whitemetal.fitting.consequence import AS_IT_IS, Consequence, WhatIf, as_json
from whitemetal.fitting.consequence import consequence as of_result
from whitemetal.gauging import method_named
from whitemetal.gauging.readings_file import ReadingsFile


def consequence(
    card: Card, taken: ReadingsFile | None = None, what_if: WhatIf = AS_IT_IS, *, method: str = "wire"
) -> Consequence:
    """What the gap means for the oil film of a card's bearing, with its readings if there are any.

    Raises InputError with everything that the card lacks (load, its direction, oil), NotConverged when a film
    is not found. It changes no verdict.
    """
    if taken is None:
        return of_result(card, None, what_if)
    found = method_named(method).evaluate(card, taken.places, taken.facts, taken.readings)
    return of_result(card, found, what_if)


def consequence_json(found: Consequence, *, maps: bool = True) -> dict[str, Any]:
    """As ``whitemetal.film/1``; maps: with the arrays of gap and pressure."""
    return as_json(found, maps=maps)
