"""Methods made up for tests of the faces, one for each way in which a method may ask; invented."""

from __future__ import annotations

import math

from whitemetal.card import Card
from whitemetal.gauging.contract import (
    Assessed,
    Fact,
    Facts,
    Field,
    Finding,
    GeneralRule,
    HoldPoint,
    Method,
    Place,
    Reading,
    Result,
)
from whitemetal.quantity import Influence, Quantity
from whitemetal.units import read

COLOURS = ("heavy", "light", "none")


def _cells(card: Card) -> tuple[Place, ...]:
    stations = [card.bearing.length * share for share in (0.2, 0.5, 0.8)]
    return tuple(
        Place(f"{row + 1}{column}", axial, math.radians(angle), f"row {row + 1}",
              title=f"row {row + 1}, {abs(angle):.0f}° {'left' if angle < 0 else 'right'} of bottom centre")
        for row, axial in enumerate(stations)
        for column, angle in zip("abcd", (-45.0, -15.0, 15.0, 45.0), strict=True)
    )  # fmt: skip


def _share(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The share of the cells that are heavy or light, good to 1 %."""
    if not readings:
        return Result(None)
    blue = sum(reading.value < 2 for reading in readings) / len(places)
    area = Quantity.of(blue, Influence("dab.eye", "the eye", 0.01))
    return Result(None, assessed=(Assessed("contact area", "Contact area", (area,)),))


DAB = Method(
    key="dab",
    title="Dab (a method made up for this test)",
    measures="contact",
    basis="none",
    reading_field=Field("colour", "Colour of the cell", "choice", choices=COLOURS),
    fields=(Field("rag", "The rag", "choice", choices=("linen", "wool")),),
    default_places=_cells,
    evaluate=_share,
    views=("contact grid",),
    assesses=("contact area",),
    rules=lambda card: (GeneralRule("contact area", "Dabbers' rule", "invented for this test", 0.75),),
    proves="contact",
    repeats=False,
    about="Where the rag left blue; it cannot see under the rag.",
)


def _spokes(card: Card) -> tuple[Place, ...]:
    return tuple(
        Place(f"{end} {angle}", axial, math.radians(angle), end, title=f"{end}, {angle}°")
        for end, axial in (("near", 0.02), ("far", card.bearing.length - 0.02))
        for angle in (0, 45, 90, -45)
    )


def _oval(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """The greatest less the least of each ring, good to 1 µm; a bent caliper is refused."""
    if facts.get("bent", Fact("no")).text == "yes":
        return Result(None, findings=(Finding("spin.bent", "refused", "The caliper is bent."),))
    where = {place.label: place.piece for place in places}
    found: dict[str, list[float]] = {}
    for reading in readings:
        found.setdefault(where[reading.place], []).append(reading.value)
    values = tuple(
        Quantity.of(max(read) - min(read), Influence(f"spin.{ring}", "caliper", 1e-6))
        for ring, read in found.items()
    )
    if not values:
        return Result(None)
    return Result(None, assessed=(Assessed("journal out-of-round", "Out of round", values, tuple(found)),))


SPIN = Method(
    key="spin",
    title="Spin (a method made up for this test)",
    measures="journal",
    basis="none",
    reading_field=Field("width", "Width", "quantity", dimension="length"),
    fields=(Field("bent", "Caliper bent", "yes or no", choices=("yes", "no")),),
    default_places=_spokes,
    evaluate=_oval,
    views=("round",),
    ring="journal",
    assesses=("journal out-of-round",),
    repeats=False,
    about="How round the journal is; two points never show three lobes.",
)


def _float(card: Card, places: tuple[Place, ...], facts: Facts, readings: tuple[Reading, ...]) -> Result:
    """What was measured, good to 10 µm; a cracked collar is a fault."""
    findings = []
    if facts.get("cracked", Fact("no")).text == "yes":
        findings.append(Finding("shove.cracked", "fault", "The thrust collar is cracked."))
    measured = facts.get("shove")
    if measured is None:
        return Result(None, findings=tuple(findings))
    value = measured.value if measured.value is not None else read(measured.text, "length", field="").value
    moved = Quantity.of(value, Influence("shove.dial", "dial", 10e-6))
    return Result(None, findings=tuple(findings), assessed=(Assessed("end float", "End float", (moved,)),))


SHOVE = Method(
    key="shove",
    title="Shove (a method made up for this test)",
    measures="end float",
    basis="none",
    reading_field=Field("none", "", "text"),
    fields=(
        Field("bar", "Pushed with", "choice", choices=("bar", "jack"), needed=True),
        Field("shove", "The shaft moved by", "quantity", dimension="length", measured=True, needed=True),
        Field("cracked", "Collar cracked", "yes or no", choices=("yes", "no"), measured=True),
        Field("wall", "Insulation of the wall", "quantity", dimension="resistance", unit="Mohm"),
    ),
    default_places=lambda card: (),
    evaluate=_float,
    views=("section",),
    hold_points=(HoldPoint("bar_off", "after", "Bar taken off the shaft", "a bar left on flies"),),
    assesses=("end float",),
    rules=lambda card: (
        GeneralRule("end float", "Shovers' rule", "invented for this test", 0.2e-3, 0.5e-3),
        GeneralRule("end float", "Pullers' rule", "invented for this test", None, 0.3e-3),
    ),
    subject="machine",
    repeats=False,
    about="How far the shaft goes; it cannot say why.",
)

MADE_UP = (DAB, SPIN, SHOVE)
