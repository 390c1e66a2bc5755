"""The blank sheet: boxes at the places, limits, cautions, room for what must be recorded."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from tests.gauging.build import card, places_of
from tests.sheets.build import text_of
from whitemetal.fitting.rules import rules_for
from whitemetal.fitting.wire_choice import advise
from whitemetal.gauging import METHODS
from whitemetal.gauging.wire import WIRE
from whitemetal.sheets import blank_sheet
from whitemetal.words import say


@pytest.fixture(scope="module")
def printed() -> str:
    return text_of(blank_sheet(card(), WIRE, advice=advise(card()).sentences, version="0.0.0"))


def test_every_place_has_its_box(printed: str) -> None:
    for number, place in enumerate(places_of(card()), start=1):
        assert f"{number} {place.label}" in printed


def test_ends_sides_and_view_are_named(printed: str) -> None:
    for words in ("left", "right", "drive end", "other end", "seen from the drive end", "joint"):
        assert words in printed


def test_everything_the_method_asks_for_has_room(printed: str) -> None:
    for field in WIRE.fields:
        assert field.label in printed
        for choice in field.choices:
            assert choice in printed
    for point in WIRE.hold_points:
        assert "".join(point.text.split()) in "".join(printed.split())


def test_limits_wire_and_cautions_come_first() -> None:
    pages = PdfReader(io.BytesIO(blank_sheet(card(), WIRE, advice=advise(card()).sentences))).pages
    first = " ".join(pages[0].extract_text().split())
    assert "0.200 … 0.280" in first
    assert "invented drawing 12-3, revision C" in first
    for key in WIRE.cautions:
        assert say(f"caution.{key}") in first
    assert "".join(advise(card()).sentences[1].split()) in "".join(first.split())


def test_the_usual_check_fits_one_leaf(printed: str) -> None:
    assert "page 1 of 2" in printed


def test_a_bearing_without_makers_figure_shows_the_rules(printed: str) -> None:
    one = card(limits=())
    text = text_of(blank_sheet(one, WIRE))
    for figures in rules_for(one):
        assert "".join(figures.rule.source.split()) in "".join(text.split())
    assert say("sheet.provisional") in text
    assert say("sheet.provisional") not in printed


@pytest.mark.parametrize(
    ("method", "how"), [("wire", "write_as_read"), ("contact", "mark_cells"), ("insulation", "write_clearly")]
)
def test_it_says_how_to_write_what_this_method_asks(method: str, how: str) -> None:
    text = text_of(blank_sheet(card(), METHODS[method])).replace(" ", "")
    said = [one for one in ("write_as_read", "mark_cells", "write_clearly")
            if say(f"sheet.{one}").replace(" ", "") in text]  # fmt: skip
    assert said == [how]
