"""Photographs through the page and the API: several at once, too large, wrong, broken, twice."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from PIL import Image

from tests.desk.pictures import as_jpeg, pattern
from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import Job
from whitemetal.desk import Desk
from whitemetal.desk.photographs import keep_photograph
from whitemetal.desk.picture_file import MOST_BYTES
from whitemetal.web import photo_pages

Files = list[tuple[str, tuple[str, bytes, str]]]


def files(*sent: tuple[str, bytes]) -> Files:
    return [("photograph", (name, content, "image/jpeg")) for name, content in sent]


def test_several_photographs_are_kept_and_one_comes_back(desk: Desk, job: Job, client: TestClient) -> None:
    sent = files(("a.jpg", as_jpeg(pattern(400, 300), 6)), ("b.png", as_jpeg(pattern(300, 300))))
    form = {"of": job.check, "place": "DE left", "caption": "match mark", "back": job.at}
    answer = client.post(f"/jobs/{job.job}/photographs", data=form, files=sent, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, job.at)
    shown = desk.job(job.job).state.photographs
    assert [(one.of, one.place, one.caption, one.by) for one in shown] == [
        (job.check, "DE left", "match mark", "Ada Invented")
    ] * 2
    page = client.get(f"/jobs/{job.job}/photographs").text
    assert page.count("match mark</b>") == 2
    assert "taken 2026-03-02 07:39:25" in page
    links = re.findall(r'src="(/photographs/[0-9a-f]{64}\.small\.jpg)"', page)
    assert len(links) == 2
    small = client.get(links[0])
    assert small.headers["content-type"] == "image/jpeg"
    assert Image.open(BytesIO(small.content)).size == (240, 320)
    full = client.get(links[0].replace(".small", ""))
    assert Image.open(BytesIO(full.content)).size == (300, 400)
    known = client.get(links[0], headers={"if-none-match": small.headers["etag"]})
    assert (known.status_code, known.content) == (304, b"")
    assert full.headers["x-content-type-options"] == "nosniff"


def test_what_cannot_be_kept_is_named_and_the_rest_is_kept(desk: Desk, job: Job, client: TestClient) -> None:
    whole = as_jpeg(pattern(400, 300))
    sent = files(("good.jpg", whole), ("broken.jpg", whole[:900]), ("sheet.pdf", b"%PDF-1.7" * 99))
    answer = client.post(f"/jobs/{job.job}/photographs", data={"caption": 'the "cap" <b>'}, files=sent)
    assert answer.status_code == 422
    assert "1 of the pictures were kept" in answer.text
    assert "broken.jpg" in answer.text and "sheet.pdf" in answer.text
    assert "good.jpg" not in answer.text
    assert "the &#34;cap&#34; &lt;b&gt;" in answer.text, "what was typed is handed back"
    assert len(desk.job(job.job).state.photographs) == 1


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ([], "at least one picture"),
        (files(("", b"")), "at least one picture"),
        (files(("empty.jpg", b"")), "this file is empty"),
        (files(("film.mp4", b"\x00\x00\x00\x18ftypisom" + bytes(200))), "this file is something else"),
        (files(("live.heic", b"\x00\x00\x00\x18ftypheic" + bytes(200))), "HEIC"),
        (files(*((f"{n}.jpg", b"x") for n in range(13))), "at most 12 pictures at a time"),
    ],
    ids=["none", "an empty box", "empty", "film", "heic", "too many"],
)
def test_nothing_to_keep_is_said(job: Job, client: TestClient, sent: Files, said: str) -> None:
    form = {"caption": "seen", "_": ""} if not sent else {"caption": "seen"}
    given = sent or [("other", ("", b"", "text/plain"))]
    answer = client.post(f"/jobs/{job.job}/photographs", data=form, files=given)
    assert answer.status_code == 422
    assert said in answer.text
    assert "Traceback" not in answer.text


def test_a_picture_larger_than_any_phone_makes_is_refused(job: Job, desk: Desk, client: TestClient) -> None:
    large = as_jpeg(pattern(400, 300)).ljust(MOST_BYTES + 3_000_000, b"\0")
    answer = client.post(f"/jobs/{job.job}/photographs", files=files(("large.jpg", large)))
    assert answer.status_code == 422
    assert "a picture of at most 40 MB" in answer.text
    assert "large.jpg (44.9 MB)" in answer.text, "40 MiB are 41.94 million bytes, and three"
    assert desk.job(job.job).state.photographs == ()


def test_more_than_one_form_may_send_is_refused_before_it_is_read(
    job: Job, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photo_pages, "MOST_SENT", 5000)
    sent = files(("a.jpg", as_jpeg(pattern(400, 300))))
    answer = client.post(f"/jobs/{job.job}/photographs", files=sent)
    assert (answer.status_code, "send fewer at a time" in answer.text) == (422, True)
    told = client.post(f"/api/1/jobs/{job.job}/photographs", files=sent)
    assert (told.status_code, told.json()["kept"]) == (422, False)

    def in_pieces() -> object:
        yield b"--x\r\n"

    headers = {"content-type": "multipart/form-data; boundary=x"}
    unsaid = client.post(f"/jobs/{job.job}/photographs", content=in_pieces(), headers=headers)
    assert unsaid.status_code == 422


@pytest.mark.parametrize(
    ("kind", "content"),
    [("multipart/form-data", b"--x"), ("multipart/form-data; boundary=x", b"--y\r\n\r\n"), ("application/json", b"{}"),
     ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: form-data\r\n\r\nz\r\n--x--")],
)  # fmt: skip
def test_a_form_that_cannot_be_read_is_said(job: Job, client: TestClient, kind: str, content: bytes) -> None:
    for at in (f"/jobs/{job.job}/photographs", f"/api/1/jobs/{job.job}/photographs"):
        answer = client.post(at, content=content, headers={"content-type": kind})
        assert answer.status_code == 422
        assert "multipart/form-data" in answer.text or "at least one picture" in answer.text


def test_nobody_without_a_name_attaches_anything(job: Job, desk: Desk, browser_named: object) -> None:
    nameless = browser_named("")  # type: ignore[operator]
    sent = files(("a.jpg", as_jpeg(pattern(40, 30))))
    assert nameless.post(f"/jobs/{job.job}/photographs", files=sent).status_code == 422
    assert desk.job(job.job).state.photographs == ()


@pytest.mark.parametrize(
    "back",
    ["https://elsewhere.invalid/", "//elsewhere.invalid", "/jobs/other", "/who", "{root}//elsewhere.invalid",
     "{root}evil", "{root}/\r\nset-cookie: x"],
)  # fmt: skip
def test_one_comes_back_to_this_job_only(job: Job, client: TestClient, back: str) -> None:
    back = back.replace("{root}", f"/jobs/{job.job}")
    sent = files(("a.jpg", as_jpeg(pattern(40, 30))))
    answer = client.post(
        f"/jobs/{job.job}/photographs", data={"back": back}, files=sent, follow_redirects=False
    )
    assert answer.headers["location"].startswith(f"/jobs/{job.job}/photographs#p-")


def test_a_photograph_is_struck_and_stays(desk: Desk, job: Job, client: TestClient) -> None:
    kept = keep_photograph(desk, job.job, as_jpeg(pattern(40, 30)), BENCH_HAND, caption="wrong pump").entry
    assert kept is not None
    at = f"/jobs/{job.job}/photographs/strikes"
    assert client.post(at, data={"entry": kept.id, "why": ""}).status_code == 422
    assert client.post(at, data={"entry": job.check, "why": "x"}).status_code == 422
    page = client.post(at, data={"entry": kept.id, "why": "another pump"})
    assert page.status_code == 200
    assert "<s>wrong pump</s>" in page.text
    assert "struck by Ada Invented: another pump" in page.text
    assert ".small.jpg" not in page.text


def test_a_script_keeps_and_lists_photographs(desk: Desk, job: Job, client: TestClient) -> None:
    at = f"/api/1/jobs/{job.job}/photographs"
    sent = as_jpeg(pattern(400, 300), offset="+02:00")
    told = client.post(at, data={"of": job.check, "name": "Ida Invented"}, files=files(("a.jpg", sent)))
    assert told.status_code == 201
    (entry,) = told.json()["entries"]
    again = client.post(at, data={"of": job.check}, files=files(("again.jpg", sent)))
    assert again.json()["entries"] == [entry]
    wrong = client.post(at, data={"of": "nothing"}, files=files(("a.jpg", sent)))
    assert (wrong.status_code, wrong.json()["problems"][0]["field"]) == (422, "of")
    (shown,) = client.get(at).json()["photographs"]
    assert (shown["entry"], shown["taken"], shown["here"]) == (entry, "2026-03-02T07:39:25+02:00", True)
    assert (shown["width_px"], shown["height_px"]) == (400, 300)
    assert shown["shows"].endswith(", as left")
    assert client.get(shown["file"]).status_code == 200


@pytest.mark.parametrize(
    ("told", "taken"),
    [
        (["2026-03-01T06:00:00.000Z", "2026-03-01T07:00:00.000Z"], ["2026-03-01T06:00:00Z", "2026-03-01T07:00:00Z"]),
        (["2026-03-01T06:00:00.000Z"], ["", ""]),
        ([], ["", ""]),
    ],
    ids=["one a picture", "one for two", "none"],
)  # fmt: skip
def test_a_time_belongs_to_its_picture_or_to_none(
    desk: Desk, job: Job, client: TestClient, told: list[str], taken: list[str]
) -> None:
    sent = files(*((f"{n}.jpg", as_jpeg(pattern(40, 30, n), taken="none")) for n in (0, 9)))
    client.post(f"/jobs/{job.job}/photographs", data={"taken": told}, files=sent)
    assert [one.taken for one in desk.job(job.job).state.photographs] == taken


def test_sent_again_under_its_key_nothing_is_kept_twice(desk: Desk, job: Job, client: TestClient) -> None:
    sent = files(("a.jpg", as_jpeg(pattern(400, 300))), ("b.jpg", as_jpeg(pattern(300, 300))))
    key = {"idempotency-key": "k" * 26}
    for _ in range(2):
        answer = client.post(
            f"/jobs/{job.job}/photographs", data={"caption": "cap"}, files=sent, headers=key,
            follow_redirects=False,
        )  # fmt: skip
        assert answer.status_code == 303
    assert len(desk.job(job.job).state.photographs) == 2


def test_a_picture_that_is_not_here_is_no_page(client: TestClient) -> None:
    for name in ("0" * 64, "0" * 64 + ".small", "x", "..%2fsecret"):
        assert client.get(f"/photographs/{name}.jpg").status_code == 404


def test_a_check_and_a_change_of_the_fit_show_theirs(desk: Desk, job: Job, client: TestClient) -> None:
    changed = desk.change_fit(job.job, "shell", "", "", "shell of the spare set", BENCH_HAND).entry
    assert changed is not None
    keep_photograph(desk, job.job, as_jpeg(pattern(40, 30)), BENCH_HAND, of=changed.id, caption="new shell")
    keep_photograph(desk, job.job, as_jpeg(pattern(40, 30, 9)), BENCH_HAND, of=job.check, caption="wires in")
    judged = client.get(f"{job.at}/judgement").text
    assert (judged.count("wires in</small>"), judged.count("new shell")) == (1, 0)
    assert f'name="back" value="{job.at}/judgement#h-photographs"' in judged
    fit = client.get(f"/jobs/{job.job}/fit").text
    assert (fit.count("new shell</small>"), fit.count("wires in")) == (1, 0)
    bench = client.get(job.at).text
    link = re.search(r'href="(/jobs/[^"]*photographs\?of=[^"]*)"', bench)
    assert link is not None
    page = client.get(link[1].replace("&amp;", "&")).text
    assert f'<option value="{job.check}" selected>' in page
    assert f'name="back" value="{job.at}"' in page


def test_stripping_is_asked_about_while_something_lacks(desk: Desk, job: Job, client: TestClient) -> None:
    assert "Before it is taken apart, these are still lacking" in client.get(f"/jobs/{job.job}/fit").text
    desk.strip_down(job.job, "cap off", BENCH_HAND)
    assert "still lacking" not in client.get(f"/jobs/{job.job}/fit").text
