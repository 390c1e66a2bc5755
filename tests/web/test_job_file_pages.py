"""A job handed out as a file and brought in on a page."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.web.client import TestClient
from tests.web.plant import Job
from whitemetal.desk import Desk
from whitemetal.web.app import make_app


@pytest.fixture
def elsewhere(tmp_path: Path) -> Iterator[tuple[Desk, TestClient]]:
    """Another plant."""
    desk = Desk.open(str(tmp_path / "elsewhere"))
    client = TestClient(make_app(desk), raise_server_exceptions=False)
    client.post("/who", data={"name": "Cy Invented", "back": "/"})
    yield desk, client
    desk.close()


def form(data: bytes) -> dict[str, tuple[str, bytes, str]]:
    return {"file": ("job.zip", data, "application/zip")}


def test_a_job_goes_there_and_back(
    desk: Desk, client: TestClient, job: Job, elsewhere: tuple[Desk, TestClient]
) -> None:
    there, other = elsewhere
    given = client.get(f"/jobs/{job.job}/job-file.zip")
    assert given.headers["content-type"] == "application/zip"
    assert given.headers["content-disposition"] == 'attachment; filename="job-4711.zip"'
    assert 'action="/bring"' in other.get("/bring").text
    taken = other.post("/bring", files=form(given.content), follow_redirects=False)
    assert (taken.status_code, taken.headers["location"]) == (303, f"/jobs/{job.job}")
    assert other.get(f"/jobs/{job.job}").status_code == 200
    other.post(f"/jobs/{job.job}/notes", data={"note": "oil was dark"})
    back = other.get(f"/api/1/jobs/{job.job}/job-file.zip").content
    said = client.post("/api/1/bring", content=back, headers={"origin": "http://testserver"}).json()
    assert (said["job"], said["new"], said["notes"]) == (job.job, 1, [])
    assert [note.text for note in desk.job(job.job).state.notes] == ["oil was dark"]
    assert there.verify() == desk.verify() == ()


@pytest.mark.parametrize("data", [b"", b"not a zip", b"PK\x03\x04" + b"\0" * 40])
def test_what_is_no_file_of_a_job_is_said(desk: Desk, client: TestClient, data: bytes) -> None:
    answer = client.post("/bring", files=form(data))
    assert answer.status_code == 422
    assert "Nothing was taken in" in answer.text and "a zip file that is whole" in answer.text
    assert client.post("/api/1/bring", content=data).status_code == 422
    assert client.post("/bring", data={"x": "y"}).status_code == 422
    assert desk.plant() == ()


def test_an_altered_file_is_refused_on_the_page(
    client: TestClient, job: Job, elsewhere: tuple[Desk, TestClient]
) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(client.get(f"/jobs/{job.job}/job-file.zip").content)) as packed, \
            zipfile.ZipFile(out, "w") as made:  # fmt: skip
        for name in packed.namelist():
            made.writestr(name, packed.read(name).replace(b"as left", b"as lost"))
    there, other = elsewhere
    answer = other.post("/bring", files=form(out.getvalue()))
    assert answer.status_code == 422
    assert "is not the entry that was written" in answer.text
    assert there.plant() == ()
