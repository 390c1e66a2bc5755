"""What holds for every picture: well formed, named, escaped, the same bytes each time, no text outside."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.drawing import build
from whitemetal.drawing import (
    Band,
    GapPoint,
    LocalGap,
    Spot,
    Turned,
    contact_grid_svg,
    gap_along_axis_svg,
    round_svg,
    section_gap_svg,
    section_svg,
    unrolled_svg,
)

Picture = Callable[[str, Turned], str]


def unrolled(words: str, turned: Turned) -> str:
    one = replace(build.card(), machine=replace(build.card().machine, view_from="drive end"))
    spots = [replace(spot, label=f"{spot.label}{words}", text=words) for spot in build.spots()]
    return unrolled_svg(one, spots, turned=turned, title=words)


def section(words: str, turned: Turned) -> str:
    spots = [replace(spot, label=f"{spot.label}{words}") for spot in build.spots()]
    return section_svg(build.card(mark=words or "other end"), spots, turned=turned)


def along(words: str, turned: Turned) -> str:
    points = [GapPoint(f"P{words}", 0.016, -0.2, 0.24e-3, 0.02e-3, "not proven")]
    bands = [Band(f"maker{words}", 0.2e-3, 0.3e-3, 0.35e-3, 0.22e-3, 0.28e-3)]
    return gap_along_axis_svg(build.card(), points, bands, fitted=(0.24e-3, 0.25e-3), turned=turned)


def gap(words: str, turned: Turned) -> str:
    gaps = [LocalGap(f"P{words}", angle, 0.2e-3, f"0.2{words}", "within limits") for angle in (-0.2, 0, 0.2)]
    return section_gap_svg(build.card(), gaps, clearance=0.21e-3, sideways=1e-5, turned=turned)


def rings(words: str, turned: Turned) -> str:
    one = build.card(mark="drive end")
    spots = [
        replace(
            spot, label=f"{spot.label}{words}", text=words, piece=f"{spot.piece}{words}", state="not proven"
        )
        for spot in build.ringed("DE", "OE")
    ]
    return round_svg(one, spots, "shell back", turned=turned, title=words)


def cells(words: str, turned: Turned) -> str:
    spots = [
        replace(s, label=f"{s.label}{words}", text=words, piece=f"{s.piece}{words}") for s in build.cells()
    ]
    return contact_grid_svg(build.card(), spots, turned=turned, title=words)


PICTURES: tuple[Picture, ...] = (unrolled, section, along, gap, rings, cells)


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("words", ["", build.HOSTILE, "Ø ± µ – 轴承"])
def test_every_picture_is_well_formed_and_named(picture: Picture, words: str) -> None:
    svg = picture(words, 0)
    root = build.root(svg)
    svg.encode("utf-8")
    assert root.tag == f"{build.SVG}svg"
    assert root.get("role") == "img"
    assert [child.tag for child in root[:2]] == [f"{build.SVG}title", f"{build.SVG}desc"]
    assert all((child.text or "").strip() for child in root[:2])


@pytest.mark.parametrize("picture", PICTURES)
def test_hostile_text_makes_no_element_and_no_attribute(picture: Picture) -> None:
    harmless, hostile = (build.root(picture(words, 0)) for words in ("x", build.HOSTILE))
    assert {node.tag for node in hostile.iter()} <= {node.tag for node in harmless.iter()}
    assert {key for node in hostile.iter() for key in node.attrib} <= {
        key for node in harmless.iter() for key in node.attrib
    } | {"transform"}
    assert "<script>alert" in "".join(hostile.itertext())


@pytest.mark.parametrize("picture", PICTURES)
def test_pictures_carry_no_id_style_or_script(picture: Picture) -> None:
    assert not re.search(r"<style|<script|\sid=|\sstyle=|\son\w+=|href", picture("", 0))


@pytest.mark.parametrize("picture", PICTURES)
def test_same_input_same_bytes(picture: Picture) -> None:
    assert picture("a", 180) == picture("a", 180)


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("turned", [0, 180])
@pytest.mark.parametrize("words", ["", "Q" * 200])
def test_no_text_lies_outside_the_picture_or_on_another(picture: Picture, turned: Turned, words: str) -> None:
    svg = picture(words, turned)
    wide, high = build.size(svg)
    outside = [s for s in build.spans(svg) if s[1] < -1 or s[2] < -1 or s[3] > wide + 1 or s[4] > high + 1]
    assert outside == []
    assert build.overlapping(svg) == []


@pytest.mark.parametrize("picture", PICTURES)
def test_every_coordinate_is_a_finite_number_on_the_page(picture: Picture) -> None:
    svg = picture("", 0)
    assert min(build.coordinates(svg)) >= -1
    assert max(build.coordinates(svg)) <= max(build.size(svg)) + 1


def test_no_places_draw_an_empty_half() -> None:
    assert build.root(unrolled_svg(build.card(), [])).tag == f"{build.SVG}svg"
    assert build.root(section_svg(build.card(), [])).tag == f"{build.SVG}svg"
    assert build.root(gap_along_axis_svg(build.card(), [], [])).tag == f"{build.SVG}svg"
    assert build.root(section_gap_svg(build.card(), [])).tag == f"{build.SVG}svg"
    assert build.root(round_svg(build.card(), [], "bore")).tag == f"{build.SVG}svg"
    assert build.root(contact_grid_svg(build.card(), [])).tag == f"{build.SVG}svg"


def test_state_is_told_by_a_mark_and_not_by_colour() -> None:
    marks = {}
    for state in ("", "within limits", "outside limits", "not proven", "unreadable"):
        svg = unrolled_svg(build.card(), [Spot("A", 0.05, 0.0, "0.24", state)])
        shapes = list(build.root(svg).iter())[3:]
        marks[state] = [(n.tag, n.get("points"), n.get("x1"), n.get("y1"), n.text) for n in shapes]
        assert state in build.root(svg)[1].text  # type: ignore[operator]
    assert len({str(one) for one in marks.values()}) == 5
