"""The product's own source, read as trees: its modules and everything they import, however hidden."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src"
PACKAGE = "whitemetal"
DYNAMIC = ("import_module", "__import__")


@cache
def modules() -> dict[str, Path]:
    """Path of every module of the product, by its dotted name."""
    found = {}
    for path in sorted((SOURCE / PACKAGE).rglob("*.py")):
        parts = path.relative_to(SOURCE).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


@cache
def tree(name: str) -> ast.Module:
    """Syntax tree of a module."""
    return ast.parse(modules()[name].read_text(encoding="utf-8"))


@cache
def setting(*keys: str) -> Any:
    """A setting of pyproject.toml, e.g. ``setting("project", "version")``."""
    value: Any = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    for key in keys:
        value = value[key]
    return value


def layers() -> list[set[str]]:
    """The floors of the house from the top down, each with the rooms on it."""
    contract = next(each for each in setting("tool", "importlinter", "contracts") if each["type"] == "layers")
    return [{room.strip() for room in layer.split("|")} for layer in contract["layers"]]


def pure() -> dict[str, list[str]]:
    """The modules that must be pure and what they may not import."""
    contract = next(
        each for each in setting("tool", "importlinter", "contracts") if each["type"] == "forbidden"
    )
    return {"source": contract["source_modules"], "forbidden": contract["forbidden_modules"]}


def imports(name: str) -> set[str]:
    """Dotted names a module imports: at any depth, for typing only, relative, or by a call that imports.

    ``from whitemetal.card import Card`` counts as whitemetal.card, ``from whitemetal import card`` as
    whitemetal.card too, and ``from whitemetal import judge`` (a name of the package itself) as whitemetal.
    """
    return {target for node in ast.walk(tree(name)) for target in _targets(node, name)}


def room(name: str) -> str:
    """The room a module lives in: "gauging" of whitemetal.gauging.wire.facts, "" of the package itself."""
    parts = name.split(".")
    return parts[1] if len(parts) > 1 else ""


def _targets(node: ast.AST, importer: str) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        base = _absolute(node, importer)
        for alias in node.names:
            whole = f"{base}.{alias.name}"
            yield whole if whole in modules() else base
    elif isinstance(node, ast.Call) and _called(node) in DYNAMIC:
        given = node.args[0] if node.args else None
        yield (
            given.value if isinstance(given, ast.Constant) and isinstance(given.value, str) else "(not told)"
        )


def _absolute(node: ast.ImportFrom, importer: str) -> str:
    if not node.level:
        return node.module or ""
    parts = importer.split(".")
    own = parts if modules()[importer].name == "__init__.py" else parts[:-1]
    kept = own[: len(own) - node.level + 1]
    return ".".join([*kept, node.module] if node.module else kept)


def _called(node: ast.Call) -> str:
    function = node.func
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""
