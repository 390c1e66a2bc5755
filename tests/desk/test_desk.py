"""The verbs, end to end, over a real record."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.ledger.writing import ANN, BO, CARD, a_desk, a_job
from whitemetal.card import read_card
from whitemetal.desk import Desk, Writer
from whitemetal.errors import CardError, InputError
from whitemetal.gauging.contract import Place
from whitemetal.job.holds import ORDER_OF_TRUST

FACTS = {
    "wire_diameter": "0.40 mm", "journal_down": "yes", "joint": "metal to metal", "tightened": "final value",
    "oil_wiped": "yes", "instrument.M7.zero_before": "0.000 mm", "instrument.M7.zero_after": "0.000 mm",
}  # fmt: skip
LIMIT_D = CARD.replace('maximum = "0.25 mm"', 'maximum = "0.20 mm"').replace('"C"', '"D"')


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    opened.keep_instrument("M7", {"mpe": "2 um", "anvil": "ball", "calibration_due": "2027-03-01"}, ANN)
    yield opened
    opened.close()


def seeing(desk: Desk, job: str, writer: Writer) -> Writer:
    return replace(writer, seen=desk.job(job).state.heads)


def read_all(desk: Desk, job: str, check: str, text: str) -> None:
    for key, fact in FACTS.items():
        assert desk.keep_fact(job, check, key, fact, ANN).problem is None
    for squeeze in (1, 2, 3):
        if squeeze > 1:
            for key in ("joint", "tightened"):
                desk.keep_fact(job, check, f"{key}@{squeeze}", FACTS[key], ANN)
        for place in desk.job(job).state.checks[check].places:
            kept = desk.keep_reading(
                job, check, place.label, text, ANN, unit="mm", squeeze=squeeze, instrument="M7"
            )
            assert kept.problem is None


def test_a_whole_job(desk: Desk) -> None:
    job, check = a_job(desk)
    read_all(desk, job, check, "0.200")
    judgement = desk.judgement(job, check)
    assert judgement.verdict == "within limits"
    assert judgement.bearing == "not fit"
    clearance = next(hold for hold in judgement.holds if hold.key == "clearance")
    assert not clearance.closed
    assert "(Ann Dale) says: within limits, but it rests on a point still open" in clearance.why
    for hold in judgement.holds:
        if hold.key in ORDER_OF_TRUST and hold.key != "clearance":
            desk.set_hold(job, hold.key, "closed", "seen", ANN)
        elif hold.key != "clearance":
            desk.set_hold(job, hold.key, "closed", "done", ANN, check=check)
    fit = desk.judgement(job, check)
    assert fit.bearing == "fit"
    assert all(hold.closed for hold in fit.holds)
    desk.change_fit(job, "scraping", "upper", "", "0.02 mm at the drive end", ANN)
    after = desk.judgement(job, check)
    assert (after.verdict, after.bearing) == ("not proven", "not fit")
    assert "0.02 mm at the drive end" in after.stale
    assert {hold.key for hold in after.holds if not hold.closed} == {"clearance", "alignment", "seals"}


def test_the_plant_lists_machines_bearings_jobs_and_verdicts(desk: Desk) -> None:
    job, check = a_job(desk)
    other = CARD.replace('position = "drive end"', 'position = "other end"')
    desk.keep_card(other, BO)
    (machine,) = desk.plant()
    assert (machine.tag, machine.name, machine.kind) == ("TM-31-F02", "Induced-draught fan (invented)", "fan")
    assert [(row.position, len(row.jobs)) for row in machine.bearings] == [("drive end", 1), ("other end", 0)]
    row = machine.bearings[0].jobs[0]
    assert (row.book, row.number, row.title, row.verdict_words) == (job, "J-1", "opening", "not proven")
    read_all(desk, job, check, "0.200")
    assert desk.plant()[0].bearings[0].jobs[0].verdict_words == "within limits"
    assert desk.bearing(machine.bearings[0].book).jobs[0].verdict_words == "within limits"
    desk.keep_instrument("M7", {"mpe": "50 um", "anvil": "ball"}, ANN)
    assert desk.plant()[0].bearings[0].jobs[0].verdict_words == desk.judgement(job, check).verdict
    assert desk.judgement(job, check).verdict == "not proven"


@pytest.mark.parametrize("of", ["job", "bearing", "plant"])
def test_a_verdict_overtaken_while_it_was_reckoned_is_not_written_down(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, of: str
) -> None:
    """Another thread writes between the reckoning of a verdict and its writing down: the list must not go on
    saying what is no longer so."""
    job, check = a_job(desk)
    read_all(desk, job, check, "0.200")
    reckoned = desk._words

    def overtaken(book: str) -> str:
        words = reckoned(book)
        if of == "job":
            desk.change_fit(job, "scraping", "upper", "", "0.02 mm at the drive end", ANN)
        elif of == "bearing":
            desk.write_of_bearing(desk.job(job).state.bearing, "made up/1", {}, ANN)
        else:
            desk.keep_instrument("M7", {"mpe": "50 um", "anvil": "ball"}, ANN)
        return words

    monkeypatch.setattr(desk, "_words", overtaken)
    assert desk.plant()[0].bearings[0].jobs[0].verdict_words == "within limits"
    monkeypatch.setattr(desk, "_words", lambda book: "reckoned again")
    assert desk.plant()[0].bearings[0].jobs[0].verdict_words == "reckoned again"
    monkeypatch.setattr(desk, "_words", lambda book: "not asked for: it was written down")
    assert desk.plant()[0].bearings[0].jobs[0].verdict_words == "reckoned again"


def test_a_card_kept_again_changes_nothing_and_a_changed_one_is_a_revision(desk: Desk) -> None:
    first = desk.keep_card(CARD, ANN)
    assert desk.keep_card("# a remark\n" + CARD, BO).new is False
    second = desk.keep_card(LIMIT_D, BO)
    assert (first.new, second.new, second.bearing) == (True, True, first.bearing)
    view = desk.bearing(first.bearing)
    assert [(one.digest, one.by) for one in view.revisions] == [
        (first.digest, "Ann Dale"), (second.digest, "Bo Lund")
    ]  # fmt: skip
    assert view.card.digest == second.digest
    assert desk.card_text(first.digest) == CARD
    assert desk.card(first.digest) == read_card(CARD)
    assert desk.keep_card(CARD, ANN).new is True
    assert desk.bearing(first.bearing).card.digest == first.digest


def test_a_wrong_card_is_refused_with_every_problem(desk: Desk) -> None:
    wrong = CARD.replace('"160 mm"', '"160"').replace('kind = "fan"', 'kind = "kettle"')
    with pytest.raises(CardError) as failed:
        desk.keep_card(wrong, ANN)
    assert {problem.field for problem in failed.value.problems} >= {
        "bearing.journal_diameter",
        "machine.kind",
    }
    assert desk.plant() == ()


def test_a_job_keeps_the_card_it_adopted(desk: Desk) -> None:
    job, check = a_job(desk)
    read_all(desk, job, check, "0.200")
    newer = desk.keep_card(LIMIT_D, BO).digest
    view = desk.job(job)
    assert (view.card.limits[0].revision, view.newest_card) == ("C", newer)
    assert desk.judgement(job, check).verdict == "within limits"
    with pytest.raises(InputError, match="the reason"):
        desk.adopt_card(job, newer, " ", ANN)
    with pytest.raises(InputError, match="a revision of this bearing's card"):
        desk.adopt_card(job, "0" * 64, "because", ANN)
    desk.adopt_card(job, newer, "sheet D replaces C", ANN)
    assert desk.job(job).card.limits[0].revision == "D"
    assert desk.judgement(job, check).verdict != "within limits"
    history = desk.job(job).state.card_history
    assert [one.reason for one in history] == ["", "sheet D replaces C"]


def test_a_place_that_has_a_reading_is_asked_about(desk: Desk) -> None:
    job, check = a_job(desk)
    first = desk.keep_reading(job, check, "DE top", "0.212 mm", ANN).entry
    assert first is not None
    asked = desk.keep_reading(job, check, "DE top", "0.222 mm", ANN)
    assert asked.entry is None
    assert asked.ask == "repeat"
    assert asked.problem is not None
    assert asked.problem.typed == "0.222 mm"
    assert '"0.212 mm" (Ann Dale)' in asked.problem.expected
    assert [r.text for r in desk.job(job).state.checks[check].readings] == ["0.212 mm"]
    seen = desk.keep_reading(job, check, "DE top", "0.222 mm", seeing(desk, job, BO))
    assert seen.entry is None
    assert desk.keep_reading(job, check, "DE top", "0.222 mm", ANN, repeat=True).problem is None
    assert desk.keep_reading(job, check, "DE top", "0.223 mm", ANN, squeeze=2).problem is None
    desk.strike(job, first.id, "folded", ANN)
    assert len(desk.job(job).state.checks[check].readings) == 2
    assert desk.keep_reading(job, check, "DE top", "0.224 mm", ANN).problem is None


def test_two_browsers_on_one_place_at_once_keep_both_and_say_so(desk: Desk) -> None:
    job, check = a_job(desk)
    ann, bo = seeing(desk, job, ANN), seeing(desk, job, BO)
    desk.keep_reading(job, check, "DE top", "0.212 mm", ann)
    kept = desk.keep_reading(job, check, "DE top", "0.232 mm", bo)
    assert kept.entry is not None
    assert kept.problem is not None
    assert "both are kept" in kept.problem.expected
    check_state = desk.job(job).state.checks[check]
    assert sorted(r.text for r in check_state.readings) == ["0.212 mm", "0.232 mm"]
    assert len(check_state.contradictions) == 1
    assert desk.judgement(job, check).verdict == "not proven"


def test_the_same_id_again_changes_nothing(desk: Desk) -> None:
    job, check = a_job(desk)
    first = desk.keep_reading(job, check, "DE top", "0.212 mm", ANN, id="i" * 26)
    again = desk.keep_reading(job, check, "DE top", "0.212 mm", ANN, id="i" * 26)
    assert first == again
    other = desk.keep_reading(job, check, "DE top", "0.312 mm", ANN, id="i" * 26)
    assert other.entry == first.entry
    assert other.problem is not None
    assert other.problem.typed == "0.312 mm"
    fact = desk.keep_fact(job, check, "torque", "210 N m", ANN, id="j" * 26)
    assert desk.keep_fact(job, check, "torque", "210 N m", ANN, id="j" * 26) == fact
    assert desk.start_check(job, "wire", "as left", ANN, id=check) == check
    assert desk.job(job).state.entries == 5


@pytest.mark.parametrize(
    ("text", "unit"),
    [("0.212", ""), ("1,234", "mm"), ("nan", "mm"), ("0.212 furlong", "mm"), ("1e9", "mm"), ("O.212", "mm"), ("-", "")],
)  # fmt: skip
def test_text_that_cannot_be_read_is_kept_and_reported(desk: Desk, text: str, unit: str) -> None:
    job, check = a_job(desk)
    kept = desk.keep_reading(job, check, "DE top", text, ANN, unit=unit)
    assert kept.entry is not None
    assert kept.problem is not None
    assert kept.entry.body["text"] == kept.problem.typed == text
    assert kept.entry.body["unreadable"] == kept.problem.expected
    state = desk.job(job).state.checks[check]
    assert state.unreadable == ((kept.entry.id, "DE top", text),)
    assert state.readings == ()
    assert desk.keep_reading(job, check, "DE top", "0.212 mm", ANN).problem is None


def test_the_assumed_unit_is_kept_only_where_none_was_typed(desk: Desk) -> None:
    job, check = a_job(desk)
    bare = desk.keep_reading(job, check, "DE top", "0,212", ANN, unit="mm").entry
    typed = desk.keep_reading(job, check, "OE top", "8.5 thou", ANN, unit="mm").entry
    assert bare is not None
    assert typed is not None
    assert (bare.body["text"], bare.body["unit"]) == ("0,212", "mm")
    assert (typed.body["text"], typed.body["unit"]) == ("8.5 thou", "")
    values = [r.value for r in desk.job(job).state.checks[check].readings]
    assert values == [pytest.approx(0.212e-3), pytest.approx(8.5 * 25.4e-6)]


def test_a_fact_that_cannot_be_read_is_kept_and_reported(desk: Desk) -> None:
    job, check = a_job(desk)
    for key, text in {
        "torque": "much", "joint": "glue", "wires_in": "two", "date": "1.2.26", "instrument.M7.anvil": "round"
    }.items():  # fmt: skip
        kept = desk.keep_fact(job, check, key, text, ANN)
        assert kept.entry is not None, key
        assert kept.problem is not None, key
        assert kept.problem.typed == text
    unread = desk.job(job).state.checks[check].unreadable
    assert sorted(text for _, _, text in unread) == ["1.2.26", "glue", "much", "round", "two"]
    assert desk.keep_fact(job, check, "torque", "210", ANN, unit="N m").problem is None
    assert desk.job(job).state.checks[check].facts["torque"].value == pytest.approx(210.0)


def test_wrong_names_are_refused_by_name(desk: Desk) -> None:
    job, check = a_job(desk)
    note = desk.keep_note(job, "x", ANN).entry
    assert note is not None
    acts = {
        "place": lambda: desk.keep_reading(job, check, "XX top", "0.2 mm", ANN),
        "squeeze": lambda: desk.keep_reading(job, check, "DE top", "0.2 mm", ANN, squeeze=0),
        "DE top": lambda: desk.keep_reading(job, check, "DE top", "  ", ANN),
        "check": lambda: desk.keep_reading(job, "x", "DE top", "0.2 mm", ANN),
        "colour": lambda: desk.keep_fact(job, check, "colour", "red", ANN),
        "torque@x": lambda: desk.keep_fact(job, check, "torque@x", "210 N m", ANN),
        "wire_diameter@2": lambda: desk.keep_fact(job, check, "wire_diameter@2", "0.4 mm", ANN),
        "method": lambda: desk.start_check(job, "tea leaves", "as left", ANN),
        "purpose": lambda: desk.start_check(job, "wire", "", ANN),
        "what": lambda: desk.change_fit(job, "paint", "upper", "", "red", ANN),
        "half": lambda: desk.change_fit(job, "shell", "middle", "", "new", ANN),
        "hold": lambda: desk.set_hold(job, "clearance", "closed", "", ANN),
        "state": lambda: desk.set_hold(job, "crush", "ajar", "", ANN),
        "rule": lambda: desk.choose_rule(job, check, "coin", "why not", ANN),
        "why": lambda: desk.choose_rule(job, check, "simple acceptance", "", ANN),
        "entry": lambda: desk.strike(job, "x", "why not", ANN),
        "number": lambda: desk.open_job(desk.plant()[0].bearings[0].book, "", "t", ANN),
        "note": lambda: desk.keep_note(job, " ", ANN),
        "instrument": lambda: desk.keep_instrument(" ", {}, ANN),
        "text": lambda: desk.keep_note(job, "half \ud83d", ANN),
    }
    before = desk.walk().entries
    for field, act in acts.items():
        with pytest.raises(InputError) as failed:
            act()  # type: ignore[no-untyped-call]
        assert [problem.field for problem in failed.value.problems] == [field]
    with pytest.raises(InputError):
        desk.strike(job, note.id, "", ANN)
    assert desk.walk().entries == before


def test_places_may_be_others_than_the_standard_ones(desk: Desk) -> None:
    job, _ = a_job(desk)
    places = (Place("A", 0.02, 0.0, "A"), Place("B", 0.12, -0.1, "B", "along", "near the far end"))
    check = desk.start_check(job, "wire", "as found", ANN, places)
    kept = desk.job(job).state.checks[check].places
    assert [(p.label, p.lies, p.title) for p in kept] == [
        ("A", "across", ""),
        ("B", "along", "near the far end"),
    ]
    assert [p.axial for p in kept] == [pytest.approx(0.02), pytest.approx(0.12)]
    assert kept[1].angle == pytest.approx(-0.1, abs=1e-10)


def test_entries_say_who_when_and_on_which_device(desk: Desk) -> None:
    job, check = a_job(desk)
    entry = desk.keep_reading(job, check, "DE top", "0.212 mm", replace(ANN, offset=-210)).entry
    assert entry is not None
    assert (entry.by, entry.device, entry.offset) == ({"name": "Ann Dale"}, "phone", -210)
    assert entry.at.startswith("2026-03-02T07:00:")
    assert entry.at.endswith(".000Z")
    assert desk.entries(job)[-1] == entry


def test_a_writer_is_linked_to_what_it_was_shown_and_no_more(desk: Desk) -> None:
    job, _ = a_job(desk)
    shown = seeing(desk, job, BO)
    first = desk.keep_note(job, "phone again", ANN).entry
    blind = desk.keep_note(job, "laptop, saw the page of before", shown).entry
    assert first is not None
    assert blind is not None
    assert blind.after == shown.seen
    aware = desk.keep_note(job, "laptop, saw all", seeing(desk, job, BO)).entry
    assert aware is not None
    assert aware.after == (first.digest,)
    assert aware.prev == blind.digest
    stranger = desk.keep_note(job, "tablet", Writer("Cy", "tablet", seen=("0" * 64,))).entry
    assert stranger is not None
    assert (stranger.after, stranger.prev, stranger.seq) == ((), "", 1)


def test_a_link_that_another_link_reaches_is_left_out(desk: Desk) -> None:
    job, _ = a_job(desk)
    early = desk.job(job).state.heads
    laptop = desk.keep_note(job, "saw the phone", replace(BO, seen=early)).entry
    assert laptop is not None
    mine = desk.keep_note(job, "x", Writer("Cy", "tablet", seen=early)).entry
    assert mine is not None
    tablet = desk.keep_note(job, "y", Writer("Cy", "tablet", seen=(*early, laptop.digest, mine.digest))).entry
    assert tablet is not None
    assert (mine.after, tablet.after, tablet.prev) == (early, (laptop.digest,), mine.digest)


def test_the_later_card_is_the_newest_whatever_the_ids_say(tmp_path: Path) -> None:
    falling = iter(range(999, 0, -1))
    desk = Desk.open(str(tmp_path / "r.sqlite3"), ids=lambda: f"n{next(falling):05d}")
    desk.keep_card(CARD, ANN)
    kept = desk.keep_card(LIMIT_D, BO)
    desk.keep_instrument("M7", {"mpe": "2 um"}, ANN)
    desk.keep_instrument("M7", {"mpe": "4 um"}, BO)
    assert desk.bearing(kept.bearing).card.digest == kept.digest
    assert desk.instruments()["M7"] == {"mpe": "4 um"}
    desk.rebuild()
    assert desk.bearing(kept.bearing).card.digest == kept.digest
    assert desk.instruments()["M7"] == {"mpe": "4 um"}
    desk.close()


def test_the_sheet_shows_the_readings_and_the_same_input_gives_the_same_bytes(desk: Desk) -> None:
    job, check = a_job(desk)
    read_all(desk, job, check, "0.200")
    sheet = desk.sheet(job, check)
    assert sheet == desk.sheet(job, check)
    words = " ".join(page.extract_text() for page in PdfReader(BytesIO(sheet)).pages)
    assert "within limits" in words
    assert "TM-31-F02" in words
    assert "0.200" in words
    assert desk.job(job).state.digest[:12] in words.replace("\n", "").replace(" ", "")


def test_a_blank_sheet_can_be_printed_before_any_job(desk: Desk) -> None:
    bearing = desk.keep_card(CARD, ANN).bearing
    words = " ".join(page.extract_text() for page in PdfReader(BytesIO(desk.blank_sheet(bearing))).pages)
    assert "TM-31-F02" in words
    assert "DE top" in words
