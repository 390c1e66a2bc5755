"""From places to lines: the bearing as SVG for page and paper, and in characters for the terminal. Pure."""

from whitemetal.drawing.along_axis import gap_along_axis_svg
from whitemetal.drawing.cap import cap_boxes, cap_size, cap_svg
from whitemetal.drawing.carrier import carrier_of, places_boxes, places_size, places_svg, places_text
from whitemetal.drawing.characters import bearing_text
from whitemetal.drawing.contact_grid import contact_grid_boxes, contact_grid_size, contact_grid_svg
from whitemetal.drawing.maps import Field, maps_svg
from whitemetal.drawing.pen import STYLE
from whitemetal.drawing.round_view import round_boxes, round_size, round_svg
from whitemetal.drawing.running_section import RunningShown, running_section_svg
from whitemetal.drawing.running_window import Panel, WindowShown, running_window_svg
from whitemetal.drawing.section import section_svg
from whitemetal.drawing.section_gap import section_gap_svg
from whitemetal.drawing.spot import Band, GapPoint, LocalGap, PlaceBox, Spot, State, Turned
from whitemetal.drawing.unrolled import unrolled_boxes, unrolled_size, unrolled_svg
from whitemetal.drawing.view import View, view_of

__all__ = [
    "STYLE", "Band", "Field", "GapPoint", "LocalGap", "Panel", "PlaceBox", "RunningShown", "Spot", "State",
    "Turned", "View", "WindowShown", "bearing_text", "cap_boxes",
    "cap_size", "cap_svg", "carrier_of", "contact_grid_boxes", "contact_grid_size",
    "contact_grid_svg", "gap_along_axis_svg", "maps_svg", "places_boxes", "places_size", "places_svg",
    "places_text", "round_boxes", "round_size", "round_svg", "running_section_svg", "running_window_svg",
    "section_gap_svg", "section_svg", "unrolled_boxes", "unrolled_size", "unrolled_svg", "view_of",
]  # fmt: skip
