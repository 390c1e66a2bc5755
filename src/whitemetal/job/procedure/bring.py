"""What to bring to a job: wires, gauges, tools and gear, with their sizes as far as the card gives them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.closing.bolts import Thread
from whitemetal.closing.torque import HYDRAULIC_ABOVE
from whitemetal.errors import MethodRefused
from whitemetal.fitting.wire_choice import advise
from whitemetal.gauging.tightening.doubts import thread_of, torque_unit
from whitemetal.gauging.tightening.layout import shares
from whitemetal.job.procedure import built
from whitemetal.job.procedure.generate import joint_words, mass_words
from whitemetal.job.procedure.step import Step
from whitemetal.units import INCH, show
from whitemetal.words import say

SQUEEZES = 2
"""Sets of wires to a check: one, and one to repeat the whole squeeze. Common practice."""

ACROSS_FLATS: dict[float, float] = {
    8: 13, 10: 16, 12: 18, 14: 21, 16: 24, 18: 27, 20: 30, 22: 34, 24: 36, 27: 41, 30: 46, 33: 50, 36: 55,
    39: 60, 42: 65, 45: 70, 48: 75, 52: 80, 56: 85, 60: 90, 64: 95,
}  # fmt: skip
"""Width across flats [mm] of a hexagon nut by the size of its metric thread: ISO 4032, from memory. Nuts made
to older books may be one size larger (M10 17, M12 19, M14 22, M22 32)."""

HEAVY_ABOVE = 0.125 * INCH
"""A heavy inch nut measures one and a half times its thread and this more [m]: ASME B18.2.2, from memory."""

RANGE_MM, RANGE_IN = 25.0, 1.0
"""Outside micrometers come in ranges of so much [mm], [in]. Common practice."""


@dataclass(frozen=True)
class Brought:
    """A thing to bring. size: as far as it is known. note: half a sentence, with where the size is from."""

    name: str
    size: str = ""
    note: str = ""


def bring(card: Card, steps: Sequence[Step]) -> tuple[Brought, ...]:
    """What these steps need, in the order in which it is used."""
    methods = {step.method for step in steps if step.dropped is None}
    found = (_wires(card, methods), _gauges(card, methods), _tools(card), _gear(card), _goes_in(card))
    return tuple(thing for part in found for thing in part)


def _named(word: str, size: str = "", **values: object) -> Brought:
    return Brought(say(f"pack.b_{word}"), size, say(f"pack.n_{word}", **values))


def _wires(card: Card, methods: set[str]) -> Iterator[Brought]:
    if "wire" not in methods:
        return
    try:
        advice = advise(card)
    except MethodRefused:
        return
    unit = "mm" if card.bearing.unit == "mm" else "in"
    checks = 2 * SQUEEZES
    pieces = len({place.piece for place in advice.places})
    length = show(advice.piece, unit, "length", digits=2)
    size = say("pack.no_wire")
    if advice.wire is not None:
        size = f"Ø {show(advice.wire, unit, 'length', digits=2)}"
    yield _named("wire", size, count=pieces * checks, length=length, pieces=pieces, sets=checks)
    if "crush" in methods:
        yield _named("crush", "", joint=joint_words(card))


def _gauges(card: Card, methods: set[str]) -> Iterator[Brought]:
    metric = card.bearing.unit == "mm"
    if methods & {"wire", "crush", "crown"}:
        yield _named("micrometer", "0 … 25 mm" if metric else "0 … 1 in")
    if "journal" in methods:
        yield _named("outside", _range(card))
    if methods & {"lift", "alignment", "end_float"}:
        yield _named("indicators", "0.01 mm" if metric else "0.0005 in")
    yield _named("feelers", "0.02 … 1 mm" if metric else "0.001 … 0.040 in")
    if "contact" in methods:
        yield _named("blue")
    if "insulation" in methods:
        yield _named("insulation", "500 V")
    yield _named("thermometer")


def _range(card: Card) -> str:
    """The micrometer whose range holds the journal; at the very end of one, both."""
    metric = card.bearing.unit == "mm"
    step, name = (RANGE_MM, "mm") if metric else (RANGE_IN, "in")
    size = card.bearing.journal_diameter / (1e-3 if metric else INCH)
    low = step * math.floor(size / step + 1e-9)
    if abs(size - low) < 1e-6 * step and low > 0:
        return f"{low - step:.0f} … {low:.0f}, {low:.0f} … {low + step:.0f} {name}"
    return f"{low:.0f} … {low + step:.0f} {name}"


def _tools(card: Card) -> Iterator[Brought]:
    if not built.has_joint(card):
        return
    held = card.fasteners
    found = thread_of(card)
    if found is not None:
        yield _named("spanner", spanner(found), nuts=held.size)
    elif held.count is not None:
        yield _named("spanner", "", nuts=held.size or say("procedure.not_said"))
    if held.torque is not None:
        unit = torque_unit(card)
        low, high = (show(share * held.torque, unit, "torque") for share in (shares(card)[0], 1.0))
        word = "hydraulic" if held.torque > HYDRAULIC_ABOVE else "torque"
        yield _named(word, f"{low} … {high}", source=held.source or say("pack.no_source"))
    else:
        yield _named("no_torque")


def spanner(found: Thread) -> str:
    """Width across flats of the nut on this thread, "" where no table knows it."""
    if found.metric:
        flats = ACROSS_FLATS.get(round(found.diameter * 1e3, 3))
        return "" if flats is None else f"{flats:g} mm"
    sixteenths = round(16 * (1.5 * found.diameter + HEAVY_ABOVE) / INCH)
    whole, rest = divmod(sixteenths, 16)
    shared = math.gcd(rest, 16)
    part = f"{rest // shared}/{16 // shared}" if rest else ""
    return f"{' '.join(each for each in (str(whole) if whole else '', part) if each)} in"


def _gear(card: Card) -> Iterator[Brought]:
    so, unsaid = card.construction, say("procedure.not_said")
    if built.has_joint(card):
        yield _named("cap", mass_words(card, so.cap_mass), where=so.lifting or unsaid)
    yield _named("jack", mass_words(card, card.duty.rotor_mass), where=so.jack_points or unsaid)
    if built.split(card):
        yield _named("strap")
    yield _named("covers")


def _goes_in(card: Card) -> Iterator[Brought]:
    held = card.fasteners
    if built.has_joint(card) and card.joint.filling != "metal to metal":
        yield _named("joint", joint_words(card))
    if built.has_joint(card):
        yield _named("locking", str(held.count) if held.count is not None else "")
    if built.seals(card):
        yield _named("seals", card.construction.seals.replace("not known", ""))
    yield _named("oil", card.oil.grade, quantity=card.oil.quantity or say("procedure.to_mark"))
    yield _named("bottle")
