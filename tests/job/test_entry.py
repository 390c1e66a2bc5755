"""The canonical form of an entry against the examples printed in RFC 8785, and Unicode NFC."""

from __future__ import annotations

import hashlib
import json
import struct
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from whitemetal.errors import InputError
from whitemetal.job import entry as entries
from whitemetal.job.entry import Entry, book_digest, canonical, content, digest_of, from_json, make

GOLDEN = Path(__file__).parents[1] / "golden" / "entries-v1.jsonl"

RFC_SAMPLE = r"""{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"""
"""RFC 8785 section 3.2.2."""

RFC_BYTES = """
7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72 75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d
62 65 72 73 22 3a 5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31 65 2b 33 30 2c 34 2e 35
2c 30 2e 30 30 32 2c 31 65 2d 32 37 5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30 30 66
5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d
"""
"""RFC 8785 section 3.2.4."""

RFC_NAMES = r"""{
  "\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh", "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control", "\u00f6": "Latin Small Letter O With Diaeresis"
}"""
RFC_ORDER = [
    "Carriage Return", "One", "Control", "Latin Small Letter O With Diaeresis", "Euro Sign",
    "Emoji: Grinning Face", "Hebrew Letter Dalet With Dagesh",
]  # fmt: skip
"""RFC 8785 section 3.2.3."""

RFC_NUMBERS = {
    "0000000000000000": "0", "8000000000000000": "0", "0000000000000001": "5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308", "4340000000000000": "9007199254740992",
    "4430000000000000": "295147905179352830000", "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23", "41b3de4355555553": "333333333.3333332",
    "becbf647612f3696": "-0.0000033333333333333333", "43143ff3c1cb0959": "1424953923781206.2",
}  # fmt: skip
"""RFC 8785 Appendix B."""


def an_entry(body: Any, **more: Any) -> Entry:
    kept: dict[str, Any] = {
        "id": "a" * 26, "book": "job", "kind": "note/1", "device": "phone", "seq": 1, "prev": "", "after": (),
        "at": "2026-03-02T07:15:30.250Z", "offset": 60, "by": {"name": "Ann Dale"}, "body": body,
    }  # fmt: skip
    return make(**{**kept, **more})


def unchecked(body: Any) -> Entry:
    """An entry whose body did not go through the door: to see the canonical form alone."""
    return Entry(**{**an_entry({}).__dict__, "body": body})


def test_the_canonical_form_is_that_of_the_rfc() -> None:
    expected = bytes.fromhex(RFC_BYTES.replace("\n", " "))
    assert rfc8785.dumps(json.loads(RFC_SAMPLE)) == expected
    assert b'"body":' + expected + b',"book"' in canonical(unchecked(json.loads(RFC_SAMPLE)))


def test_names_are_sorted_by_utf_16_as_in_the_rfc() -> None:
    form = canonical(unchecked(json.loads(RFC_NAMES)))
    assert list(json.loads(form)["body"].values()) == RFC_ORDER


@pytest.mark.parametrize(("bits", "text"), RFC_NUMBERS.items())
def test_numbers_are_written_as_in_the_rfc(bits: str, text: str) -> None:
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert rfc8785.dumps(number) == text.encode()


def test_an_entry_has_no_blank_and_its_digest_is_the_hash_of_its_form() -> None:
    entry = an_entry({"text": "ring oil: 40 ml"})
    assert canonical(entry) == (
        b'{"after":[],"at":"2026-03-02T07:15:30.250Z","body":{"text":"ring oil: 40 ml"},"book":"job",'
        b'"by":{"name":"Ann Dale"},"device":"phone","id":"aaaaaaaaaaaaaaaaaaaaaaaaaa","kind":"note/1",'
        b'"offset":60,"prev":"","seq":1}'
    )
    assert entry.digest == hashlib.sha256(canonical(entry)).hexdigest()


def test_texts_are_kept_in_nfc() -> None:
    """U+0041 U+030A and U+212B are both U+00C5 in NFC (Unicode Standard Annex 15, figures 3 and 5)."""
    composed = an_entry({"text": "\u00c5"}, by={"name": "\u00c5"})
    for spelling in ("A\u030a", "\u212b"):
        assert an_entry({"text": spelling}, by={"name": spelling}) == composed
    assert an_entry({"A\u030a": "x"}).body == {"\u00c5": "x"}
    assert an_entry({"text": "\ufb33"}).body == {"text": "\u05d3\u05bc"}


def test_two_names_that_are_one_in_nfc_are_refused() -> None:
    with pytest.raises(InputError, match="no name twice"):
        an_entry({"\u00c5": "x", "A\u030a": "y"})


@pytest.mark.parametrize("value", [0.24, float("nan"), 2**53, -(2**53), b"x", {1}, "half \ud83d"])
def test_a_body_takes_texts_and_whole_numbers_only(value: Any) -> None:
    for body in ({"v": value}, {"v": [value]}, {"v": {"w": value}}):
        with pytest.raises(InputError):
            an_entry(body)


def test_links_are_sorted_and_order_in_the_body_does_not_count() -> None:
    one = an_entry({"a": "1", "b": "2"}, after=("d", "c"))
    other = an_entry({"b": "2", "a": "1"}, after=("c", "d"))
    assert one.after == ("c", "d")
    assert one.digest == other.digest


@pytest.mark.parametrize(
    "change",
    [
        {"id": "b" * 26}, {"book": "other"}, {"kind": "note/2"}, {"device": "desk"}, {"seq": 2}, {"prev": "p"},
        {"after": ("x",)}, {"at": "2026-03-02T07:15:30.251Z"}, {"offset": 0}, {"by": {"name": "Ann"}},
    ],
)  # fmt: skip
def test_every_part_counts_in_the_digest(change: dict[str, Any]) -> None:
    assert an_entry({"text": "t"}, **change).digest != an_entry({"text": "t"}).digest


def test_the_digest_of_a_book_is_over_its_sorted_heads() -> None:
    assert book_digest(["b", "a"]) == hashlib.sha256(b"a\nb").hexdigest() == book_digest(["a", "b"])


BODIES = st.recursive(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
    | st.integers(-entries.LARGEST_WHOLE, entries.LARGEST_WHOLE)
    | st.booleans()
    | st.none(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from("abcé"), inner, max_size=3),
    max_leaves=8,
)


@given(st.dictionaries(st.sampled_from(["text", "places", "ä"]), BODIES))
def test_an_entry_comes_back_from_its_json(body: dict[str, Any]) -> None:
    entry = an_entry(body)
    back = from_json(json.loads(json.dumps({**content(entry), "digest": entry.digest})))
    assert back == entry
    assert digest_of(back) == back.digest
