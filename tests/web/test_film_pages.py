"""The oil film on the pages: fetched beside the verdict, refused with what the card lacks, never a verdict."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.web.client import TestClient
from tests.web.conftest import BENCH_HAND
from tests.web.plant import CARD, Job, begin, fill
from whitemetal.desk import Desk
from whitemetal.desk.film import FOLDER, name_folder

DUTY = '\n[oil]\ngrade = "ISO VG 68"\n\n[duty]\nload = "18.5 kN"\ndirection = "down"\n'


def test_a_card_without_a_load_is_told_what_it_lacks(job: Job, client: TestClient) -> None:
    answer = client.get(f"{job.at}/film")
    assert answer.status_code == 200
    assert "The card lacks what a film needs" in answer.text
    assert "duty.load" in answer.text
    assert "<svg" not in answer.text


def test_the_judgement_page_links_to_the_film_and_does_not_calculate_it(
    job: Job, client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    monkeypatch.setattr(desk, "film", lambda *given: asked.append("film"))
    text = client.get(f"{job.at}/judgement").text
    assert f'href="{job.at}/film"' in text
    assert f'data-part="{job.at}/film/part"' in text
    assert not asked


def test_an_unknown_check_has_no_film(job: Job, client: TestClient) -> None:
    assert client.get(f"/jobs/{job.at.split('/')[2]}/checks/nothing/film").status_code == 404


def test_a_folder_of_the_users_is_named_with_the_version_in_it(tmp_path: Path) -> None:
    environment = {"XDG_CACHE_HOME": str(tmp_path)}
    named = name_folder(environment)
    assert environment[FOLDER] == named
    assert re.search(r"whitemetal/film-[\d.]+\S*-py3\d+$", named.replace("\\", "/"))
    assert Path(named).is_dir()
    assert not list(Path(named).iterdir()), "the trial file is gone"


def test_a_folder_already_named_stays(tmp_path: Path) -> None:
    environment = {FOLDER: "elsewhere", "XDG_CACHE_HOME": str(tmp_path)}
    assert name_folder(environment) == "elsewhere"
    assert not list(tmp_path.iterdir())


def test_where_no_folder_can_be_written_none_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    environment = {"XDG_CACHE_HOME": str(tmp_path / "file")}
    assert name_folder(environment) == ""
    assert FOLDER not in environment


def test_a_whole_film_stands_on_its_page_in_its_part_and_on_paper(desk: Desk, client: TestClient) -> None:
    job = begin(desk, BENCH_HAND, CARD + DUTY)
    fill(desk, job, BENCH_HAND)
    before = desk.judgement(job.job, job.check)
    page = client.get(f"{job.at}/film").text
    assert page.count("<svg") == 3
    assert "as measured the thinnest film is" in page
    assert "the maker&#39;s limit governs" in page
    part = client.get(f"{job.at}/film/part").text
    assert part.count("<svg") == 3
    assert "<html" not in part
    assert desk.judgement(job.job, job.check) == before
    plain, with_film = desk.sheet(job.job, job.check), client.get(f"{job.at}/film/sheet.pdf")
    assert with_film.content.startswith(b"%PDF-")
    assert len(with_film.content) > len(plain) + 5000
