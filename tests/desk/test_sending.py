"""A request sent again changes nothing, and what was written an hour ago says so."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.ledger.writing import ANN, CARD, a_desk
from whitemetal.desk import Desk
from whitemetal.desk.sending import LONGEST_AGO, sending
from whitemetal.errors import InputError
from whitemetal.web.keeping import Sent, keep_cells, keep_facts


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def opened(desk: Desk) -> str:
    return desk.open_job(desk.keep_card(CARD, ANN).bearing, "J-1", "", ANN)


VERBS: dict[str, Callable[[Desk, str], object]] = {
    "note": lambda desk, job: desk.keep_note(job, "oil was dark", ANN).entry,
    "hold": lambda desk, job: desk.set_hold(job, "joint_faces", "closed", "blue even", ANN).entry,
    "change of the fit": lambda desk, job: desk.change_fit(job, "scraping", "upper", "", "one pass", ANN).entry,
    "stripped": lambda desk, job: desk.strip_down(job, "cap off", ANN).entry,
    "missed": lambda desk, job: desk.note_missed(job, "clearance as found", "cap was off", ANN).entry,
    "check": lambda desk, job: desk.start_check(job, "wire", "as found", ANN),
    "job": lambda desk, job: desk.open_job(desk.job(job).state.bearing, "J-2", "", ANN),
    "of the bearing": lambda desk, job: desk.write_of_bearing(desk.job(job).state.bearing, "made up/1", {}, ANN).entry,
    "of the plant": lambda desk, job: desk.write_of_plant("made up/1", {}, ANN).entry,
    "in the job": lambda desk, job: desk.write(job, "made up/1", {"text": "x"}, ANN).entry,
}  # fmt: skip


@pytest.mark.parametrize("what", VERBS)
def test_the_same_key_again_writes_nothing_and_answers_the_same(desk: Desk, what: str) -> None:
    job = opened(desk)
    with sending("key of the device 1"):
        first = VERBS[what](desk, job)
    stands = desk.walk().entries
    with sending("key of the device 1"):
        assert VERBS[what](desk, job) == first
    assert desk.walk().entries == stands
    with sending("key of the device 2"):
        assert VERBS[what](desk, job) != first


OTHERS: dict[str, Callable[[Desk, str], object]] = {
    "note": lambda desk, job: desk.keep_note(job, "oil was clear", ANN),
    "hold": lambda desk, job: desk.set_hold(job, "joint_faces", "closed", "blue at one end", ANN),
    "change of the fit": lambda desk, job: desk.change_fit(job, "scraping", "upper", "", "two passes", ANN),
    "stripped": lambda desk, job: desk.strip_down(job, "cap still on", ANN),
    "missed": lambda desk, job: desk.note_missed(job, "clearance as found", "nobody had wire", ANN),
    "check": lambda desk, job: desk.start_check(job, "lift", "as found", ANN),
    "job": lambda desk, job: desk.open_job(desk.job(job).state.bearing, "J-3", "", ANN),
    "in the job": lambda desk, job: desk.write(job, "made up/1", {"text": "y"}, ANN),
}


@pytest.mark.parametrize("what", OTHERS)
def test_the_same_key_with_another_text_is_refused_and_not_lost_without_a_word(desk: Desk, what: str) -> None:
    job = opened(desk)
    with sending("key of the device 1"):
        VERBS[what](desk, job)
    stands = desk.walk().entries
    with sending("key of the device 1"), pytest.raises(InputError, match=r"idempotency-key: .* not kept"):
        OTHERS[what](desk, job)
    assert desk.walk().entries == stands


def test_another_reading_or_card_under_a_key_is_refused(desk: Desk) -> None:
    job = opened(desk)
    check = desk.start_check(job, "wire", "as found", ANN)
    place = desk.job(job).state.checks[check].places[0].label
    for text, refused in (("0.225", False), (" 0.225", False), ("0.325", True)):
        with sending("key of a reading"):
            if refused:
                with pytest.raises(InputError, match=r'"0.325" was typed; .*"0.225" was kept already'):
                    desk.keep_reading(job, check, place, text, ANN, unit="mm")
            else:
                desk.keep_reading(job, check, place, text, ANN, unit="mm")
    assert [one.text for one in desk.job(job).state.checks[check].readings] == ["0.225"]
    with sending("key of a card"):
        first = desk.keep_card(CARD.replace("TM-31-F02", "TM-31-F09"), ANN)
    for other in ("TM-31-F08", "TM-31-F09"):
        with sending("key of a card"), pytest.raises(InputError, match="another card was kept already"):
            desk.keep_card(CARD.replace("TM-31-F02", other).replace("140 mm", "150 mm"), ANN)
    assert len(desk.bearing(first.bearing).revisions) == 1


def test_a_strike_sent_again_is_no_second_strike(desk: Desk) -> None:
    job = opened(desk)
    note = desk.keep_note(job, "wrong bearing", ANN).entry
    assert note is not None
    for _ in range(3):
        with sending("key of a strike"):
            assert desk.strike(job, note.id, "it was the right one", ANN).problem is None
    assert len([one for one in desk.entries(job) if one.kind == "strike/1"]) == 1


def test_the_second_half_of_a_request_cut_off_between_two_verbs_is_kept_when_it_comes_again(
    desk: Desk,
) -> None:
    job = opened(desk)
    with sending("hold and note"):
        desk.set_hold(job, "joint_faces", "closed", "", ANN)
    with sending("hold and note"):
        desk.set_hold(job, "joint_faces", "closed", "", ANN)
        desk.keep_note(job, "the second half", ANN)
    assert [one.text for one in desk.job(job).state.notes] == ["the second half"]
    assert len([one for one in desk.entries(job) if one.kind == "hold/1"]) == 1


def test_a_reading_named_by_its_device_is_kept_though_the_strike_before_it_was_there_already(
    desk: Desk,
) -> None:
    """A request that strikes a reading and writes it again, cut off between the two and sent again."""
    job = opened(desk)
    check = desk.start_check(job, "wire", "as found", ANN)
    place = desk.job(job).state.checks[check].places[0].label
    slip = desk.keep_reading(job, check, place, "0.322", ANN, unit="mm").entry
    assert slip is not None
    with sending("strike and write again"):
        desk.strike(job, slip.id, "slip of the key", ANN)
    with sending("strike and write again"):
        kept = desk.keep_reading(job, check, place, "0.232", ANN, unit="mm", id="a" * 26)
    assert kept.entry is not None and kept.entry.kind == "reading/1"
    assert [one.text for one in desk.job(job).state.checks[check].readings] == ["0.232"]


def test_a_fact_is_kept_though_the_one_before_it_was_there_and_left_out_when_the_request_came_again(
    desk: Desk,
) -> None:
    """Facts that say what is kept already are not written again: the second must not take the first's id."""
    job = opened(desk)
    check = desk.start_check(job, "wire", "as found", ANN)
    with sending("two facts of one form"):
        assert keep_facts(desk, job, check, {"wire_diameter": "0.5 mm"}, {}, ANN) == {}
    with sending("two facts of one form"):
        keep_facts(desk, job, check, {"wire_diameter": "0.5 mm", "part_temperature": "21 degC"}, {}, ANN)
    said = [one.body["text"] for one in desk.entries(job) if one.kind == "fact/1"]
    assert said == ["0.5 mm", "21 degC"]


def test_cells_struck_together_are_all_struck_when_the_request_was_cut_off_after_the_first(
    desk: Desk,
) -> None:
    job = opened(desk)
    check = desk.start_check(job, "wire", "as found", ANN)
    place = desk.job(job).state.checks[check].places[0].label
    slips = [
        desk.keep_reading(job, check, place, text, ANN, repeat=True).entry for text in ("0.3 mm", "0.4 mm")
    ]
    cells = [Sent("", place, "", entry=slip.id) for slip in slips if slip is not None]
    with sending("two cells emptied"):
        keep_cells(desk, job, check, cells[:1], ANN)
    with sending("two cells emptied"):
        keep_cells(desk, job, check, cells, ANN)
    assert desk.job(job).state.checks[check].readings == ()


def test_a_job_opened_with_its_first_check_has_that_check_however_often_it_is_sent(desk: Desk) -> None:
    bearing = desk.keep_card(CARD, ANN).bearing
    with sending("a job, cut off before its check"):
        job = desk.open_job(bearing, "J-3", "", ANN)
    checks = []
    for _ in range(2):
        with sending("a job, cut off before its check"):
            assert desk.open_job(bearing, "J-3", "", ANN) == job
            checks.append(desk.start_check(job, "wire", "as found", ANN))
    assert checks[0] == checks[1] and list(desk.job(job).state.checks) == checks[:1]


def test_a_card_sent_again_does_not_undo_what_somebody_changed_in_it_meanwhile(desk: Desk) -> None:
    with sending("a new card"):
        first = desk.keep_card(CARD, ANN)
    changed = desk.keep_card(CARD.replace('length = "140 mm"', 'length = "141 mm"'), ANN)
    assert changed.bearing == first.bearing and changed.digest != first.digest
    with sending("a new card"):
        assert desk.keep_card(CARD, ANN).bearing == first.bearing
    assert desk.bearing(first.bearing).card.digest == changed.digest


def test_an_entry_has_the_time_at_which_it_was_written(desk: Desk) -> None:
    job = opened(desk)
    with sending("", timedelta(hours=2)):
        then = desk.keep_note(job, "written in the pump house", ANN).entry
    now = desk.keep_note(job, "written here", ANN).entry
    assert then is not None and now is not None and then.at < now.at
    with sending("", -timedelta(hours=2)):
        ahead = desk.keep_note(job, "a clock that went back", ANN).entry
    assert ahead is not None and ahead.at >= now.at
    with sending("", timedelta(days=4000)):
        lost = desk.keep_note(job, "a clock that means nothing", ANN).entry
    oldest = datetime.fromisoformat(now.at) - LONGEST_AGO - timedelta(minutes=5)
    assert lost is not None and datetime.fromisoformat(lost.at) >= oldest
