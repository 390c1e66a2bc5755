"""A data sheet as PDF, after the first one."""

from __future__ import annotations

import tempfile
from pathlib import Path

from bench import clock, mill


def rows() -> list[clock.Row]:
    """The sheet of one check, warm."""
    from whitemetal.desk import Desk

    with tempfile.TemporaryDirectory() as name:
        where = Path(name) / "sheet.sqlite3"
        job, check = mill.make(where)
        desk = Desk.open(str(where))
        try:
            return [
                clock.alone("data sheet as PDF, warm", lambda: desk.sheet(job, check), turns=10, under=0.5)
            ]
        finally:
            desk.close()
