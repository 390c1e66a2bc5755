"""Signatures, concessions and a reopening as they were first written: kept for ever, folded as written."""

from __future__ import annotations

import json
from pathlib import Path

from whitemetal.job.entry import digest_of, from_json
from whitemetal.job.picture import fold
from whitemetal.job.signing import false_states

GOLDEN = Path(__file__).parents[1] / "golden" / "entries-v1-signing.jsonl"


def test_the_golden_signatures_read_as_they_were_written() -> None:
    lines = GOLDEN.read_text(encoding="utf-8").splitlines()
    entries = [from_json(json.loads(line)) for line in lines]
    assert [entry.id for entry in entries if digest_of(entry) != entry.digest] == []
    assert list(false_states(entries)) == []
    found = fold(entries).signing
    assert [(one.part, one.by, one.leaves, bool(one.void)) for one in found.signatures] == [
        ("did", "Ann Dale", "concession", True),
        ("checked", "Bo Lund", "concession", True),
        ("did", "Ann Dale", "concession", False),
    ]
    assert found.signatures[0].shown["bearing"] == "not fit"
    assert found.signatures[0].seal == {}
    assert found.signatures[2].seal == {"key": "golden key", "signature": "golden signature"}
    assert [(one.by, one.until, bool(one.struck)) for one in found.concessions] == [
        ("Cy Rowe", "2026-10-01", True), ("Cy Rowe", "2026-10-01", False)
    ]  # fmt: skip
    assert [(one.key, one.word) for one in found.concessions[1].against] == [
        ("clearance", "not proven"), ("alignment", "waits"), ("seals", "waits")
    ]  # fmt: skip
    assert [(one.by, one.why) for one in found.reopened] == [("Cy Rowe", "a wire was found in the sump")]
    assert (found.shut, found.signed, found.needed()) == (False, False, ("checked",))
