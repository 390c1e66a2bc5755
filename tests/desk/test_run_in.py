"""Run-ins over a real record: typed, from a logger's file, and from a file that grows. All data is invented;
expected values are hand arithmetic."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.closing.run_in.test_logger_file import ODD
from tests.ledger.writing import ANN, BO, CARD, a_desk
from whitemetal.closing.run_in.logger_propose import propose
from whitemetal.desk import Desk, Writer
from whitemetal.desk import run_in as run_in_module
from whitemetal.desk.run_in import (
    add_to_log,
    begin_run,
    keep_log,
    keep_run_reading,
    read_log_so,
    runs,
    see,
    zone_of,
)
from whitemetal.desk.sending import sending
from whitemetal.errors import CannotWrite, InputError
from whitemetal.job.entry import digest_of, from_json
from whitemetal.job.picture import fold
from whitemetal.job.run_in import RunShown
from whitemetal.job.run_state import said_of

RINGED = CARD.replace('length = "140 mm"', 'length = "140 mm"\nlubrication = "ring-oiled"')
LIMITS = """
[[limit]]
of = "metal temperature alarm"
maximum = "69.5 degC"
rung = "maker's figure for this machine"
document = "Book 7, sheet 9 (invented)"
revision = "C"

[[limit]]
of = "oil sump temperature alarm"
maximum = "60 degC"
rung = "owner's standard"
document = "Tarn Mill run-in sheet (invented)"
revision = "1"
"""
START = "2026-02-03T13:00:00Z"
BEGAN = datetime(2026, 2, 3, 13, 0, tzinfo=UTC)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def begun(
    desk: Desk, card: str = RINGED + LIMITS, number: str = "J-1", start: str = START
) -> tuple[str, str]:
    job = desk.open_job(desk.keep_card(card, ANN).bearing, number, "opening", ANN)
    return job, run_in(desk, job, start)


def run_in(desk: Desk, job: str, start: str = START) -> str:
    kept = begin_run(desk, job, "uncoupled", start, "20.0 degC", ANN)
    assert kept.entry is not None
    return str(kept.entry.body["run"])


def shown(desk: Desk, job: str, which: int = -1) -> RunShown:
    return runs(desk, desk.job(job))[which]


def at(minutes: float) -> str:
    return (BEGAN + timedelta(minutes=minutes)).isoformat().replace("+00:00", "Z")


def test_typed_readings_keep_their_text_and_their_place(desk: Desk) -> None:
    """68.0 degF = (68 - 32) / 1.8 = 20 degC."""
    job, run = begun(desk)
    keep_run_reading(desk, job, run, "metal", at(0), "68.0", ANN, unit="degF")
    keep_run_reading(desk, job, run, "oil sump", at(5), "21,5 °C", BO)
    found = shown(desk, job)
    assert [(one.what, one.time, round(one.value - 273.15, 9), one.text) for one in found.values] == [
        ("metal", 0.0, 20.0, "68.0"), ("oil sump", 300.0, 21.5, "21,5 °C"),
    ]  # fmt: skip
    assert [place.where for place in found.places] == ["metal", "oil sump"]
    assert found.ambient == pytest.approx(293.15)


def test_what_cannot_be_read_is_kept_and_said(desk: Desk) -> None:
    job, run = begun(desk)
    kept = keep_run_reading(desk, job, run, "metal", at(1), "warm", ANN, unit="degC")
    assert kept.entry is not None and kept.problem is not None
    assert [(one.reading.text, bool(one.problem.expected)) for one in shown(desk, job).unread] == [
        ("warm", True)
    ]


def test_a_limit_counts_at_its_own_place_only(desk: Desk) -> None:
    """65 degC is above the alarm of the sump, 60, and below that of the metal, 69.5."""
    job, run = begun(desk)
    keep_run_reading(desk, job, run, "metal", at(60), "65.0 degC", ANN)
    assert shown(desk, job).standing == "running"
    keep_run_reading(desk, job, run, "oil sump", at(60), "65.0 degC", ANN)
    found = shown(desk, job)
    assert [(where, one.code) for where, one in found.warned if one.weight == "stop"] == [
        ("oil sump", "alarm")
    ]
    said = "owner's standard: Tarn Mill run-in sheet (invented), revision 1"
    assert found.warned[0][1].source == said, "as every other page says where a limit stands"
    assert found.standing == "stop"


def test_a_struck_reading_no_longer_counts_and_stays(desk: Desk) -> None:
    job, run = begun(desk)
    kept = keep_run_reading(desk, job, run, "metal", at(1), "200 degC", ANN)
    assert kept.entry is not None and shown(desk, job).standing == "stop"
    desk.strike(job, kept.entry.id, "20.0 was meant", BO)
    found = shown(desk, job)
    assert found.values == () and found.standing == "nothing yet"
    assert "20.0 was meant" in found.run.readings[0].struck


def test_the_ring_is_a_hold_point_where_there_is_a_ring(desk: Desk) -> None:
    job, run = begun(desk)
    points = {one.key: one for one in shown(desk, job).points}
    assert points["ring_turning"].hold and not points["ring_turning"].closed
    with pytest.raises(InputError):
        see(desk, job, run, "ring_turning", "no", "", ANN)
    see(desk, job, run, "ring_turning", "yes", "through the cap", ANN)
    assert {one.key: one.closed for one in shown(desk, job).points}["ring_turning"]
    fed, _ = begun(desk, CARD.replace("TM-31-F02", "TM-31-F03"), "J-2")
    assert "ring_turning" not in {one.key for one in shown(desk, fed).points}


def test_a_run_is_done_only_settled_and_seen(desk: Desk) -> None:
    job, run = begun(desk)
    for minutes in range(0, 91, 5):
        rise = 20.0 * (1.0 - float(np.exp(-minutes / 12.0)))
        keep_run_reading(desk, job, run, "metal", at(minutes), f"{20.0 + rise:.1f} degC", ANN)
    found = shown(desk, job)
    assert found.standing == "settled" and not found.done
    for key in ("oil_level", "ring_turning"):
        see(desk, job, run, key, "yes", "looked", ANN)
    assert shown(desk, job).done


def test_a_logger_file_is_kept_whole_and_read_as_said(desk: Desk) -> None:
    job, run = begun(desk)
    log = keep_log(desk, job, run, "logger 4.csv", ODD.encode(), ANN)
    held = shown(desk, job)
    assert held.logs[0].log.text == ODD and held.logs[0].read is None and held.values == ()
    said = said_of(propose(ODD).read_as)
    with pytest.raises(InputError):
        read_log_so(desk, job, run, log, said, ANN)
    read_log_so(desk, job, run, log, {**said, "zone": "Europe/Berlin"}, ANN)
    found = shown(desk, job)
    metal = [(one.time, round(one.value - 273.15, 6)) for one in found.values if one.what == "metal"]
    assert metal == [(0.0, 21.5), (60.0, 23.0), (120.0, 24.25), (120.0, 24.5), (720.0, 36.0)]
    assert found.logs[0].read is not None
    assert [line.text for line in found.logs[0].read.lines] == ODD.splitlines()
    assert found.values[0].source == "logger 4.csv, line 5"


def test_the_same_file_twice_is_kept_once(desk: Desk) -> None:
    job, run = begun(desk)
    first = keep_log(desk, job, run, "a.csv", ODD.encode(), ANN)
    entries = desk.job(job).state.entries
    assert keep_log(desk, job, run, "b.csv", ODD.encode(), BO) == first
    assert desk.job(job).state.entries == entries


def test_a_large_file_is_cut_at_line_ends_and_comes_together_again(desk: Desk) -> None:
    rows = [f"2026-02-03 13:{i // 60 % 60:02d}:{i % 60:02d};{20 + i % 7}.5" for i in range(3600)]
    text = "time;metal [degC]\r\n" + "\r\n".join(rows) + "\r\n"
    job, run = begun(desk)
    log = keep_log(desk, job, run, "long.csv", text.encode(), ANN)
    state = desk.job(job).state.runs[0].logs[0]
    assert state.parts > 1 and state.text == text
    read_log_so(desk, job, run, log, {**said_of(propose(text).read_as), "zone": "UTC"}, ANN)
    assert len(shown(desk, job).values) == 3600


def test_a_file_whose_keeping_was_cut_off_is_whole_when_it_is_sent_again(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    job, run = begun(desk)
    data = ("time;DE °C\n" + "".join(f"2026-02-03 14:{n % 60:02d}:00;{20 + n}\n" for n in range(60))).encode()
    monkeypatch.setattr(run_in_module, "CHUNK", 400)
    kept = run_in_module._keep_part

    def cut_off(desk: Desk, job: str, body: Mapping[str, Any], writer: Writer) -> Any:
        if body["part"] == 2:
            raise CannotWrite("the disk is full")
        return kept(desk, job, body, writer)

    monkeypatch.setattr(run_in_module, "_keep_part", cut_off)
    with sending("a file of several parts"), pytest.raises(CannotWrite):
        keep_log(desk, job, run, "cut.csv", data, ANN)
    monkeypatch.setattr(run_in_module, "_keep_part", kept)
    assert desk.job(job).state.runs[0].logs[0].missing
    for _ in range(2):
        with sending("a file of several parts"):
            keep_log(desk, job, run, "cut.csv", data, ANN)
    (log,) = desk.job(job).state.runs[0].logs
    assert not log.missing and log.text.encode() == data


def test_a_refused_file_leaves_nothing_behind(desk: Desk) -> None:
    job, run = begun(desk)
    before = desk.job(job).state.entries
    for data in (b"", b"PK\x03\x04\x00\x00", b"no table here\n", b"x" * 8_000_001):
        with pytest.raises(InputError):
            keep_log(desk, job, run, "x", data, ANN)
    assert desk.job(job).state.entries == before


def test_a_part_that_has_not_arrived_keeps_a_file_from_counting(desk: Desk) -> None:
    job, run = begun(desk)
    add_to_log(desk, job, run, "grows", "live.csv", 1, "time;metal [degC]\n2026-02-03 13:00;20.0\n", ANN)
    add_to_log(desk, job, run, "grows", "live.csv", 3, "2026-02-03 13:02;21.0\n", ANN)
    desk.write(job, "log_as/1", {"run": run, "log": "grows", "read": UTC_METAL}, ANN)
    assert [problem.typed for problem in shown(desk, job).logs[0].problems] == ["2"]
    add_to_log(desk, job, run, "grows", "live.csv", 2, "2026-02-03 13:01;20.5\n", ANN)
    assert [one.time for one in shown(desk, job).values] == [0.0, 60.0, 120.0]


UTC_METAL = {
    "separator": "semicolon", "decimal": "point", "time": [1], "form": "year-month-day", "zone": "UTC",
    "day": "", "doubled": "", "channels": [{"column": 2, "what": "metal", "unit": "degC", "point": ""}],
}  # fmt: skip


def hot(minutes: float) -> float:
    """Invented: 25 + 62 (0.35 (1 - exp(-t/10)) + 0.65 (1 - exp(-t/60))), in degC and minutes. By hand: 47.5 at
    twelve, 69.3 at fifty, 69.7 at fifty-one."""
    return 25.0 + 62.0 * float(0.35 * (1 - np.exp(-minutes / 10.0)) + 0.65 * (1 - np.exp(-minutes / 60.0)))


def test_a_file_that_grows_warns_at_the_twelfth_minute_of_what_comes_at_the_fiftieth(desk: Desk) -> None:
    """The pages and the terminal read the same entries; here they come a line a minute."""
    card = CARD + LIMITS
    job, run = begun(desk, card)
    begin_run(desk, job, "uncoupled", START, "25.0 degC", ANN, run=run)
    add_to_log(desk, job, run, "grows", "live.csv", 1, "time;metal [degC]\n", ANN)
    said = False
    warned_at = passed_at = None
    for minute in range(61):
        line = f"2026-02-03 {13 + minute // 60}:{minute % 60:02d};{hot(minute):.1f}\n"
        add_to_log(desk, job, run, "grows", "live.csv", minute + 2, line, ANN)
        if not said:
            desk.write(job, "log_as/1", {"run": run, "log": "grows", "read": UTC_METAL}, ANN)
            said = True
        codes = (
            {one.code for _, one in shown(desk, job).warned} if minute in (0, 9, 11, 12, 49, 52) else set()
        )
        warned_at = minute if "ahead" in codes and warned_at is None else warned_at
        passed_at = minute if "alarm" in codes and passed_at is None else passed_at
    assert warned_at is not None and warned_at <= 12
    assert passed_at == 52
    assert hot(12) < 48.0 and hot(50) < 69.5 < hot(51)


def test_an_earlier_run_in_of_the_bearing_is_compared_with(desk: Desk) -> None:
    """8 K more in ten minutes than last time: more than the 5 K that stop a run."""
    job, run = begun(desk)
    for minutes in range(0, 13, 2):
        keep_run_reading(desk, job, run, "metal", at(minutes), f"{20 + 0.4 * minutes:.1f} degC", ANN)
    later = "2027-02-03T13:00:00Z"
    second, again = begun(desk, number="J-2", start=later)
    for minutes in range(0, 13, 2):
        moment = at(minutes).replace("2026", "2027")
        keep_run_reading(desk, second, again, "metal", moment, f"{20 + 1.2 * minutes:.1f} degC", ANN)
    assert "above_earlier" in {one.code for _, one in shown(desk, second).warned}
    assert shown(desk, job).places[0].earlier == ()


def test_two_who_write_down_a_run_unaware_are_both_shown(desk: Desk) -> None:
    job, run = begun(desk)
    begin_run(desk, job, "coupled", at(-30), "", BO, run=run)
    assert any("Ann" in text and "Bo" in text for text in shown(desk, job).run.contradictions)


@pytest.mark.parametrize(
    ("name", "hours"), [("+02:00", 2.0), ("UTC-3", -3.0), ("+0530", 5.5), ("UTC", 0.0), ("Asia/Tokyo", 9.0)]
)
def test_zones_by_name_and_by_offset(name: str, hours: float) -> None:
    zone = zone_of(name)
    assert zone is not None
    assert zone.utcoffset(datetime(2026, 2, 3)) == timedelta(hours=hours)


@pytest.mark.parametrize("name", ["", "../etc/passwd", "Europe/Nowhere", "+25:00", "here"])
def test_what_is_no_zone_is_none(name: str) -> None:
    assert zone_of(name) is None


GOLDEN = Path(__file__).parents[1] / "golden" / "entries-v1-run_in.jsonl"


def test_the_golden_run_in_reads_as_it_was_written() -> None:
    """Written once by the desk's verbs and never again."""
    entries = [from_json(json.loads(line)) for line in GOLDEN.read_text(encoding="utf-8").splitlines()]
    assert [entry.id for entry in entries if digest_of(entry) != entry.digest] == []
    state = fold(entries)
    assert state.unknown == ()
    (run,) = state.runs
    assert (run.what, run.start, run.ambient) == ("coupled", START, "21.5 degC")
    assert [(one.what, one.point, one.text, one.unit, bool(one.struck)) for one in run.readings] == [
        ("metal", "", "20.1", "degC", False),
        ("metal", "", "99", "degC", True),
        ("vibration", "drive end, horizontal", "1.9 mm/s", "", False),
    ]
    assert [(log.file, log.parts, log.text) for log in run.logs] == [("logger 4.csv", 1, ODD)]
    assert run.logs[0].said is not None and run.logs[0].said["zone"] == "Europe/Berlin"
    assert (run.seen["ring_turning"].state, run.seen["ring_turning"].text) == ("yes", "seen through the cap")


def test_two_probes_of_a_kind_are_two_curves(desk: Desk) -> None:
    """Four kelvin apart, read within seconds: no jump, because they are never joined."""
    job, run = begun(desk)
    for minutes in (0.0, 1.0, 2.0):
        keep_run_reading(desk, job, run, "metal", at(minutes), f"{20 + minutes} degC", ANN, point="top")
        keep_run_reading(
            desk, job, run, "metal", at(minutes + 0.1), f"{24 + minutes} degC", ANN, point="bottom"
        )
    found = shown(desk, job)
    assert [place.name for place in found.places] == ["metal, top", "metal, bottom"]
    assert found.warned == ()


@pytest.mark.parametrize(
    ("what", "text"),
    [("metal", "3000 degC"), ("metal", "-100 degC"), ("vibration", "-2 mm/s"), ("vibration", "5 m/s")],
)
def test_what_no_bearing_has_is_kept_and_does_not_count(desk: Desk, what: str, text: str) -> None:
    job, run = begun(desk)
    kept = keep_run_reading(desk, job, run, what, at(1), text, ANN, point="drive end")
    assert kept.entry is not None and kept.problem is not None
    assert shown(desk, job).values == () and len(shown(desk, job).unread) == 1


@pytest.mark.parametrize(
    "read",
    [{}, {"separator": "semicolon"}, {**UTC_METAL, "time": ["1"]}, {**UTC_METAL, "channels": [1]},
     {**UTC_METAL, "zone": "Nowhere/Else"}, {**UTC_METAL, "time": [99]}],
)  # fmt: skip
def test_an_answer_from_elsewhere_that_makes_no_sense_is_said(desk: Desk, read: dict[str, object]) -> None:
    """An entry may come from another program: it is kept, and its file does not count."""
    job, run = begun(desk)
    log = keep_log(desk, job, run, "odd.csv", ODD.encode(), ANN)
    desk.write(job, "log_as/1", {"run": run, "log": log, "read": read}, ANN)
    (found,) = shown(desk, job).logs
    assert found.read is None and found.problems


def test_a_file_that_claims_parts_without_end_names_only_some(desk: Desk) -> None:
    job, run = begun(desk)
    body = {"run": run, "log": "x", "part": 10**12, "file": "x.csv", "text": "a;b\n"}
    desk.write(job, "log/1", body, ANN)
    assert desk.job(job).state.runs[0].logs[0].missing == tuple(range(1, 10))
