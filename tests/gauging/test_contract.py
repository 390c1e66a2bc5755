"""A second method, invented, comes in as data and one function; nothing else is touched."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from tests.gauging.build import card
from whitemetal.card import Card
from whitemetal.gauging import METHODS, Method, register
from whitemetal.gauging.contract import (
    Fact,
    Facts,
    Field,
    HoldPoint,
    Place,
    PlaceResult,
    Reading,
    Result,
    SheetLine,
)
from whitemetal.job.judge import judge_readings
from whitemetal.quantity import Influence, Quantity


def two_pokes(one: Card) -> tuple[Place, ...]:
    return (
        Place("front", 0.02, 0.0, "front", title="front, at top centre"),
        Place("rear", one.bearing.length - 0.02, 0.0, "rear", title="rear, at top centre"),
    )


def poke(one: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """Each reading is the clearance itself, good to 2 µm."""
    where = {place.label: place for place in places}
    found = tuple(
        PlaceResult(
            where[r.place], Quantity.of(r.value, Influence(f"poke.{r.place}", "poke", 2e-6)), r.value, 1
        )
        for r in readings
    )
    if not found:
        return Result(None)
    mean = Quantity(float(np.mean([p.value.value for p in found])), found[0].value.parts)
    return Result(mean, found, np.diag([p.value.variance for p in found]))


POKE = Method(
    key="poke",
    title="Poke (a method made up for this test)",
    measures="oil clearance",
    basis="diametral",
    reading_field=Field("depth", "Depth of the poke", "quantity", dimension="length"),
    fields=(Field("stick", "The stick", "choice", choices=("hazel", "ash"), needed=True),),
    default_places=two_pokes,
    evaluate=poke,
    hold_points=(HoldPoint("stick_straight", "before", "Stick straight", "a bent one reads short"),),
    sheet_lines=(SheetLine("The stick", "stick"),),
    steps=("Poke at both places.",),
)


@pytest.fixture
def poke_registered() -> Iterator[Method]:
    register(POKE)
    yield POKE
    del METHODS[POKE.key]


def test_a_second_method_is_judged_without_a_line_elsewhere(poke_registered: Method) -> None:
    one = card()
    places = POKE.default_places(one)
    taken = tuple(Reading(p.label, "0.240 mm", 0.240e-3, 1e-6) for p in places)
    held = judge_readings(POKE, one, places, {}, taken)
    assert held.verdict == "not proven"
    assert [w.code for w in held.warnings] == ["needed.stick"]
    found = judge_readings(POKE, one, places, {"stick": Fact("hazel")}, taken)
    assert found.verdict == "within limits"
    assert found.title == POKE.title
    assert found.clearance is not None
    assert [p.label for p in found.clearance.places] == ["front", "rear"]


def test_a_key_is_registered_once(poke_registered: Method) -> None:
    with pytest.raises(ValueError, match="already"):
        register(POKE)
