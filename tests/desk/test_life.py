"""A bearing's life at the desk: openings over years, wear, and when to open next."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from tests.desk.lives import IDA, RENEWED_AT, Years, a_desk, measure, opening, seeing
from whitemetal.desk import Desk
from whitemetal.desk.life import keep_counter, keep_rule, keep_shells, life_of, strike_of_life
from whitemetal.desk.run_in import begin_run, keep_run_reading
from whitemetal.desk.sending import sending
from whitemetal.errors import InputError
from whitemetal.job import life_words
from whitemetal.job.life import months_after

HOUR = 3600.0


@pytest.fixture
def place(tmp_path: Path) -> Iterator[tuple[Desk, Years]]:
    desk, years = a_desk(tmp_path / "record.sqlite3")
    yield desk, years
    desk.close()


def counter(desk: Desk, bearing: str, day: str, hours: str = "", starts: str = "", anew: str = "") -> None:
    keep_counter(
        desk, bearing, {"date": day, "hours": hours, "starts": starts, "anew": anew, "source": "panel"}, IDA
    )


def two_openings(desk: Desk, years: Years) -> str:
    """Left at 0.200 mm in March 2026, found at 0.240 mm two years and 16 000 hours later, left at 0.230 mm."""
    bearing = desk.keep_card(RENEWED_AT, IDA).bearing
    opening(desk, bearing, "W-1", 0.210, 0.200)
    counter(desk, bearing, "2026-03-02", "40000", "300")
    years.set("2028-03-02")
    counter(desk, bearing, "2028-03-02", "56000", "420")
    opening(desk, bearing, "W-2", 0.240, 0.230)
    return bearing


def test_one_opening_says_nothing(place: tuple[Desk, Years]) -> None:
    desk, _ = place
    bearing = desk.keep_card(RENEWED_AT, IDA).bearing
    opening(desk, bearing, "W-1", 0.210, 0.200)
    found = life_of(desk, bearing)
    assert found.wear.rate is None and found.due is None
    assert life_words.headline(found)[1] == "One opening says nothing about wear."


def test_the_second_opening_two_years_later(place: tuple[Desk, Years]) -> None:
    """0.240 - 0.200 = 0.040 mm in 16 000 h; (0.400 - 0.230)/(0.040/16 000) = 68 000 h to the limit, most likely;
    16 000 h in two years (731 days) make 68 000 h 3106.75 days. The date at 5 % comes before that."""
    desk, years = place
    bearing = two_openings(desk, years)
    found = life_of(desk, bearing)
    assert found.limit_said == (
        "maker's figure for this machine: maker's book, table 3 (invented), revision 2"
    )
    (run,) = found.wear.runs
    assert run.change == pytest.approx(0.040e-3, abs=0.5e-6)
    assert run.over == pytest.approx(16_000 * HOUR)
    assert found.wear.rate == pytest.approx(0.040e-3 / (16_000 * HOUR), rel=0.01, abs=0.0)
    assert found.limit == pytest.approx(0.40e-3)
    assert found.next.reached is not None
    assert found.next.reached == pytest.approx(68_000 * HOUR, rel=0.02)
    assert found.next.low < found.next.reached < found.next.high
    assert found.next.open_by is not None and found.next.open_by < found.next.reached
    assert found.due is not None and found.due_by == "wear"
    days = (found.due - date(2028, 3, 2)).days
    assert days == math.floor(found.next.open_by / (16_000 * HOUR) * 731)
    assert [one.shells for one in found.openings] == ["the shells of the first record"] * 2
    assert "one run alone" in " ".join(found.said)
    said = " ".join(life_words.sentences(desk.bearing(bearing).card, found))
    assert "95 % interval" in said and "0.400 mm diametral" in said


def test_against_starts_and_the_calendar(place: tuple[Desk, Years]) -> None:
    desk, years = place
    bearing = two_openings(desk, years)
    by_starts, by_days = life_of(desk, bearing, "starts"), life_of(desk, bearing, "calendar")
    assert by_starts.wear.rate == pytest.approx(0.040e-3 / 120.0, rel=0.01, abs=0.0)
    assert by_days.wear.rate == pytest.approx(0.040e-3 / (731 * 86400.0), rel=0.01, abs=0.0)
    hours = life_of(desk, bearing, "hours")
    assert by_starts.due == by_days.due == hours.due, "all three counters ran evenly"


def test_the_plants_rule_decides_where_it_is_shorter_and_a_risk_is_chosen(place: tuple[Desk, Years]) -> None:
    desk, years = place
    bearing = two_openings(desk, years)
    free = life_of(desk, bearing)
    braver = life_of(desk, bearing, risk=0.2)
    assert free.due is not None and braver.due is not None and braver.due > free.due
    keep_rule(desk, {"months": "24", "risk": "5 %", "text": "insurer's rule (invented)"}, IDA)
    bound = life_of(desk, bearing)
    assert (bound.due, bound.due_by) == (date(2030, 3, 2), "plant")
    keep_rule(desk, {"months": "240", "risk": "", "text": "relaxed"}, IDA)
    assert life_of(desk, bearing).due == free.due


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [("2032-03-02", 48, "2036-03-02"), ("2027-11-30", 3, "2028-02-29"), ("2026-12-31", 1, "2027-01-31")],
)
def test_months_are_those_of_the_calendar(day: str, months: int, later: str) -> None:
    assert months_after(date.fromisoformat(day), months) == date.fromisoformat(later)


def test_nothing_is_ever_given_without_an_interval(place: tuple[Desk, Years]) -> None:
    """Found at 0.203 mm after 0.200 mm: 3 micrometres may be nothing, and no date is made of it."""
    desk, years = place
    bearing = desk.keep_card(RENEWED_AT, IDA).bearing
    opening(desk, bearing, "W-1", None, 0.200)
    years.set("2028-03-02")
    opening(desk, bearing, "W-2", 0.203, None)
    found = life_of(desk, bearing)
    assert found.against == "calendar" and found.wear.rate is not None
    assert found.next.high == math.inf


def test_other_shells_begin_a_new_line_and_bed_in(place: tuple[Desk, Years]) -> None:
    desk, years = place
    bearing = two_openings(desk, years)
    years.set("2030-03-02")

    def other_shells(job: str) -> None:
        desk.change_fit(job, "shell", "", "", "re-metalled pair", seeing(desk, job))

    job = opening(desk, bearing, "W-3", 0.300, 0.205, other_shells)
    keep_shells(desk, bearing, {"date": "2030-03-02", "shells": "pair 1188", "why": "worn", "job": job}, IDA)
    counter(desk, bearing, "2030-03-02", "72000")
    years.set("2032-03-02")
    counter(desk, bearing, "2032-03-02", "88000")
    opening(desk, bearing, "W-4", 0.230, 0.230)
    found = life_of(desk, bearing)
    assert [one.shells for one in found.openings][-2:] == ["pair 1188"] * 2
    assert [run.note for run in found.wear.runs][-1] == "bedding-in, left out of the rate"
    assert "other shells" in found.wear.runs[0].note
    assert found.wear.rate is None
    years.set("2034-03-02")
    counter(desk, bearing, "2034-03-02", "104000")
    opening(desk, bearing, "W-5", 0.240, None)
    found = life_of(desk, bearing)
    assert found.wear.rate == pytest.approx(0.010e-3 / (16_000 * HOUR), rel=0.1, abs=0.0)


def test_put_back_as_it_was_found(place: tuple[Desk, Years]) -> None:
    desk, years = place
    bearing = desk.keep_card(RENEWED_AT, IDA).bearing
    opening(desk, bearing, "W-1", 0.210, None)
    years.set("2028-03-02")
    opening(desk, bearing, "W-2", 0.230, None)
    found = life_of(desk, bearing)
    assert found.wear.rate == pytest.approx(0.020e-3 / (731 * 86400.0), rel=0.02, abs=0.0)
    assert [one.left == one.found for one in found.openings] == [True, True]
    assert found.wear.since is not None and not found.wear.since.as_left, "nothing was measured as left"
    said = " ".join(life_words.sentences(desk.bearing(bearing).card, found))
    assert "0.230 mm as found on 2028-03-02" in said and "as left on" not in said


def test_a_clearance_as_left_that_was_scraped_away_since_is_not_what_was_left(
    place: tuple[Desk, Years],
) -> None:
    desk, _ = place
    bearing = desk.keep_card(RENEWED_AT, IDA).bearing
    job = opening(desk, bearing, "W-1", 0.210, 0.200)
    desk.change_fit(job, "scraping", "lower", "", "once more", seeing(desk, job))
    (one,) = life_of(desk, bearing).openings
    assert one.left == () and len(one.found) == 1


def test_another_torque_is_not_compared(place: tuple[Desk, Years]) -> None:
    desk, years = place
    bearing = desk.keep_card(RENEWED_AT.replace('torque = "420 N m"', ""), IDA).bearing
    opening(desk, bearing, "W-1", None, 0.200)
    years.set("2028-03-02")
    job = desk.open_job(bearing, "W-2", "opening", IDA)
    measure(desk, job, "as found", 0.240, torque="300 N m")
    found = life_of(desk, bearing)
    assert found.wear.rate is None
    assert "not measured alike" in found.wear.runs[0].note


def test_a_counter_that_runs_backwards_is_asked_about_and_one_set_anew_goes_on(
    place: tuple[Desk, Years],
) -> None:
    """56 000 h on the old counter, then 200 h and 8 200 h on the new one: 64 000 h and 8 000 more in the last."""
    desk, years = place
    bearing = two_openings(desk, years)
    with pytest.raises(InputError, match="not against 56000 h on 2028-03-02"):
        counter(desk, bearing, "2028-06-01", "200")
    counter(desk, bearing, "2028-06-01", "200", anew="yes")
    counter(desk, bearing, "2029-06-01", "8200")
    years.set("2029-06-01")
    opening(desk, bearing, "W-3", 0.250, None)
    found = life_of(desk, bearing)
    assert found.openings[-1].hours == pytest.approx(64_200 * HOUR)
    assert len([run for run in found.wear.runs if not run.note]) == 2


def test_hours_between_two_readings_and_none_beyond(place: tuple[Desk, Years]) -> None:
    """Half of the 731 days between 40 000 and 56 000 h is 365.5; on day 365 it is 40 000 + 16 000 * 365/731."""
    desk, years = place
    bearing = desk.keep_card(RENEWED_AT, IDA).bearing
    counter(desk, bearing, "2026-03-02", "40000")
    counter(desk, bearing, "2028-03-02", "56000")
    for day, number in (("2026-01-05", "W-0"), ("2027-03-02", "W-1"), ("2028-04-01", "W-2")):
        years.set(day)
        opening(desk, bearing, number, 0.2, None)
    found = life_of(desk, bearing)
    assert [(one.hours, one.how) for one in found.openings] == [
        (None, ""), (pytest.approx((40_000 + 16_000 * 365 / 731) * HOUR), "between"), (None, ""),
    ]  # fmt: skip


def test_two_who_say_different_things_of_the_same_day_are_both_shown_until_one_is_struck(
    place: tuple[Desk, Years],
) -> None:
    desk, years = place
    bearing = two_openings(desk, years)
    counter(desk, bearing, "2028-03-02", "56100", "420")
    found = life_of(desk, bearing)
    assert len(found.problems) == 2 and "contradicts" in found.problems[0]
    assert found.against == "calendar", "neither reading counts"
    wrong = next(one for one in found.book.counters if one.hours == 56100 * HOUR)
    with pytest.raises(InputError):
        strike_of_life(desk, bearing, wrong.entry, " ", IDA)
    for _ in range(2):
        with sending("a strike, its answer lost"):
            kept = strike_of_life(desk, bearing, wrong.entry, "read off the pump's counter", IDA)
            assert kept.entry is not None and kept.entry.body["entry"] == wrong.entry
    again = life_of(desk, bearing)
    assert again.against == "hours" and again.problems == ()
    assert next(one for one in again.book.counters if one.entry == wrong.entry).standing.struck
    assert desk.verify() == ()


def test_a_clearance_that_does_not_count_in_its_own_check_makes_no_wear(place: tuple[Desk, Years]) -> None:
    desk, years = place
    bearing = two_openings(desk, years)
    years.set("2030-03-02")
    job = desk.open_job(bearing, "W-3", "opening", IDA)
    check = measure(desk, job, "as found", 0.5)
    desk.keep_fact(job, check, "tightened", "not final", seeing(desk, job))
    found = life_of(desk, bearing, "calendar")
    (figure,) = found.openings[-1].found
    assert figure.doubt
    assert len(found.wear.runs) == 1
    assert any("no wear is made of it" in said for said in found.said)


def test_crown_and_run_in_temperatures_stand_with_the_opening(place: tuple[Desk, Years]) -> None:
    """Crown 12.000 when new, 11.960 now: 0.040 mm worn at the one mark that was read."""
    desk, _ = place
    bearing = desk.keep_card(RENEWED_AT, IDA).bearing
    desk.keep_birth(bearing, "crown", "DE middle", "12.000 mm", IDA, source="stamped on the shell")
    job = desk.open_job(bearing, "W-1", "opening", IDA)
    check = desk.start_check(job, "crown", "as found", seeing(desk, job))
    desk.keep_fact(job, check, "anvil", "ball anvil", seeing(desk, job))
    desk.keep_reading(job, check, "DE middle", "11.960 mm", seeing(desk, job))
    run = begin_run(desk, job, "coupled", "2026-03-02T08:00:00.000Z", "20 degC", IDA).entry
    assert run is not None
    for minute, text in ((10, "41 degC"), (40, "58 degC"), (60, "57 degC")):
        at = f"2026-03-02T{8 + minute // 60:02d}:{minute % 60:02d}:00.000Z"
        kept = keep_run_reading(desk, job, str(run.body["run"]), "metal", at, text, seeing(desk, job))
        assert kept.problem is None
    (one,) = life_of(desk, bearing).openings
    values = {(each.of, each.where): each.value for each in one.others}
    assert values["crown wear", "DE middle"] == pytest.approx(0.040e-3)
    assert values["highest temperature", "metal"] == pytest.approx(58 + 273.15)
    told = life_words.openings(desk.bearing(bearing).card, life_of(desk, bearing))[0].others
    assert any("58.0 °C" in text for text in told), told
