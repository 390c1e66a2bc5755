"""The bench page shows what is still to do and folds what is done."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import FACTS, GAUGE, Job, fill
from whitemetal.desk import Desk
from whitemetal.job.state import CheckState

PEOPLE = ("isolated", "rotor_blocked", "cap_held", "lead")
BEFORE = (*PEOPLE, "journal_down", "clean_dry")
FOLDS = re.compile(r"<details(?![^>]*\bopen\b)[^>]*>.*?</details>", re.DOTALL)
SUMMARY = re.compile(r"<summary>(.*?)</summary>", re.DOTALL)


def in_sight(page: str) -> str:
    """The page without what is folded away, but with the folds' own lines."""
    return FOLDS.sub(lambda fold: " ".join(SUMMARY.findall(fold.group())), page)


def words(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def check_of(desk: Desk, job: Job) -> CheckState:
    return desk.job(job.job).state.checks[job.check]


def tick(client: TestClient, job: Job, hold: str, state: str = "closed", text: str = "") -> None:
    answer = client.post(f"{job.at}/holds", data={"hold": hold, "state": state, "text": text})
    assert answer.status_code == 200


def test_hold_points_stay_in_sight_until_the_last_is_closed(job: Job, client: TestClient) -> None:
    for number, hold in enumerate(BEFORE):
        shown = in_sight(client.get(job.at).text)
        for point in BEFORE:
            assert f'name="hold" value="{point}"' in shown, (number, point)
        tick(client, job, hold, text="permit 118" if hold == "isolated" else "")
    shown = in_sight(client.get(job.at).text)
    assert 'name="hold" value="isolated"' not in shown
    assert "all 6 closed · permit 118 · Ada Invented" in words(shown)
    assert 'name="hold" value="wires_out"' in shown, "what comes after is still open"


def test_an_opened_hold_point_is_in_sight_again(job: Job, client: TestClient) -> None:
    for hold in BEFORE:
        tick(client, job, hold)
    tick(client, job, "cap_held", "open")
    shown = in_sight(client.get(job.at).text)
    for point in BEFORE:
        assert f'name="hold" value="{point}"' in shown, point


def test_cautions_are_never_folded(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    for hold in (*BEFORE, "wires_out", "wiped", "closing_repeats"):
        tick(client, job, hold)
    shown = words(in_sight(client.get(job.at).text))
    for caution in ("This page is no permit", "nobody under it", "Fingers out of the joint", "no eating or smoking",
                    "Before tightening: fingers out of the joint", "Before the final closing"):  # fmt: skip
        assert caution in shown, caution


def test_needed_facts_stay_in_sight_until_all_are_written(desk: Desk, job: Job, client: TestClient) -> None:
    shown = in_sight(client.get(job.at).text)
    assert 'name="fact.wire_diameter"' in shown
    assert 'name="fact.wires_in"' not in shown
    desk.keep_fact(job.job, job.check, "wire_diameter", "0.40", BENCH_HAND, unit="mm")
    shown = in_sight(client.get(job.at).text)
    assert 'name="fact.wire_diameter"' not in shown
    assert "Wire diameter 0.40 mm" in words(shown)
    desk.keep_fact(job.job, job.check, "wires_in", "2", BENCH_HAND)
    shown = words(in_sight(client.get(job.at).text))
    assert "0.40 mm and 1 more" in shown
    assert "Pieces of wire" not in shown


def test_what_a_hold_point_asks_is_not_asked_again(desk: Desk, job: Job, client: TestClient) -> None:
    """One tick closes the point and writes the fact; opened again, neither stands."""
    page = client.get(job.at).text
    assert 'name="fact.journal_down"' not in page
    assert '<a href="#hold-journal_down">' in page
    assert 'id="hold-journal_down"' in page
    tick(client, job, "journal_down")
    assert check_of(desk, job).facts["journal_down"].text == "yes"
    assert next(h for h in desk.judgement(job.job, job.check).holds if h.key == "journal_down").closed
    assert '<a href="#hold-journal_down">' not in client.get(job.at).text
    tick(client, job, "journal_down", "open")
    assert "journal_down" not in check_of(desk, job).facts
    assert not next(h for h in desk.judgement(job.job, job.check).holds if h.key == "journal_down").closed


def test_a_hold_point_whose_fact_is_not_written_is_not_closed(
    desk: Desk, job: Job, client: TestClient
) -> None:
    desk.set_hold(job.job, "journal_down", "closed", "", BENCH_HAND, check=job.check)
    page = client.get(job.at).text
    form = page[page.index('id="hold-journal_down"') :]
    assert form[: form.index("</form>")].count('aria-pressed="false"') == 1


def test_the_zero_is_asked_before_the_readings_and_after(desk: Desk, job: Job, client: TestClient) -> None:
    shown = in_sight(client.get(job.at).text)
    before, boxes, after = (
        shown.index(f'name="{name}')
        for name in ("fact.instrument.M-07.zero_before", "reading.", "fact.instrument.M-07.zero_after")
    )
    assert before < boxes < after


def test_a_fact_that_cannot_be_read_is_in_sight(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    desk.keep_fact(job.job, job.check, "wires_in", "two", BENCH_HAND)
    shown = in_sight(client.get(job.at).text)
    assert 'name="fact.wires_in" value="two"' in shown
    assert "expected" in words(shown)


def test_who_wrote_a_fact_stays_reachable(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    page = client.get(job.at).text
    assert 'title="written by Ida Invented"><span aria-hidden="true">II</span>' in page
    assert "written by" not in re.sub(r"<span class=\"initials\".*?</span></span>", "", page)
    assert f'href="/record/{job.job}"' in page


def test_what_is_still_to_write_is_linked_to_its_field(desk: Desk, job: Job, client: TestClient) -> None:
    page = client.get(job.at).text
    links = re.findall(
        r'<a href="#((?:ask|hold)-[^"]+)">([^<]+)</a>', page.split('class="finding hold lacking"')[1]
    )
    assert [label for _, label in links] == [
        "Wire diameter", "Journal at rest on the lower shell", "Joint at this squeeze", "Cap tightened to",
    ]  # fmt: skip
    for target, label in links:
        assert f'id="{target}"' in page, label
    assert "Not recorded" not in page, "said once, not thrice"
    assert "no reading yet · 4 still to write" in page
    fill(desk, job, BENCH_HAND)
    assert "still to write" not in client.get(job.at).text


def test_a_fact_of_another_squeeze_is_linked_to_that_squeeze(
    desk: Desk, job: Job, client: TestClient
) -> None:
    fill(desk, job, BENCH_HAND)
    place = check_of(desk, job).places[0].label
    desk.keep_reading(
        job.job, job.check, place, "0.225", BENCH_HAND, unit="mm", squeeze=2, instrument="M-07", repeat=True
    )
    found = re.findall(r'href="(\?[^"]+)#(ask-joint-40-2)"', client.get(job.at).text)
    assert found, "the joint of squeeze 2 is lacking"
    query, target = found[0]
    assert f'id="{target}"' in client.get(job.at + query.replace("&amp;", "&")).text


@pytest.fixture
def two_gauges(desk: Desk, job: Job) -> Job:
    desk.keep_instrument("M-08", GAUGE, BENCH_HAND)
    return job


def test_with_several_gauges_the_bench_asks_which(desk: Desk, two_gauges: Job, client: TestClient) -> None:
    job = two_gauges
    page = client.get(job.at).text
    asked = page.index("First say which gauge is in your hand")
    assert page.index("M-08 · micrometer") < asked < page.index('name="reading.')
    assert 'aria-current="true">M-0' not in page
    chosen = client.get(f"{job.at}?gauge=M-08").text
    assert "First say which gauge" not in chosen
    assert 'aria-current="true">M-08' in chosen
    assert 'data-instrument="M-08"' in chosen


def test_the_gauge_of_the_last_reading_is_in_hand(desk: Desk, two_gauges: Job, client: TestClient) -> None:
    job = two_gauges
    place = check_of(desk, job).places[0].label
    desk.keep_reading(job.job, job.check, place, "0.225", BENCH_HAND, unit="mm", instrument="M-08")
    page = client.get(job.at).text
    assert 'data-instrument="M-08"' in page
    assert "First say which gauge" not in page
    assert 'data-instrument=""' in client.get(f"{job.at}?gauge=").text, "unless the person says otherwise"


def test_a_gauge_without_a_number_is_asked_what_it_needs(
    desk: Desk, two_gauges: Job, client: TestClient
) -> None:
    job = two_gauges
    for key, text in FACTS.items():
        desk.keep_fact(job.job, job.check, key, text, BENCH_HAND)
    place = check_of(desk, job).places[0].label
    desk.keep_reading(job.job, job.check, place, "0.225", BENCH_HAND, unit="mm")
    (at,) = re.findall(r'<a href="([^"]*)">Anvil</a>', client.get(job.at).text)
    query, _, target = at.replace("&amp;", "&").partition("#")
    page = client.get(job.at + query).text
    assert f'id="{target}"' in page
    client.post(f"{job.at}/facts", data={"fact.instrument.anvil": "ball", "squeeze": "1", "gauge": ""})
    assert check_of(desk, job).facts["instrument.anvil"].text == "ball"
    assert ">Anvil</a>" not in client.get(job.at).text


def test_a_gauge_entered_on_the_way_leads_back_to_the_bench(desk: Desk, job: Job, client: TestClient) -> None:
    (at,) = re.findall(r'href="(/instruments\?back=[^"]+)#new"', client.get(job.at).text)
    page = client.get(at).text
    assert f'name="back" value="{job.at}"' in page
    form = {"id": "M-09", "anvil": "ball", "back": job.at}
    answer = client.post("/instruments", data=form, follow_redirects=False)
    assert answer.headers["location"] == f"{job.at}?gauge=M-09#h-gauge"


@pytest.mark.parametrize(
    "away", ["//elsewhere.invalid/", "https://elsewhere.invalid/", "/\\elsewhere.invalid"]
)
def test_a_gauge_leads_nowhere_else(job: Job, client: TestClient, away: str) -> None:
    answer = client.post("/instruments", data={"id": "M-09", "back": away}, follow_redirects=False)
    assert answer.headers["location"] == "/instruments"
    assert "elsewhere" not in client.get("/instruments", params={"back": away}).text


def test_what_to_do_stands_before_why(job: Job, browser_named: Callable[[str], TestClient]) -> None:
    page = browser_named("Ada Invented").get(job.at).text
    shown = words(in_sight(page))
    assert "Take soft lead wire of 0.40 mm" in shown
    assert "Cut 2 pieces" in shown
    assert "Expect about" not in shown
    assert "Expect about" in words(page)


def test_a_temperature_is_asked_for_in_degrees_as_they_are_written(job: Job, client: TestClient) -> None:
    text = client.get(job.at).text
    assert 'class="unit">°C</span>' in text and 'class="unit">degC' not in text
