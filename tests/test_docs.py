"""The pages of docs/ that are made from the code are up to date, and nothing they list is undocumented."""

from __future__ import annotations

from tools import write_docs


def test_generated_pages_are_up_to_date() -> None:
    texts, _ = write_docs.collect()
    assert write_docs.stale(texts) == []


def test_nothing_is_undocumented() -> None:
    _, gaps = write_docs.collect()
    assert gaps == []
