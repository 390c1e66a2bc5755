"""Sentences of the room "card"."""

MESSAGES: dict[str, str] = {}
