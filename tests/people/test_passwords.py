"""Passwords: what they must be, how they are kept, what a try costs."""

from __future__ import annotations

import time

import pytest

from whitemetal.errors import InputError
from whitemetal.people import passwords

NAME = "Ada Invented"


@pytest.mark.parametrize(
    "text",
    [
        "short", "x" * 129, "password1234", "Passwort!2024", "aaaaaaaaaaaa", "abcdefghijklm", "123456789012",
        "whitemetal12", "adainvented1", "qwertyqwerty", "ababababababab",
    ],
)  # fmt: skip
def test_what_is_easily_guessed_is_refused_and_not_handed_back(text: str) -> None:
    with pytest.raises(InputError) as refused:
        passwords.must_be_good(text, NAME)
    assert text not in str(refused.value)


@pytest.mark.parametrize(
    "text",
    [
        "four brass feeler gauges",
        "Žluťoučký kůň 7",
        "tX9#kq!vB2m$",
        "correct horse master staple",
        "x y z w v u t s r",
        ("brass feeler gauge, " * 7)[:128],
    ],
)
def test_long_words_of_any_kind_are_taken(text: str) -> None:
    passwords.must_be_good(text, NAME)


def test_a_password_is_known_again_and_not_kept_as_it_is() -> None:
    kept = passwords.hashed("four brass feeler gauges")
    assert "brass" not in kept
    assert kept.startswith("$argon2id$")
    assert passwords.right(kept, "four brass feeler gauges")
    assert not passwords.right(kept, "four brass feeler gauge")
    assert passwords.hashed("four brass feeler gauges") != kept, "each with a salt of its own"


def test_nobody_has_no_password() -> None:
    for text in ("", "nobody has this password", "four brass feeler gauges"):
        assert not passwords.right("", text)
    assert not passwords.right("$argon2id$damaged", "x")


def test_two_ways_of_typing_one_letter_are_one_password() -> None:
    """U+00E9 and e with U+0301; the ligature U+FB01 and "fi" (Unicode, NFKC)."""
    kept = passwords.hashed("caf\u00e9 \ufb01ve bearings")
    assert passwords.right(kept, "cafe\u0301 five bearings")


def test_the_real_cost_is_that_of_the_rfc(monkeypatch: pytest.MonkeyPatch) -> None:
    """RFC 9106, section 4, second recommended option: t=3, m=2^16 KiB, p=4."""
    monkeypatch.undo()
    assert (passwords.COST.time, passwords.COST.memory, passwords.COST.lanes) == (3, 2**16, 4)
    cheap = passwords.Cost(1, 64, 1)
    monkeypatch.setattr(passwords, "COST", cheap)
    old = passwords.hashed("four brass feeler gauges")
    assert not passwords.dated(old)
    monkeypatch.undo()
    assert passwords.dated(old)
    start = time.perf_counter()
    assert passwords.right(passwords.hashed("four brass feeler gauges"), "four brass feeler gauges")
    assert time.perf_counter() - start > 0.02, "a try must cost something"
