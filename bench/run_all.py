"""Everything measured in one run: `make bench`. It reports; it does not fail."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

PARTS = {
    "film": "film",
    "command": "command_line",
    "page": "page",
    "paper": "paper",
    "plant": "plant",
    "entries": "many_entries",
}
"""Module of each part. The film comes first: its one thread must be settled before numpy comes."""


def main() -> None:
    """Measure and print the table; words on the command line choose among the parts."""
    from bench import clock

    wanted = sys.argv[1:] or list(PARTS)
    rows = []
    for name in wanted:
        print(f"· measuring: {name}", file=sys.stderr, flush=True)
        part = importlib.import_module(f"bench.{PARTS[name]}")
        rows += part.rows()
    clock.show(rows)
    if "film" in wanted:
        importlib.import_module("bench.film").beside()


if __name__ == "__main__":
    main()
