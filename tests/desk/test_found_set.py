"""What is taken before a bearing is stripped down: what counts as taken, what lacks, what is too late."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.desk.pictures import as_jpeg, pattern
from tests.ledger.writing import ANN, a_desk
from tests.web.plant import CARD, Job, begin, fill
from whitemetal.desk import Desk
from whitemetal.desk.photographs import keep_photograph
from whitemetal.job.found_set import FoundPart, found_set, lacking

PARTS = ["marks", "oil", "alignment", "end_float", "clearance", "shims", "crush"]
pytestmark = pytest.mark.sqlite_only


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


@pytest.fixture
def job(desk: Desk) -> Job:
    return begin(desk, ANN)


def parts(desk: Desk, job: Job) -> dict[str, FoundPart]:
    view = desk.job(job.job)
    return {part.key: part for part in found_set(view.state, view.card)}


def standing(desk: Desk, job: Job) -> dict[str, str]:
    return {key: part.standing for key, part in parts(desk, job).items()}


def note(desk: Desk, job: Job, check: str, **facts: str) -> None:
    for key, text in facts.items():
        desk.keep_fact(job.job, check, key, text, ANN)


def test_everything_lacks_at_first_and_a_check_as_left_takes_nothing(desk: Desk, job: Job) -> None:
    fill(desk, job, ANN)
    found = parts(desk, job)
    assert list(found) == PARTS
    assert {part.standing for part in found.values()} == {"lacking"}
    assert found["clearance"].method == "wire"
    assert {found[key].method for key in ("marks", "oil", "shims")} == {"condition"}


def test_each_part_is_taken_by_what_is_written_and_not_by_what_is_begun(desk: Desk, job: Job) -> None:
    condition = desk.start_check(job.job, "condition", "as found", ANN)
    assert standing(desk, job)["oil"] == "lacking"
    assert parts(desk, job)["oil"].check == condition, "one goes on with the check that is there"
    note(desk, job, condition, oil_level="right")
    assert standing(desk, job)["oil"] == "lacking", "its condition is not noted"
    note(desk, job, condition, oil_looks="clear", marks="there and read", shims_left="2")
    now = standing(desk, job)
    assert (now["oil"], now["marks"], now["shims"]) == ("taken", "taken", "lacking"), "one side is counted"
    note(desk, job, condition, shims_right="2")
    wire = desk.start_check(job.job, "wire", "As found ", ANN)
    fill(desk, replace(job, check=wire), ANN)
    crush = desk.start_check(job.job, "crush", "as found", ANN)
    note(desk, job, crush, way="feeler")
    float_ = desk.start_check(job.job, "end_float", "as found", ANN)
    note(desk, job, float_, total="1.20 mm")
    taken = [key for key, word in standing(desk, job).items() if word == "taken"]
    assert taken == ["marks", "oil", "end_float", "clearance", "shims"], "the crush is begun, not read"
    assert parts(desk, job)["clearance"].check == wire


def test_the_marks_want_a_photograph(desk: Desk, job: Job) -> None:
    condition = desk.start_check(job.job, "condition", "as found", ANN)
    note(desk, job, condition, marks="there and read")
    assert "no photograph" in parts(desk, job)["marks"].said
    kept = keep_photograph(desk, job.job, as_jpeg(pattern(40, 30)), ANN, of=condition).entry
    assert "no photograph" not in parts(desk, job)["marks"].said
    assert kept is not None
    desk.strike(job.job, kept.id, "another pump", ANN)
    assert "no photograph" in parts(desk, job)["marks"].said


def test_stripped_down_is_too_late_for_all_and_striking_the_note_opens_it(desk: Desk, job: Job) -> None:
    condition = desk.start_check(job.job, "condition", "as found", ANN)
    note(desk, job, condition, oil_level="low", oil_looks="clear")
    kept = desk.strip_down(job.job, "cap off", ANN).entry
    assert standing(desk, job) == {**dict.fromkeys(PARTS, "too late"), "oil": "taken"}
    assert "Ann Dale noted that it was stripped down" in parts(desk, job)["crush"].said
    view = desk.job(job.job)
    assert lacking(found_set(view.state, view.card)) == ()
    assert all(not part.method for part in parts(desk, job).values()), "nothing is offered that is refused"
    assert kept is not None
    desk.strike(job.job, kept.id, "wrong job", ANN)
    assert standing(desk, job)["crush"] == "lacking"


def test_a_change_of_the_fit_is_too_late_for_what_it_touches(desk: Desk, job: Job) -> None:
    """Scraping the loaded half moves contact, clearance, alignment and seals, not crush nor end float."""
    desk.change_fit(job.job, "scraping", "lower", "", "one pass", ANN)
    late = [key for key, word in standing(desk, job).items() if word == "too late"]
    assert late == ["alignment", "clearance"]


def test_a_lined_cap_has_no_crush_to_find(desk: Desk) -> None:
    card = (
        CARD
        + '\n[joint]\nfilling = "shims"\nleft = "0.5 mm"\nright = "0.5 mm"\nshim_sits = "lined cap joint"\n'
    )
    job = begin(desk, ANN, card, "4790")
    assert standing(desk, job)["crush"] == "does not apply"
