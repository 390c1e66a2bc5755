"""The order to the machine shop in lines: what is wanted, how it was worked out, what else must be kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.fitting.bore_order import REFERENCE, Order, at_temperature
from whitemetal.fitting.ladder import climb
from whitemetal.gauging.crush.limits import rules
from whitemetal.gauging.diameters import EXPANSION
from whitemetal.units import clearance_step, show
from whitemetal.words import say

ROUGHNESS = 0.8e-6
"""Ra of bore and journal [m] at most: MIL-P-18526A (32 microinches)."""

FORM_SHARE = 0.5
"""Out-of-round and taper may take so much of the tolerance. Our own."""

WARM = (288.15, 298.15, 303.15)
"""Shop temperatures [K] for which the table gives what is read: 15, 25 and 30 °C. Our own."""


@dataclass(frozen=True)
class Line:
    """A line of the order. text: what is wanted; source: where it comes from, "" where the text says it.
    main: the one dimension that the order is for."""

    label: str
    text: str
    source: str = ""
    main: bool = False


def size(card: Card, value: float) -> str:
    """A diameter [m] to the step in which clearances of this bearing are shown."""
    unit = "mm" if card.bearing.unit == "mm" else "in"
    return show(value, unit, "length", step=1e-6 if unit == "mm" else clearance_step("in"))


def small(card: Card, value: float) -> str:
    """A clearance or a shim [m] as clearances of this bearing are shown."""
    return show(value, card.bearing.unit, "length", step=clearance_step(card.bearing.unit))


def lines(card: Card, order: Order) -> tuple[Line, ...]:
    """Everything the order says, in order."""
    return (*_size(card, order), *_fit(card, order), *_shape(card, order), *_rest(card, order))


def title(order: Order) -> str:
    """What the paper is."""
    return say(f"bore_order.title_{order.part}")


def warnings(card: Card, order: Order) -> tuple[str, ...]:
    """What must be settled before anybody cuts."""
    found = []
    if not order.other.measured:
        found.append(say(f"bore_order.not_measured_{order.part}"))
    if not order.fits:
        least = small(card, order.clearance_least - order.expanded)
        greatest = small(card, order.clearance_greatest + order.expanded)
        found.append(say("bore_order.does_not_fit", least=least, greatest=greatest, grade=order.grade))
    if order.part == "journal":
        found.append(say("bore_order.undersize"))
    return tuple(found)


def temperatures(card: Card, order: Order) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """What is read when the part is not at 20 °C: head, and a row for each temperature. Rows: temperature,
    then the middle of the tolerance for each material."""
    names = tuple(EXPANSION) if order.part == "bore" else ("steel",)
    middle = 0.5 * (order.least + order.greatest)
    head = (say("bore_order.part_at"), *names)
    rows = [
        (
            show(warm, "degC", "temperature", step=1.0),
            *(size(card, at_temperature(middle, EXPANSION[name], warm)) for name in names),
        )
        for warm in sorted((*WARM, REFERENCE))
    ]
    return head, tuple(rows)


def _size(card: Card, order: Order) -> Iterator[Line]:
    span = say("bore_order.from_to", least=size(card, order.least), greatest=size(card, order.greatest))
    width = small(card, order.tolerance)
    yield Line(
        say(f"bore_order.finished_{order.part}"), say("bore_order.at_20", span=span),
        say("bore_order.grade", grade=order.grade, width=width), main=True,
    )  # fmt: skip
    other = order.other
    middle = small(card, 0.5 * (order.low + order.high))
    if order.part == "bore":
        made = say("bore_order.made_bore", journal=size(card, other.greatest), middle=middle)
    else:
        made = say("bore_order.made_journal", bore=size(card, other.least), middle=middle)
    yield Line(say("bore_order.made_from"), made, other.source)
    if order.shim_when_cut:
        side, shim = small(card, order.side or 0.0), small(card, order.shim_when_cut)
        geometry = say("bore_order.geometry")
        yield Line(say("bore_order.lemon"), say("bore_order.lemon_cut", side=side, shim=shim), geometry)


def _fit(card: Card, order: Order) -> Iterator[Line]:
    least, greatest = small(card, order.clearance_least), small(card, order.clearance_greatest)
    low, high = small(card, order.low), small(card, order.high)
    text = say("bore_order.clearance_then", least=least, greatest=greatest, low=low, high=high)
    if order.expanded:
        text += " " + say("bore_order.measured_to", expanded=small(card, order.expanded))
    yield Line(say("bore_order.clearance"), text, order.limit_source)
    if order.part == "bore":
        yield Line(say("bore_order.joint"), _joint(card), say("bore_order.by_card"))
        yield from _crush(card)


def _joint(card: Card) -> str:
    joint = card.joint
    if joint.filling == "shims" and joint.opens_bore and joint.gap:
        return say("bore_order.cut_with_shims", gap=small(card, joint.gap), where=joint.shim_sits)
    return say("bore_order.cut_closed", filling=joint.filling)


def _crush(card: Card) -> Iterator[Line]:
    if card.joint.shim_sits == "lined cap joint":
        return
    label = say("bore_order.crush")
    limit = climb(card, "crush").chosen
    low = limit.in_main_basis("minimum") if limit is not None else None
    high = limit.in_main_basis("maximum") if limit is not None else None
    if limit is not None and low is not None and high is not None:
        span = say("bore_order.from_to", least=small(card, low), greatest=small(card, high))
        source = say("bore_order.limit_source", rung=limit.rung, document=limit.document)
        yield Line(label, say("bore_order.crush_to_housing", span=span), source)
        return
    found = [one for one in rules(card) if one.minimum is not None and one.maximum is not None]
    told = "; ".join(
        f"{one.title}: {small(card, one.minimum or 0.0)} … {small(card, one.maximum or 0.0)}" for one in found
    )
    yield Line(label, say("bore_order.crush_asked", rules=told), say("bore_order.rules_source"))


def _shape(card: Card, order: Order) -> Iterator[Line]:
    form = small(card, FORM_SHARE * (order.greatest - order.least))
    own = say("bore_order.own")
    yield Line(say("bore_order.form"), say("bore_order.form_within", form=form), own)
    rough = climb(card, "journal roughness").chosen if order.part == "journal" else None
    most = rough.in_main_basis("maximum") if rough is not None else None
    source = "MIL-P-18526A" if most is None or rough is None else rough.document
    shown = show(ROUGHNESS if most is None else most, "µm", "length", digits=2)
    yield Line(say("bore_order.roughness"), say("bore_order.ra", ra=shown), source)
    if order.part == "journal":
        yield Line(say("bore_order.finish"), say("bore_order.finish_direction"), say("bore_order.practice"))


def _rest(card: Card, order: Order) -> Iterator[Line]:
    practice = say("bore_order.practice")
    drawing = card.machine.drawing or say("bore_order.makers_drawing")
    if order.part == "bore":
        grooves = say("bore_order.grooves_top") if card.bearing.groove_at_top else ""
        text = say("bore_order.chamfers", drawing=drawing, profile=card.bearing.profile)
        yield Line(say("bore_order.edges"), f"{text} {grooves}".strip(), practice)
        lining = card.bearing.lining or say("bore_order.lining_unsaid")
        yield Line(say("bore_order.metal"), lining, say("bore_order.by_card") if card.bearing.lining else "")
        yield Line(say("bore_order.bond"), say("bore_order.bond_test"), say("bore_order.bond_source"))
    text = say(f"bore_order.return_{order.part}")
    yield Line(say("bore_order.sent_back"), text, practice)
