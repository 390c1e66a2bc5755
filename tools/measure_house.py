"""Reports, without failing, which files and functions have outgrown the house: over 400 and 25 lines."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

LONG_FILE = 400
LONG_FUNCTION = 25


def long_files() -> list[tuple[int, str]]:
    """Source, test and tool files over LONG_FILE lines, the longest first."""
    found = []
    for folder in ("src", "tests", "tools", "bench"):
        for path in (ROOT / folder).rglob("*.py"):
            lines = len(path.read_text(encoding="utf-8").splitlines())
            if lines > LONG_FILE:
                found.append((lines, str(path.relative_to(ROOT))))
    return sorted(found, reverse=True)


def function_lengths() -> list[tuple[int, str]]:
    """Length of every function of the product, its docstring not counted, the longest first."""
    from tools import source

    found = []
    for name in source.modules():
        for node in ast.walk(source.tree(name)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                text = node.body[1:] if ast.get_docstring(node) else node.body
                lines = (text[-1].end_lineno or 0) - text[0].lineno + 1 if text else 0
                found.append((lines, f"{name}.{node.name}"))
    return sorted(found, reverse=True)


def main() -> None:
    """Say what is long."""
    lengths = function_lengths()
    long = [each for each in lengths if each[0] > LONG_FUNCTION]
    middle = lengths[len(lengths) // 2][0]
    print(f"functions: {len(lengths)}, median {middle} lines, {len(long)} over {LONG_FUNCTION}")
    for lines, name in [*long_files(), *long[:5]]:
        print(f"  {lines:4d} lines  {name}")


if __name__ == "__main__":
    main()
