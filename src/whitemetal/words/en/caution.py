"""Sentences of the room "caution"."""

MESSAGES: dict[str, str] = {}
