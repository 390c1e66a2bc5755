"""Cards, facts and readings for tests; invented."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from whitemetal.card import Bearing, Card, Joint, Limit, Machine
from whitemetal.card.bearing import Profile
from whitemetal.gauging.contract import Fact, Place, Reading
from whitemetal.gauging.wire import WIRE

MAKER = Limit(
    "oil clearance", 0.20e-3, 0.28e-3, "maker's figure for this machine", "invented drawing 12-3", "C"
)


def card(
    *,
    diameter: float = 0.160,
    length: float = 0.160,
    profile: Profile = "plain",
    side_to_top: float | None = None,
    joint: Joint | None = None,
    limits: tuple[Limit, ...] = (MAKER,),
) -> Card:
    return Card(
        Machine("TM-FAN-12", "induced-draught fan", "fan", 103.7),
        Bearing("drive end bearing", diameter, length, profile=profile, side_to_top=side_to_top),
        joint=joint if joint is not None else Joint(),
        limits=limits,
    )


RECORDED = {
    "wire_diameter": "0.40 mm",
    "journal_down": "yes",
    "joint": "metal to metal",
    "tightened": "final value",
    "wires_in": "3",
    "wires_out": "3",
    "instrument.M-7.anvil": "ball",
    "instrument.M-7.zero_before": "0.000 mm",
    "instrument.M-7.zero_after": "0.000 mm",
    "instrument.M-7.calibration_due": "2027-03-01",
}


def facts(**changed: str | None) -> Mapping[str, Fact]:
    """The usual facts, some changed, those given as None left out; dots in keys written as __."""
    texts: dict[str, str | None] = {**RECORDED, **{k.replace("__", "."): v for k, v in changed.items()}}
    return {key: Fact(text) for key, text in texts.items() if text is not None}


def readings(
    places: tuple[Place, ...], thickness: Callable[[Place], float], squeeze: int = 1
) -> tuple[Reading, ...]:
    """A reading at each place, rounded to a micrometre as a person would note it."""
    found = []
    for place in places:
        text = f"{1e3 * thickness(place):.3f} mm"
        found.append(Reading(place.label, text, float(text[:-3]) * 1e-3, 1e-6, squeeze, "M-7"))
    return tuple(found)


def places_of(one: Card) -> tuple[Place, ...]:
    return WIRE.default_places(one)
