"""From a judgement to its pictures: what is drawn, how wide the bars are, and that nothing is lost."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.gauging.build import card
from tests.sheets import build
from whitemetal.gauging.contract import Reading
from whitemetal.gauging.wire import WIRE
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement_json import as_json
from whitemetal.sheets import pictures_of
from whitemetal.sheets.pictures import bands_of, fitted_ends, half_width, spots_of


def judged(readings: tuple[Reading, ...], limits: bool = True) -> dict[str, Any]:
    one = build.CARD if limits else card(limits=())
    return as_json(judge_readings(WIRE, one, build.PLACES, build.FACTS, readings))


def said(svg: str) -> str:
    return ElementTree.fromstring(svg)[1].text or ""


@pytest.mark.parametrize(
    ("dof", "factor"),
    [(10, 2.228), (5, 2.571), (50, 2.009), (None, 1.960)],
)
def test_bars_are_95_percent_by_students_t(dof: float | None, factor: float) -> None:
    """Factors from the printed table of Student's t, two-sided 95 % (JCGM 100:2008 Table G.2 for 5, 10, 50)."""
    assert half_width({"dof": dof, "u_m": 1e-5}) == pytest.approx(factor * 1e-5, rel=5e-4)


def test_the_fitted_line_runs_from_end_to_end() -> None:
    assert fitted_ends({"diametral_m": 0.24e-3, "end_to_end_m": 0.02e-3}) == pytest.approx((0.23e-3, 0.25e-3))
    assert fitted_ends({"diametral_m": 0.24e-3, "end_to_end_m": None}) == (0.24e-3, 0.24e-3)


def test_every_reading_is_written_as_typed_or_as_mean_and_count() -> None:
    twice = (*build.taken(), replace(build.taken()[0], squeeze=2, text="0.246 mm", value=0.246e-3))
    spots = spots_of(build.PLACES, twice, judged(twice), build.CARD, {}, WIRE)
    first = build.taken()[0]
    assert spots[0].text == f"{1e3 * (first.value + 0.246e-3) / 2:.3f} (×2)"
    assert [s.text for s in spots[1:]] == [r.text for r in build.taken()[1:]]


def test_what_could_not_be_read_is_drawn_and_marked() -> None:
    kept = build.taken()[1:]
    name = build.PLACES[0].label
    drawn = pictures_of(
        judged(kept), build.CARD, build.PLACES, kept, method=WIRE, unreadable={name: "a quarter"}
    )
    assert f"1 {name}: a quarter, unreadable" in said(drawn.places)


def test_without_readings_only_the_places_are_drawn() -> None:
    drawn = pictures_of(judged(()), build.CARD, build.PLACES, method=WIRE)
    assert drawn.along_axis == drawn.section_gap == ""
    assert said(drawn.places).count("empty") == len(build.PLACES)


def test_rules_are_drawn_only_where_no_limit_is_judged_by() -> None:
    assert [band.main for band in bands_of(judged(build.taken()))] == [True]
    rules = bands_of(judged(build.taken(), limits=False))
    assert len(rules) >= 3
    assert not any(band.main for band in rules)


def test_every_picture_turns() -> None:
    found = judged(build.taken())
    straight, turned = (
        pictures_of(found, build.CARD, build.PLACES, build.taken(), method=WIRE, turned=turn)
        for turn in (0, 180)
    )
    assert "seen from the drive end" in straight.places
    for name in ("section", "places", "section_gap"):
        assert "seen from the other end" in getattr(turned, name)
    assert straight.along_axis != turned.along_axis
