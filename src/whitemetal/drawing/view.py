"""How one stands at the machine, and what the sides and ends of the page are called from there."""

from __future__ import annotations

from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.drawing.spot import Turned
from whitemetal.units import INCH, show_number
from whitemetal.words import say


@dataclass(frozen=True)
class View:
    """near, far: the ends at the bottom and the top of an unrolled half as one stands. page_left,
    page_right: names of the sides at the page's left and right. sign: +1 where positive angles lie to the
    page's right, else -1. first_is_near: the card's first end is the near one. seen_from: the view's name.
    """

    near: str
    far: str
    page_left: str
    page_right: str
    sign: int
    first_is_near: bool
    seen_from: str


def view_of(card: Card, turned: Turned = 0) -> View:
    """The view from the machine's viewing end, or (turned by 180) from the opposite one.

    Left and right keep the names they have from the machine's viewing end; only their place on the page
    changes. Where the viewing end is not one of the bearing's ends, the first end counts as the near one.
    """
    first, last = card.bearing.ends
    stand = card.machine.view_from
    near, far = (last, first) if stand == last else (first, last)
    left, right = say("sheet.left"), say("sheet.right")
    if turned == 0:
        seen = say("sheet.seen_from", end=stand)
        return View(near, far, left, right, 1, near == first, seen)
    opposite = far if stand in card.bearing.ends else say("sheet.opposite_end", end=stand)
    seen = say("sheet.seen_from", end=opposite)
    return View(far, near, right, left, -1, far == first, seen)


def length_unit(card: Card) -> str:
    """The unit for sizes of the bearing (not clearances): mm, or in for a bearing in inch units."""
    return "mm" if card.bearing.unit == "mm" else "in"


def length_step(card: Card) -> float:
    """Axial places are shown to 0.1 mm, or 0.01 in [m]."""
    return 1e-4 if length_unit(card) == "mm" else 0.01 * INCH


def axial_words(card: Card, axial: float) -> str:
    """An axial place as text, without idle zeros: "16 mm", "0.63 in"."""
    number = show_number(axial, length_unit(card), "length", step=length_step(card))
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {length_unit(card)}"
