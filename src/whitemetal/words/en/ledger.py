"""Sentences of the room "ledger"."""

MESSAGES: dict[str, str] = {}
