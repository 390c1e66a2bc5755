"""The answers in docs/asvs.md: every line of the standard answered once, every test and file named there is."""

from __future__ import annotations

import ast
import re
from collections import Counter
from functools import cache

import pytest

from tools import source

DOCS = source.ROOT / "docs"
LEVEL_TWO = 253
"""Requirements of levels 1 and 2 in ASVS 5.0.0: 70 and 183 (its own list)."""

PER_CHAPTER = {
    1: 27, 2: 11, 3: 19, 4: 10, 5: 9, 6: 35, 7: 18, 8: 7, 9: 7, 10: 29, 11: 14, 12: 9, 13: 13, 14: 9, 15: 13,
    16: 16, 17: 7,
}  # fmt: skip
"""Counted in the standard's own list, chapter by chapter."""


@cache
def rows() -> list[list[str]]:
    text = (DOCS / "asvs.md").read_text(encoding="utf-8")
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines()]
    return [row for row in cells if re.fullmatch(r"\d+\.\d+\.\d+", row[0])]


def test_every_line_is_answered_once() -> None:
    numbers = [row[0] for row in rows()]
    assert len(numbers) == len(set(numbers)) == LEVEL_TWO == sum(PER_CHAPTER.values())
    assert Counter(int(number.split(".")[0]) for number in numbers) == PER_CHAPTER
    assert numbers == sorted(numbers, key=lambda number: [int(part) for part in number.split(".")])


def test_every_answer_is_one_of_four_and_has_its_reason() -> None:
    assert {row[2] for row in rows()} <= {"yes", "partly", "no", "does not apply"}
    assert [row[0] for row in rows() if len(row) != 4 or not row[3].endswith((".", "`", "report)"))] == []


def test_the_sums_at_the_top_are_those_of_the_lines() -> None:
    text = (DOCS / "asvs.md").read_text(encoding="utf-8")
    found = Counter(row[2] for row in rows())
    told = [found[answer] for answer in ("yes", "partly", "no", "does not apply")]
    assert "| " + " | ".join(map(str, [*told, LEVEL_TWO])) + " |" in text


def named() -> list[str]:
    texts = [row[3] for row in rows()]
    return sorted({name for text in texts for name in re.findall(r"`((?:tests|tools)/[\w/.:]+)`", text)})


@pytest.mark.parametrize("name", named())
def test_what_is_named_is_there(name: str) -> None:
    path, _, test = name.partition("::")
    file = source.ROOT / path
    assert file.exists()
    if test:
        nodes = ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        assert test in {node.name for node in nodes if isinstance(node, ast.FunctionDef)}


def test_it_names_enough() -> None:
    assert len(named()) > 50
