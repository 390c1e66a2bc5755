"""The card's form: generated from the declaration, problems at their field, nothing typed is lost."""

from __future__ import annotations

import html
import re

from tests.web.client import TestClient
from tests.web.plant import CARD, Job
from whitemetal.card import CARD_FIELDS, card_digest, read_card, texts_of
from whitemetal.desk import Desk

TYPED = {f"card.{path}": text for path, text in texts_of(read_card(CARD)).items()}


def test_every_declared_field_is_on_the_form(client: TestClient) -> None:
    text = client.get("/bearings/new").text
    for field in CARD_FIELDS:
        path = field.path.replace("limit.", "limit.1.")
        assert f'name="card.{path}"' in text, path
        assert html.escape(field.label, quote=True).replace("&#x27;", "&#39;") in text, field.label
        for choice in field.choices:
            assert html.escape(choice, quote=True).replace("&#x27;", "&#39;") in text, choice


def test_form_and_text_make_the_same_card(desk: Desk, client: TestClient) -> None:
    made = client.post("/bearings/new", data=TYPED, follow_redirects=False)
    assert made.status_code == 303
    book = made.headers["location"].rsplit("/", 1)[1]
    assert desk.bearing(book).card.digest == card_digest(read_card(CARD))
    again = client.post("/bearings/new", data={"text": CARD}, follow_redirects=False)
    assert again.headers["location"].rsplit("/", 1)[1] == book, (
        "the same machine and position is the same bearing"
    )


def test_problems_stand_at_their_fields_with_what_was_typed(desk: Desk, client: TestClient) -> None:
    wrong = {
        **TYPED,
        "card.bearing.journal_diameter": "160",
        "card.bearing.length": "-140 mm",
        "card.machine.tag": "",
        "card.limit.1.minimum": "0.35 mm",
        "card.machine.name": "Fan <b>",
    }
    answer = client.post("/bearings/new", data=wrong)
    assert answer.status_code == 422
    assert desk.plant() == ()
    for path, text in (("bearing.journal_diameter", "160"), ("bearing.length", "-140 mm"),
                       ("limit.1.minimum", "0.35 mm"), ("machine.name", "Fan &lt;b&gt;")):  # fmt: skip
        assert re.search(rf'name="card\.{re.escape(path)}" value="{re.escape(text)}"', answer.text), path
    for path in ("bearing.journal_diameter", "bearing.length", "machine.tag"):
        field = re.search(rf'<input[^>]*name="card\.{re.escape(path)}"[^>]*>\s*<p class="below"[^>]*>(.*?)</p>',
                          answer.text, re.DOTALL)  # fmt: skip
        assert field, path
        assert 'aria-invalid="true"' in field.group(0), path
        assert "expected" in field.group(1), path


def test_wrong_text_is_handed_back_with_line_numbers(desk: Desk, client: TestClient) -> None:
    wrong = CARD.replace('"160.00 mm"', '"160.00 furlongs"').replace('kind = "fan"', 'kind = "fun"')
    answer = client.post("/bearings/new", data={"text": wrong})
    assert answer.status_code == 422
    assert "160.00 furlongs" in answer.text
    assert "(line 6)" in answer.text
    assert "(line 12)" in answer.text
    assert desk.plant() == ()


def test_problems_of_the_form_stand_under_its_words(desk: Desk, client: TestClient) -> None:
    sent = {**TYPED, "card.bearing.journal_diameter": "wide", "card.bearing.side_to_top": "twice"}
    text = client.post("/bearings/new", data=sent).text
    told = re.findall(r"<li><b>([^<]*)</b>:[^<]*for example ([^<]*)</li>", text)
    assert told == [
        ("Bearing, Journal diameter", "&#34;0.243 mm&#34;"),
        ("Bearing, Side clearance over top clearance", "&#34;5 %&#34;"),
    ]


def test_a_change_makes_a_new_revision_and_keeps_the_old(desk: Desk, job: Job, client: TestClient) -> None:
    old = desk.bearing(job.bearing).card.digest
    page = client.get(f"/bearings/{job.bearing}/edit").text
    assert 'value="160.00 mm"' in page, "the trailing zeros are kept as typed"
    client.post(f"/bearings/{job.bearing}/edit", data={**TYPED, "card.oil.grade": "ISO VG 68", **_seen(page)})
    found = desk.bearing(job.bearing)
    assert found.card.digest != old
    assert found.card.oil.grade == "ISO VG 68"
    assert old in client.get(f"/bearings/{job.bearing}").text
    assert client.get(f"/bearings/{job.bearing}/revisions/{old}").status_code == 200


def _seen(page: str) -> dict[str, str]:
    """The heads a page was shown, as its form sends them back."""
    return dict(re.findall(r'name="(seen)" value="([^"]+)"', page))


def test_more_limits_can_be_asked_for_and_empty_ones_are_left_out(desk: Desk, client: TestClient) -> None:
    more = client.post("/bearings/new", data={**TYPED, "add": "limit"})
    assert more.status_code == 200
    assert 'name="card.limit.2.minimum"' in more.text
    assert 'value="160.00 mm"' in more.text
    third = {
        "card.limit.3.maximum": "0.4 mm", "card.limit.3.basis": "radial", "card.limit.3.rung": "owner's standard",
        "card.limit.3.document": "works rule (invented)", "card.limit.3.revision": "1",
    }  # fmt: skip
    made = client.post(
        "/bearings/new", data={**TYPED, **third, "card.limit.2.minimum": " "}, follow_redirects=False
    )
    assert made.status_code == 303
    assert [limit.basis for limit in desk.bearing(made.headers["location"].rsplit("/", 1)[1]).card.limits] == [
        "diametral", "radial",
    ]  # fmt: skip


def test_instruments_are_kept_and_wrong_ones_handed_back(desk: Desk, client: TestClient) -> None:
    wrong = client.post("/instruments", data={"id": "M-9", "mpe": "four", "calibration_due": "soon"})
    assert wrong.status_code == 422
    assert 'value="four"' in wrong.text
    assert 'value="soon"' in wrong.text
    assert "M-9" not in desk.instruments()
    good = {
        "id": "M-9",
        "name": "micrometer",
        "mpe": "0.004",
        "anvil": "ball",
        "calibration_due": "2027-01-31",
    }
    assert client.post("/instruments", data=good, follow_redirects=False).status_code == 303
    assert desk.instruments()["M-9"]["mpe"] == "0.004 mm"
