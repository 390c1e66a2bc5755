"""Signing, conceding and opening again, end to end over a real record."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.ledger.writing import ANN, BO, CARD, a_desk
from whitemetal.desk import Desk, Writer
from whitemetal.desk.sending import sending
from whitemetal.desk.signing import concede, found_different, reopen, sign, signed_body, standing
from whitemetal.errors import InputError
from whitemetal.job.holds import ORDER_OF_TRUST
from whitemetal.job.kinds import KINDS
from whitemetal.ledger import Fault

FACTS = {
    "wire_diameter": "0.40 mm", "journal_down": "yes", "joint": "metal to metal", "tightened": "final value",
    "oil_wiped": "yes", "instrument.M7.zero_before": "0.000 mm", "instrument.M7.zero_after": "0.000 mm",
}  # fmt: skip
GRANTED = {
    "reason": "no spare shells before the autumn stop", "restrictions": "metal not above 75 °C",
    "until": "2026-10-01", "engineer": "engineer for rotating machines",
}  # fmt: skip
CY = Writer("Cy Rowe", "tablet")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = with_gauge(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def with_gauge(where: Path) -> Desk:
    desk = a_desk(where)
    desk.keep_instrument("M7", {"mpe": "2 um", "anvil": "ball", "calibration_due": "2027-03-01"}, ANN)
    return desk


def seeing(desk: Desk, job: str, writer: Writer) -> Writer:
    return replace(writer, seen=desk.job(job).state.heads)


def measured(desk: Desk, text: str = "0.200") -> tuple[str, str]:
    """A job whose clearance was measured and every hold point closed."""
    job = desk.open_job(desk.keep_card(CARD, ANN).bearing, "J-1", "opening", ANN)
    check = taken(desk, job, text)
    for hold in desk.judgement(job, check).holds:
        if hold.key != "clearance":
            of = "" if hold.key in ORDER_OF_TRUST else check
            desk.set_hold(job, hold.key, "closed", "seen", ANN, check=of)
    return job, check


def taken(desk: Desk, job: str, text: str) -> str:
    """A check of the clearance that reads the same everywhere."""
    check = desk.start_check(job, "wire", "as left", ANN)
    for key, fact in FACTS.items():
        desk.keep_fact(job, check, key, fact, ANN)
    for squeeze in (1, 2, 3):
        for key in ("joint", "tightened"):
            desk.keep_fact(job, check, f"{key}@{squeeze}" if squeeze > 1 else key, FACTS[key], ANN)
        for place in desk.job(job).state.checks[check].places:
            desk.keep_reading(job, check, place.label, text, ANN, unit="mm", squeeze=squeeze, instrument="M7")
    return check


def both_sign(desk: Desk, job: str, leaves: str = "fit") -> None:
    sign(desk, job, "did", leaves, seeing(desk, job, ANN))
    sign(desk, job, "checked", leaves, seeing(desk, job, BO))


def refused(failed: pytest.ExceptionInfo[InputError]) -> str:
    return " ".join(problem.expected for problem in failed.value.problems)


def test_two_people_sign_and_each_signature_says_what_was_seen(desk: Desk) -> None:
    job, check = measured(desk)
    before = desk.job(job).state
    assert desk.chain(job).bearing == "fit"
    both_sign(desk, job)
    found = desk.job(job).state.signing
    assert (found.shut, found.signed, found.says) == (True, True, ())
    did, checked = found.standing
    assert (did.by, did.part, checked.by, checked.part) == ("Ann Dale", "did", "Bo Lund", "checked")
    assert (did.state, did.card, did.leaves) == (before.digest, before.card, "fit")
    assert checked.state != did.state, "the second saw the first signature too"
    assert did.shown["bearing"] == "fit" and did.shown["open"] == []
    (one,) = did.shown["checks"]
    assert (one["check"], one["verdict"]) == (check, "within limits")
    clearance = desk.judgement(job, check).clearance
    assert clearance is not None
    found_mm = f"{1e3 * clearance.diametral_m:.3f} mm diametral, {1e3 * clearance.radial_m:.3f} mm radial"
    assert one["figures"][0].startswith(f"oil clearance {found_mm}, ± ")
    assert "0.150 mm … 0.250 mm" in one["figures"][1] and "Book 7, sheet 4, revision C" in one["figures"][1]
    assert standing(desk, desk.job(job)).startswith("fit, signed: Ann Dale did it (2026-03-02)")


def test_others_write_while_the_chains_are_walked_for_a_signature(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All photographs of a job are read for it; and what is written in this very job is not signed over."""
    job, _ = measured(desk)
    other = desk.open_job(desk.job(job).state.bearing, "J-2", "another", ANN)
    verify = desk.verify

    def meanwhile(book: str | None = None) -> tuple[Fault, ...]:
        found = verify(book)
        desk.keep_note(other, "written meanwhile", BO)
        desk.keep_note(job, "and here", BO)
        return found

    monkeypatch.setattr(desk, "verify", meanwhile)
    with pytest.raises(InputError) as failed:
        sign(desk, job, "did", "fit", seeing(desk, job, ANN))
    assert "since" in refused(failed)
    assert [one.text for one in desk.job(other).state.notes] == ["written meanwhile"]


def test_a_signed_job_takes_nothing_more_in_by_any_verb(desk: Desk) -> None:
    job, check = measured(desk)
    kept = desk.keep_reading(job, check, "DE top", "0.201", ANN, unit="mm", squeeze=4, id="x1")
    assert kept.entry is not None
    both_sign(desk, job, "fit" if desk.chain(job).bearing == "fit" else "out of service")
    before = desk.entries(job)
    seen = seeing(desk, job, ANN)
    shim = ("shim", "", "shell joint", "0.1 out")
    reading = before[5].id
    verbs: tuple[Callable[[], object], ...] = (
        lambda: desk.keep_reading(job, check, "DE top", "0.3", ANN, unit="mm", squeeze=5),
        lambda: desk.keep_fact(job, check, "oil_wiped", "no", ANN),
        lambda: desk.change_fit(job, *shim, seen),
        lambda: desk.keep_note(job, "by the way", ANN),
        lambda: desk.set_hold(job, "seals", "open", "hm", ANN),
        lambda: desk.strike(job, reading, "slip", ANN),
        lambda: desk.start_check(job, "bore", "as left", ANN),
        lambda: desk.strip_down(job, "cap off", ANN),
        lambda: desk.note_missed(job, "clearance as found", "late", ANN),
        lambda: desk.choose_rule(job, check, "simple acceptance", "why not", ANN),
        lambda: desk.write(job, "note/1", {"text": "by the back door"}, ANN),
        lambda: sign(desk, job, "did", "fit", replace(CY, seen=seen.seen)),
        lambda: concede(desk, job, GRANTED, CY),
    )
    for number, verb in enumerate(verbs):
        with pytest.raises(InputError):
            verb()
        assert desk.entries(job) == before, number
    with pytest.raises(InputError) as failed:
        desk.keep_note(job, "by the way", ANN)
    assert "Ann Dale + Bo Lund signed this one" in refused(failed)
    assert failed.value.problems[0].typed == "by the way", "what was typed is handed back"
    again = desk.keep_reading(job, check, "DE top", "0.201", ANN, unit="mm", squeeze=4, id="x1")
    assert again.entry == kept.entry, "what was kept before is not refused when it is sent again"


def test_every_kind_but_reopening_is_refused_once_signed(desk: Desk) -> None:
    """Kinds that are added later are covered without anybody thinking of it."""
    job, _ = measured(desk)
    both_sign(desk, job)
    for kind in {*KINDS, "never heard of/1"} - {"reopened/1"}:
        with pytest.raises(InputError):
            desk.write(job, kind, {"why": "x"}, ANN)
    assert desk.write(job, "reopened/1", {"why": "x"}, ANN).entry is not None


def test_opening_again_says_why_and_voids_both(desk: Desk) -> None:
    job, _ = measured(desk)
    with pytest.raises(InputError) as failed:
        reopen(desk, job, "just so", ANN)
    assert "this one is open" in refused(failed)
    both_sign(desk, job)
    with pytest.raises(InputError):
        reopen(desk, job, "  ", ANN)
    reopen(desk, job, "a wire was found in the sump", seeing(desk, job, CY))
    found = desk.job(job).state.signing
    assert (found.shut, found.signed, found.standing) == (False, False, ())
    assert [one.why for one in found.reopened] == ["a wire was found in the sump"]
    assert all("Cy Rowe opened the job again (a wire" in one.void for one in found.signatures)
    assert desk.keep_note(job, "taken out", ANN).entry is not None
    assert found.needed() == ("did", "checked")
    both_sign(desk, job)
    again = desk.job(job).state.signing
    assert again.signed and len(again.signatures) == 4
    assert [bool(one.void) for one in again.signatures] == [True, True, False, False]


def test_one_person_cannot_sign_both_parts(desk: Desk) -> None:
    job, _ = measured(desk)
    sign(desk, job, "did", "fit", seeing(desk, job, ANN))
    for name in ("Ann Dale", " ann  DALE "):
        with pytest.raises(InputError) as failed:
            sign(desk, job, "checked", "fit", replace(seeing(desk, job, BO), name=name))
        assert "another person" in refused(failed)
    with pytest.raises(InputError) as failed:
        sign(desk, job, "did", "fit", seeing(desk, job, BO))
    assert "Ann Dale signed this one" in refused(failed)
    for part, leaves in (("watched", "fit"), ("checked", "somehow")):
        with pytest.raises(InputError):
            sign(desk, job, part, leaves, seeing(desk, job, BO))


def test_accounts_tell_people_apart_where_both_have_one(desk: Desk) -> None:
    job, _ = measured(desk)
    sign(desk, job, "did", "fit", replace(seeing(desk, job, ANN), account="a1"))
    with pytest.raises(InputError):
        sign(desk, job, "checked", "fit", replace(seeing(desk, job, BO), account="a1"))
    namesake = replace(seeing(desk, job, BO), name="Ann Dale", account="a2")
    sign(desk, job, "checked", "fit", namesake)
    assert desk.job(job).state.signing.signed


def test_nobody_signs_for_what_they_were_not_shown(desk: Desk) -> None:
    job, _ = measured(desk)
    old = seeing(desk, job, BO)
    desk.keep_note(job, "one thing more", ANN)
    with pytest.raises(InputError) as failed:
        sign(desk, job, "did", "fit", old)
    assert "something came in since" in refused(failed)
    assert desk.job(job).state.signing.signatures == ()


def test_what_comes_in_after_one_signature_voids_it(desk: Desk) -> None:
    job, _ = measured(desk)
    sign(desk, job, "did", "fit", seeing(desk, job, ANN))
    desk.keep_note(job, "one thing more", seeing(desk, job, BO))
    (one,) = desk.job(job).state.signing.signatures
    assert "(entries: 1)" in one.void
    sign(desk, job, "checked", "fit", seeing(desk, job, BO))
    assert not desk.job(job).state.signing.shut, "the other did not see what this one saw"
    sign(desk, job, "did", "fit", seeing(desk, job, ANN))
    assert desk.job(job).state.signing.signed


# ---- concessions


def test_a_bearing_that_is_not_fit_is_not_signed_as_fit(desk: Desk) -> None:
    job, _ = measured(desk, "0.240")
    assert desk.chain(job).bearing == "not fit"
    with pytest.raises(InputError) as failed:
        sign(desk, job, "did", "fit", seeing(desk, job, ANN))
    assert "is not fit while open are: Oil clearance" in refused(failed)
    with pytest.raises(InputError) as failed:
        sign(desk, job, "did", "concession", seeing(desk, job, ANN))
    assert "an engineer's concession in force against Oil clearance" in refused(failed)


def test_a_concession_leaves_the_word_not_fit(desk: Desk) -> None:
    job, check = measured(desk, "0.240")
    assert desk.judgement(job, check).verdict == "not proven"
    concede(desk, job, GRANTED, seeing(desk, job, CY))
    assert desk.chain(job).bearing == "not fit"
    assert standing(desk, desk.job(job)) == (
        "not fit, runs under a concession until 2026-10-01, given by Cy Rowe (engineer for rotating machines). "
        "Restrictions: metal not above 75 °C."
    )
    both_sign(desk, job, "concession")
    found = desk.job(job).state.signing
    assert found.signed and found.standing[0].shown["bearing"] == "not fit"
    assert standing(desk, desk.job(job)).startswith("not fit, runs under a concession until 2026-10-01")
    assert desk.judgement(job, check).bearing == "not fit"


def test_a_concession_covers_no_more_than_it_was_given_against(desk: Desk) -> None:
    job, _ = measured(desk, "0.240")
    concede(desk, job, GRANTED, seeing(desk, job, CY))
    desk.set_hold(job, "seals", "open", "a lip is torn", seeing(desk, job, ANN))
    with pytest.raises(InputError) as failed:
        sign(desk, job, "did", "concession", seeing(desk, job, ANN))
    assert refused(failed).startswith("an engineer's concession in force against Seals")
    assert "does not cover Seals" in standing(desk, desk.job(job))


def test_a_concession_against_an_open_point_does_not_cover_it_outside_limits(desk: Desk) -> None:
    job, _ = measured(desk)
    desk.set_hold(job, "joint_faces", "open", "not looked at", seeing(desk, job, ANN))
    concede(desk, job, GRANTED, seeing(desk, job, CY))
    seat = desk.start_check(job, "seat", "as left", seeing(desk, job, ANN))
    for key, text in (("contact", "85 %"), ("joint_feeler", "0 mm"), ("rocks", "yes")):
        desk.keep_fact(job, seat, key, text, ANN)
    assert desk.judgement(job, seat).verdict == "outside limits"
    with pytest.raises(InputError) as failed:
        sign(desk, job, "did", "concession", seeing(desk, job, ANN))
    assert refused(failed) == (
        "an engineer's concession in force against Joint faces and seat clean, whole and bearing"
    )


def test_a_concession_needs_reason_office_day_and_outside_limits_a_restriction(desk: Desk) -> None:
    job, _ = measured(desk, "0.300")
    with pytest.raises(InputError) as failed:
        concede(desk, job, {"until": "2026-03-01"}, CY)
    assert {problem.field for problem in failed.value.problems} == {
        "Reason", "Restrictions", "Last day it holds", "Your position"
    }  # fmt: skip
    for until in ("", "soon", "2026-13-01", "01.10.2026", "2027-02-30", "20270301"):
        with pytest.raises(InputError):
            concede(desk, job, {**GRANTED, "until": until}, CY)
    fit, _ = measured(desk)
    with pytest.raises(InputError) as failed:
        concede(desk, fit, GRANTED, CY)
    assert "there is none" in refused(failed)


def test_a_concession_ends_with_its_last_day(tmp_path: Path) -> None:
    desk = with_gauge(tmp_path / "a.sqlite3")
    job, _ = measured(desk, "0.240")
    concede(desk, job, {**GRANTED, "until": "2026-03-02"}, CY)
    assert "runs under a concession until 2026-03-02" in standing(desk, desk.job(job))
    (held,) = desk.job(job).state.signing.concessions
    assert held.holds("2026-03-02") and not held.holds("2026-03-03")
    desk.close()


def test_a_concession_is_withdrawn_by_striking_it(desk: Desk) -> None:
    job, _ = measured(desk, "0.240")
    kept = concede(desk, job, GRANTED, CY)
    assert kept.entry is not None
    desk.strike(job, kept.entry.id, "the shells came", seeing(desk, job, CY), concession=True)
    (one,) = desk.job(job).state.signing.concessions
    assert one.struck == "struck by Cy Rowe: the shells came"
    assert standing(desk, desk.job(job)) == ""
    with pytest.raises(InputError):
        sign(desk, job, "did", "concession", seeing(desk, job, ANN))


def test_what_stays_out_of_service_is_signed_without_a_concession(desk: Desk) -> None:
    job, _ = measured(desk, "0.300")
    both_sign(desk, job, "out of service")
    assert desk.job(job).state.signing.signed
    assert standing(desk, desk.job(job)).startswith("not fit, stays out of service. Signed: Ann Dale did it")


@pytest.mark.parametrize(
    ("text", "leaves", "listed"),
    [
        ("0.200", "fit", "within limits; fit, signed"),
        ("0.240", "concession", "not proven; not fit, under a concession until 2026-10-01"),
        ("0.300", "out of service", "outside limits; not fit, out of service"),
    ],
)
def test_the_list_of_jobs_says_how_each_was_left(desk: Desk, text: str, leaves: str, listed: str) -> None:
    job, _ = measured(desk, text)
    if leaves == "concession":
        concede(desk, job, GRANTED, seeing(desk, job, CY))
        assert desk.plant()[0].bearings[0].jobs[0].verdict_words == listed, "also before it is signed"
    both_sign(desk, job, leaves)
    assert desk.plant()[0].bearings[0].jobs[0].verdict_words == listed
    assert desk.bearing(desk.job(job).state.bearing).jobs[0].verdict_words == listed
    reopen(desk, job, "seen again", seeing(desk, job, CY))
    assert "signed" not in desk.plant()[0].bearings[0].jobs[0].verdict_words


# ---- what recomputing finds, and other devices


def test_an_old_job_shows_what_was_signed_and_what_recomputing_finds_different(desk: Desk) -> None:
    job, check = measured(desk)
    both_sign(desk, job)
    assert set(found_different(desk, desk.job(job)).values()) == {()}
    desk.keep_instrument("M7", {"mpe": "50 um", "anvil": "ball", "calibration_due": "2027-03-01"}, BO)
    view = desk.job(job)
    assert view.state.signing.signed, "the instrument is no entry of the job"
    assert desk.judgement(job, check).verdict == "not proven"
    for said in found_different(desk, view).values():
        text = " ".join(said)
        assert "The bearing was fit when it was signed; recomputing says not fit." in text
        assert "Soft-wire clearance was within limits when it was signed" in text
        assert "Soft-wire clearance, as signed: oil clearance 0.20" in text
    (one,) = view.state.signing.standing[0].shown["checks"]
    assert one["verdict"] == "within limits", "what was signed stays what was signed"


def test_what_another_device_wrote_unaware_is_kept_and_shown(tmp_path: Path) -> None:
    """A phone that was away: its entries arrive after the signatures."""
    desk = with_gauge(tmp_path / "a.sqlite3")
    job, _ = measured(desk)
    away = a_desk(tmp_path / "b.sqlite3")
    for book in ("plant", desk.job(job).state.bearing, job):
        assert away.receive(desk.entries(book)) == ()
    late = away.write(job, "note/1", {"text": "found white metal in the oil"}, CY, id="late1").entry
    assert late is not None
    both_sign(desk, job)
    assert desk.receive([late]) == ()
    found = desk.job(job).state
    assert [note.text for note in found.notes] == ["found white metal in the oil"]
    assert (found.signing.shut, found.signing.signed) == (True, False)
    assert "had been written elsewhere without knowing of it" in found.signing.says[0]
    with pytest.raises(InputError):
        desk.keep_note(job, "so what", ANN)
    reopen(desk, job, "look at the note of the other shift", seeing(desk, job, ANN))
    both_sign(desk, job)
    assert desk.job(job).state.signing.signed
    away.close()
    desk.close()


def test_two_people_may_sign_unaware_of_each_other(tmp_path: Path) -> None:
    desk = with_gauge(tmp_path / "a.sqlite3")
    job, _ = measured(desk)
    other = a_desk(tmp_path / "b.sqlite3")
    for book in ("plant", desk.job(job).state.bearing, job):
        other.receive(desk.entries(book))
    there = sign(other, job, "checked", "fit", seeing(other, job, BO), id="away1").entry
    sign(desk, job, "did", "fit", seeing(desk, job, ANN))
    assert there is not None
    desk.receive([there])
    assert desk.job(job).state.signing.signed
    other.close()
    desk.close()


def test_the_seal_is_made_over_the_body_and_kept_with_it(desk: Desk) -> None:
    job, _ = measured(desk)
    asked = []

    def seal(kind: str, body: Mapping[str, Any]) -> dict[str, Any]:
        asked.append((kind, body))
        return {**body, "seal": {"key": "k1", "signature": "s1"}}

    kept = sign(desk, job, "did", "fit", seeing(desk, job, ANN), seal=seal)
    assert kept.entry is not None and kept.entry.body["seal"] == {"key": "k1", "signature": "s1"}
    bare = {key: text for key, text in kept.entry.body.items() if key != "seal"}
    assert asked == [("signed/1", bare)]
    assert desk.job(job).state.signing.signatures[0].seal == {"key": "k1", "signature": "s1"}


def test_a_signature_sent_twice_is_kept_once(desk: Desk) -> None:
    job, _ = measured(desk)
    seen = seeing(desk, job, ANN)
    for _ in range(2):
        with sending("a key of the device"):
            sign(desk, job, "did", "fit", seen)
    assert len(desk.job(job).state.signing.signatures) == 1


def test_a_device_that_signs_a_state_nobody_saw_is_named(desk: Desk) -> None:
    """Its chain is whole: only the links tell that this was never the state of the job."""
    job, _ = measured(desk)
    both_sign(desk, job)
    assert desk.verify() == ()
    reopen(desk, job, "seen again", seeing(desk, job, CY))
    body = signed_body(desk, desk.job(job), "did", "fit")
    kept = desk.write(job, "signed/1", {**body, "state": "0" * 64}, seeing(desk, job, ANN))
    assert kept.entry is not None
    (fault,) = desk.verify()
    assert fault.entry == kept.entry.id
    assert "signs a state of the job that its writer was never shown" in fault.text


def test_a_stored_fold_equals_the_full_one(desk: Desk) -> None:
    job, _ = measured(desk)
    both_sign(desk, job)
    before = desk.job(job).state
    desk.rebuild()
    assert desk.job(job).state == before
