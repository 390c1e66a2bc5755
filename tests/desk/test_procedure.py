"""Ticking the steps of a job, and the plant's own procedure, over a real record."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import event

from tests.ledger.writing import ANN, BO, a_desk, a_job
from whitemetal.desk import Desk, Writer
from whitemetal.desk.procedure import (
    keep_plant_file,
    keep_step,
    plant_files,
    procedure_for,
    procedure_of,
)
from whitemetal.desk.work_pack import last_taken
from whitemetal.errors import InputError
from whitemetal.job.entry import digest_of, from_json
from whitemetal.job.picture import fold
from whitemetal.job.procedure.standing import Standing, first_open, passed_over

GOLDEN = Path(__file__).parents[1] / "golden" / "entries-v1-procedure.jsonl"
ADDED = """\
format = "whitemetal.procedure/1"
[[add]]
step = "isolate.radio"
after = "isolate.permit"
text = "Control room told."
why = "nobody starts what they know is open"
"""
DROPPED = 'format = "whitemetal.procedure/1"\n[[drop]]\nstep = "strip.drained"\nwhy = "by others"\n'


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def steps(desk: Desk, job: str) -> dict[str, Standing]:
    _, found = procedure_of(desk, desk.job(job))
    return {one.step.key: one for one in found}


def seeing(desk: Desk, job: str, writer: Writer) -> Writer:
    return replace(writer, seen=desk.job(job).state.heads)


def test_a_step_is_ticked_opened_again_and_left_out_with_a_reason(desk: Desk) -> None:
    job, _ = a_job(desk)
    keep_step(desk, job, "prepare.papers", "done", "", ANN)
    assert (steps(desk, job)["prepare.papers"].stands, steps(desk, job)["prepare.papers"].by) == (
        "done", "Ann Dale",
    )  # fmt: skip
    keep_step(desk, job, "prepare.papers", "open", "", seeing(desk, job, ANN))
    assert steps(desk, job)["prepare.papers"].stands == "open"
    keep_step(desk, job, "as_found.oil", "does not apply", "dry since spring", seeing(desk, job, ANN))
    left = steps(desk, job)["as_found.oil"]
    assert (left.stands, left.text) == ("does not apply", "dry since spring")


def test_the_permit_needs_its_number(desk: Desk) -> None:
    job, _ = a_job(desk)
    with pytest.raises(InputError) as refused:
        keep_step(desk, job, "isolate.permit", "done", "  ", ANN)
    assert [one.field for one in refused.value.problems] == ["permit number"]
    assert "isolate.permit" not in desk.job(job).state.steps
    keep_step(desk, job, "isolate.permit", "done", " PTW-0815 ", ANN)
    assert steps(desk, job)["isolate.permit"].text == "PTW-0815"


@pytest.mark.parametrize(
    ("step", "state", "text"),
    [
        ("no.such", "done", ""),
        ("prepare.papers", "perhaps", ""),
        ("prepare.papers", "does not apply", ""),
        ("close.wire", "done", "looked good"),
    ],
    ids=["unknown step", "unknown state", "no reason", "a point of the order of trust"],
)
def test_what_must_not_be_ticked_is_refused_and_nothing_is_kept(
    desk: Desk, step: str, state: str, text: str
) -> None:
    job, _ = a_job(desk)
    before = len(desk.entries(job))
    with pytest.raises(InputError):
        keep_step(desk, job, step, state, text, ANN)
    assert len(desk.entries(job)) == before


def test_a_point_of_the_order_of_trust_follows_the_chain(desk: Desk) -> None:
    job, _ = a_job(desk)
    assert steps(desk, job)["close.faces"].stands == "open"
    desk.set_hold(job, "joint_faces", "closed", "blue all round", ANN)
    assert steps(desk, job)["close.faces"].stands == "done"
    desk.change_fit(job, "shell", "both", "", "new shells", seeing(desk, job, ANN))
    assert steps(desk, job)["close.faces"].stands == "open", "another shell opens the joint faces again"


def test_a_check_with_readings_does_its_step(desk: Desk) -> None:
    job, _ = a_job(desk)
    check = desk.start_check(job, "end_float", "as found", ANN)
    assert steps(desk, job)["as_found.float_found"].stands == "open"
    assert steps(desk, job)["as_found.float_found"].check == check
    desk.keep_fact(job, check, "total", "0.40 mm", ANN)
    found = steps(desk, job)["as_found.float_found"]
    assert (found.stands, found.by) == ("done", "Ann Dale")
    assert steps(desk, job)["close.float"].stands == "open", "as left is another check"


def test_two_who_did_not_know_of_each_other_are_both_shown(desk: Desk) -> None:
    job, _ = a_job(desk)
    before = desk.job(job).state.heads
    keep_step(desk, job, "prepare.gauges", "done", "", replace(ANN, seen=before))
    keep_step(desk, job, "prepare.gauges", "does not apply", "shop's gauges", replace(BO, seen=before))
    both = steps(desk, job)["prepare.gauges"]
    assert both.stands == "open"
    assert "Ann Dale" in both.both and BO.name in both.both
    keep_step(desk, job, "prepare.gauges", "done", "", seeing(desk, job, BO))
    assert (steps(desk, job)["prepare.gauges"].stands, steps(desk, job)["prepare.gauges"].both) == (
        "done",
        "",
    )


def test_of_two_who_ticked_the_same_unaware_neither_permit_is_lost(desk: Desk) -> None:
    job, _ = a_job(desk)
    before = desk.job(job).state.heads
    keep_step(desk, job, "isolate.permit", "done", "P-17", replace(ANN, seen=before))
    keep_step(desk, job, "isolate.permit", "done", "P-18", replace(BO, seen=before))
    both = steps(desk, job)["isolate.permit"]
    assert both.stands == "done"
    assert set(both.by.split(", ")) == {ANN.name, BO.name} and set(both.text.split("; ")) == {"P-17", "P-18"}


def test_a_hold_that_protects_people_and_was_passed_over_is_named(desk: Desk) -> None:
    job, _ = a_job(desk)
    _, found = procedure_of(desk, desk.job(job))
    assert passed_over(found) == ()
    first = first_open(found)
    assert first is not None and first.step.key == "prepare.papers"
    keep_step(desk, job, "strip.cleaned", "done", "", ANN)
    _, found = procedure_of(desk, desk.job(job))
    named = [one.step.key for one in passed_over(found)]
    assert {"isolate.permit", "isolate.tried", "isolate.cooled", "as_found.cap_off"} <= set(named)
    assert "run_in.everybody_out" not in named, "it lies ahead"
    keep_step(desk, job, "run_in.watched", "done", "", seeing(desk, job, ANN))
    _, found = procedure_of(desk, desk.job(job))
    late = {one.step.key for one in passed_over(found)}
    assert "run_in.everybody_out" in late
    assert not {"inspect.decided", "close.ways_open"} & late, "hold points, but they do not protect people"
    keep_step(desk, job, "isolate.permit", "done", "PTW-1", seeing(desk, job, ANN))
    _, found = procedure_of(desk, desk.job(job))
    assert "isolate.permit" not in [one.step.key for one in passed_over(found)]


def test_the_plants_file_changes_every_job_and_is_replaced_by_the_next(desk: Desk) -> None:
    job, _ = a_job(desk)
    kept = keep_plant_file(desk, ADDED, ANN, ())
    assert kept.entry is not None
    assert "isolate.radio" in steps(desk, job)
    keep_step(desk, job, "isolate.radio", "done", "", ANN)
    assert steps(desk, job)["isolate.radio"].stands == "done"
    keep_plant_file(desk, DROPPED, BO, [kept.entry.id])
    assert [one.text for one in plant_files(desk)] == [DROPPED]
    after = steps(desk, job)
    assert "isolate.radio" not in after
    assert after["strip.drained"].stands == "dropped"
    with pytest.raises(InputError):
        keep_step(desk, job, "strip.drained", "done", "", ANN)
    keep_plant_file(desk, "", ANN, [plant_files(desk)[0].entry])
    assert steps(desk, job)["strip.drained"].stands == "open"


def test_a_wrong_file_is_not_kept(desk: Desk) -> None:
    with pytest.raises(InputError) as refused:
        keep_plant_file(desk, DROPPED.replace("drained", "draned"), ANN, ())
    assert refused.value.problems[0].line == 3
    assert plant_files(desk) == ()


def test_two_files_kept_side_by_side_add_and_drop_nothing_until_somebody_settles_it(desk: Desk) -> None:
    job, _ = a_job(desk)
    keep_plant_file(desk, ADDED, ANN, ())
    keep_plant_file(desk, DROPPED, BO, ())
    found = procedure_for(desk, desk.job(job).card)
    assert "Ann Dale" in found.doubts[0] and BO.name in found.doubts[0]
    at = {step.key: step for step in found.steps}
    assert "isolate.radio" in at
    assert at["strip.drained"].dropped is None
    keep_plant_file(desk, ADDED, ANN, [one.entry for one in plant_files(desk)])
    assert procedure_for(desk, desk.job(job).card).doubts == ()


def test_what_the_plant_kept_is_not_read_again_with_every_job_there_ever_was(desk: Desk) -> None:
    """Seen from the database: rows fetched of the plant's book, the second time and after a new file."""
    job, _ = a_job(desk)
    keep_plant_file(desk, ADDED, ANN, ())
    for number in range(5):
        desk.open_job(desk.job(job).state.bearing, f"J{number}", "", ANN)
    asked: list[str] = []

    def note(connection: object, cursor: object, statement: str, *rest: object) -> None:
        asked.append(" ".join(statement.split()))

    engine = desk._ledger.engine
    plant_files(desk)
    event.listen(engine, "before_cursor_execute", note)
    try:
        assert [one.text for one in plant_files(desk)] == [ADDED]
        assert [one for one in asked if "entry.content" in one] == []
        keep_plant_file(desk, DROPPED, BO, [plant_files(desk)[0].entry])
        assert [one.text for one in plant_files(desk)] == [DROPPED]
    finally:
        event.remove(engine, "before_cursor_execute", note)
    kept = [one.body["text"] for one in desk.kept_of("plant", "procedure/1")]
    assert kept == [ADDED, DROPPED], "what was remembered and what is new, each once"
    read_again = [one for one in asked if "entry.content" in one and "entry.kind IN" in one]
    assert len(read_again) == 1 and "entry.receipt >" in read_again[0]


def test_the_last_readings_are_of_the_newest_job_and_as_left_before_as_found(desk: Desk) -> None:
    job, _ = a_job(desk)
    bearing = desk.job(job).state.bearing
    for number, texts in (("J-old", ("0.10 mm", "0.20 mm")), ("J-new", ("0.30 mm", "0.40 mm"))):
        earlier = desk.open_job(bearing, number, "", ANN)
        for purpose, text in zip(("as left", "as found"), texts, strict=True):
            check = desk.start_check(earlier, "end_float", purpose, ANN)
            desk.keep_fact(earlier, check, "total", text, ANN)
    taken = last_taken(desk, desk.job(job))
    assert set(taken) == {"end_float"}
    found = taken["end_float"]
    assert (found.purpose, found.number) == ("as left", "J-new")
    assert [text for _, text in found.rows] == ["0.30 mm"]


def test_the_golden_entries_fold_as_written() -> None:
    """Written once by these verbs, on a phone and in an office, never again."""
    entries = [from_json(json.loads(line)) for line in GOLDEN.read_text(encoding="utf-8").splitlines()]
    state = fold(one for one in entries if one.book != "plant")
    assert {key: [(one.state, one.text, one.by) for one in held] for key, held in state.steps.items()} == {
        "prepare.papers": [("done", "", "Golden A")],
        "isolate.permit": [("done", "PTW-0815", "Golden A")],
        "as_found.oil": [("does not apply", "drained by others", "Golden B")],
        "strip.cleaned": [("done", "", "Golden A"), ("open", "", "Golden B")],
    }
    assert state.unknown == ()
    assert [one.id for one in entries if digest_of(one) != one.digest] == []
    files = [one for one in entries if one.kind == "procedure/1"]
    assert [list(one.body["replaces"]) for one in files] == [[], [files[0].id]]
