"""A copy that came out other than the record it was made from is refused, whatever spoilt it on the way."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.ledger.test_copying import a_plant
from tests.records import place_of
from whitemetal.desk import copies
from whitemetal.errors import ChainBroken
from whitemetal.ledger import copying

Rows = list[dict[str, Any]]


def a_word(table: str, rows: Rows) -> None:
    for row in rows if table == "entry" else ():
        row["content"] = row["content"].replace("0,230 mm", "0,239 mm")


def a_photograph(table: str, rows: Rows) -> None:
    for row in rows if table == "kept_file" else ():
        row["content"] = b"\xff\xd8 another"


def a_whole_device(table: str, rows: Rows) -> None:
    """What the laptop wrote, with all that points at it: no chain that is left is broken by that."""
    if table == "entry":
        gone.update(row["receipt"] for row in rows if row["device"] == "laptop" and row["book"] == "plant")
    rows[:] = [
        row
        for row in rows
        if row.get("receipt") not in gone and (row.get("device"), row.get("book")) != ("laptop", "plant")
    ]


gone: set[int] = set()


class Spoiling:
    """A connection through which rows do not come as they were sent."""

    def __init__(self, connection: Any, table: str, spoil: Callable[[str, Rows], None]) -> None:
        self.connection, self.table, self.spoil = connection, table, spoil

    def execute(self, statement: Any, rows: Rows) -> None:
        self.spoil(self.table, rows)
        if rows:
            self.connection.execute(statement, rows)


@pytest.mark.parametrize("spoil", [a_word, a_photograph, a_whole_device])
def test_what_was_spoilt_while_it_was_copied_is_found_at_the_other_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spoil: Callable[[str, Rows], None]
) -> None:
    a_plant(tmp_path / "first")
    plain = copying._copy_table

    def spoilt(here: Any, there: Any, table: Any, tell: Any) -> None:
        plain(here, Spoiling(there, table.name, spoil), table, tell)  # type: ignore[arg-type]

    gone.clear()
    monkeypatch.setattr(copying, "_copy_table", spoilt)
    file = tmp_path / "copy.file"
    with pytest.raises(ChainBroken):
        copies.backup(place_of(tmp_path / "first"), str(file))
    assert [path.name for path in tmp_path.iterdir() if "copy.file" in path.name] == []
