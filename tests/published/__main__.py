"""Prints the table of published cases: case, source, expected, computed, deviation. `make published`."""

from __future__ import annotations

import sys
from collections.abc import Iterator

from tests.published.case import Case
from tools.pages.published_cases import cases


def lines(held: tuple[Case, ...]) -> Iterator[str]:
    """One line a case; OFF at the end of those that deviate by more than is allowed."""
    wide = max(len(case.name) for case in held)
    for case in held:
        off = case.deviation
        digits = len(case.expected.replace("-", "").replace(".", "").lstrip("0")) + 2
        computed = f"{float(case.expected) + off:.{max(digits, 4)}g}"
        mark = "" if abs(off) <= case.allowed else "   OFF"
        yield (f"  {case.name:<{wide}}  {case.expected:>18} {computed:>18} {off:>+10.2g} of {case.allowed:<8.2g}"
               f" {case.unit:<9} {case.source} ({case.tag}){mark}")  # fmt: skip


def main() -> int:
    """Print the cases of the files whose name contains a word of the command line, all without one."""
    bad = 0
    for name, held in cases().items():
        if sys.argv[1:] and not any(word in name for word in sys.argv[1:]):
            continue
        print(f"{name}: case, expected, computed, deviation of what is allowed, unit, source")
        for line in lines(held):
            bad += line.endswith("OFF")
            print(line)
    print(f"{bad} of them off by more than is allowed")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
