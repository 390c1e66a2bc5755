"""Every named number in the product's source, with the sentence that says where it comes from."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass

from tools import source

FACES = ("whitemetal.words", "whitemetal.drawing", "whitemetal.web", "whitemetal.sheets", "whitemetal.cli")
"""Rooms whose numbers are looks (line weights, paper margins, widths), not figures of the trade."""

TAGS = re.compile(
    r"(?i:common practice|\bderived|from memory|\bour\s+own|\bexact|by definition|\btested)"
    r"|\b(JCGM|ISO|DIN|NIST|MIL-HDBK|MIL-P|RFC|IEEE|US Army|Lubricants)\b"
)
"""A source tag is one of these, somewhere in the number's sentence."""


@dataclass(frozen=True)
class Number:
    """A module's named number or table of numbers. about: the sentence after it, "" when there is none."""

    module: str
    name: str
    value: str
    about: str


def named() -> tuple[Number, ...]:
    """Every named number outside the faces, in the order of the source."""
    found: list[Number] = []
    for module in source.modules():
        if not module.startswith(FACES):
            found.extend(_in_module(module))
    return tuple(found)


def untold() -> list[str]:
    """Named numbers without a sentence, or whose sentence has no source tag."""
    return [
        f"{each.module}.{each.name}: "
        + ("no source tag in its sentence" if each.about else "no sentence after it")
        for each in named()
        if TAGS.search(each.about) is None
    ]


def _in_module(module: str) -> Iterator[Number]:
    """Numbers share the next sentence when they stand directly above each other."""
    waiting: list[Number] = []
    for node in source.tree(module).body:
        name, value = _assigned(node)
        if name is not None and value is not None:
            waiting.append(Number(module, name, _short(value), ""))
            continue
        about = _sentence(node)
        yield from (Number(n.module, n.name, n.value, about) for n in waiting)
        waiting = []
    yield from waiting


def _assigned(node: ast.stmt) -> tuple[str | None, ast.expr | None]:
    if isinstance(node, ast.Assign) and len(node.targets) == 1:
        target, value = node.targets[0], node.value
    elif isinstance(node, ast.AnnAssign) and node.value is not None:
        target, value = node.target, node.value
    else:
        return None, None
    if isinstance(target, ast.Name) and target.id.isupper() and _numeric(value):
        return target.id, value
    return None, None


def _numeric(value: ast.expr) -> bool:
    """True of a number or a table of numbers; not of texts, nor of objects that carry their own source."""
    inner = list(ast.walk(value))
    calls = [ast.unparse(node.func) for node in inner if isinstance(node, ast.Call)]
    if any(call.split(".")[0] not in ("math", "tuple") for call in calls):
        return False
    constants = [node.value for node in inner if isinstance(node, ast.Constant)]
    return any(isinstance(each, int | float) and not isinstance(each, bool) for each in constants)


def _sentence(node: ast.stmt) -> str:
    if (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
    ):
        return " ".join(node.value.value.split())
    return ""


def _short(value: ast.expr) -> str:
    text = ast.unparse(value)
    return text if len(text) <= 160 else text[:157] + "..."
