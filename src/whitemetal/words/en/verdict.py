"""Sentences of the room "verdict"."""

MESSAGES: dict[str, str] = {}
