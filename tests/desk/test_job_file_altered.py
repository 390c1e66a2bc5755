"""A byte altered anywhere in a job's file is found by the file alone, and it says where."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile

import pytest

from tests.desk.test_job_file import desk, job, lines, mill, packed, picture, put_back  # noqa: F401
from tests.ledger.writing import ANN
from whitemetal.desk import Desk
from whitemetal.desk.exported import Checked, check_file
from whitemetal.desk.job_file import bring, job_file
from whitemetal.errors import InputError

pytestmark = pytest.mark.sqlite_only
STEP = 11
"""Every so manieth byte is altered: all of them take half a minute."""


@pytest.fixture
def parts(desk: Desk, job: str) -> dict[str, bytes]:  # noqa: F811
    with zipfile.ZipFile(io.BytesIO(job_file(desk, job))) as file:
        return {name: file.read(name) for name in file.namelist()}


def said(found: Checked) -> list[str]:
    return [fault.text for fault in found.faults]


def where_wrong(data: bytes) -> str:
    """What the check names first, "" where it finds nothing."""
    try:
        return "".join(said(check_file(data))[:1])
    except InputError as bad:
        return bad.problems[0].field


def names(file: str) -> tuple[str, ...]:
    """What may be named where this file of the zip was altered: it, or an entry in it."""
    return (file, "FILE") if file.startswith("photographs/") else (file, "FILE", "Entry ")


def test_as_it_was_exported_it_is_whole(parts: dict[str, bytes]) -> None:
    found = check_file(packed(parts))
    assert (found.whole, found.entries, found.books) == (True, 6, 2)


def test_every_byte_counts(parts: dict[str, bytes]) -> None:
    """One bit of one byte, in every file of the zip: the check names that file, its line or its entry."""
    tried = 0
    for name, data in parts.items():
        for at in range(0, len(data), STEP):
            other = data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :]
            assert where_wrong(packed({**parts, name: other})).startswith(names(name)), (name, at)
            tried += 1
    assert tried > 300


def test_entries_left_out_at_the_end_are_missed(parts: dict[str, bytes]) -> None:
    put_back(parts, lines(parts)[:-1])
    assert said(check_file(packed(parts))) == [
        "job.json says another end of the job than the entries have: some are missing, or were added."
    ]


def test_facts_of_a_gauge_that_were_altered_are_not_taken_in(
    parts: dict[str, bytes],
    mill: Desk,  # noqa: F811
) -> None:
    parts["job.json"] = parts["job.json"].replace("4 \u00b5m".encode(), "1 \u00b5m".encode())
    assert "was altered after it was written" in said(check_file(packed(parts)))[0]
    with pytest.raises(InputError, match=r"job.json: .* this was altered"):
        bring(mill, packed(parts), ANN)
    assert mill.instruments() == {}


def test_a_file_of_a_program_that_wrote_no_digest_of_it_is_still_read(
    parts: dict[str, bytes],
    mill: Desk,  # noqa: F811
) -> None:
    head = json.loads(parts["job.json"])
    told = head.pop("own_digest")
    plain = json.dumps(head, ensure_ascii=False, sort_keys=True).encode()
    assert hashlib.sha256(plain).hexdigest() == told, "SHA-256 of the rest, keys in order"
    parts["job.json"] = plain
    assert check_file(packed(parts)).whole and bring(mill, packed(parts), ANN).new == 6
