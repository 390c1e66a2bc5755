"""A bearing's life from old paper alone: invented sheets, dates and wear by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tests.job.test_old_paper import CARD, table
from whitemetal.errors import InputError
from whitemetal.job.life import Life, life
from whitemetal.job.life_book import LifeBook, Paper, Shells, paper_of, shells_of


def told(*rows: str, head: str = "date|as found|as left|new shells") -> Life:
    """The life that these rows of old paper tell."""
    made: list[Shells | Paper] = []
    for number, body in enumerate(table(head, *rows).bodies):
        found = shells_of(body.texts) if "shells" in body.texts else paper_of(body.texts)
        assert not isinstance(found, InputError)
        made.append(replace(found, entry=f"e{number}"))
    shells = tuple(one for one in made if isinstance(one, Shells))
    papers = tuple(one for one in made if isinstance(one, Paper))
    return life(CARD, (), LifeBook(shells=shells, papers=papers))


SHEETS = ("2008-04-02||0.200|", "2009-01-10|||pair 9", "2010-04-02||0.210|", "2012-04-02|0.230||")


def test_shells_put_in_between_two_sheets_do_not_bed_in_after_the_later_one() -> None:
    """Put in on 10 January 2009, with no sheet of that day: by the sheet of 2010 they had run for a year."""
    found = told(*SHEETS)
    assert [(one.day.year, one.shells == "pair 9", one.renewed) for one in found.openings] == [
        (2008, False, False), (2010, True, False), (2012, True, False),
    ]  # fmt: skip
    (run,) = found.wear.runs
    assert (run.before, run.after, run.note) == ("2010-04-02", "2012-04-02", "")
    days = (date(2012, 4, 2) - date(2010, 4, 2)).days
    assert found.wear.rate == pytest.approx(0.020e-3 / (days * 86400.0), rel=1e-9, abs=0.0)


def test_shells_put_in_on_the_day_of_a_sheet_bed_in_after_it() -> None:
    found = told("2008-04-02||0.200|pair 9", "2010-04-02|0.220||")
    assert [one.renewed for one in found.openings] == [True, False]
    assert [run.note for run in found.wear.runs] == ["bedding-in, left out of the rate"]


def test_a_risk_that_is_none_is_refused_and_not_replaced_by_the_plants() -> None:
    with pytest.raises(InputError):
        life(CARD, (), LifeBook(), risk=0.0)
