"""A logger's file is imported or refused with the reason, and no line of it is lost. Expected values are hand
arithmetic, written out; the files are invented."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as some

from whitemetal.closing.run_in.logger_file import Log, decoded, read_log
from whitemetal.closing.run_in.logger_propose import propose
from whitemetal.closing.run_in.logger_read_as import Channel, ReadAs
from whitemetal.closing.run_in.logger_table import lines_of
from whitemetal.closing.run_in.logger_time import FORMS, Clock, Form, stamps
from whitemetal.errors import InputError

BERLIN = ZoneInfo("Europe/Berlin")
KELVIN = 273.15

ODD = """\
Tarn Mill portable logger 4;;;
started 2026-02-03;;;
Zeit;Lining drive end;Oil sump;Remark
;[°C];[degF];
03.02.2026 14:00:00;21,5;70,7;
03.02.2026 14:01:00;23,0;71,6;"fan started; doors shut"
03.02.2026 14:01:00;23,0;71,6;"fan started; doors shut"
03.02.2026 14:02:00;24,25;---;
03.02.2026 14:02:00;24,50;72,5;

03.02.2026 14:12:00;36,0;80,6;
03.02.2026 14:13:00;3276,7;82,4;
03.02.2026 14:14;38,0;84,2
32.02.2026 14:15:00;39,0;86,0;
03.02.2026 14:16:00;40.0;87,8;
"""
"""Semicolons, decimal commas, a row of units, a local zone, a stamp that comes again with the same values and
with others, a gap of ten minutes, a code for a broken wire, a short line, a day that is none, a number with the
other sign."""


def odd_log(text: str = ODD) -> Log:
    proposed = propose(text)
    return read_log(text, replace(proposed.read_as, zone="Europe/Berlin"), BERLIN, None)


def test_what_can_be_told_is_proposed_and_the_zone_is_asked() -> None:
    proposed = propose(ODD)
    said = proposed.read_as
    assert (said.separator, said.decimal, said.time, said.form) == (
        "semicolon", "comma", (1,), "day.month.year",
    )  # fmt: skip
    assert said.channels == (Channel(2, "metal", "degC"), Channel(3, "oil sump", "degF"))
    assert [one.of for one in proposed.asked] == ["zone"]
    with pytest.raises(InputError) as refused:
        read_log(ODD, said, None, None)
    assert [problem.field for problem in refused.value.problems] == ["zone"]


def test_every_line_of_the_odd_file_has_its_fate() -> None:
    log = odd_log()
    assert [(line.number, line.fate) for line in log.lines] == [
        (1, "before the data"), (2, "before the data"), (3, "header"), (4, "units"), (5, "reading"),
        (6, "reading"), (7, "repeated"), (8, "reading"), (9, "reading"), (10, "blank or comment"),
        (11, "reading"), (12, "reading"), (13, "refused"), (14, "refused"), (15, "reading"),
    ]  # fmt: skip
    assert [line.text for line in log.lines] == ODD.splitlines()
    assert all(line.why for line in log.lines if line.fate in ("refused", "repeated"))
    assert [(cell.line, cell.column, cell.text) for cell in log.cells] == [
        (8, 3, "---"), (12, 2, "3276,7"), (15, 2, "40.0"),
    ]  # fmt: skip
    assert all(cell.why for cell in log.cells)


def test_values_times_and_units_of_the_odd_file() -> None:
    """Berlin is one hour ahead of UTC in February. 70.7 degF = (70.7 - 32) / 1.8 = 21.5 degC."""
    log = odd_log()
    first, second = log.values[:2]
    assert first.at == datetime(2026, 2, 3, 13, 0, tzinfo=UTC)
    assert first.value == pytest.approx(KELVIN + 21.5, abs=1e-9)
    assert second.value == pytest.approx(KELVIN + 21.5, abs=1e-9)
    metal = [(one.at.minute, round(one.value - KELVIN, 6)) for one in log.values if one.channel == 0]
    assert metal == [(0, 21.5), (1, 23.0), (2, 24.25), (2, 24.5), (12, 36.0)]
    assert first.text == "21,5"


def test_gaps_and_stamps_that_come_again_are_said() -> None:
    """600 s from 14:02 to 14:12; line 9 has the moment of line 8 and another value."""
    notes = " ".join(odd_log().notes)
    assert "600 s" in notes and "line 9" in notes
    assert odd_log().interval == 60.0


def test_the_same_file_in_another_zone_is_another_moment() -> None:
    said = replace(propose(ODD).read_as, zone="Asia/Tokyo")
    log = read_log(ODD, said, ZoneInfo("Asia/Tokyo"), None)
    assert log.values[0].at == datetime(2026, 2, 3, 5, 0, tzinfo=UTC)


def one_column(rows: list[str], head: str = "time;metal [degC]") -> str:
    return "\n".join([head, *rows]) + "\n"


def autumn(times: list[str]) -> str:
    return one_column([f"2026-10-25 {time};{30 + i},5" for i, time in enumerate(times)])


def taken(text: str, **more: str) -> list[datetime]:
    said = replace(propose(text).read_as, zone="Europe/Berlin", **more)  # type: ignore[arg-type]
    return [one.at for one in read_log(text, said, BERLIN, None).values]


def utc(hour: int, minute: int) -> datetime:
    return datetime(2026, 10, 25, hour, minute, tzinfo=UTC)


def test_the_hour_that_comes_twice_is_told_by_the_step_back() -> None:
    """On 25 October 2026 clocks of Berlin go from 03:00 back to 02:00, at 01:00 UTC: 01:40 in
    summer time is 23:40 UTC of the day before, 02:10 after the step is 01:10 UTC."""
    found = taken(autumn(["01:40:00", "02:20:00", "02:50:00", "02:10:00", "02:40:00", "03:10:00"]))
    minutes = [(at - datetime(2026, 10, 24, 23, 0, tzinfo=UTC)).total_seconds() / 60.0 for at in found]
    assert minutes == [40.0, 80.0, 110.0, 130.0, 160.0, 190.0]


def test_the_hour_that_comes_twice_is_told_by_its_neighbours() -> None:
    """Every ten minutes: 02:00 to 02:20 run on to 03:10 only as the first (02:20 is 00:20 UTC) or as the second
    (02:50 second is 01:50 UTC, 03:00 is 02:00 UTC)."""
    assert taken(autumn(["01:50:00", "02:00:00", "02:10:00"]))[1:] == [utc(0, 0), utc(0, 10)]
    assert taken(autumn(["02:40:00", "02:50:00", "03:00:00"])) == [utc(1, 40), utc(1, 50), utc(2, 0)]


def test_the_hour_that_comes_twice_is_asked_where_nothing_tells() -> None:
    text = autumn(["02:10:00", "02:20:00"])
    with pytest.raises(InputError) as asked:
        taken(text)
    assert asked.value.problems[0].field == "doubled"
    assert taken(text, doubled="second") == [utc(1, 10), utc(1, 20)]
    assert taken(text, doubled="first") == [utc(0, 10), utc(0, 20)]


def test_an_hour_that_does_not_exist_refuses_the_zone_not_the_line() -> None:
    """On 29 March 2026 clocks of Berlin go from 02:00 to 03:00."""
    text = one_column(["2026-03-29 01:50:00;30,5", "2026-03-29 02:10:00;31,5"])
    said = replace(propose(text).read_as, zone="Europe/Berlin")
    with pytest.raises(InputError) as refused:
        read_log(text, said, BERLIN, None)
    assert (refused.value.problems[0].field, refused.value.problems[0].line) == ("zone", 3)
    fixed = read_log(text, replace(said, zone="+01:00"), ZoneInfo("Etc/GMT-1"), None)
    assert [one.at.hour for one in fixed.values] == [0, 1]


@pytest.mark.parametrize(
    ("times", "form", "minutes"),
    [
        (["2026-02-03T14:00:00Z", "2026-02-03T14:01:30Z"], "year-month-day", 1.5),
        (["2026-02-03 14:00:00+01:00", "2026-02-03 13:02:00+00:00"], "year-month-day", 2.0),
        (["3.2.2026 14:00", "3.2.2026 14:01"], "day.month.year", 1.0),
        (["02/13/2026 11:59 PM", "02/14/2026 12:01 AM"], "month/day/year", 2.0),
        (["13/02/26 09:59:30", "13/02/26 10:00:00"], "day.month.year", 0.5),
        (["03-Feb-2026 14:00:00", "03-Feb-2026 14:03:00"], "day month-name year", 3.0),
        (["1770127200", "1770127260"], "seconds since 1970", 1.0),
        (["1770127200000", "1770127200500"], "milliseconds since 1970", 0.5 / 60),
        (["46056.5", "46056.503472222"], "spreadsheet days", 5.0),
        (["0.0", "90.0"], "elapsed seconds", 1.5),
        (["00:00:00", "00:01:00"], "elapsed h:m:s", 1.0),
    ],
)
def test_any_column_of_times(times: list[str], form: str, minutes: float) -> None:
    """Minutes between the two lines by hand; 0.003472222 days of 1,440 minutes are 5.0."""
    head = "elapsed s|metal degC" if form.startswith("elapsed") else "when|lining (degC)"
    text = f"{head}\n{times[0]}|20.5\n{times[1]}|21.5\n"
    said = replace(propose(text).read_as, zone="UTC")
    assert said.form == form
    start = datetime(2026, 2, 3, 13, 0, tzinfo=UTC)
    if not propose(text).read_as.channels[0].unit:
        said = replace(said, channels=(Channel(2, "metal", "degC"),))
    first, last = (one.at for one in read_log(text, said, ZoneInfo("UTC"), start).values)
    assert (last - first).total_seconds() / 60.0 == pytest.approx(minutes, abs=1e-4)
    assert first == FIRST.get(times[0], first)


FIRST = {
    "2026-02-03T14:00:00Z": datetime(2026, 2, 3, 14, 0, tzinfo=UTC),
    "2026-02-03 14:00:00+01:00": datetime(2026, 2, 3, 13, 0, tzinfo=UTC),
    "02/13/2026 11:59 PM": datetime(2026, 2, 13, 23, 59, tzinfo=UTC),
    "1770127200": datetime(2026, 2, 3, 14, 0, tzinfo=UTC),
    "46056.5": datetime(2026, 2, 3, 12, 0, tzinfo=UTC),
    "0.0": datetime(2026, 2, 3, 13, 0, tzinfo=UTC),
}
"""1,770,127,200 s are 20,487 days and 14 h; 20,487 days after 1 January 1970 is 3 February 2026 (56 years with 14
leap days are 20,454; 33 more). Day 46,056 of a spreadsheet is that day: 25,569 is 1 January 1970."""


def test_date_and_time_in_two_columns() -> None:
    text = "Date,Time,Metal C\n2026-02-03,14:00:00,20.5\n2026-02-03,14:01:00,21.5\n"
    assert propose(text).read_as.time == (1, 2)
    said = replace(propose(text).read_as, channels=(Channel(3, "metal", "degC"),))
    assert [one.at.minute for one in read_log(text, said, UTC, None).values] == [0, 1]


def test_times_of_day_pass_midnight_and_their_day_is_asked() -> None:
    text = one_column(["23:58:00;20,5", "23:59:00;21,5", "00:00:00;22,5", "00:01:00;23,5"])
    proposed = propose(text)
    assert {one.of for one in proposed.asked} == {"zone", "day"}
    said = replace(proposed.read_as, zone="UTC", day="2026-02-28")
    days = [one.at.date().isoformat() for one in read_log(text, said, UTC, None).values]
    assert days == ["2026-02-28", "2026-02-28", "2026-03-01", "2026-03-01"]


def test_day_and_month_that_cannot_be_told_apart_are_asked() -> None:
    text = one_column(["03/02/2026 14:00;20,5", "03/02/2026 14:01;21,5"])
    assert "form" in [one.of for one in propose(text).asked]
    clear = one_column(["12/02/2026 14:00;20,5", "13/02/2026 00:01;21,5"])
    assert propose(clear).read_as.form == "day.month.year"
    assert "form" not in [one.of for one in propose(clear).asked]


def test_a_comma_that_may_part_thousands_is_asked() -> None:
    text = one_column(["2026-02-03 14:00;21,512", "2026-02-03 14:01;22,498"])
    assert "decimal" in [one.of for one in propose(text).asked]


def test_commas_between_and_within_are_refused_with_the_reason() -> None:
    with pytest.raises(InputError) as refused:
        propose("time,metal,sump\n2026-02-03 14:00,21,5,20,5\n2026-02-03 14:01,22,5,21,5\n")
    assert "semicolons" in refused.value.problems[0].expected
    assert refused.value.problems[0].line == 2


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"  \n \n",
        b"PK\x03\x04\x00\x00\x00\x08" + bytes(200),
        b"\x89PNG\r\n\x1a\n\x00\x00",
        b"x" * 8_000_001,
    ],
    ids=["nothing", "blank", "workbook", "picture", "too large"],
)
def test_what_is_no_text_is_refused(data: bytes) -> None:
    with pytest.raises(InputError):
        decoded(data)


@pytest.mark.parametrize("code", ["utf-8", "utf-8-sig", "utf-16", "windows-1252"])
def test_the_codes_loggers_write_in(code: str) -> None:
    assert decoded(ODD.encode(code))[0] == ODD


def test_prose_is_no_table() -> None:
    with pytest.raises(InputError):
        propose("The bearing ran well.\nNothing was logged.\n")


def test_a_line_earlier_than_the_one_before_keeps_its_time_and_is_said() -> None:
    text = one_column(["2026-02-03 14:00;20,5", "2026-02-03 14:05;22,5", "2026-02-03 14:04;21,5"])
    said = replace(propose(text).read_as, zone="UTC")
    log = read_log(text, said, UTC, None)
    assert [(one.line, one.at.minute) for one in log.values] == [(2, 0), (4, 4), (3, 5)]
    assert any("Line 4 is 60 s earlier" in note for note in log.notes)


def test_a_logger_started_anew_writes_its_names_again() -> None:
    text = one_column(["2026-02-03 14:00;20,5", "time;metal [degC]", "2026-02-03 14:05;22,5"])
    log = read_log(text, replace(propose(text).read_as, zone="UTC"), UTC, None)
    assert [line.fate for line in log.lines] == ["header", "reading", "header", "reading"]


AS = ReadAs("semicolon", "comma", (1,), "year-month-day", (Channel(2, "metal", "degC"),), "UTC")


@given(
    some.lists(
        some.one_of(
            some.text(alphabet="0123456789;,.:-T \"'x\u00b0", max_size=24),
            some.builds(
                lambda minute, tenths: f"2026-02-03 14:{minute:02d};{tenths // 10},{tenths % 10}",
                some.integers(0, 59), some.integers(0, 900),
            ),
        ),
        max_size=30,
    )
)  # fmt: skip
def test_no_line_is_ever_lost(rows: list[str]) -> None:
    """Whatever stands in the file: as many lines come out as go in, each with its text, and a reading is
    counted once for every value it gave."""
    text = one_column(["2026-02-03 13:00;20,5", *rows])
    try:
        log = read_log(text, AS, UTC, None)
    except InputError:
        return
    assert [line.text for line in log.lines] == list(lines_of(text))
    assert [line.number for line in log.lines] == list(range(1, len(log.lines) + 1))
    per_line = Counter(value.line for value in log.values)
    assert set(per_line) == {line.number for line in log.lines if line.fate == "reading"}
    assert all(line.why for line in log.lines if line.fate in ("refused", "repeated", "no value"))


@pytest.mark.parametrize("apart", [0, 7], ids=["one moment", "gaps everywhere"])
def test_a_file_of_twenty_times_the_lines_takes_twenty_times_as_long(apart: int) -> None:
    """Every line with a value of its own; with gaps every third second is ``apart`` seconds late. Were each line
    held against every other, it would be four hundred times."""

    def seconds(count: int) -> float:
        at, rows = datetime(2026, 2, 3), []
        for i in range(count):
            at += timedelta(seconds=(1 + apart * (i % 3 == 0)) if apart else 0)
            rows.append(f"{at.isoformat(' ')};2{i % 10},{i:06d}")
        began = time.process_time()
        assert len(read_log(one_column(rows), AS, UTC, None).values) == count
        return time.process_time() - began

    assert seconds(20_000) < 45.0 * min(seconds(count) for count in (998, 999, 1_000))


def test_two_probes_of_a_kind_need_two_points() -> None:
    """Joined into one curve they would jump by their difference at every line."""
    text = (
        "time;metal top [degC];metal bottom [degC]\n2026-02-03 14:00;20,5;24,5\n2026-02-03 14:01;21,5;25,5\n"
    )
    said = replace(propose(text).read_as, zone="UTC")
    assert [one.point for one in said.channels] == ["metal top [degC]", "metal bottom [degC]"]
    assert len(read_log(text, said, UTC, None).values) == 4
    joined = replace(said, channels=tuple(replace(one, point="") for one in said.channels))
    with pytest.raises(InputError) as refused:
        read_log(text, joined, UTC, None)
    assert [problem.field for problem in refused.value.problems] == ["point"]


@given(
    some.sampled_from(FORMS),
    some.lists(some.text(alphabet="0123456789:.-/ TZe+", min_size=1, max_size=22), min_size=1, max_size=12),
    some.sampled_from(["UTC", "Europe/Berlin", "Pacific/Kiritimati"]),
)
def test_no_time_that_can_be_written_breaks_the_reader(form: Form, times: list[str], zone: str) -> None:
    """Years without a calendar, seconds without an end: each text has a moment or a reason."""
    clock = Clock(form, ZoneInfo(zone), date(2026, 3, 1), datetime(2026, 3, 1, tzinfo=UTC))
    found = stamps(times, clock)
    assert len(found) == len(times)
    assert all((one.at is None) is bool(one.why) for one in found)


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("1e300", "elapsed seconds"),
        ("0001-01-01 00:00", "year-month-day"),
        ("9999-12-31 23:59", "year-month-day"),
    ],
)
def test_times_beyond_any_calendar_are_no_times(text: str, form: Form) -> None:
    clock = Clock(form, BERLIN, None, datetime(2026, 3, 1, tzinfo=UTC))
    assert stamps([text], clock)[0].at is None
