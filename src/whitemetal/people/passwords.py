"""Passwords: Argon2id (RFC 9106), and what a password must be."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from argon2 import PasswordHasher

SHORTEST = 12
"""Characters a password has at least. Our own: more than the 8 of OWASP ASVS 5.0, 6.2.1."""

LONGEST = 128
"""Characters a password may have: more than the 64 that OWASP ASVS 5.0, 6.2.9 asks to permit. Our own."""


@dataclass(frozen=True)
class Cost:
    """What one try costs. time: passes; memory: KiB; lanes: threads."""

    time: int = 3
    memory: int = 65536
    lanes: int = 4


COST = Cost()
"""The second recommended option of RFC 9106, section 4: 3 passes, 64 MiB, 4 lanes."""


def hashed(password: str) -> str:
    """The password's hash in the form of its own algorithm, with salt and cost."""
    return _hasher(COST).hash(plain(password))


def right(kept: str, password: str) -> bool:
    """Whether the password is the one that was kept. An empty ``kept`` costs the same and is never right."""
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return _hasher(COST).verify(kept or _nobody(COST), plain(password)) and bool(kept)
    except (VerificationError, InvalidHashError):
        return False


def dated(kept: str) -> bool:
    """Whether a hash was made at another cost than today's, so that it should be made anew."""
    return _hasher(COST).check_needs_rehash(kept)


def stretched(password: str, salt: bytes) -> bytes:
    """32 bytes of key out of a password."""
    from argon2.low_level import Type, hash_secret_raw

    return hash_secret_raw(
        plain(password).encode(), salt, COST.time, COST.memory, COST.lanes, hash_len=32, type=Type.ID
    )


def plain(password: str) -> str:
    """The password in one form of Unicode (NFKC), as every keyboard should give it."""
    return unicodedata.normalize("NFKC", password)


def must_be_good(password: str, name: str) -> None:
    """Raises InputError on a password too short, too long or easily guessed. It is never handed back."""
    text = plain(password)
    if not SHORTEST <= len(text) <= LONGEST:
        raise InputError(Problem("password", "", say("people.password_length", least=SHORTEST, most=LONGEST)))
    if _guessed(text.casefold(), name):
        raise InputError(Problem("password", "", say("people.password_guessed")))


def _guessed(text: str, name: str) -> bool:
    own = {word for word in name.casefold().split() if len(word) > 2} | {"whitemetal", "babbitt", "bearing"}
    rest = text
    for word in (*own, *GUESSED):
        rest = rest.replace(word, "")
    letters = "".join(letter for letter in rest if letter.isalpha())
    return len(set(text)) < 5 or _runs(text) or (rest != text and len(letters) < 4 and len(rest) < 8)


def _runs(text: str) -> bool:
    """Whether most of it only counts up or down, like "abcdefghijkl"."""
    steps = [ord(b) - ord(a) for a, b in pairwise(text)]
    return bool(steps) and sum(step in (-1, 0, 1) for step in steps) > 0.7 * len(steps)


GUESSED = (
    "password", "passwort", "passw0rd", "letmein", "welcome", "qwerty", "qwertz", "azerty", "asdfgh",
    "admin", "iloveyou", "monkey", "dragon", "sunshine", "princess", "football",
    "baseball", "master", "login", "secret", "trustno1", "changeme", "default", "123456",
    "654321", "111111", "000000", "abc123", "zaq12wsx", "1q2w3e4r",
)  # fmt: skip
"""Words people choose; a password that is one of these with a little around it is refused. From memory."""


@cache
def _hasher(cost: Cost) -> PasswordHasher:
    from argon2 import PasswordHasher

    return PasswordHasher(cost.time, cost.memory, cost.lanes)


@cache
def _nobody(cost: Cost) -> str:
    return _hasher(cost).hash("nobody has this password")
