"""Bench and judgement of methods that ask in other ways: a grid of words, rings, facts alone, a machine's."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest

from tests.gauging.made_up import DAB, MADE_UP, SHOVE, SPIN
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job
from whitemetal.desk import Desk
from whitemetal.gauging import METHODS, Method, register
from whitemetal.job.judgement import Warned
from whitemetal.web.guard import new_id
from whitemetal.web.summary import by_weight

SCRIPT = {"accept": "application/json"}
Begin = Callable[[Method], Job]


@pytest.fixture
def begin(desk: Desk) -> Iterator[Begin]:
    for method in MADE_UP:
        register(method)
    bearing = desk.keep_card(CARD, BENCH_HAND).bearing
    job = desk.open_job(bearing, "P-1", "", BENCH_HAND)
    yield lambda method: Job(bearing, job, desk.start_check(job, method.key, "as found", BENCH_HAND))
    for method in MADE_UP:
        del METHODS[method.key]


def cells(client: TestClient, job: Job, marked: dict[str, tuple[str, str]]) -> Any:
    """Send cells: by place the word and the entry they replace."""
    sent = [
        {"id": new_id(), "place": place, "text": text, "entry": entry}
        for place, (text, entry) in marked.items()
    ]
    return client.post(f"{job.at}/readings", json={"cells": sent}, headers=SCRIPT)


def read(desk: Desk, job: Job) -> dict[str, str]:
    return {one.place: one.text for one in desk.job(job.job).state.checks[job.check].readings}


def fact(client: TestClient, job: Job, key: str, text: str, unit: str = "") -> Any:
    body = {"id": new_id(), "key": key, "text": text, "unit": unit}
    return client.post(f"{job.at}/facts", json=body, headers=SCRIPT).json()


def words(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_a_grid_is_kept_in_one_request_one_reading_a_cell(
    desk: Desk, begin: Begin, client: TestClient
) -> None:
    job = begin(DAB)
    page = client.get(job.at).text
    assert page.count('class="choice"') == 12
    assert 'inputmode="decimal" enterkeyhint' not in page
    before = desk.job(job.job).state.entries
    answer = cells(client, job, {"1a": ("heavy", ""), "1b": ("light", ""), "2c": ("none", "")}).json()
    assert (answer["kept"], answer["problem"], answer["refused"]) == (True, None, [])
    assert read(desk, job) == {"1a": "heavy", "1b": "light", "2c": "none"}
    assert desk.job(job.job).state.entries == before + 3
    assert "3 of 12 cells marked" in answer["parts"]["table"]


def test_a_cell_marked_anew_is_struck_and_one_emptied_is_struck(
    desk: Desk, begin: Begin, client: TestClient
) -> None:
    job = begin(DAB)
    first = cells(client, job, {"1a": ("heavy", ""), "1b": ("light", "")}).json()
    entry = {box["place"]: box["entry"] for box in first["boxes"]}
    cells(client, job, {"1a": ("none", entry["1a"]), "1b": ("", entry["1b"])})
    assert read(desk, job) == {"1a": "none"}
    struck = desk.job(job.job).state.checks[job.check].struck
    assert sorted((one.reading.place, one.reading.text) for one in struck) == [
        ("1a", "heavy"),
        ("1b", "light"),
    ]


def test_a_grid_sent_twice_is_kept_once(desk: Desk, begin: Begin, client: TestClient) -> None:
    job = begin(DAB)
    body = {"cells": [{"id": new_id(), "place": "1a", "text": "heavy", "entry": ""}]}
    for _ in range(2):
        assert client.post(f"{job.at}/readings", json=body, headers=SCRIPT).json()["kept"]
    assert desk.job(job.job).state.checks[job.check].struck == ()
    assert read(desk, job) == {"1a": "heavy"}


def test_a_word_nobody_knows_is_kept_and_told_with_the_words(
    desk: Desk, begin: Begin, client: TestClient
) -> None:
    job = begin(DAB)
    answer = cells(client, job, {"1a": ("purple", ""), "1b": ("light", "")}).json()
    assert "1a: expected" in answer["problem"]
    assert "heavy, light, none" in answer["problem"]
    assert read(desk, job) == {"1b": "light"}
    assert client.post(f"{job.at}/readings", json={"cells": "all"}, headers=SCRIPT).status_code == 422


def test_a_grid_is_marked_and_changed_without_a_script(desk: Desk, begin: Begin, client: TestClient) -> None:
    job = begin(DAB)

    def send(**marked: str) -> None:
        page = client.get(job.at).text
        form = dict(re.findall(r'<input type="hidden" name="((?:id|entry)\.[^"]+)" value="([^"]*)"', page))
        kept = re.findall(r'name="(reading\.[^"]+)"[^>]*data-kept="([^"]*)"', page)
        form |= dict(kept) | {f"reading.{place[1:]}": word for place, word in marked.items()}
        client.post(f"{job.at}/readings", data={**form, "squeeze": "1"})

    send(_1a="heavy", _3d="light")
    assert read(desk, job) == {"1a": "heavy", "3d": "light"}
    send(_1a="none", _3d="")
    assert read(desk, job) == {"1a": "none"}


def test_a_cell_has_a_page_that_says_a_strike_stands(desk: Desk, begin: Begin, client: TestClient) -> None:
    job = begin(DAB)
    cells(client, job, {"1a": ("heavy", "")})
    page = client.get(f"{job.at}/places/1a").text
    assert "cannot itself be struck out" in page
    assert page.count("<option>heavy</option>") == 2, "to write it again, and to mark it once more"
    (reading,) = desk.job(job.job).state.checks[job.check].readings
    struck = {"mode": "strike", "entry": reading.entry, "why": "smear", "text": "none"}
    client.post(f"{job.at}/places/1a", data=struck)
    assert read(desk, job) == {"1a": "none"}


def test_rings_have_boxes_and_show_what_they_come_to(desk: Desk, begin: Begin, client: TestClient) -> None:
    """160.02 less 160.00 and 160.05 less 160.01: 20 and 40 µm."""
    job = begin(SPIN)
    assert client.get(job.at).text.count('class="reading"') == 8
    for place, text in (
        ("near 0", "160.02"),
        ("near 90", "160.00"),
        ("far 0", "160.05"),
        ("far 90", "160.01"),
    ):
        body = {"id": new_id(), "place": place, "text": text, "unit": "mm"}
        answer = client.post(f"{job.at}/readings", json=body, headers=SCRIPT).json()
    assert "Out of round 0.020 mm" in answer["summary"]
    page = words(client.get(f"{job.at}/judgement").text)
    assert "0.020 mm ± 0.002 mm near" in page
    assert "0.040 mm ± 0.002 mm far" in page
    assert "no limit on the card" in page
    assert "Diametral" not in page


def test_a_refused_evaluation_says_what_was_refused(begin: Begin, client: TestClient) -> None:
    job = begin(SPIN)
    client.post(f"{job.at}/readings", json={"id": new_id(), "place": "near 0", "text": "160", "unit": "mm"},
                headers=SCRIPT)  # fmt: skip
    answer = fact(client, job, "bent", "yes")
    assert answer["summary"] == "refused: The caliper is bent."
    assert "no reading yet" not in words(answer["parts"]["live"])
    page = client.get(f"{job.at}/judgement").text
    assert page.index("The caliper is bent.") < page.index("What to do next")
    assert "no result to judge yet" not in page


def test_measured_facts_are_the_form_and_come_first(begin: Begin, client: TestClient) -> None:
    job = begin(SHOVE)
    page = client.get(job.at).text
    shove, bar = page.index('name="fact.shove"'), page.index('name="fact.bar"')
    assert page.index('id="h-measured"') < shove < page.index('id="h-facts"') < bar
    assert '<span class="unit">mm</span>' in page[shove : shove + 400]
    assert "wm-drawing" in page, "the section stands beside"
    assert "Save the readings" not in page
    assert ">Bearing</dt>" not in page, "it belongs to the machine"
    assert "nothing written yet" in page
    fact(client, job, "bar", "jack")
    answer = fact(client, job, "shove", "0.30", "mm")
    assert answer["summary"] == "not proven · End float 0.300 mm ± 0.020 mm"


def test_a_fault_is_shown_first_whatever_the_numbers(begin: Begin, client: TestClient) -> None:
    job = begin(SHOVE)
    fact(client, job, "shove", "0.30", "mm")
    answer = fact(client, job, "cracked", "yes")
    assert answer["summary"].startswith("outside limits · fault: The thrust collar is cracked.")
    kinds = re.findall(r'class="finding (\w+)', answer["parts"]["live"])
    assert kinds[:2] == ["fault", "hold"]
    assert 'class="verdict outside-limits"' in client.get(f"{job.at}/judgement").text


def test_a_general_rule_is_adopted_on_the_card_by_an_engineer(
    desk: Desk, begin: Begin, client: TestClient
) -> None:
    """0.30 mm is within the one rule, 0.2 to 0.5, and at the edge of the other, at most 0.3."""
    job = begin(SHOVE)
    fact(client, job, "bar", "jack")
    fact(client, job, "shove", "0.30", "mm")
    page = client.get(f"{job.at}/judgement").text
    assert "Shovers&#39; rule" in page and "Pullers&#39; rule" in page
    links = [link.replace("&amp;", "&") for link in re.findall(r'href="(/bearings/[^"]+minimum[^"]+)"', page)]
    assert len(links) == 1
    assert parse_qs(urlsplit(links[0]).query)["minimum"] == ["0.2 mm"]
    form_page = client.get(links[0]).text
    fields = dict(re.findall(r'<input[^>]*name="(card\.[^"]+)" value="([^"]*)"', form_page))
    for name, options in re.findall(
        r'<select[^>]*name="(card\.[^"]+)"[^>]*>(.*?)</select>', form_page, re.DOTALL
    ):
        chosen = re.findall(r"<option[^>]* selected[^>]*>([^<]*)", options)
        fields[name] = chosen[0] if chosen else ""
    fields = {name: text.replace("&#39;", "'") for name, text in fields.items()}
    assert (fields["card.limit.2.of"], fields["card.limit.2.maximum"]) == ("end float", "0.5 mm")
    assert fields["card.limit.2.rung"] == "general rule"
    client.post(f"/bearings/{job.bearing}/edit", data={**fields, "card.limit.2.signed_by": "E. Invented"})
    newest = desk.job(job.job).newest_card
    assert [limit.signed_by for limit in desk.card(newest).limits] == ["", "E. Invented"]
    desk.adopt_card(job.job, newest, "engineer's letter (invented)", BENCH_HAND)
    judged = client.get(f"{job.at}/judgement").text
    assert 'class="verdict within-limits"' in judged
    assert "0.200 mm … 0.500 mm" in judged
    assert "general rule: Shovers&#39; rule; invented for this test, revision as whitemetal" in judged


def test_the_form_of_a_limit_has_the_unit_and_bases_of_its_quantity(begin: Begin, client: TestClient) -> None:
    job = begin(SHOVE)
    text = client.get(f"/bearings/{job.bearing}/edit?of=contact arc").text
    new = text[text.index('id="new-limit"') :]
    assert 'placeholder="… deg"' in new[: new.index("Stands on")]
    assert "joint gap" not in new[new.index('name="card.limit.2.basis"') :][:300]
    assert 'data-unit="Mohm"' in new
    crush = client.get(f"/bearings/{job.bearing}/edit?of=crush").text
    assert "joint gap" in crush[crush.index('name="card.limit.2.basis"') :][:500]


@pytest.mark.parametrize("key", sorted(METHODS))
def test_every_method_has_its_bench_judgement_and_sheet(
    desk: Desk, begin: Begin, client: TestClient, key: str
) -> None:
    method = METHODS[key]
    job = begin(method)
    page = client.get(job.at)
    assert page.status_code == 200
    assert method.title in page.text
    places = desk.job(job.job).state.checks[job.check].places
    assert page.text.count('class="box') == len(places)
    for one in method.fields:
        assert (
            f'name="fact.{one.key}"' in page.text
            or one.scope == "instrument"
            or f'id="hold-{one.key}"' in page.text
        ), one.key
    assert client.get(f"{job.at}/judgement").status_code == 200
    blank = re.findall(r'href="(/bearings/[^"]+blank-sheet[^"]+)"', page.text)
    assert [client.get(at).content[:5] for at in blank] == [b"%PDF-"]
    assert client.get(f"/jobs/{job.job}").status_code == 200


def test_findings_by_weight() -> None:
    """Seen faults, then refusals, then what can be answered, then what is held."""
    lightest_first = ("note", "warning", "hold", "question", "refused", "fault")
    found = by_weight([Warned(kind, kind, "", "", "") for kind in lightest_first])
    assert tuple(one.severity for one in found) == tuple(reversed(lightest_first))
