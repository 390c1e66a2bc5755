"""The page of the fit: what is open and why, what a change made stale, what can no longer be taken as found."""

from __future__ import annotations

import re
from html import unescape

import pytest

from tests.sheets.build import text_of as pdf_text
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job, begin, fill
from whitemetal.desk import Desk, Writer


def text_of(html: str) -> str:
    """What is to be read on a page, without its marks."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def part(html: str, name: str) -> str:
    """What stands at one point of the chain."""
    return text_of(html.split(f'id="p-{name}"')[1].split("</li>")[0])


def heads(desk: Desk, job: Job) -> str:
    return " ".join(desk.job(job.job).state.heads)


def as_seen(desk: Desk, job: Job, writer: Writer = BENCH_HAND) -> Writer:
    return Writer(writer.name, writer.device, seen=desk.job(job.job).state.heads)


def test_the_chain_stands_in_order_with_what_is_open_and_why(
    desk: Desk, job: Job, client: TestClient
) -> None:
    fill(desk, job, BENCH_HAND)
    desk.set_hold(job.job, "joint_faces", "closed", "blue all round", BENCH_HAND)
    page = client.get(f"/jobs/{job.job}/fit").text
    assert re.findall(r'id="p-(\w+)"', page) == [
        "joint_faces", "tightening", "crush", "contact", "clearance", "alignment", "seals"
    ]  # fmt: skip
    assert "First open point: Tightened in sequence to the final value" in text_of(page)
    assert "closed by Ida Invented: blue all round" in part(page, "joint_faces")
    assert "another tightening is another bore" in part(page, "tightening")
    clearance = part(page, "clearance")
    assert "the check Soft-wire clearance (Ida Invented) says: within limits" in clearance
    assert "Rests on a point still open: Tightened in sequence" in clearance
    assert "Close by hand" not in clearance
    assert f"/jobs/{job.job}/fit" in client.get(f"/jobs/{job.job}").text


def test_a_hand_against_a_check_is_shown_with_both_names(desk: Desk, job: Job, client: TestClient) -> None:
    desk.set_hold(job.job, "joint_faces", "closed", "looked good", BENCH_HAND)
    other = as_seen(desk, job, Writer("Bo Invented", "b" * 26))
    seat = desk.start_check(job.job, "seat", "as left", other)
    for key, text in (("contact", "85 %"), ("joint_feeler", "0 mm"), ("rocks", "yes")):
        desk.keep_fact(job.job, seat, key, text, other)
    said = (
        "Ida Invented closed it by hand (looked good), but the check Joint faces and seat (Bo Invented) says: "
        "outside limits"
    )
    assert said in part(client.get(f"/jobs/{job.job}/fit").text, "joint_faces")
    assert said in text_of(client.get(f"/jobs/{job.job}").text)
    for check in (job.check, seat):
        assert any(said in hold.why for hold in desk.judgement(job.job, check).holds)


@pytest.mark.parametrize(
    ("what", "fields"),
    [
        ("scraping", ["half"]), ("shim", ["joint"]), ("gasket", ["joint"]), ("shell", []), ("journal", []),
        ("tightening", []), ("oil ring", []), ("seal", []), ("dowel", []), ("oil", []),
    ],
)  # fmt: skip
def test_half_and_joint_are_asked_only_where_they_matter(
    job: Job, client: TestClient, what: str, fields: list[str]
) -> None:
    page = client.get(f"/jobs/{job.job}/fit?what={what}").text
    assert [one for one in ("half", "joint") if f'type="radio" name="{one}"' in page] == fields


def test_each_answer_says_what_it_will_touch(desk: Desk, client: TestClient) -> None:
    job = begin(desk, BENCH_HAND, CARD + '\n[duty]\nloaded_half = "upper"\n')
    page = text_of(client.get(f"/jobs/{job.job}/fit?what=scraping").text)
    assert "upper (loaded) contact, clearance, alignment, seals lower (not loaded) clearance both" in page
    page = text_of(client.get(f"/jobs/{job.job}/fit?what=shim").text)
    assert "shell joint crush, clearance housing joint crush, clearance both joints clearance" in page


def test_the_history_says_what_each_change_made_stale(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    for what, more in (("scraping", {"half": "upper"}), ("shim", {}), ("seal", {})):
        body = {"what": what, "text": f"{what} done", "seen": heads(desk, job), **more}
        answer = client.post(f"/jobs/{job.job}/fit", data=body, follow_redirects=False)
        assert answer.status_code == 303
    page = client.get(f"/jobs/{job.job}/fit").text
    scraping, shim, seal = (text_of(one) for one in page.split('<article class="change"')[1:])
    assert "Touches: clearance." in scraping and "Stale: Soft-wire clearance (as left)" in scraping
    assert "Touches: crush, clearance. In which joint was not said" in shim
    assert "Touches: seals. No check is stale because of it." in seal


def test_a_change_is_struck_and_nothing_is_stale_any_more(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    kept = desk.change_fit(job.job, "shim", "", "shell joint", "0.1 out", as_seen(desk, job))
    assert desk.judgement(job.job, job.check).stale
    assert kept.entry is not None
    data = {"entry": kept.entry.id, "why": "was the other bearing", "seen": heads(desk, job)}
    client.post(f"/jobs/{job.job}/fit/strikes", data=data)
    assert not desk.judgement(job.job, job.check).stale
    assert "struck by Ada Invented: was the other bearing" in text_of(client.get(f"/jobs/{job.job}/fit").text)


def test_a_point_is_closed_by_hand_with_a_note_and_opened_again(
    desk: Desk, job: Job, client: TestClient
) -> None:
    at = f"/jobs/{job.job}/fit/holds"
    bare = client.post(at, data={"hold": "joint_faces", "state": "closed", "text": " "})
    assert bare.status_code == 422 and "a note of what was seen" in bare.text
    client.post(
        at, data={"hold": "joint_faces", "state": "closed", "text": "clean", "seen": heads(desk, job)}
    )
    assert desk.chain(job.job).links[0].closed
    client.post(at, data={"hold": "joint_faces", "state": "open", "text": "a burr", "seen": heads(desk, job)})
    page = client.get(f"/jobs/{job.job}/fit").text
    assert "opened by Ada Invented: a burr" in part(page, "joint_faces")
    assert client.post(at, data={"hold": "clearance", "state": "closed", "text": "ok"}).status_code == 422
    assert client.post(at, data={"hold": "paint", "state": "closed", "text": "ok"}).status_code == 422


def test_what_was_typed_comes_back_with_what_is_wrong(job: Job, client: TestClient) -> None:
    data = {"what": "shim", "joint": "shell joint", "text": " "}
    answer = client.post(f"/jobs/{job.job}/fit", data=data)
    assert answer.status_code == 422
    assert 'value="shell joint" checked' in answer.text
    assert client.post(f"/jobs/{job.job}/fit", data={"what": "paint", "text": "red"}).status_code == 422


# ---- as found


def test_it_is_asked_at_the_time_why_nothing_was_taken_as_found(
    desk: Desk, job: Job, client: TestClient
) -> None:
    at = f"/jobs/{job.job}/fit"
    assert "Take it first if nothing was opened yet" in client.get(at).text
    data = {"what": "shim", "joint": "shell joint", "text": "out", "seen": heads(desk, job)}
    answer = client.post(at, data=data, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{at}#as-found")
    assert len(desk.job(job.job).state.fit_changes) == 1, "asked, not held up"
    asked = "was not taken as found, and cannot be taken any more: note why"
    assert asked in client.get(at).text
    assert asked in client.get(f"/jobs/{job.job}").text
    again = client.post(at, data={**data, "seen": heads(desk, job)}, follow_redirects=False)
    assert again.headers["location"] == f"{at}#done", "asked once"
    why = "the night shift had it open already"
    client.post(f"{at}/missed", data={"why": why, "seen": heads(desk, job)})
    for place in (at, f"/jobs/{job.job}"):
        page = text_of(client.get(place).text)
        assert f"The clearance as found was missed: {why} (Ada Invented)." in page
        assert asked not in page


def test_the_judgement_and_the_sheet_say_that_it_was_missed(desk: Desk, job: Job) -> None:
    def said() -> list[tuple[str, str]]:
        found = desk.judgement(job.job, job.check).warnings
        return [(one.severity, one.text) for one in found if one.code == "as_found.missed"]

    fill(desk, job, BENCH_HAND)
    ((severity, text),) = said()
    assert severity == "warning" and text.startswith("No clearance was taken as found")
    assert desk.judgement(job.job, job.check).verdict == "within limits", "it stops nobody"
    desk.strip_down(job.job, "cap off", as_seen(desk, job))
    desk.note_missed(job.job, "clearance as found", "came in pieces", as_seen(desk, job))
    text = "The clearance as found was missed: came in pieces (Ida Invented)."
    assert said() == [("note", text)]
    assert text in " ".join(pdf_text(desk.sheet(job.job, job.check)).split())


def test_nothing_is_asked_once_it_was_taken(desk: Desk, job: Job, client: TestClient) -> None:
    other = begin(desk, BENCH_HAND, number="4712")
    found = desk.start_check(other.job, "wire", "as found", BENCH_HAND)
    fill(desk, Job(other.bearing, other.job, found), BENCH_HAND)
    at = f"/jobs/{other.job}/fit"
    data = {"text": "cap off", "seen": heads(desk, other)}
    answer = client.post(f"{at}/stripped", data=data, follow_redirects=False)
    assert answer.status_code == 303
    page = text_of(client.get(at).text)
    assert "The clearance was taken as found." in page
    assert "stripped down: cap off Ada Invented" in page
    assert not [w for w in desk.judgement(other.job, other.check).warnings if w.code == "as_found.missed"]
    desk.note_missed(other.job, "clearance as found", "forgot that it was", as_seen(desk, other))
    assert not [w for w in desk.judgement(other.job, other.check).warnings if w.code == "as_found.missed"]


def test_it_stands_beside_a_clearance_as_left_and_nothing_else(desk: Desk, job: Job) -> None:
    def said(method: str, purpose: str) -> bool:
        check = desk.start_check(job.job, method, purpose, as_seen(desk, job))
        return any(one.code == "as_found.missed" for one in desk.judgement(job.job, check).warnings)

    assert not said("wire", "as found"), "it is being taken"
    assert not said("oil_ring", "as left")
    assert said("bore", "as left")


def test_an_as_found_check_is_refused_once_it_was_stripped(desk: Desk, job: Job, client: TestClient) -> None:
    desk.strip_down(job.job, "upper shell out", BENCH_HAND)
    answer = client.post(f"/jobs/{job.job}/checks", data={"method": "wire", "purpose": "as found"})
    assert answer.status_code == 422
    assert "no longer as it was found (stripped down: upper shell out, Ida Invented" in answer.text
    left = client.post(
        f"/jobs/{job.job}/checks", data={"method": "wire", "purpose": "as left"}, follow_redirects=False
    )
    assert left.status_code == 303


def test_an_as_found_check_is_taken_again_once_the_note_was_struck(desk: Desk, job: Job) -> None:
    note = desk.strip_down(job.job, "upper shell out", BENCH_HAND).entry
    assert note is not None
    desk.strike(job.job, note.id, "was the other bearing", as_seen(desk, job))
    found = desk.start_check(job.job, "wire", "as found", as_seen(desk, job))
    fill(desk, Job(job.bearing, job.job, found), as_seen(desk, job))
    assert desk.job(job.job).state.checks[found].late == ()
    assert desk.job(job.job).state.as_found == "taken"


def test_readings_as_found_written_late_are_a_question(desk: Desk, job: Job) -> None:
    found = desk.start_check(job.job, "wire", "as found", BENCH_HAND)
    desk.strip_down(job.job, "cap off", BENCH_HAND)
    late = Job(job.bearing, job.job, found)
    fill(desk, late, as_seen(desk, job))
    desk.keep_fact(job.job, found, "oil_wiped", "yes", as_seen(desk, job))
    judged = desk.judgement(job.job, found)
    (asked,) = (one for one in judged.warnings if one.code == "as_found.late")
    assert asked.severity == "question" and "Were they taken before?" in asked.text
    assert judged.verdict == "not proven"
    desk.keep_fact(job.job, found, "answer.as_found.late", "yes, typed after lunch", as_seen(desk, job))
    assert desk.judgement(job.job, found).verdict == "within limits"


# ---- the same as JSON


def test_the_chain_as_json(desk: Desk, job: Job, client: TestClient) -> None:
    found = client.get(f"/api/1/jobs/{job.job}/fit").json()
    assert (found["format"], found["bearing"]) == ("whitemetal.chain/1", "not fit")
    assert [one["key"] for one in found["links"]][:2] == ["joint_faces", "tightening"]
    change = {"what": "shim", "joint": "shell joint", "text": "out", "name": "Bo Invented"}
    told = client.post(f"/api/1/jobs/{job.job}/fit", json=change)
    assert told.status_code == 201
    assert told.json()["asked"].startswith("The clearance was not taken as found")


def test_no_such_job(client: TestClient) -> None:
    for at in ("/jobs/nothing/fit", "/api/1/jobs/nothing/fit"):
        assert client.get(at).status_code == 404
