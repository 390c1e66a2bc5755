"""What is typed is kept: once, with its text, and never replaced in silence."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job, fill
from whitemetal.desk import Desk
from whitemetal.web.guard import new_id

SCRIPT = {"accept": "application/json"}


def send(client: TestClient, job: Job, place: str, text: str, **more: Any) -> Any:
    body = {"id": new_id(), "place": place, "text": text, "unit": "mm", **more}
    return client.post(f"{job.at}/readings", json=body, headers=SCRIPT)


def readings(desk: Desk, job: Job) -> list[tuple[str, str]]:
    return [(r.place, r.text) for r in desk.job(job.job).state.checks[job.check].readings]


def heads(desk: Desk, job: Job) -> str:
    return " ".join(desk.job(job.job).state.heads)


def test_sending_twice_changes_nothing(desk: Desk, job: Job, client: TestClient) -> None:
    body = {"id": new_id(), "place": "DE top", "text": "0.243", "unit": "mm", "seen": heads(desk, job)}
    first = client.post(f"{job.at}/readings", json=body, headers=SCRIPT)
    count = desk.job(job.job).state.entries
    second = client.post(f"{job.at}/readings", json=body, headers=SCRIPT)
    assert (first.status_code, second.status_code) == (200, 200)
    assert second.json()["kept"] is True
    assert desk.job(job.job).state.entries == count
    assert readings(desk, job) == [("DE top", "0.243")]


def test_answer_carries_the_grown_verdict_and_the_new_heads(desk: Desk, job: Job, client: TestClient) -> None:
    answer = send(client, job, "DE top", "0.225", seen=heads(desk, job)).json()
    assert answer["seen"] == heads(desk, job)
    assert "1 of 6" in answer["summary"]
    assert "0.225" in answer["parts"]["table"]
    assert {"live", "table", "holds-before", "holds-after"} == set(answer["parts"])


def test_second_reading_is_asked_then_repeated_or_struck(desk: Desk, job: Job, client: TestClient) -> None:
    first = send(client, job, "DE top", "0.243", seen=heads(desk, job)).json()
    entry = next(box["entry"] for box in first["boxes"] if box["place"] == "DE top")
    asked = send(client, job, "DE top", "0.245", entry=entry, seen=first["seen"])
    assert (asked.status_code, asked.json()["ask"]) == (409, True)
    assert readings(desk, job) == [("DE top", "0.243")]
    again = send(client, job, "DE top", "0.245", entry=entry, seen=first["seen"], mode="again")
    assert again.json()["kept"]
    assert readings(desk, job) == [("DE top", "0.243"), ("DE top", "0.245")]
    no_reason = send(client, job, "DE top", "0.244", entry=entry, seen=first["seen"], mode="strike")
    assert no_reason.status_code == 409
    struck = send(client, job, "DE top", "0.244", entry=entry, seen=again.json()["seen"], mode="strike",
                  why="misread")  # fmt: skip
    assert struck.json()["kept"]
    check = desk.job(job.job).state.checks[job.check]
    assert [(s.reading.text, s.by, s.why) for s in check.struck] == [("0.243", "Ada Invented", "misread")]
    assert "<s>0.243</s>" in client.get(job.at).text, "a struck reading stays visible"
    assert "struck out by Ada Invented: misread" in client.get(job.at).text


def test_unreadable_text_is_kept_and_shown_and_the_next_one_takes_its_place(
    desk: Desk, job: Job, client: TestClient
) -> None:
    answer = send(client, job, "DE top", "1,234", seen=heads(desk, job)).json()
    assert answer["kept"]
    assert "1.234 or 1234" in answer["problem"]
    page = client.get(job.at).text
    assert 'value="1,234"' in page
    assert "1,234" in client.get(f"/record/{job.job}").text
    assert [box["place"] for box in answer["boxes"] if box["wrong"]] == ["DE top"]
    better = send(client, job, "DE top", "0.234", seen=answer["seen"]).json()
    assert better["kept"]
    assert readings(desk, job) == [("DE top", "0.234")]
    assert desk.job(job.job).state.checks[job.check].unreadable == ()


def test_two_browsers_with_stale_pages_are_a_contradiction(
    desk: Desk, job: Job, browser_named: Callable[[str], TestClient]
) -> None:
    one, two = browser_named("Ada Invented"), browser_named("Ben Invented")
    stale = heads(desk, job)
    assert send(one, job, "OE top", "0.221", seen=stale).json()["kept"]
    second = send(two, job, "OE top", "0.229", seen=stale)
    assert second.json()["kept"], "nothing that was typed is lost"
    assert sorted(readings(desk, job)) == [("OE top", "0.221"), ("OE top", "0.229")]
    page = one.get(job.at).text
    assert "Written at the same time by two devices:" in page
    assert "Ada Invented" in page
    assert "Ben Invented" in page


def test_two_browsers_that_saw_each_other_are_no_contradiction(
    desk: Desk, job: Job, browser_named: Callable[[str], TestClient]
) -> None:
    one, two = browser_named("Ada Invented"), browser_named("Ben Invented")
    first = send(one, job, "OE top", "0.221", seen=heads(desk, job)).json()
    entry = next(box["entry"] for box in first["boxes"] if box["place"] == "OE top")
    assert send(two, job, "OE top", "0.222", entry=entry, seen=first["seen"], mode="again").json()["kept"]
    assert "Written at the same time" not in one.get(job.at).text


def test_without_a_name_nothing_is_kept_and_nothing_is_lost(
    desk: Desk, job: Job, browser_named: Callable[[str], TestClient]
) -> None:
    nobody = browser_named("")
    before = desk.job(job.job).state.entries
    assert send(nobody, job, "DE top", "0.243").status_code == 422
    plain = nobody.post(f"{job.at}/readings", data={"reading.DE top": "0.243", "unit": "mm"})
    assert plain.status_code == 422
    assert 'value="0.243"' in plain.text
    assert desk.job(job.job).state.entries == before


def test_plain_form_saves_without_script(desk: Desk, job: Job, client: TestClient) -> None:
    page = client.get(job.at).text
    form = dict(re.findall(r'<input type="hidden" name="((?:id|entry)\.[^"]+)" value="([^"]*)"', page))
    form |= {"seen": heads(desk, job), "unit": "mm", "squeeze": "1", "instrument": "M-07"}
    form |= {"reading.DE left": "0.221", "reading.DE top": "0.225", "reading.DE right": ""}
    first = client.post(f"{job.at}/readings", data=form, follow_redirects=False)
    assert first.status_code == 303
    assert readings(desk, job) == [("DE left", "0.221"), ("DE top", "0.225")]
    client.post(f"{job.at}/readings", data=form)
    assert readings(desk, job) == [("DE left", "0.221"), ("DE top", "0.225")], "sent twice, kept once"
    wrong = client.post(f"{job.at}/readings", data={**form, "reading.OE left": "zwo", "id.OE left": new_id()})
    assert wrong.status_code == 422
    assert 'value="zwo"' in wrong.text


def test_facts_are_kept_with_the_unit_on_their_box(desk: Desk, job: Job, client: TestClient) -> None:
    body = {"id": new_id(), "key": "wire_diameter", "text": "0.40", "unit": "mm", "seen": heads(desk, job)}
    assert client.post(f"{job.at}/facts", json=body, headers=SCRIPT).json()["kept"]
    fact = desk.job(job.job).state.checks[job.check].facts["wire_diameter"]
    assert (fact.text, fact.value) == ("0.40", 0.40e-3)
    assert 'value="0.40"' in client.get(job.at).text


def test_a_fact_that_cannot_be_read_is_kept_and_shown_at_its_box(
    desk: Desk, job: Job, client: TestClient
) -> None:
    body = {"id": new_id(), "key": "wire_diameter", "text": "thick", "unit": "mm", "seen": heads(desk, job)}
    wrong = client.post(f"{job.at}/facts", json=body, headers=SCRIPT).json()
    assert wrong["kept"]
    assert "a number with its unit" in wrong["problem"]
    page = client.get(job.at).text
    assert 'value="thick"' in page
    assert "a number with its unit" in page
    plain = client.post(f"{job.at}/facts", data={"fact.part_temperature": "warm", "fact.wires_in": "2"})
    assert plain.status_code == 422
    assert 'value="warm"' in plain.text
    assert desk.job(job.job).state.checks[job.check].facts["wires_in"].text == "2"


def test_hold_points_close_and_open(desk: Desk, job: Job, client: TestClient) -> None:
    closed = client.post(f"{job.at}/holds", json={"hold": "isolated", "state": "closed", "text": "permit 12",
                                                   "seen": heads(desk, job)}, headers=SCRIPT)  # fmt: skip
    assert closed.json()["kept"]
    assert "permit 12" in client.get(job.at).text
    assert next(h for h in desk.judgement(job.job, job.check).holds if h.key == "isolated").closed
    client.post(f"{job.at}/holds", data={"hold": "isolated", "state": "open", "seen": heads(desk, job)})
    assert not next(h for h in desk.judgement(job.job, job.check).holds if h.key == "isolated").closed
    assert client.post(f"{job.at}/holds", data={"hold": "nonsense", "state": "closed"}).status_code == 422


def test_scraping_makes_the_check_stale_on_every_page(desk: Desk, job: Job, client: TestClient) -> None:
    fill(desk, job, BENCH_HAND)
    assert "Stale:" not in client.get(job.at).text
    change = {"what": "scraping", "half": "lower", "text": "high spot taken down", "seen": heads(desk, job)}
    assert client.post(f"/jobs/{job.job}/fit", data=change, follow_redirects=False).status_code == 303
    for at in (job.at, f"{job.at}/judgement", f"/jobs/{job.job}"):
        text = client.get(at).text
        assert "Stale:" in text, at
        assert 'verdict within-limits"' not in text, at
    empty = client.post(f"/jobs/{job.job}/fit", data={"what": "shim", "joint": "shell joint"})
    assert empty.status_code == 422
    assert 'value="shell joint"' in empty.text


def test_a_card_changed_under_an_open_job_is_adopted_only_when_asked(
    desk: Desk, job: Job, client: TestClient
) -> None:
    fill(desk, job, BENCH_HAND)
    old = desk.job(job.job).state.card
    desk.keep_card(CARD.replace('maximum = "0.30 mm"', 'maximum = "0.18 mm"'), BENCH_HAND)
    page = client.get(f"/jobs/{job.job}").text
    newest = desk.job(job.job).newest_card
    assert newest != old
    assert "As judged now: within limits." in page
    assert "With the newer revision: outside limits." in page
    refused = client.post(f"/jobs/{job.job}/adopt", data={"card": newest, "reason": ""})
    assert refused.status_code == 422
    assert desk.job(job.job).state.card == old
    client.post(f"/jobs/{job.job}/adopt", data={
        "card": newest, "reason": "maker's letter (invented)", "seen": heads(desk, job),
    })  # fmt: skip
    assert desk.job(job.job).state.card == newest
    assert "outside limits" in client.get(f"{job.at}/judgement").text


def test_decision_rule_needs_a_reason(desk: Desk, job: Job, client: TestClient) -> None:
    refused = client.post(f"{job.at}/rule", data={"rule": "simple acceptance", "why": ""})
    assert refused.status_code == 422
    assert desk.job(job.job).state.checks[job.check].rule == ""
    client.post(f"{job.at}/rule", data={"rule": "simple acceptance", "why": "maker states it so (invented)"})
    assert desk.job(job.job).state.checks[job.check].rule == "simple acceptance"


def test_place_page_repeats_and_strikes_without_script(desk: Desk, job: Job, client: TestClient) -> None:
    send(client, job, "DE top", "0.243", seen=heads(desk, job))
    at = f"{job.at}/places/DE top"
    entry = desk.job(job.job).state.checks[job.check].readings[0].entry
    client.post(at, data={"mode": "again", "text": "0.244", "unit": "mm", "seen": heads(desk, job)})
    assert readings(desk, job) == [("DE top", "0.243"), ("DE top", "0.244")]
    silent = client.post(
        at, data={"mode": "strike", "entry": entry, "text": "0.240", "why": "", "unit": "mm"}
    )
    assert silent.status_code == 422
    assert 'value="0.240"' in silent.text
    client.post(at, data={"mode": "strike", "entry": entry, "text": "", "why": "slip of the key"})
    assert readings(desk, job) == [("DE top", "0.244")]
    assert "slip of the key" in client.get(at).text


def test_a_question_is_answered_by_a_person_and_stays_visible(
    desk: Desk, job: Job, client: TestClient
) -> None:
    """2.5 mm on a journal of 160 mm is ten times the usual: the unit is questioned, the answer is recorded."""
    fill(desk, job, BENCH_HAND, clearance=2.5)
    client.post(f"{job.at}/facts", data={"fact.wire_diameter": "4", "unit.wire_diameter": "mm",
                                         "seen": heads(desk, job)})  # fmt: skip
    page = client.get(job.at).text
    buttons = re.findall(r'<button name="(fact\.answer\.[^"]+)" value="([^"]+)"', page)
    assert buttons
    for name, text in buttons:
        client.post(f"{job.at}/facts", data={name: text, "seen": heads(desk, job)})
    after = client.get(job.at).text
    assert re.findall(r'<button name="fact\.answer\.', after) == []
    assert "it is really so" in after, "the answer stands beside the question"
    answered = [key for key in desk.job(job.job).state.checks[job.check].facts if key.startswith("answer.")]
    assert sorted(f"fact.{key}" for key in answered) == sorted(name for name, _ in buttons)


def test_a_repeated_squeeze_has_its_own_boxes_and_facts(desk: Desk, job: Job, client: TestClient) -> None:
    send(client, job, "DE top", "0.231", seen=heads(desk, job))
    second = client.get(f"{job.at}?squeeze=2").text
    assert 'name="fact.joint@2"' in second
    assert 'name="fact.joint"' not in second
    assert re.search(r'data-place="DE top" data-entry=""', second), "nothing read in the second squeeze yet"
    assert send(client, job, "DE top", "0.233", squeeze=2, seen=heads(desk, job)).json()["kept"]
    found = desk.job(job.job).state.checks[job.check].readings
    assert [(one.text, one.squeeze) for one in found] == [("0.231", 1), ("0.233", 2)]
    assert "squeeze 2" in client.get(job.at).text


def test_hold_points_of_the_bearing_close_in_their_order(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/jobs/{job.job}/holds"
    client.post(at, data={"hold": "crush", "state": "closed", "seen": heads(desk, job)})
    shown = {hold.key: hold.closed for hold in desk.judgement(job.job, job.check).holds}
    assert not shown["crush"], "a later point means nothing while an earlier one is open"
    for hold in ("joint_faces", "tightening"):
        client.post(at, data={"hold": hold, "state": "closed", "seen": heads(desk, job)})
    page = client.get(f"/jobs/{job.job}").text
    pressed = re.findall(r'name="hold" value="(\w+)">\s*<button[^>]*aria-pressed="true"', page)
    assert pressed == ["joint_faces", "tightening", "crush"]


def test_a_judgement_is_never_older_than_the_job(desk: Desk, job: Job, client: TestClient) -> None:
    """The judgement kept between two looks is thrown away when the job, its card or a gauge changes."""
    fill(desk, job, BENCH_HAND)
    assert "within limits" in client.get(f"{job.at}/judgement").text
    desk.keep_instrument(
        "M-07", {"mpe": "0.2 mm", "anvil": "ball", "calibration_due": "2027-03-01"}, BENCH_HAND
    )
    assert "0.2 mm" in client.get(job.at).text
    coarse = client.get(f"{job.at}/judgement").text
    assert 'class="verdict not-proven"' in coarse
    assert desk.judgement(job.job, job.check).verdict == "not proven"
