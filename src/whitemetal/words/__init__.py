"""Every sentence the program says, in one folder: another language is another folder beside ``en``.

One file a room (card, wire, verdict, ...), each a plain dict ``MESSAGES``. A message is named
``room.name``; its placeholders are ``{named}``. A test proves that every message used exists and
that every one that exists is used.
"""

from __future__ import annotations

from whitemetal.words.en import ROOMS


def say(name: str, /, **values: object) -> str:
    """The message ``room.name`` with its placeholders filled. Raises KeyError when there is none."""
    room, _, message = name.partition(".")
    return ROOMS[room][message].format(**values)


def has_words(room: str, message: str) -> bool:
    """Whether a room has this message."""
    return message in ROOMS[room]
