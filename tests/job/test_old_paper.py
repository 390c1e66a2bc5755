"""A table of old sheets: what every row becomes, and everything that is refused with its line."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.desk.lives import RENEWED_AT
from whitemetal.card import read_card
from whitemetal.job.life_book import HOURS, PAPER, SHELLS, Paper, paper_of
from whitemetal.job.old_paper import Answers, Brought, brought

CARD = read_card(RENEWED_AT)
MM = Answers(unit="mm", basis="diametral", source="binder 4, sheet 12 (invented)")


def table(*rows: str, answers: Answers = MM) -> Brought:
    """Rows written with | between the cells."""
    return brought([(n, row.split("|")) for n, row in enumerate(rows, start=1)], answers, CARD)


def said(found: Brought) -> list[tuple[int | None, str, str]]:
    return [(one.line, one.field, one.typed) for one in found.problems]


def test_a_row_becomes_its_entries() -> None:
    found = table(
        "Date|Job|As found|As left|Hours|Starts|New shells|Remark",
        "2008-04-02|W-17|0.31|0.200|41000|310|pair 5|white metal grey",
    )
    assert found.problems == () and found.rows == 1
    assert [body.kind for body in found.bodies] == [PAPER, PAPER, HOURS, SHELLS]
    first = found.bodies[0].texts
    assert (first["text"], first["basis"], first["purpose"]) == ("0.31 mm", "diametral", "as found")
    assert first["source"] == "binder 4, sheet 12 (invented), white metal grey"
    assert found.bodies[2].texts["hours"] == "41000" and found.bodies[3].texts["shells"] == "pair 5"


def test_radial_figures_are_doubled_with_their_uncertainty() -> None:
    """0.10 mm radial is 0.20 mm diametral. Good to 0.02 mm (95 %) radial: u = 2 sqrt(0.01² + 0.01²/12) mm."""
    found = table("date|as left|good to", "2008-04-02|0.10|0.02", answers=replace(MM, basis="radial"))
    paper = paper_of(found.bodies[0].texts)
    assert isinstance(paper, Paper)
    assert paper.value == pytest.approx(0.20e-3)
    assert paper.u == pytest.approx(2 * (0.01**2 + 0.01**2 / 12) ** 0.5 * 1e-3)


def test_without_a_word_a_clearance_is_good_to_what_wires_usually_are() -> None:
    """0.03 mm to each side (95 %) is u = 0.015 mm, with 0.001/sqrt(12) mm for the last digit."""
    paper = paper_of(table("date|as left", "2008-04-02|0.200").bodies[0].texts)
    assert isinstance(paper, Paper)
    assert paper.u == pytest.approx((0.015**2 + 0.001**2 / 12) ** 0.5 * 1e-3)


@pytest.mark.parametrize("lacking", ["unit", "basis", "source"])
def test_unit_basis_and_source_are_asked_and_never_guessed(lacking: str) -> None:
    found = table("date|as left", "2008-04-02|0.2", answers=replace(MM, **{lacking: ""}))
    assert len(found.problems) == 1 and found.bodies == ()


def test_the_units_in_the_header_go_before_the_answer() -> None:
    found = table("date|as left [thou]|temperature (degF)", "2008-04-02|8.0|140")
    assert [body.texts["text"] for body in found.bodies] == ["8.0 thou", "140 degF"]
    assert said(table("date|as left [kg]", "2008-04-02|8.0")) == [(1, "names of the columns", "as left [kg]")]


@pytest.mark.parametrize(
    ("order", "typed", "day"),
    [
        ("year-month-day", "2008-04-02", "2008-04-02"),
        ("day.month.year", "2.4.2008", "2008-04-02"),
        ("month/day/year", "4/2/2008", "2008-04-02"),
        ("day.month.year", "2008-04-02", "2008-04-02"),
    ],
)
def test_dates_in_the_order_that_was_said(order: str, typed: str, day: str) -> None:
    found = table("date|as left", f"{typed}|0.2", answers=replace(MM, dates=order))
    assert found.bodies[0].texts["date"] == day


@pytest.mark.parametrize("typed", ["2.4.08", "31.2.2008", "April 2008", "", "2008-13-01", "2.4.2008.1"])
def test_no_date_is_guessed(typed: str) -> None:
    found = table("date|as left", f"{typed}|0.2", answers=replace(MM, dates="day.month.year"))
    assert said(found) == [(2, "Date", typed)]


@pytest.mark.parametrize(
    ("decimals", "hours", "clearance", "kept"),
    [("point", "45,210.5", "0.240", "45210.5"), ("comma", "45.210,5", "0,240", "45210,5"),
     ("as it stands", "45210", "0,240", "45210")],
)  # fmt: skip
def test_thousands_marks_of_a_counter_where_the_sign_was_said(
    decimals: str, hours: str, clearance: str, kept: str
) -> None:
    found = table(
        "date|as left|hours", f"2008-04-02|{clearance}|{hours}", answers=replace(MM, decimals=decimals)
    )
    assert found.problems == ()
    assert found.bodies[1].texts["hours"] == kept and found.bodies[0].texts["text"] == f"{clearance} mm"


def test_a_number_that_could_be_two_is_asked() -> None:
    assert said(table("date|hours", "2008-04-02|45,210")) == [(2, "Running hours", "45,210")]
    comma = replace(MM, decimals="point")
    assert said(table("date|as left", "2008-04-02|0,240", answers=comma)) == [(2, "as left", "0,240")]


def test_every_wrong_row_is_named_and_then_nothing_is_made_of_it() -> None:
    found = table(
        "date|as found|as left",
        "2008-04-02|0.3 furlongs|0.2",
        "",
        "2009-04-02|0.31|",
        "2010-04-02|||stray",
        "2011-04-02||",
        "2012-04-02|3.1|0.2",
        "2013-04-02|=1+1|",
    )
    assert [problem.line for problem in found.problems] == [2, 5, 6, 7, 8]
    assert "below 1.6 mm, diametral" in found.problems[3].expected, "1 % of the 160 mm journal"
    assert found.rows == 6


def test_a_column_nobody_knows_and_one_twice() -> None:
    found = table("date|as fuond|as left|as left", "2008-04-02|0.3|0.2|0.2")
    assert "perhaps as found" in found.problems[0].expected and len(found.problems) == 2
    assert said(table("as left", "0.2"))[0][1] == "names of the columns"
    assert len(table("date|as left").problems) == 1 and len(table().problems) == 1


def test_a_method_is_known_or_left_empty() -> None:
    assert table("date|as left|method", "2008-04-02|0.2|wire").problems == ()
    assert said(table("date|as left|method", "2008-04-02|0.2|guess")) == [(2, "Method", "guess")]


def test_crown_thickness_by_place() -> None:
    (body,) = table("date|crown DE left", "2008-04-02|12.01").bodies
    assert (body.texts["of"], body.texts["place"], body.texts["text"]) == (
        "crown thickness",
        "DE left",
        "12.01 mm",
    )


def test_two_columns_of_one_place_are_refused_and_no_reading_is_dropped() -> None:
    found = table("date|crown DE left|Crown de  LEFT [mm]", "2008-04-02|12.01|12.34")
    assert said(found) == [(1, "names of the columns", "Crown de  LEFT [mm]")]


def test_a_unit_in_the_header_counts_however_its_name_and_number_are_written() -> None:
    """Two blanks in the place's name; a number that ends in its decimal point. The answer said mm."""
    found = table("date|crown DE  left [in]|as left [thou]", "2008-04-02|0.47|8.")
    assert found.problems == ()
    assert [body.texts["text"] for body in found.bodies] == ["8. thou", "0.47 in"]
    assert found.bodies[1].texts["place"] == "DE left"


def test_too_much_is_refused() -> None:
    assert "5000" in table("date|as left", *["2008-04-02|0.2"] * 5001).problems[0].expected
    assert "400" in table("date|remark", f"2008-04-02|{'x' * 401}").problems[0].expected
    assert "40" in table("|".join(["date"] + [""] * 41)).problems[0].expected
