"""A real disk fills up under a record in a file, with the program serving it: what is refused is handed back in
words, what was acknowledged is there, and when there is room again everything goes on."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.desk.pictures import as_jpeg, pattern
from tests.web.client import TestClient
from tests.web.plant import begin
from whitemetal.desk import Desk, Writer
from whitemetal.web.app import make_app

pytestmark = pytest.mark.sqlite_only


def test_a_full_disk_loses_nothing_acknowledged_and_keeps_nothing_half(small_disk: Path) -> None:
    desk = Desk.open(str(small_disk / "plant.sqlite3"))
    job = begin(desk, Writer("Ida Invented", "a" * 26)).job
    ballast = small_disk / "ballast"
    free = os.statvfs(small_disk)
    ballast.write_bytes(b"\0" * (free.f_bavail * free.f_bsize - 1_500_000))
    client = TestClient(
        make_app(desk), cookies={"whitemetal_name": "Ada%20Invented", "whitemetal_device": "d" * 26}
    )
    texts: list[str] = []
    refused = None
    for number in range(400):
        text = f"note {number} " + os.urandom(900).hex()
        answer = client.post(f"/jobs/{job}/notes", data={"note": text}, follow_redirects=False)
        if answer.status_code != 303:
            refused = answer
            break
        texts.append(text)
    assert refused is not None and refused.status_code == 503 and len(texts) > 10
    assert "The disk is full" in refused.text and text in refused.text
    picture = ("cap.jpg", as_jpeg(pattern(900, 700)), "image/jpeg")
    shot = client.post(f"/jobs/{job}/photographs", files={"photograph": picture}, follow_redirects=False)
    assert shot.status_code in (422, 503) and "disk is full" in shot.text
    assert [note.text for note in desk.job(job).state.notes] == texts
    assert list(desk.files.all()) == [] and desk.verify() == ()
    ballast.unlink()
    assert client.post(f"/jobs/{job}/notes", data={"note": text}, follow_redirects=False).status_code == 303
    shot = client.post(f"/jobs/{job}/photographs", files={"photograph": picture}, follow_redirects=False)
    assert shot.status_code == 303 and len(list(desk.files.all())) == 1
    desk.close()
    again = Desk.open(str(small_disk / "plant.sqlite3"))
    assert [note.text for note in again.job(job).state.notes] == [*texts, text]
    assert again.verify() == ()
    again.close()
