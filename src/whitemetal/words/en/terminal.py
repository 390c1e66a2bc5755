"""Sentences of the room "terminal"."""

MESSAGES: dict[str, str] = {}
