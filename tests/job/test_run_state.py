"""What was seen on a run-in, as people left it who did not know of each other."""

from __future__ import annotations

from dataclasses import replace

from tests.mistakes.hand import a_hand
from whitemetal.desk.run_in import begin_run, see


def test_of_two_who_saw_the_same_unaware_both_are_named() -> None:
    with a_hand() as hand:
        kept = begin_run(hand.desk, hand.job, "coupled", "2026-11-25T08:00:00Z", "", hand.writer)
        assert kept.entry is not None
        run, before = str(kept.entry.body["run"]), hand.desk.job(hand.job).state.heads
        for name, text in (("Ann", "through the cap"), ("Bo", "by its shine")):
            writer = replace(hand.writer, name=name, device=f"device of {name}", seen=before)
            see(hand.desk, hand.job, run, "ring_turning", "yes", text, writer)
        seen = hand.desk.job(hand.job).state.runs[0].seen["ring_turning"]
    assert seen.state == "yes" and not seen.doubt
    assert set(seen.by.split(", ")) == {"Ann", "Bo"}
    assert set(seen.text.split("; ")) == {"through the cap", "by its shine"}
