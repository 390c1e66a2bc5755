"""The page of signatures: what is signed, by whom, a concession in words on every page, and opening again."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path

import pytest

from tests.cli.test_filing import tamper
from tests.desk.test_signing import CY, GRANTED, both_sign, measured, seeing, with_gauge
from tests.ledger.writing import BO
from tests.web.client import TestClient
from whitemetal.desk import Desk, Writer
from whitemetal.desk.procedure import keep_plant_file
from whitemetal.desk.signing import concede
from whitemetal.web.app import make_app

Browser = Callable[[str], TestClient]
RUNS = "not fit, runs under a concession until 2126-10-01, given by Cy Rowe (engineer for rotating machines)."
LATER = {**GRANTED, "until": "2126-10-01"}


@pytest.fixture
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    opened = with_gauge(tmp_path_factory.mktemp("signing") / "record.sqlite3")
    yield opened
    opened.close()


def text_of(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def heads(desk: Desk, job: str) -> str:
    return " ".join(desk.job(job).state.heads)


def test_two_people_sign_on_one_phone(desk: Desk, client: TestClient) -> None:
    job, _ = measured(desk)
    at = f"/jobs/{job}/sign"
    page = client.get(at).text
    assert "What is signed" in page and "I did it" in page and "I checked it" in page
    assert f"State {desk.job(job).state.digest[:12]}" in text_of(page)
    assert 'type="radio"' not in page, "a fit bearing leaves fit"
    body = {"part": "did", "leaves": "fit", "name": "Ann Dale", "seen": heads(desk, job)}
    assert client.post(at, data=body, follow_redirects=False).status_code == 303
    page = client.get(at).text
    assert "I did it" not in page and "I checked it" in page
    again = {**body, "part": "checked", "seen": heads(desk, job)}
    answer = client.post(at, data=again)
    assert answer.status_code == 422 and "who did the work cannot be who checked it" in answer.text
    client.post(at, data={**again, "name": "Bo Lund"})
    assert desk.job(job).state.signing.signed
    page = text_of(client.get(at).text)
    assert "Both have signed. The job takes nothing more in" in page
    for where in (f"/jobs/{job}", f"/jobs/{job}/fit", at):
        assert "Bearing: fit, signed: Ann Dale did it" in text_of(client.get(where).text), where
    assert "Signed: Ann Dale did it" in text_of(client.get(f"/jobs/{job}").text), "the stage says so"


def test_nobody_signs_for_another_judgement_than_the_page_showed(desk: Desk, client: TestClient) -> None:
    """Nothing came into the job, but its gauge is found to be ten times worse: the same readings say another
    thing than the page that lay open. By a form and by a program; a page looked at anew is taken."""
    job, _ = measured(desk)
    at = f"/jobs/{job}/sign"

    def shown() -> str:
        found = re.search(r'name="shown" value="([0-9a-f]{64})"', client.get(at).text)
        assert found is not None and found[1] == client.get(f"/api/1{at}").json()["shown"]
        return found[1]

    before, seen = shown(), heads(desk, job)
    desk.keep_instrument("M7", {"mpe": "20 um", "anvil": "ball", "calibration_due": "2027-03-01"}, BO)
    assert heads(desk, job) == seen
    body = {"part": "did", "leaves": "fit", "name": "Ann Dale", "seen": seen, "shown": before}
    answer = client.post(at, data=body)
    assert answer.status_code == 422 and "look again before you sign" in answer.text
    said = client.post(f"/api/1{at}", json={**body, "seen": seen.split()})
    assert said.status_code == 422 and "not the one this page showed" in said.text
    assert desk.job(job).state.signing.signatures == ()
    now = {**body, "shown": shown()}
    assert client.post(at, data=now, follow_redirects=False).status_code == 303


def test_the_page_tells_how_the_run_in_stands_and_what_the_plant_holds(
    desk: Desk, client: TestClient
) -> None:
    job, _ = measured(desk)
    at = f"/jobs/{job}/sign"
    page = text_of(client.get(at).text)
    assert "Run-in: not recorded." in page and "holds the second signature" not in page
    keep_plant_file(desk, 'format = "whitemetal.procedure/1"\nrun_in_before_signing = true\n', BO, ())
    assert "holds the second signature" in text_of(client.get(at).text)
    told = client.get(f"/api/1{at}").json()
    assert told["run_in"] == ["Run-in: not recorded."] and "not recorded" in told["run_in_lacks"]
    body = {"part": "did", "leaves": "fit", "name": "Ann Dale"}
    assert client.post(at, data={**body, "seen": heads(desk, job)}, follow_redirects=False).status_code == 303
    second = {**body, "part": "checked", "name": "Bo Lund", "seen": heads(desk, job)}
    answer = client.post(at, data=second)
    assert answer.status_code == 422 and "which the plant's procedure demands" in unescape(answer.text)


def test_a_page_that_is_old_is_not_signed(desk: Desk, client: TestClient) -> None:
    job, _ = measured(desk)
    old = heads(desk, job)
    desk.keep_note(job, "one thing more", seeing(desk, job, BO))
    body = {"part": "did", "leaves": "fit", "name": "Ann Dale", "seen": old}
    answer = client.post(f"/jobs/{job}/sign", data=body)
    assert answer.status_code == 422
    assert "something came in since this page was made" in answer.text
    assert heads(desk, job) in answer.text, "the answer shows it as it is now, and carries what was shown"
    assert 'value="Ann Dale"' in answer.text


def test_the_words_of_a_concession_stand_on_every_page_of_the_job(desk: Desk, client: TestClient) -> None:
    job, check = measured(desk, "0.240")
    page = client.get(f"/jobs/{job}/sign").text
    assert "Give a concession" in page and "It is not fit while these are open" in page
    body = {**LATER, "name": "Cy Rowe", "seen": heads(desk, job)}
    assert client.post(f"/jobs/{job}/concession", data=body, follow_redirects=False).status_code == 303
    base = f"/jobs/{job}/checks/{check}"
    places = ("", "/fit", "/sign", "/agreement", "/order")
    pages = [f"/jobs/{job}{place}" for place in places]
    pages += [
        f"/record/{job}",
        base,
        f"{base}/judgement",
        f"{base}/plan",
        f"{base}/film",
        f"{base}/places/DE%20top",
    ]
    for where in pages:
        answer = client.get(where)
        assert answer.status_code == 200
        assert f"Bearing: {RUNS} Restrictions: metal not above 75 °C." in text_of(answer.text), where
    for where in ("/", f"/bearings/{desk.job(job).state.bearing}"):
        assert "not fit, under a concession until 2126-10-01" in client.get(where).text
    assert '<span class="word not-fit">' in client.get(f"/jobs/{job}/sign").text


def test_a_concession_hands_back_what_was_typed(desk: Desk, client: TestClient) -> None:
    job, _ = measured(desk, "0.300")
    body = {"reason": "no <b>shells", "until": "2020-01-01", "name": "Cy Rowe", "seen": heads(desk, job)}
    answer = client.post(f"/jobs/{job}/concession", data=body)
    assert answer.status_code == 422
    assert 'value="no &lt;b&gt;shells"' in answer.text and 'value="2020-01-01"' in answer.text
    assert "a day from" in answer.text and "something is outside its limits" in answer.text
    assert desk.job(job).state.signing.concessions == ()


def test_a_concession_is_withdrawn_on_the_page(desk: Desk, client: TestClient) -> None:
    job, _ = measured(desk, "0.240")
    kept = concede(desk, job, LATER, seeing(desk, job, CY))
    assert kept.entry is not None
    body = {"entry": kept.entry.id, "why": "the shells came", "seen": heads(desk, job)}
    client.post(f"/jobs/{job}/sign/withdraw", data=body)
    page = text_of(client.get(f"/jobs/{job}/sign").text)
    assert "struck by Ada Invented: the shells came" in page
    assert "runs under a concession until" not in page
    again = concede(desk, job, LATER, seeing(desk, job, CY))
    assert again.entry is not None
    sent = {"entry": again.entry.id, "why": "and these too", "seen": list(desk.job(job).state.heads)}
    assert client.post(f"/api/1/jobs/{job}/sign/withdraw", json=sent).status_code == 201
    assert all(one.struck for one in desk.job(job).state.signing.concessions)


def test_a_signed_job_refuses_on_its_own_pages_and_hands_back(desk: Desk, client: TestClient) -> None:
    job, check = measured(desk)
    both_sign(desk, job)
    before = desk.entries(job)
    answer = client.post(f"/jobs/{job}/notes", data={"note": "by the way", "seen": heads(desk, job)})
    assert answer.status_code == 422
    assert "Ann Dale + Bo Lund signed this one" in unescape(answer.text)
    assert "by the way" in answer.text
    bench = f"/api/1/jobs/{job}/checks/{check}/readings"
    sent = {"id": "r1", "place": "DE top", "text": "0.300", "unit": "mm", "squeeze": 9, "seen": []}
    answer = client.post(bench, json=sent)
    assert answer.status_code == 422 and "signed this one" in answer.json()["problem"]
    assert desk.entries(job) == before


def test_a_job_is_opened_again_with_a_reason(desk: Desk, client: TestClient) -> None:
    job, _ = measured(desk)
    both_sign(desk, job)
    at = f"/jobs/{job}/sign/reopen"
    answer = client.post(at, data={"why": " ", "name": "Cy Rowe", "seen": heads(desk, job)})
    assert answer.status_code == 422
    why = "a wire was found in the sump"
    answer = client.post(
        at, data={"why": why, "name": "Cy Rowe", "seen": heads(desk, job)}, follow_redirects=False
    )
    assert answer.status_code == 303
    page = text_of(client.get(f"/jobs/{job}/sign").text)
    assert f"Cy Rowe opened the job again on {desk.entries(job)[-1].at[:10]}: {why}" in page
    assert page.count("does not count any more") == 2
    assert "I did it" in page and "I checked it" in page


def test_an_old_job_shows_beside_the_signature_what_recomputing_finds(desk: Desk, client: TestClient) -> None:
    job, _ = measured(desk)
    both_sign(desk, job)
    assert "Recomputing finds it different" not in client.get(f"/jobs/{job}/sign").text
    desk.keep_instrument("M7", {"mpe": "50 um", "anvil": "ball", "calibration_due": "2027-03-01"}, BO)
    page = text_of(client.get(f"/jobs/{job}/sign").text)
    assert "Saw the bearing fit" in page
    assert "The bearing was fit when it was signed; recomputing says not fit." in page
    told = client.get(f"/api/1/jobs/{job}/sign").json()
    assert all("recomputing says not fit" in said[0] for said in told["different"].values())
    assert len(told["different"]) == 2


def test_json_does_what_the_page_does(desk: Desk, client: TestClient) -> None:
    job, _ = measured(desk, "0.240")
    at = f"/api/1/jobs/{job}"
    told = client.get(f"{at}/sign").json()
    assert (told["format"], told["bearing"], told["signed"]) == ("whitemetal.signing/1", "not fit", False)
    assert [one["key"] for one in told["not_covered"]] == ["clearance", "alignment", "seals"]
    refused = client.post(f"{at}/sign", json={"part": "did", "leaves": "concession", "seen": told["heads"]})
    assert refused.status_code == 422 and "concession in force" in refused.json()["problem"]
    kept = client.post(f"{at}/concession", json={**LATER, "seen": told["heads"], "name": "Cy Rowe"}).json()
    assert kept["kept"]
    for part, name in (("did", "Ann Dale"), ("checked", "Bo Lund")):
        body = {"part": part, "leaves": "concession", "name": name, "seen": kept["heads"]}
        kept = client.post(f"{at}/sign", json=body).json()
        assert kept["kept"], part
    told = client.get(f"{at}/sign").json()
    assert (told["signed"], told["shut"], told["bearing"], told["needed"]) == (True, True, "not fit", [])
    assert told["standing"].startswith(RUNS)
    assert (
        client.post(f"{at}/sign/reopen", json={"why": "seen again", "seen": kept["heads"]}).status_code == 201
    )
    assert client.get(f"{at}/sign").json()["signed"] is False


def test_the_hostile_stay_text(desk: Desk, browser_named: Browser) -> None:
    hostile = "<script>alert(1)</script>"
    client = browser_named(hostile)
    job, _ = measured(desk, "0.240")
    granted = {**LATER, "reason": hostile, "restrictions": hostile, "engineer": hostile}
    concede(desk, job, granted, Writer(hostile, "tablet", seen=desk.job(job).state.heads))
    for where in (f"/jobs/{job}", f"/jobs/{job}/sign"):
        assert hostile not in client.get(where).text


@pytest.mark.sqlite_only
def test_a_tampered_signature_is_named_on_the_pages(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite3"
    desk = with_gauge(path)
    job, _ = measured(desk)
    both_sign(desk, job)
    desk.close()
    entry, seq, device = tamper(path, "signed/1", '"bearing":"fit"', '"bearing":"not fit"')
    desk = Desk.open(str(path))
    client = TestClient(make_app(desk))
    named = f"Entry {seq} of device {device} ({entry}) was altered after it was written."
    page = text_of(client.get("/verify").text)
    assert f"{named} In job J-1. As it stands now it is signed/1 by Ann Dale, 2026-03-02T" in page
    page = text_of(client.get(f"/jobs/{job}/sign").text)
    assert f"The record of this job is damaged: {named} Nobody signs it before that is cleared up." in page
    assert [one["entry"] for one in client.get("/api/1/verify").json()["faults"]] == [entry]
    desk.close()


def test_what_is_wrong_stands_under_the_words_of_the_form(desk: Desk, client: TestClient) -> None:
    job, _ = measured(desk, "0.240")
    sent = {"part": "did", "name": "Ann Dale"}
    text = client.post(f"/jobs/{job}/sign", data={**sent, "seen": heads(desk, job)}).text
    assert re.findall(r"<li><b>([^<]*)</b>", text) == ["How the bearing is left"]
    seen = list(desk.job(job).state.heads)
    told = client.post(f"/api/1/jobs/{job}/sign", json={**sent, "leaves": "", "seen": seen})
    assert (told.status_code, "leaves" in told.text) == (422, True), "programs know it by its key"
