"""The order on paper: one page, with the size on it, the same bytes for the same input."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET

import pytest
from pypdf import PdfReader

from whitemetal.card import Card, read_card
from whitemetal.demo_mill.load import demo_text
from whitemetal.fitting.bore_order import Order, Spread, of_card, order_bore, order_journal
from whitemetal.sheets.bore_order import bore_order_sheet
from whitemetal.sheets.bore_order_drawing import order_drawing

MM = 1e-3


def blower() -> Card:
    return read_card(demo_text("blower_coupling_end.toml"))


def orders() -> list[tuple[Card, Order]]:
    one, gear = blower(), read_card(demo_text("gear_pinion_coupling_end.toml"))
    return [
        (one, order_bore(one, Spread(109.982 * MM, 109.990 * MM, 0.003 * MM, "invented survey"))),
        (one, order_journal(one, Spread(110.282 * MM, 110.296 * MM, 0.004 * MM, "invented bore"))),
        (gear, order_bore(gear, of_card(gear))),
    ]


@pytest.mark.parametrize("which", range(3))
def test_an_order_is_one_page_with_its_size_on_it(which: int) -> None:
    one, order = orders()[which]
    made = bore_order_sheet(one, order, date="2026-03-25", version="test")
    pages = PdfReader(io.BytesIO(made)).pages
    assert len(pages) == 1
    words = " ".join(pages[0].extract_text().split())
    expected = ["110.173 mm to 110.207 mm", "110.071 mm to 110.093 mm", "4.00690 in to 4.00810 in"][which]
    assert expected in words and "ISO 286-1" in words and "licensed practice" in words


def test_the_same_order_gives_the_same_bytes() -> None:
    one, order = orders()[0]
    assert bore_order_sheet(one, order, version="1") == bore_order_sheet(one, order, version="1")


@pytest.mark.parametrize("which", range(3))
def test_the_drawing_is_whole_and_says_the_size(which: int) -> None:
    one, order = orders()[which]
    root = ET.fromstring(order_drawing(one, order))
    texts = [node.text or "" for node in root.iter("{http://www.w3.org/2000/svg}text")]
    assert any(text.startswith("Ø ") for text in texts)
    assert set(one.bearing.ends) <= set(texts)
