"""The pages of the procedure: ticking by thumb, the permit, what is left out, the plant's file, typing in."""

from __future__ import annotations

import re
from html import unescape

import pytest

from tests.sheets.build import text_of as pdf_text
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import Job, fill
from whitemetal.desk import Desk, Writer
from whitemetal.desk.procedure import keep_plant_file, keep_step, procedure_of
from whitemetal.job.procedure.generate import generate
from whitemetal.job.procedure.sheets_wanted import sheets_wanted

PLANT = 'format = "whitemetal.procedure/1"\n[[drop]]\nstep = "isolate.cooled"\nwhy = "cold plant"\n'


def text_of(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def row(html: str, step: str) -> str:
    """What stands at one step."""
    return text_of(html.split(f'id="s-{step}"')[1].split("</li>")[0])


def seen(desk: Desk, job: Job) -> str:
    return " ".join(desk.job(job.job).state.heads)


def tick(client: TestClient, desk: Desk, job: Job, step: str, state: str = "done", text: str = "") -> int:
    sent = {"step": step, "state": state, "text": text, "seen": seen(desk, job)}
    return int(client.post(f"/jobs/{job.job}/procedure", data=sent, follow_redirects=False).status_code)


def test_every_step_stands_on_the_page_in_order_with_its_reason(
    desk: Desk, job: Job, client: TestClient
) -> None:
    page = client.get(f"/jobs/{job.job}/procedure").text
    steps = generate(desk.job(job.job).card)
    assert re.findall(r'<li id="s-([\w.]+)"', page) == [step.key for step in steps]
    for step in steps:
        shown = row(page, step.key)
        assert step.why in shown
        assert all(one.text in shown and one.rules in shown for one in step.cautions)
        assert ("hold point" in shown) == step.hold
    assert "Next: Work pack, card and maker's book" in text_of(page)


def test_a_tick_is_kept_with_the_name_and_comes_back_to_its_row(
    desk: Desk, job: Job, client: TestClient
) -> None:
    sent = {"step": "prepare.papers", "state": "done", "seen": seen(desk, job)}
    answer = client.post(f"/jobs/{job.job}/procedure", data=sent, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (
        303, f"/jobs/{job.job}/procedure#s-prepare.papers",
    )  # fmt: skip
    page = client.get(f"/jobs/{job.job}/procedure").text
    assert "Ada Invented" in row(page, "prepare.papers")
    assert 'aria-pressed="true"' in page
    assert tick(client, desk, job, "prepare.papers", "open") == 303
    assert "Ada Invented" not in row(client.get(f"/jobs/{job.job}/procedure").text, "prepare.papers")


def test_the_permit_without_its_number_is_asked_for_and_the_rest_stays(
    desk: Desk, job: Job, client: TestClient
) -> None:
    assert tick(client, desk, job, "isolate.permit") == 422
    assert tick(client, desk, job, "isolate.permit", text="PTW-0815") == 303
    page = client.get(f"/jobs/{job.job}/procedure").text
    assert "PTW-0815" in row(page, "isolate.permit")
    assert "Permit number PTW-0815" in text_of(page.split("<nav")[-1].split("stage-prepare")[0])


def test_what_was_typed_comes_back_with_the_problem(desk: Desk, job: Job, client: TestClient) -> None:
    sent = {"step": "as_found.oil", "state": "perhaps", "text": "dry <b>since</b> spring"}
    answer = client.post(f"/jobs/{job.job}/procedure", data={**sent, "seen": seen(desk, job)})
    assert answer.status_code == 422
    assert 'value="dry &lt;b&gt;since&lt;/b&gt; spring"' in answer.text


def test_a_step_of_the_order_of_trust_has_no_tick(desk: Desk, job: Job, client: TestClient) -> None:
    page = client.get(f"/jobs/{job.job}/procedure").text
    part = page.split('id="s-close.crush"')[1].split("</li>")[0]
    assert 'class="tick" name="state"' not in part
    assert "Begin: Crush of the shell, as left" in text_of(part)
    assert tick(client, desk, job, "close.crush") == 422


def test_a_passed_over_hold_is_said_on_the_page_and_on_the_jobs(
    desk: Desk, job: Job, client: TestClient
) -> None:
    keep_step(desk, job.job, "strip.cleaned", "done", "", BENCH_HAND)
    page = text_of(client.get(f"/jobs/{job.job}/procedure").text)
    assert "Passed over, and it protects people: Permit to work in hand" in page
    listed = client.get(f"/jobs/{job.job}").text
    assert re.search(r'<li class="attention"><a href="/jobs/\w+/procedure">', listed)
    assert "; passed over: Permit to work in hand; Isolated, locked and tagged" in text_of(listed)


def test_a_dropped_step_that_protects_people_stays_to_be_read(
    desk: Desk, job: Job, client: TestClient
) -> None:
    answer = client.post("/procedure", data={"text": PLANT, "replaces": ""})
    assert answer.status_code == 422
    assert "line 2" in answer.text and "cannot go silently" in unescape(answer.text)
    assert "cold plant" in answer.text, "what was typed comes back"
    signed = PLANT + 'by = "Engineer B (invented)"\n'
    assert (
        client.post("/procedure", data={"text": signed, "replaces": ""}, follow_redirects=False).status_code
        == 303
    )
    shown = row(client.get(f"/jobs/{job.job}/procedure").text, "isolate.cooled")
    assert "dropped by the plant" in shown
    assert "Dropped by Engineer B (invented): cold plant" in shown
    assert "gloves" in shown, "its caution stays"
    assert "Engineer B (invented)" in client.get("/procedure").text


def test_a_form_replaces_the_file_it_showed_and_no_other(desk: Desk, client: TestClient) -> None:
    added = (
        'format = "whitemetal.procedure/1"\n[[add]]\nstep = "isolate.radio"\ntext = "Told."\nwhy = "known"\n'
    )
    client.post("/procedure", data={"text": added, "replaces": ""})
    shown = client.get("/procedure").text
    replaces = re.search(r'name="replaces" value="([^"]+)"', shown)
    assert replaces is not None
    keep_plant_file(desk, added.replace("Told", "Rung up"), Writer("Bo Invented", "b" * 26), [])
    client.post("/procedure", data={"text": "", "replaces": replaces.group(1)})
    left = client.get("/api/1/procedure").json()["files"]
    assert sorted(one["text"] for one in left) == sorted(["", added.replace("Told", "Rung up")])


def test_the_json_twin_shows_and_does_the_same(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/api/1/jobs/{job.job}/procedure"
    body = {
        "step": "isolate.permit",
        "state": "done",
        "text": "PTW-7",
        "seen": list(desk.job(job.job).state.heads),
    }
    kept = client.post(at, json=body)
    assert (kept.status_code, kept.json()["kept"]) == (201, True)
    shown = client.get(at).json()
    assert shown["format"] == "whitemetal.steps/1"
    steps = {one["step"]["key"]: one for one in shown["steps"]}
    assert (steps["isolate.permit"]["stands"], steps["isolate.permit"]["text"]) == ("done", "PTW-7")
    assert "29 CFR 1910.147" in steps["isolate.permit"]["step"]["cautions"][0]["rules"]
    refused = client.post(at, json={**body, "text": ""})
    assert refused.status_code == 422 and "permit number" in refused.json()["problem"]


def test_the_sheets_are_typed_in_in_the_order_of_the_pack(desk: Desk, job: Job, client: TestClient) -> None:
    sheets = sheets_wanted(procedure_of(desk, desk.job(job.job))[0].steps)
    at = f"/jobs/{job.job}/type-in?sheets=all"
    listed = re.findall(r"<b>Sheet (\d+)</b> ([^<]+?), (as \w+)", client.get(at).text)
    assert listed == [(str(one.number), one.title, one.purpose) for one in sheets]
    assert [one.number for one in sheets] == list(range(1, len(sheets) + 1))
    float_found = next(one for one in sheets if (one.method, one.purpose) == ("end_float", "as found"))
    begun = client.post(
        f"/jobs/{job.job}/checks", data={"method": "end_float", "purpose": "as found"}, follow_redirects=False
    )
    check = begun.headers["location"].split("/")[-1]
    shown = client.get(at).text
    assert f"/jobs/{job.job}/checks/{check}" in shown
    desk.keep_fact(job.job, check, "total", "0.40 mm", BENCH_HAND)
    part = text_of(client.get(at).text).split(f"Sheet {float_found.number} ")[1]
    assert "1 typed in" in part.split("Sheet")[0]


def test_the_sheets_are_chosen_by_boxes_and_the_address_keeps_the_choice(
    desk: Desk, job: Job, client: TestClient
) -> None:
    at = f"/jobs/{job.job}/procedure"
    boxes = re.compile(r'name="sheets" value="([\w.]+)"( checked)?>')

    def ticked(page: str) -> list[str]:
        return [step for step, tick in boxes.findall(page) if tick]

    usual = client.get(at).text
    sheets = sheets_wanted(procedure_of(desk, desk.job(job.job))[0].steps)
    assert ticked(usual) == [one.step for one in sheets if one.usual]
    assert {"as_found.wire_found", "close.wire", "close.counted_out"} <= set(ticked(usual))
    assert "inspect.journal" not in ticked(usual) and "close.pins" not in ticked(usual)
    assert '<input type="hidden" name="sheets" value="none">' in usual, "a form with no box ticked says so"
    assert f'{at}?sheets=none#sheets"' in usual and 'value="None"' not in usual
    own = client.get(f"{at}?sheets=none&sheets=inspect.journal&sheets=close.wire").text
    assert ticked(own) == ["inspect.journal", "close.wire"]
    asked = "?sheets=none%2Cinspect.journal%2Cclose.wire"
    assert f'href="/jobs/{job.job}/work-pack.pdf{asked}"' in own
    assert f'href="/jobs/{job.job}/type-in{asked}"' in own
    sent = {"step": "prepare.papers", "state": "done", "seen": seen(desk, job)}
    kept = client.post(at, data={**sent, "sheets": "none,close.wire"}, follow_redirects=False)
    assert kept.headers["location"] == f"{at}?sheets=none%2Cclose.wire#s-prepare.papers"
    wrong = client.get(f"{at}?sheets=close.wyre")
    assert wrong.status_code == 422 and "close.wyre" in text_of(wrong.text)
    assert ticked(wrong.text) == ticked(usual)


def test_typing_in_and_the_json_follow_the_choice_with_what_was_not_printed_last(
    desk: Desk, job: Job, client: TestClient
) -> None:
    asked = "?sheets=close.wire,inspect.journal"
    page = client.get(f"/jobs/{job.job}/type-in{asked}").text
    printed, left_out = page.split("<h2>Not printed</h2>")
    assert re.findall(r"<b>Sheet \d+</b> ([^<]+?), as", printed) == ["Journal survey", "Soft-wire clearance"]
    assert "Crush of the shell" in left_out and "Journal survey" not in left_out
    found = client.get(f"/api/1/jobs/{job.job}/sheets{asked}").json()
    assert found["format"] == "whitemetal.sheets/1"
    assert [one["step"] for one in found["sheets"] if one["printed"]] == ["inspect.journal", "close.wire"]
    assert [one["printed"] for one in found["sheets"]][:3] == [True, True, False]
    pdf = client.get(f"/jobs/{job.job}/work-pack.pdf{asked}").content
    assert set(re.findall(r"Sheet (\d+) · ", pdf_text(pdf))) == {
        str(one["number"]) for one in found["sheets"] if one["printed"]
    }
    assert client.get(f"/api/1/jobs/{job.job}/sheets?sheets=no.such").status_code == 422
    assert client.get(f"/jobs/{job.job}/work-pack.pdf?sheets=no.such").status_code == 422


@pytest.mark.parametrize(
    "address",
    ["/jobs/NONE/procedure", "/jobs/NONE/type-in", "/api/1/jobs/NONE/procedure", "/api/1/jobs/NONE/sheets"],
)
def test_no_such_job(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_the_work_pack_leads_back_and_carries_the_last_readings(
    desk: Desk, job: Job, client: TestClient
) -> None:
    fill(desk, job, BENCH_HAND)
    after = desk.open_job(job.bearing, "4712/ä", "next opening", BENCH_HAND)
    answer = client.get(f"/jobs/{after}/work-pack.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"] == 'attachment; filename="work-pack-4712.pdf"'
    told = pdf_text(answer.content)
    assert f"http://testserver/jobs/{after}" in told
    compared = " ".join(told.split()).split("Last readings, to compare: as left, job 4711")[1]
    assert re.match(r", \d{4}-\d\d-\d\d DE left 0\.223 \(mm\) DE top 0\.225 \(mm\)", compared), compared[:60]
    first = pdf_text(client.get(f"/jobs/{job.job}/work-pack.pdf").content)
    assert "nothing in the record" in " ".join(first.split())


def test_every_page_a_step_leads_to_is_there(job: Job, client: TestClient) -> None:
    page = client.get(f"/jobs/{job.job}/procedure").text
    leads = set(re.findall(rf'href="(/jobs/{job.job}/[\w-]+)"', page))
    assert {at.rsplit("/", 1)[1] for at in leads} >= {"as-found", "close-up", "photographs", "run-in", "sign"}
    assert [at for at in leads if client.get(at).status_code != 200] == []


def noted(html: str, form: str) -> str:
    """What stands in the box for a note of a form."""
    box = re.search(rf'{form}.*?name="text"([^>]*)>', html, re.DOTALL)
    assert box is not None
    found = re.search(r'value="([^"]*)"', box[1])
    return found[1] if found else ""


def test_the_number_of_the_permit_is_typed_once_a_job(desk: Desk, job: Job, client: TestClient) -> None:
    """Noted at the step of the procedure, it stands in the box of every check; the tick is still to be made."""
    second = desk.start_check(job.job, "seat", "as left", BENCH_HAND)
    benches = (job.at, f"/jobs/{job.job}/checks/{second}")
    for at in benches:
        assert not noted(client.get(at).text, 'id="hold-isolated"')
    assert tick(client, desk, job, "isolate.permit", text="PTW-0815") == 303
    for at in benches:
        page = client.get(at).text
        assert noted(page, 'id="hold-isolated"') == "PTW-0815"
        assert "As Ada Invented noted it for this job" in text_of(page)
        assert 'aria-pressed="true"' not in page.split('id="hold-isolated"')[1].split("</form>")[0]
    assert tick(client, desk, job, "isolate.permit", "open") == 303
    assert not noted(client.get(job.at).text, 'id="hold-isolated"')


def test_a_permit_noted_at_a_check_stands_ready_at_the_procedure_and_at_the_next_check(
    desk: Desk, job: Job, client: TestClient
) -> None:
    second = desk.start_check(job.job, "seat", "as left", BENCH_HAND)
    sent = {"hold": "isolated", "state": "closed", "text": "PTW-1", "seen": seen(desk, job)}
    assert client.post(f"{job.at}/holds", data=sent, follow_redirects=False).status_code == 303
    page = client.get(f"/jobs/{job.job}/procedure").text
    assert noted(page, 'id="s-isolate.permit"') == "PTW-1"
    assert "PTW-1" in client.get(f"/jobs/{job.job}/checks/{second}").text
    other = {**sent, "text": "PTW-2", "seen": seen(desk, job)}
    assert (
        client.post(f"/jobs/{job.job}/checks/{second}/holds", data=other, follow_redirects=False).status_code
        == 303
    )
    assert not noted(client.get(f"/jobs/{job.job}/procedure").text, 'id="s-isolate.permit"'), "two: who knows"
