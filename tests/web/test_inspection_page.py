"""The damage guide and the set as found, as pages and as JSON."""

from __future__ import annotations

import re

from tests.desk.pictures import as_jpeg, pattern
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import Job, fill
from whitemetal.desk import Desk
from whitemetal.desk.photographs import keep_photograph
from whitemetal.inspect.looks import LOOKS
from whitemetal.inspect.where import CELLS


def test_the_form_is_the_unrolled_shell(job: Job, client: TestClient) -> None:
    page = client.get(f"/jobs/{job.job}/inspection").text
    assert sorted(re.findall(r'name="where" value="([^"]+)"', page)) == sorted(CELLS)
    shown = re.findall(r'name="look" value="([^"]+)"', page)
    assert shown == [key for key, look in LOOKS.items() if look.part == "lining"]
    back = client.get(f"/jobs/{job.job}/inspection?part=shell%20back").text
    assert re.findall(r'name="look" value="([^"]+)"', back) == ["dust", "turned"]


def test_damage_is_kept_and_its_causes_shown_with_every_reason(
    desk: Desk, job: Job, client: TestClient
) -> None:
    form = {"look": "one_sided", "where": ["lower first left", "lower first crown"], "text": "bright <b>"}
    answer = client.post(f"/jobs/{job.job}/inspection", data=form, follow_redirects=False)
    (damage,) = desk.job(job.job).state.damage
    assert (answer.status_code, answer.headers["location"]) == (
        303, f"/jobs/{job.job}/inspection#d-{damage.entry}"
    )  # fmt: skip
    page = client.get(f"/jobs/{job.job}/inspection").text
    assert "edge load" in page and "bright &lt;b&gt;" in page
    assert "Where: loaded sector, one end." in page
    assert re.search(r"journal and bearing not in line</b> <small>6 points", page)
    assert re.search(r"<b>\+3</b> the usual cause of edge load", page)
    assert re.search(r"<b>\+3</b> shows there: one end", page)
    assert "Alignment at the coupling: begin" in page
    keep_photograph(desk, job.job, as_jpeg(pattern(40, 30)), BENCH_HAND, of=damage.entry)
    assert ".small.jpg" in client.get(f"/jobs/{job.job}/inspection").text
    job_page = client.get(f"/jobs/{job.job}").text
    assert "1 seen; likeliest: journal and bearing not in line" in job_page


def test_what_was_marked_is_not_lost_when_something_lacks(desk: Desk, job: Job, client: TestClient) -> None:
    form = {"part": "journal", "where": ["upper second right"], "at_feed": "yes", "text": "seen by lamp"}
    answer = client.post(f"/jobs/{job.job}/inspection", data=form)
    assert answer.status_code == 422
    assert 'value="seen by lamp"' in answer.text
    assert re.search(r'value="upper second right" checked', answer.text)
    assert re.search(r'name="at_feed" value="yes" checked', answer.text)
    assert 'value="hard_spot"' in answer.text, "the part chosen is still chosen"
    assert desk.job(job.job).state.damage == ()


def test_people_say_what_they_know(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/jobs/{job.job}/inspection/known"
    page = client.post(at, data={"fact": "hot", "says": "yes", "how": "trend"}).text
    assert "said by Ada Invented (trend)" in page
    assert client.post(at, data={"fact": "hot", "says": "perhaps"}).status_code == 422
    assert client.post(f"/jobs/{job.job}/inspection/else", data={}).status_code == 404
    client.post(f"/jobs/{job.job}/inspection", data={"look": "ripples"})
    told = client.get(f"/api/1/jobs/{job.job}/inspection").json()
    hot = next(one for one in told["damage"][0]["causes"] if one["cause"] == "hot_lining")
    assert {"points": 3, "text": "for it: it ran above its alarm", "source": "common practice"} in hot[
        "reasons"
    ]


def test_damage_is_struck_and_stays(desk: Desk, job: Job, client: TestClient) -> None:
    client.post(f"/jobs/{job.job}/inspection", data={"look": "dust"})
    (damage,) = desk.job(job.job).state.damage
    at = f"/jobs/{job.job}/inspection/strikes"
    assert client.post(at, data={"entry": damage.entry, "why": " "}).status_code == 422
    page = client.post(at, data={"entry": damage.entry, "why": "other shell"}).text
    assert "struck by Ada Invented: other shell" in page
    assert "Likely causes" not in page


def test_a_script_keeps_damage(job: Job, client: TestClient) -> None:
    at = f"/api/1/jobs/{job.job}"
    body = {"look": "smeared", "where": ["lower first crown"], "at_feed": "yes"}
    kept = client.post(f"{at}/findings", json=body)
    assert kept.status_code == 201 and kept.json()["entry"]
    told = client.get(f"{at}/inspection").json()
    assert told["format"] == "whitemetal.inspection/1"
    assert told["damage"][0]["where"] == ["at a feed or groove", "a spot", "loaded sector", "one end"]
    for wrong in (
        {"look": "x"},
        {"look": "smeared", "where": "all"},
        {"look": "smeared", "where": [1]},
        {"look": 3},
    ):
        assert client.post(f"{at}/findings", json=wrong).status_code == 422, wrong
    assert client.post(f"{at}/known", json={"fact": "dirt", "says": "yes"}).status_code == 201
    assert client.post(f"{at}/known", json={"fact": "aligned", "says": "yes"}).status_code == 422


def test_the_bond_tests_say_where_they_are_blind(job: Job, client: TestClient) -> None:
    page = client.get(f"/jobs/{job.job}/inspection").text
    assert "within half a probe&#39;s diameter of edges, holes and grooves" in page
    assert "everything below the surface" in page
    assert "Bond of the white metal: begin" in page


def test_the_set_as_found_leads_to_each_check(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    page = client.get(f"/jobs/{job.job}/as-found").text
    assert page.count(">Begin</button>") == 7
    assert "Still lacking: Match marks read and photographed" in page
    form = {"method": "condition", "purpose": "as found"}
    client.post(f"/jobs/{job.job}/checks", data=form)
    page = client.get(f"/jobs/{job.job}/as-found").text
    assert (page.count(">Begin</button>"), page.count(">Go on</a>")) == (4, 3)
    assert 'name="caption" maxlength="400" value="Photographs of the marks"' in page
    desk.strip_down(job.job, "cap off", BENCH_HAND)
    page = client.get(f"/jobs/{job.job}/as-found").text
    assert page.count(">Begin</button>") == 0
    assert "Not taken any more: Match marks read and photographed" in page
    told = client.get(f"/api/1/jobs/{job.job}/as-found").json()
    assert {part["standing"] for part in told["parts"]} == {"too late"}
