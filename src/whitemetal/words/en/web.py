"""Sentences of the room "web"."""

MESSAGES: dict[str, str] = {}
