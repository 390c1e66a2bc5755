"""The wear line: what is drawn where, by hand arithmetic on its scales."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from tests.desk.lives import RENEWED_AT
from whitemetal.card import read_card
from whitemetal.drawing.wear_line import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Ahead,
    WearPoint,
    WearRun,
    WearShown,
    wear_line_svg,
)

CARD = read_card(RENEWED_AT)
HOUR = 3600.0
SHOWN = WearShown(
    "hours",
    (
        WearPoint(40_000 * HOUR, 0.200e-3, 0.014e-3, left=True),
        WearPoint(56_000 * HOUR, 0.240e-3, 0.014e-3, left=False),
        WearPoint(56_000 * HOUR, 0.230e-3, 0.014e-3, left=True),
    ),
    (WearRun((40_000 * HOUR, 0.200e-3), (56_000 * HOUR, 0.240e-3)),),
    limit=0.40e-3,
    ahead=Ahead((56_000 * HOUR, 0.230e-3), 0.04e-3 / (16_000 * HOUR), 40_000 * HOUR, math.inf, 30_000 * HOUR),
)


def texts(svg: str) -> list[str]:
    return [one.text or "" for one in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")]


def inside(svg: str) -> bool:
    """Every point of a run, mark or line lies between the picture's edges."""
    found = re.findall(r'x[12]?="(-?[\d.]+)"', svg)
    return all(-1.0 <= float(x) <= 361.0 for x in found)


def test_found_and_left_are_told_apart_and_named() -> None:
    svg = wear_line_svg(CARD, SHOWN)
    assert svg.count('class="wm-accent-solid"') == 2 + 1, "two as left and the key's"
    assert len(re.findall(r'<circle class="wm-thin"', svg)) == 1 + 1, "one as found and the key's"
    assert {"as found", "as left", "step", "renewal limit", "running hours", "open by"} <= set(texts(svg))
    described = ET.fromstring(svg).find("{http://www.w3.org/2000/svg}desc")
    assert described is not None and described.text is not None
    assert "40000 h: as left 0.200 mm" in described.text and "renewal limit 0.400 mm" in described.text
    assert inside(svg)


def test_a_run_goes_from_as_left_to_as_found() -> None:
    """Of the line's ends the later one is higher and to the right; both within the frame."""
    svg = wear_line_svg(CARD, replace(SHOWN, ahead=None))
    runs = re.findall(
        r'<line class="wm-accent"[^>]*x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="([\d.]+)"', svg
    )
    x1, y1, x2, y2 = map(float, runs[0])
    assert LEFT < x1 < x2 < RIGHT and TOP < y2 < y1 < BOTTOM


def test_a_step_is_upright_and_thick() -> None:
    stepped = replace(SHOWN, runs=(replace(SHOWN.runs[0], kind="step"),), ahead=None)
    svg = wear_line_svg(CARD, stepped)
    plain = wear_line_svg(CARD, replace(SHOWN, ahead=None))
    upright = [line for line in re.findall(r'<line class="wm-thick"[^>]*/>', svg) if line not in plain]
    (x1,), (x2,) = (re.findall(rf'{name}="([\d.]+)"', upright[0]) for name in ("x1", "x2"))
    assert len(upright) == 1 and x1 == x2


def test_years_on_the_calendar_and_plain_numbers_of_starts() -> None:
    days = [(2026, 46_000), (2028, 46_730)]
    points = tuple(WearPoint(day * 86400.0, 0.2e-3, 1e-5, left=True) for _, day in days)
    assert "2027" in texts(wear_line_svg(CARD, WearShown("calendar", points, ())))
    starts = tuple(WearPoint(count, 0.2e-3, 1e-5, left=True) for count in (300.0, 400.0))
    assert "350" in texts(wear_line_svg(CARD, WearShown("starts", starts, ())))


@pytest.mark.parametrize("at", [0.0, 40_000 * HOUR])
def test_one_point_alone_can_be_drawn_and_none_cannot(at: float) -> None:
    assert inside(wear_line_svg(CARD, WearShown("hours", (WearPoint(at, 0.2e-3, 0.0, left=True),), ())))
    with pytest.raises(ValueError):
        wear_line_svg(CARD, WearShown("hours", (), ()))


def test_what_does_not_count_is_marked_so() -> None:
    doubted = replace(SHOWN.points[1], counts=False)
    svg = wear_line_svg(CARD, replace(SHOWN, points=(SHOWN.points[0], doubted), runs=(), ahead=None))
    assert "?" in texts(svg)


def test_a_rate_below_nothing_and_an_end_far_away_stay_on_the_picture() -> None:
    assert SHOWN.ahead is not None
    for ahead in (
        replace(SHOWN.ahead, rate=-1e-13, open_by=None),
        replace(SHOWN.ahead, open_by=1e12, high=1e12),
    ):
        assert inside(wear_line_svg(CARD, replace(SHOWN, ahead=ahead)))
