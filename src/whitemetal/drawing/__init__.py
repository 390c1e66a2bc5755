"""From places to lines: the bearing as SVG for page and paper, and in characters for the terminal. Pure."""

from whitemetal.drawing.along_axis import gap_along_axis_svg
from whitemetal.drawing.characters import bearing_text
from whitemetal.drawing.pen import STYLE
from whitemetal.drawing.section import section_svg
from whitemetal.drawing.section_gap import section_gap_svg
from whitemetal.drawing.spot import Band, GapPoint, LocalGap, PlaceBox, Spot, State, Turned
from whitemetal.drawing.unrolled import unrolled_boxes, unrolled_size, unrolled_svg
from whitemetal.drawing.view import View, view_of

__all__ = [
    "STYLE", "Band", "GapPoint", "LocalGap", "PlaceBox", "Spot", "State", "Turned", "View", "bearing_text",
    "gap_along_axis_svg", "section_gap_svg", "section_svg", "unrolled_boxes", "unrolled_size", "unrolled_svg",
    "view_of",
]  # fmt: skip
