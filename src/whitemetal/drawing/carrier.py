"""One door to the drawing that carries a method's places, whichever of the four it is."""

from __future__ import annotations

from collections.abc import Sequence

from whitemetal.card import Card
from whitemetal.drawing.cap import cap_boxes, cap_size, cap_svg, cap_text
from whitemetal.drawing.character_views import grid_text, rings_text
from whitemetal.drawing.characters import bearing_text
from whitemetal.drawing.contact_grid import contact_grid_boxes, contact_grid_size, contact_grid_svg
from whitemetal.drawing.ring_kinds import Ring
from whitemetal.drawing.round_view import round_boxes, round_size, round_svg
from whitemetal.drawing.spot import PlaceBox, Spot, Turned
from whitemetal.drawing.unrolled import unrolled_boxes, unrolled_size, unrolled_svg


def carrier_of(views: Sequence[str]) -> str:
    """Which view of a method carries the boxes: "unrolled half", "round", "contact grid", "cap", or "" for
    none."""
    return next((view for view in views if view in ("unrolled half", "round", "contact grid", "cap")), "")


def places_svg(
    card: Card, views: Sequence[str], spots: Sequence[Spot], *, ring: Ring = "bore", turned: Turned = 0,
    box_height: float = 44.0, columns: int = 1,
) -> str:  # fmt: skip
    """The drawing with a box at each place; "" where there are no places or no drawing carries them.

    columns: rings side by side, each in 360, for paper.
    """
    carrier = carrier_of(views)
    if not spots or not carrier:
        return ""
    if carrier == "round":
        return round_svg(card, spots, ring, turned=turned, box_height=box_height, columns=columns)
    draw = {"contact grid": contact_grid_svg, "cap": cap_svg, "unrolled half": unrolled_svg}[carrier]
    return draw(card, spots, turned=turned, box_height=box_height)


def places_text(
    card: Card, views: Sequence[str], spots: Sequence[Spot], *, ring: Ring = "bore", width: int = 78,
    turned: Turned = 0, plain: bool = False,
) -> str:  # fmt: skip
    """The same drawing in characters, no line longer than ``width`` (at least 48); "" where there is none."""
    carrier = carrier_of(views)
    if not spots or not carrier:
        return ""
    if carrier == "round":
        return rings_text(card, spots, ring, width=width, turned=turned, plain=plain)
    draw = {"contact grid": grid_text, "cap": cap_text, "unrolled half": bearing_text}[carrier]
    return draw(card, spots, width=width, turned=turned, plain=plain)


def places_boxes(
    card: Card, views: Sequence[str], spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0
) -> tuple[PlaceBox, ...]:
    """Where the boxes of `places_svg` are, as fractions of the picture, in the order of ``spots``."""
    boxes = {
        "round": round_boxes, "contact grid": contact_grid_boxes, "cap": cap_boxes,
        "unrolled half": unrolled_boxes,
    }  # fmt: skip
    carrier = carrier_of(views)
    return boxes[carrier](card, spots, turned=turned, box_height=box_height) if spots and carrier else ()


def places_size(
    card: Card, views: Sequence[str], spots: Sequence[Spot], *, turned: Turned = 0, box_height: float = 44.0
) -> tuple[float, float]:
    """Width and height of `places_svg`; (0, 0) without one."""
    sizes = {
        "round": round_size, "contact grid": contact_grid_size, "cap": cap_size,
        "unrolled half": unrolled_size,
    }  # fmt: skip
    carrier = carrier_of(views)
    return (
        sizes[carrier](card, spots, turned=turned, box_height=box_height) if spots and carrier else (0.0, 0.0)
    )
