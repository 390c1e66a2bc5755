"""Sentences of the room "sheet"."""

MESSAGES: dict[str, str] = {}
