"""A cap that was tightened, counted out, opened again and tightened anew reads as it was written, for ever."""

from __future__ import annotations

import json
from pathlib import Path

from tests.ledger.writing import CARD
from whitemetal.card import read_card
from whitemetal.job.closing_up import final_torque
from whitemetal.job.entry import content, digest_of, from_json
from whitemetal.job.picture import fold

GOLDEN = Path(__file__).parents[1] / "golden" / "entries-v1-closing.jsonl"


def test_a_golden_cap_reads_as_it_was_written() -> None:
    lines = [json.loads(line) for line in GOLDEN.read_text(encoding="utf-8").splitlines()]
    entries = [from_json(line) for line in lines]
    assert [{**content(one), "digest": digest_of(one)} for one in entries] == lines
    state = fold(entries)
    first, counted, second = state.checks.values()
    assert [(one.method, bool(one.stale)) for one in (first, counted, second)] == [
        ("tightening", True), ("closed_up", True), ("tightening", False)
    ]  # fmt: skip
    assert [(one.what, one.touches) for one in state.fit_changes] == [
        ("cap opened", ("tightening", "closed_up"))
    ]
    pulled = [(one.place, one.squeeze, one.text, one.value) for one in second.readings]
    assert pulled[:2] == [("nut 1", 1, "126 N m", 126.0), ("nut 2", 1, "126 N m", 126.0)]
    assert pulled[-1] == ("nut 4", 3, "420 N m", 420.0)
    assert len(pulled) == 12
    assert final_torque(state, read_card(CARD)) == 420.0
    assert [(one.label, one.piece, round(1e3 * one.axial)) for one in second.places] == [
        ("nut 1", "left row", 0), ("nut 2", "left row", 140), ("nut 3", "right row", 140), ("nut 4", "right row", 0),
    ]  # fmt: skip
