"""The run-in's pages: live from a file that grows, a logger's file line by line, nothing typed is lost. All
data is invented."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.closing.run_in.test_logger_file import ODD
from tests.desk.test_run_in import LIMITS, hot
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job, begin
from tests.web.test_fit_page import as_seen, text_of
from whitemetal.desk import Desk
from whitemetal.desk.follow_log import Follower
from whitemetal.desk.run_in import begin_run, keep_run_reading, moment_from, runs, see
from whitemetal.errors import InputError
from whitemetal.sheets.head import JobHead
from whitemetal.sheets.run_in_sheet import run_in_part

START = "2026-02-03T13:00:00Z"
NOW = datetime(2026, 2, 3, 13, 10, tzinfo=UTC)


@pytest.fixture
def hot_job(desk: Desk) -> Job:
    """A job whose card has an alarm of 69.5 degC on the metal."""
    return begin(desk, BENCH_HAND, CARD + LIMITS)


def run_in(desk: Desk, job: Job) -> str:
    kept = begin_run(desk, job.job, "uncoupled", START, "25.0 degC", BENCH_HAND)
    assert kept.entry is not None
    return str(kept.entry.body["run"])


def test_the_page_follows_a_file_that_grows_and_warns_in_time(
    desk: Desk, hot_job: Job, client: TestClient, tmp_path: Path
) -> None:
    """Must settle above the alarm: it passes 69.5 degC between the fiftieth and the fifty-first minute."""
    run, path = run_in(desk, hot_job), tmp_path / "live.csv"
    path.write_bytes(b"time;lining [degC]\n")
    said = {"zone": "UTC"}
    follower = Follower(desk, hot_job.job, run, path, BENCH_HAND, said)
    seen = ""
    first: dict[str, int] = {}
    for minute in range(54):
        with path.open("ab") as grows:
            grows.write(f"2026-02-03 13:{minute:02d};{hot(minute):.1f}\n".replace(".", ",").encode())
        if 1 < minute < 9 or 13 < minute < 49:
            continue
        follower.look()
        answer = client.get(f"/jobs/{hot_job.job}/run-in/live", params={"run": run, "seen": seen})
        assert answer.status_code == 200
        seen = answer.json()["seen"]
        for name, words in (("ahead", "There is time to stop"), ("alarm", "at or above the alarm")):
            if words in answer.json()["html"]:
                first.setdefault(name, minute)
    assert 10 <= first["ahead"] <= 12
    assert first["alarm"] == 51
    still = client.get(f"/jobs/{hot_job.job}/run-in/live", params={"run": run, "seen": seen})
    assert still.status_code == 204


def test_a_line_that_is_not_whole_yet_waits(desk: Desk, hot_job: Job, tmp_path: Path) -> None:
    run, path = run_in(desk, hot_job), tmp_path / "live.csv"
    path.write_bytes(b"time;lining [degC]\n2026-02-03 13:00;20,5\n2026-02-03 13:01;21,5\n2026-02-03 13:02;2")
    follower = Follower(desk, hot_job.job, run, path, BENCH_HAND, {"zone": "UTC"})
    follower.look()
    assert [one.text for one in runs(desk, desk.job(hot_job.job))[0].values] == ["20,5", "21,5"]
    with path.open("ab") as grows:
        grows.write(b"2,5\n")
    follower.look()
    assert [one.text for one in runs(desk, desk.job(hot_job.job))[0].values] == ["20,5", "21,5", "22,5"]


def test_followed_again_it_goes_on_and_a_file_cut_short_is_refused(
    desk: Desk, hot_job: Job, tmp_path: Path
) -> None:
    run, path = run_in(desk, hot_job), tmp_path / "live.csv"
    path.write_bytes(b"time;lining [degC]\n2026-02-03 13:00;20,5\n2026-02-03 13:01;21,5\n")
    first = Follower(desk, hot_job.job, run, path, BENCH_HAND, {"zone": "UTC"})
    first.look()
    with path.open("ab") as grows:
        grows.write(b"2026-02-03 13:02;22,5\n")
    again = Follower(desk, hot_job.job, run, path, BENCH_HAND, {})
    again.look()
    assert again.log == first.log
    assert len(runs(desk, desk.job(hot_job.job))[0].values) == 3
    path.write_bytes(b"time;lining [degC]\n2026-02-03 14:00;19,5\n")
    with pytest.raises(InputError):
        again.look()
    assert len(runs(desk, desk.job(hot_job.job))[0].values) == 3


def test_a_logger_file_through_the_form(desk: Desk, hot_job: Job, client: TestClient) -> None:
    run, at = run_in(desk, hot_job), f"/jobs/{hot_job.job}/run-in"
    sent = client.post(
        f"{at}/logs", data={"run": run}, files={"file": ("odd.csv", ODD.encode("windows-1252"), "text/csv")}
    )
    assert sent.status_code == 200
    assert "the zone of the logger" in sent.text
    log = re.search(r'name="log" value="(\w+)"', sent.text)
    assert log is not None
    form = {
        "log": log[1], "separator": "semicolon", "decimal": "comma", "time": "1", "form": "day.month.year",
        "what.2": "metal", "unit.2": "degC", "what.3": "oil sump", "unit.3": "degF",
    }  # fmt: skip
    refused = client.post(f"{at}/read", data=form)
    assert refused.status_code == 422
    assert 'value="degF"' in refused.text
    taken = client.post(f"{at}/read", data={**form, "zone": "Europe/Berlin"})
    assert taken.status_code == 200
    assert "All 15 lines are accounted for" in taken.text
    for said in ("3276,7", "600 s", "<b>2</b> refused", "<b>1</b> repeated"):
        assert said in taken.text
    found = client.get(f"/api/1{at}").json()["runs"][0]
    assert len(found["logs"][0]["lines"]) == 15
    refused = client.post(f"{at}/lines", data={"log": log[1], "line": "4", "why": "held in the <hand>"})
    assert refused.status_code == 422
    assert 'name="line" inputmode="numeric" maxlength="8" value="4"' in refused.text
    assert 'value="held in the &lt;hand&gt;"' in refused.text, "what was typed comes back"
    struck = client.post(f"{at}/lines", data={"log": log[1], "line": "11", "why": "held in the <hand>"})
    assert "<s><code>03.02.2026 14:12:00;36,0;80,6;</code></s>" in struck.text
    assert "held in the &lt;hand&gt;" in struck.text and "<b>1</b> struck" in struck.text
    assert "1 struck" in client.get(at).text, "beside the curve"
    entry = re.search(r'name="entry" value="(\w+)"><label for="again-1"', struck.text)
    assert entry is not None
    client.post(f"{at}/strikes", data={"run": run, "entry": entry[1], "why": "the line was right"})
    assert "<s>" not in client.get(f"{at}/log?log={log[1]}").text
    assert "1 struck" not in client.get(at).text
    assert len(found["values"]) == 11


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("x.xlsx", b"PK\x03\x04\x00\x00\x00", "text file as the logger writes it"),
        ("x.csv", b"", "a file with something in it"),
        ("x.csv", b"Nothing\nwas logged\n", "lines with a time and numbers"),
        ("x.csv", b"a,b\n2026-02-03 14:00,21,5\n2026-02-03 14:01,21,6\n", "semicolons"),
        ("x.csv", b"1" * 8_000_001, "at most 8 million bytes"),
    ],
    ids=["workbook", "empty", "prose", "commas", "too large"],
)
def test_what_cannot_be_a_log_is_refused_with_the_reason(
    desk: Desk, hot_job: Job, client: TestClient, name: str, data: bytes, said: str
) -> None:
    run = run_in(desk, hot_job)
    entries = desk.job(hot_job.job).state.entries
    answer = client.post(f"/jobs/{hot_job.job}/run-in/logs", data={"run": run}, files={"file": (name, data)})
    assert answer.status_code == 422
    assert said in answer.text
    assert desk.job(hot_job.job).state.entries == entries


def test_a_reading_typed_wrong_comes_back(desk: Desk, hot_job: Job, client: TestClient) -> None:
    run, at = run_in(desk, hot_job), f"/jobs/{hot_job.job}/run-in"
    form = {"run": run, "what": "metal", "text": "warmish", "time": "2026-02-03 13:05"}
    wrong = client.post(f"{at}/readings", data=form)
    assert (
        wrong.status_code == 422
        and 'value="warmish"' in wrong.text
        and 'value="2026-02-03 13:05"' in wrong.text
    )
    late = client.post(f"{at}/readings", data={**form, "text": "21.5", "time": "half past"})
    assert late.status_code == 422 and 'value="21.5"' in late.text and 'value="half past"' in late.text
    good = client.post(f"{at}/readings", data={**form, "text": "21.5"}, follow_redirects=False)
    assert good.status_code == 303
    assert "21.5 °C" in client.get(at).text


def test_begin_and_see_through_the_forms(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/jobs/{job.job}/run-in"
    assert client.post(at, data={"what": "coupled", "start": "noon"}).status_code == 422
    page = client.post(at, data={"what": "coupled", "start": "2026-02-03 13:00", "ambient": "21"})
    assert page.status_code == 200 and "Oil ring seen turning" in page.text
    run = desk.job(job.job).state.runs[0]
    assert (run.what, run.start, run.ambient) == ("coupled", START, "21 degC")
    form = {"run": run.run, "point": "ring_turning", "state": "no", "text": ""}
    assert client.post(f"{at}/points", data=form).status_code == 422
    assert client.post(f"{at}/points", data={**form, "state": "yes", "text": "seen"}).status_code == 200
    assert desk.job(job.job).state.runs[0].seen["ring_turning"].state == "yes"


def test_the_same_by_json(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/api/1/jobs/{job.job}/run-in"
    run = client.post(f"{at}/begin", json={"what": "coupled", "start": START, "ambient": ""}).json()["run"]
    body = {"run": run, "what": "metal", "at": "2026-02-03T13:05:00Z", "text": "68 degF"}
    assert client.post(f"{at}/readings", json=body).json()["kept"] is True
    assert client.post(f"{at}/readings", json={**body, "what": "shoe"}).status_code == 422
    value = client.get(at).json()["runs"][0]["values"][0]
    assert (value["time_s"], round(value["value"], 6), value["unit"]) == (300.0, 293.15, "K")


@pytest.mark.parametrize(
    ("text", "offset", "found"),
    [
        ("", 0, "2026-02-03T13:10:00Z"),
        ("13:05", 0, "2026-02-03T13:05:00Z"),
        ("14:05", 60, "2026-02-03T13:05:00Z"),
        ("23:50", 0, "2026-02-02T23:50:00Z"),
        ("2026-02-03 9:00", -120, "2026-02-03T11:00:00Z"),
    ],
)
def test_a_typed_time_is_of_the_clock_of_the_device(text: str, offset: int, found: str) -> None:
    """It is 13:10 UTC: 14:05 an hour ahead is 13:05 UTC; 23:50 has not come today, so it is yesterday's."""
    assert moment_from(text, offset, NOW, "time") == found


def test_a_run_in_is_stale_on_every_page_once_the_cap_was_opened(
    desk: Desk, hot_job: Job, client: TestClient
) -> None:
    """Job page, run-in page and its live part, sign page, fit page, JSON and the sheet of the report."""
    run = run_in(desk, hot_job)
    for minute in range(0, 91, 5):
        at = f"2026-02-03T{13 + minute // 60}:{minute % 60:02d}:00Z"
        keep_run_reading(desk, hot_job.job, run, "metal", at, "30.0 degC", BENCH_HAND)
    for what in ("oil_level", "ring_turning"):
        see(desk, hot_job.job, run, what, "yes", "looked", BENCH_HAND)
    root = f"/jobs/{hot_job.job}"
    stale, again = "This run-in no longer counts: cap opened: a rag was left", "Run it in again"
    assert "Run-in Settled." in text_of(client.get(root).text)
    desk.change_fit(hot_job.job, "cap opened", "", "", "a rag was left", as_seen(desk, hot_job))
    for path in ("", "/run-in", "/sign"):
        page = text_of(client.get(root + path).text)
        assert stale in page and again in page, path
    live = client.get(f"{root}/run-in/live", params={"run": run, "seen": ""}).json()
    assert live["standing"] == "stale" and stale in live["html"]
    assert "Stale: Run-in (uncoupled)" in text_of(client.get(f"{root}/fit").text)
    (found,) = client.get(f"/api/1{root}/run-in").json()["runs"]
    assert found["standing"] == "stale" and found["stale"][0].startswith("cap opened: a rag was left")
    view = desk.job(hot_job.job)
    (shown,) = runs(desk, view)
    data, _ = run_in_part(view.card, JobHead(), shown, "0")
    assert data["standing"] == "stale" and data["said"].startswith(stale)
