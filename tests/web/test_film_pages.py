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
from whitemetal.errors import NotConverged

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
    assert "<h3" not in page and page.count("<h2") >= 3, "no level of heading is left out"
    assert "<h3" in client.get(f"{job.at}/film/part").text, "beneath the heading of the judgement"
    assert "as measured the thinnest film is" in page
    assert "the maker&#39;s limit governs" in page
    part = client.get(f"{job.at}/film/part").text
    assert part.count("<svg") == 3
    assert "<html" not in part
    assert desk.judgement(job.job, job.check) == before
    plain, with_film = desk.sheet(job.job, job.check), client.get(f"{job.at}/film/sheet.pdf")
    assert with_film.content.startswith(b"%PDF-")
    assert len(with_film.content) > len(plain) + 5000


@pytest.fixture
def whole(desk: Desk) -> Job:
    """A check with readings on a card with all that a film needs."""
    job = begin(desk, BENCH_HAND, CARD + DUTY)
    fill(desk, job, BENCH_HAND)
    return job


def test_every_criterion_stands_with_what_is_wanted_and_what_there_is(whole: Job, client: TestClient) -> None:
    page = client.get(f"{whole.at}/film").text
    wanted, here = re.findall(r"thinnest film: at least ([\d.]+) µm; (?:<b>)?here ([\d.]+) µm", page)[0]
    assert float(wanted) > 0.0 and float(here) > 0.0
    assert re.search(r"temperature: at most \d+ °C; (?:<b>)?here \d+ °C: (not )?met", page)
    assert re.search(r"whirl threshold over running speed: at least [\d.]+; (?:<b>)?here ", page)


def test_without_script_the_form_tries_another_oil_load_and_clearance(
    whole: Job, client: TestClient, desk: Desk
) -> None:
    before = desk.judgement(whole.job, whole.check)
    plain = client.get(f"{whole.at}/film").text
    assert "to try it" not in plain and plain.count("<svg") == 3
    page = client.get(f"{whole.at}/film?try_oil=ISO+VG+32&try_load=9+kN&try_clearance=0.30").text
    assert "At 0.300 mm, to try it, the thinnest film is" in page
    assert page.count("<svg") == 4
    assert "tried 0.300" in page and plain.count("tried") == page.count("tried") - 2
    assert 'value="ISO VG 32"' in page and 'value="9 kN"' in page and 'value="0.30"' in page
    assert desk.judgement(whole.job, whole.check) == before
    assert "to try it" not in client.get(f"{whole.at}/film").text


def test_a_trial_is_that_of_the_library(whole: Job, client: TestClient, desk: Desk) -> None:
    from whitemetal.fitting.what_if import WhatIf

    part = client.get(f"{whole.at}/film/tried/part?try_load=30+kN").text
    told = desk.film(whole.job, whole.check, trial=WhatIf(load=30e3)).sentence
    assert told in part and "<html" not in part
    assert told != desk.film(whole.job, whole.check).sentence


def test_what_cannot_be_tried_is_said_all_at_once(whole: Job, client: TestClient) -> None:
    answer = client.get(f"{whole.at}/film?try_load=heavy&try_clearance=wide")
    assert answer.status_code == 200
    assert "<b>load</b>" in answer.text and "<b>clearance</b>" in answer.text
    assert "<b>clearance</b>" in client.get(f"{whole.at}/film/tried/part?try_clearance=-1").text
    assert "<b>oil.grade</b>" in client.get(f"{whole.at}/film/tried/part?try_oil=treacle").text


def test_no_answer_is_said_as_no_answer(
    whole: Job, client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*given: object, **more: object) -> None:
        raise NotConverged("heat balance", 1.0, 3)

    monkeypatch.setattr(desk, "film", fails)
    page = client.get(f"{whole.at}/film").text
    assert "no answer that can be vouched for (heat balance did not converge" in page
    assert "The readings and the verdict stand" in page


def test_films_of_two_checks_do_not_wait_for_each_other(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first is held up until the second is done: with one lock for all this would never end."""
    import threading

    from whitemetal.desk import film as module

    jobs = [begin(desk, BENCH_HAND, CARD + DUTY) for _ in range(2)]
    done = threading.Event()

    def made(view: object, check: str, trial: object) -> str:
        if check == jobs[0].check:
            assert done.wait(120.0)
        return check

    monkeypatch.setattr(module, "_made", made)
    films = module.Films()
    views = [desk.job(each.job) for each in jobs]
    first = threading.Thread(target=films.of, args=(views[0], jobs[0].check))
    first.start()
    assert str(films.of(views[1], jobs[1].check)) == jobs[1].check
    done.set()
    first.join(120.0)
    assert not first.is_alive()
    assert str(films.of(views[0], jobs[0].check)) == jobs[0].check
