"""Everything measured in one run: `make bench`. It reports; it does not fail."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]


def main() -> None:
    """Measure and print the table; words on the command line choose among the parts."""
    from bench import clock, command_line, page, paper

    parts = {"command": command_line, "page": page, "paper": paper}
    wanted = sys.argv[1:] or list(parts)
    rows = []
    for name in wanted:
        print(f"· measuring: {name}", file=sys.stderr, flush=True)
        rows += parts[name].rows()
    clock.show(rows)


if __name__ == "__main__":
    main()
