"""An exported file checked by itself: what is whole, what was altered, what is missing, what was signed."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.web.plant import begin
from whitemetal.desk import Desk, Writer, people, signing_in
from whitemetal.desk.exported import Checked, check_file, keys_from
from whitemetal.desk.job_file import job_file
from whitemetal.errors import InputError
from whitemetal.job.entry import content, make
from whitemetal.people import passwords

PASSWORD = "four brass feeler gauges"
pytestmark = pytest.mark.sqlite_only
HAND = Writer("Ida Invented", "a" * 26)
OTHER = Writer("Bo Invented", "b" * 26)
Plain = list[dict[str, Any]]


@dataclass(frozen=True)
class Exported:
    """The entries of a job with one signature in the middle, and the signer's key."""

    entries: Plain
    key: str
    signed: int


@pytest.fixture
def exported(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Exported]:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(time=1, memory=64, lanes=1))
    desk = Desk.open(str(tmp_path / "plant.db"))
    ada = people.open_first(desk, "Ada Invented", PASSWORD, people.first_code(desk), "c" * 26)
    job = begin(desk, HAND).job
    desk.keep_note(job, "first", OTHER)
    state = desk.job(job).state
    writer = Writer(ada.name, "c" * 26, 0, state.heads, ada.id)
    body = signing_in.sealer(desk, job, writer, PASSWORD)("signed/1", {"part": "did", "state": state.digest})
    desk.write(job, "signed/1", body, writer)
    desk.keep_note(job, "afterwards", OTHER)
    entries = [{**content(entry), "digest": entry.digest} for entry in desk.entries(job)]
    yield Exported(entries, ada.key.public, len(entries) - 2)
    desk.close()


def checked(entries: Plain, **more: Any) -> Checked:
    return check_file(json.dumps(entries).encode(), **more)


def test_a_whole_file_is_whole_and_its_signature_good(exported: Exported) -> None:
    found = checked(exported.entries)
    assert found.whole
    assert (found.entries, found.books, found.chains) == (len(exported.entries), 1, 3)
    (seal,) = found.seals
    assert (seal.by, seal.key, seal.good) == ("Ada Invented", exported.key, True)


def in_zip(entries: Plain) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("readings.csv", "not looked at")
        file.writestr("job/entries.jsonl", "\n".join(map(json.dumps, entries)))
    return packed.getvalue()


FORMS: dict[str, Callable[[Plain], bytes]] = {
    "list": lambda entries: json.dumps(entries).encode(),
    "document": lambda entries: json.dumps(
        {"format": "x/1", "jobs": [{"entries": entries, "n": 1.5}]}
    ).encode(),
    "lines": lambda entries: "\n".join(map(json.dumps, entries)).encode(),
    "with a mark of byte order": lambda entries: b"\xef\xbb\xbf" + json.dumps(entries).encode(),
    "zip": in_zip,
    "backwards": lambda entries: json.dumps(entries[::-1]).encode(),
    "twice": lambda entries: json.dumps(entries + entries).encode(),
}


@pytest.mark.parametrize("form", FORMS)
def test_entries_are_found_in_any_form(exported: Exported, form: str) -> None:
    found = check_file(FORMS[form](exported.entries))
    assert found.whole
    assert found.entries == len(exported.entries)


@pytest.mark.parametrize("odd", ["\u2028", "\u2029", "\x85", "\x0c", "\r\n", "\x00", "=1+1"])
def test_text_with_line_ends_of_other_alphabets_is_whole_in_a_jobs_file(tmp_path: Path, odd: str) -> None:
    """Python takes eight characters for the end of a line, JSON writes three of them as they are."""
    desk = Desk.open(str(tmp_path / "plant.db"))
    job = begin(desk, HAND).job
    desk.keep_note(job, f"pasted{odd}from a letter", HAND)
    found = check_file(job_file(desk, job))
    assert found.whole
    assert found.entries == len(desk.entries(job)) + len(desk.entries(desk.job(job).state.bearing))
    desk.close()


def test_every_altered_word_of_every_entry_is_found(exported: Exported) -> None:
    """Each field of each entry changed once: the entry is named, whatever else goes wrong."""
    changed = 0
    for at, entry in enumerate(exported.entries):
        for field in sorted(set(entry) - {"digest"}):
            value = entry[field]
            other = value + 1 if isinstance(value, int) else value + "x" if isinstance(value, str) else "x"
            entries = [*exported.entries[:at], {**entry, field: other}, *exported.entries[at + 1 :]]
            found = checked(entries)
            assert not found.whole, (at, field)
            named = "" if field == "id" else entry["id"]
            assert any(named in fault.text and fault.what == "altered" for fault in found.faults), (at, field)
            changed += 1
    assert changed == 11 * len(exported.entries)


def test_every_missing_entry_but_the_last_of_a_device_is_found(exported: Exported) -> None:
    last = {entry["device"]: entry["id"] for entry in exported.entries}
    for at, entry in enumerate(exported.entries):
        found = checked([*exported.entries[:at], *exported.entries[at + 1 :]])
        if entry["id"] not in last.values():
            assert [fault.what for fault in found.faults][:1] == ["missing"], at
    first = next(at for at, entry in enumerate(exported.entries) if entry["id"] == last[HAND.device])
    found = checked([*exported.entries[:first], *exported.entries[first + 1 :]])
    assert not found.whole, "the signature covers what the other devices had written last"


def test_a_forger_who_makes_all_digests_anew_is_found_by_the_signature(exported: Exported) -> None:
    """The chain alone cannot tell: everything is hashed again after the note was changed. The seal can."""
    anew: Plain = []
    fresh: dict[str, str] = {}
    for entry in exported.entries:
        body = {**entry["body"], "text": "forged"} if entry["body"].get("text") == "first" else entry["body"]
        said = {name: entry[name] for name in ("id", "book", "kind", "device", "seq", "at", "offset", "by")}
        made = make(
            **said, body=body, prev=fresh.get(entry["prev"], ""),
            after=[fresh.get(digest, digest) for digest in entry["after"]],
        )  # fmt: skip
        fresh[entry["digest"]] = made.digest
        anew.append({**content(made), "digest": made.digest})
    found = checked(anew)
    assert found.faults == ()
    assert [seal.good for seal in found.seals] == [False]
    assert "OTHER ENTRIES" in found.seals[0].said


def test_a_signature_set_under_anothers_name_is_found(exported: Exported) -> None:
    entry = exported.entries[exported.signed]
    said = {
        name: entry[name] for name in ("id", "book", "kind", "device", "seq", "at", "offset", "prev", "after")
    }
    made = make(**said, body=entry["body"], by={**entry["by"], "name": "Bo Invented"})
    entries = [*exported.entries[: exported.signed], {**content(made), "digest": made.digest}]
    found = checked(entries)
    assert [seal.good for seal in found.seals] == [False]
    assert "SIGNATURE WRONG" in found.seals[0].said


def test_a_key_that_nobody_knows_is_said(exported: Exported) -> None:
    known = keys_from(f"{exported.key} Ada Invented\n\n")
    assert [(seal.good, seal.owner) for seal in checked(exported.entries, keys=known).seals] == [
        (True, "Ada Invented")
    ]
    found = checked(exported.entries, keys={})
    assert not found.whole
    assert "NOT ON THE LIST" in found.seals[0].said


def test_a_key_that_is_known_for_somebody_else_is_said(exported: Exported) -> None:
    """Whoever holds a key can set it under an entry in anybody's name; the list says whose it is."""
    found = checked(exported.entries, keys=keys_from(f"{exported.key} Bo Invented"))
    assert [(seal.good, seal.owner) for seal in found.seals] == [(False, "Bo Invented")]
    assert "SOMEBODY ELSE" in found.seals[0].said and not found.whole


def test_a_zip_spoilt_anywhere_is_said(exported: Exported) -> None:
    """One letter after another of what is packed: refused, or still whole where nobody reads it."""
    data = in_zip(exported.entries)
    for at in range(0, len(data), 7):
        spoilt = data[:at] + bytes([data[at] ^ 0x55]) + data[at + 1 :]
        with suppress(InputError):
            assert check_file(spoilt).entries == len(exported.entries)


@pytest.mark.parametrize("text", ["nonsense", "AAAA", "?? Ada", "key with blanks"])
def test_a_list_of_keys_that_is_none_is_said(text: str) -> None:
    with pytest.raises(InputError, match="public key"):
        keys_from(text)


@pytest.mark.parametrize(
    "data",
    [
        b"{}",
        b"[]",
        b"[1, 2]",
        b'{"entries": []}',
        b"PK\x03\x04 broken",
        b"\xff\xfe",
        b"[" * 100000,
        b"{\n}\n{",
    ],
)
def test_what_is_no_export_is_said(data: bytes) -> None:
    with pytest.raises(InputError):
        check_file(data)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)


@given(
    st.dictionaries(
        st.sampled_from(
            ["id", "book", "device", "seq", "prev", "after", "at", "offset", "by", "body", "kind", "digest"]
        ),
        JSON,
    )
)
def test_no_entry_however_odd_breaks_the_check(odd: dict[str, Any]) -> None:
    entry = {
        "id": "x", "book": "b", "kind": "k/1", "device": "d", "seq": 1, "prev": "", "after": [], "at": "",
        "offset": 0, "by": {}, "body": {}, "digest": "0" * 64,
    } | odd  # fmt: skip
    assert not check_file(json.dumps([entry]).encode()).whole
