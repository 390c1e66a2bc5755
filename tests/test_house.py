"""The rules of the house that no linter proves: what may be imported, named, said and written where."""

from __future__ import annotations

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tools import source

LUMBER = {"utils", "util", "helpers", "helper", "common", "manager", "managers", "misc"}
READS_OR_SHOWS = {"open", "print", "input", "exec", "eval", "__import__", "breakpoint"}
NOT_PURE = {
    "now",
    "today",
    "utcnow",
    "random",
    "default_rng",
    "save",
    "savetxt",
    "loadtxt",
    "fromfile",
    "tofile",
    "genfromtxt",
}
"""Attributes that a pure module does not touch: clocks, dice and files of the libraries it may import."""


def pure_modules() -> list[str]:
    roots = tuple(source.pure()["source"])
    return [name for name in source.modules() if name.startswith(roots) and _under(name, roots)]


def _under(name: str, roots: tuple[str, ...]) -> bool:
    return any(name == root or name.startswith(root + ".") for root in roots)


def test_the_layers_name_every_room() -> None:
    rooms = {source.room(name) for name in source.modules()} - {""}
    assert rooms - set().union(*source.layers()) == set()


def test_imports_point_down_and_siblings_do_not_see_each_other() -> None:
    """Function-level, typing-only and dynamic imports count; so does the package's own front door."""
    floor = {room: depth for depth, rooms in enumerate(source.layers()) for room in rooms}
    upward = []
    for name in source.modules():
        here = source.room(name)
        if not here:
            continue
        for target in source.imports(name):
            there = source.room(target)
            own = target == source.PACKAGE or target.startswith(source.PACKAGE + ".")
            if own and there != here and floor.get(there, -1) <= floor[here]:
                upward.append(f"{name} imports {target}")
    assert upward == []


def test_nothing_is_imported_by_a_name_made_up_at_run_time() -> None:
    hidden = [name for name in source.modules() if "(not told)" in source.imports(name)]
    assert [name for name in hidden if name != source.PACKAGE] == []


def test_no_import_loops() -> None:
    graph = {name: source.imports(name) & set(source.modules()) for name in source.modules()}
    assert list(_loops(graph)) == []


def _loops(graph: dict[str, set[str]]) -> Iterator[str]:
    for start in graph:
        seen, waiting = set(), list(graph[start] - {start})
        while waiting:
            name = waiting.pop()
            if name == start:
                yield start
                break
            if name not in seen:
                seen.add(name)
                waiting.extend(graph[name])


@pytest.mark.parametrize("name", pure_modules())
def test_from_job_down_nothing_but_arguments(name: str) -> None:
    forbidden = set(source.pure()["forbidden"])
    outside = {target.split(".")[0] for target in source.imports(name)} & forbidden
    touched = {node.id for node in ast.walk(source.tree(name)) if isinstance(node, ast.Name)} & READS_OR_SHOWS
    reached = {
        node.attr for node in ast.walk(source.tree(name)) if isinstance(node, ast.Attribute)
    } & NOT_PURE
    assert (outside, touched, reached) == (set(), set(), set())


def test_rooms_carry_nouns_of_the_trade() -> None:
    parts = {part for name in source.modules() for part in name.split(".")}
    assert parts & LUMBER == set()


def test_every_public_name_has_a_docstring() -> None:
    bare = [
        name
        for name in source.modules()
        if not _excused(name) and ast.get_docstring(source.tree(name)) is None
    ]
    for name in source.modules():
        bare.extend(f"{name}.{found}" for found in _undocumented(source.tree(name).body))
    assert bare == []


def _excused(name: str) -> bool:
    return not source.modules()[name].read_text(encoding="utf-8").strip()


def _undocumented(body: list[ast.stmt], inside: str = "") -> Iterator[str]:
    for node in body:
        if not isinstance(
            node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef
        ) or node.name.startswith("_"):
            continue
        if ast.get_docstring(node) is None and not _told_by_its_class(node):
            yield inside + node.name
        if isinstance(node, ast.ClassDef):
            yield from _undocumented(node.body, f"{inside}{node.name}.")


def _told_by_its_class(node: ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) -> bool:
    """A property may be told in its class's docstring; an overload in its function's."""
    marks = {ast.unparse(decorator).split(".")[-1] for decorator in node.decorator_list}
    return bool(marks & {"property", "cached_property", "overload"})


FOUNDING = re.compile(
    r"trans[c]ript|seed docu[m]ent|training vid[e]o|(py[p]i|n[p]mjs|deb[i]an)[.](org|com)|pythonhoste[d]"
    r"|/(w[o]rk|f[a]rm)/|/tm[p]/wm|[.][.]/shar[e]d|shar[e]d/|trad[e][.]md|desig[n][.]md|stac[k][.]md"
    r"|film-check[s]|issu[e] [0-9]|bluepr[i]nt|/hom[e]/|/roo[t]/",
    re.IGNORECASE,
)
"""No source of the founding kind, no registry's host, no path of one machine. It does not match itself."""

NOT_TEXT = {".png", ".jpg", ".pdf", ".woff2", ".ttf", ".otf", ".ico", ".sqlite3", ".pyc"}


def kept_files() -> list[Path]:
    """Every text file that is kept in the repository, or would be with the next commit."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    answer = subprocess.run(command, cwd=source.ROOT, capture_output=True, check=False)
    if answer.returncode != 0:
        pytest.skip("not a checkout of the repository")
    paths = [source.ROOT / name for name in answer.stdout.decode().split("\0") if name]
    return [path for path in paths if path.suffix not in NOT_TEXT and path.is_file()]


def test_no_file_names_where_it_came_from() -> None:
    found = []
    for path in kept_files():
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            if FOUNDING.search(line):
                found.append(f"{path.relative_to(source.ROOT)}:{number}: {line.strip()[:80]}")
    assert found == []


def test_the_word_search_can_find() -> None:
    for text in (
        "see Transcrip" + "t 4",
        "https://pyp" + "i.org/simple",
        "/wor" + "k/main/x",
        "issu" + "e 2",
    ):
        assert FOUNDING.search(text)


def test_the_program_never_calls_a_bearing_safe() -> None:
    """No sentence for people speaks of safety at all: "not unsafe" would be a promise too."""
    from whitemetal.words.en import ROOMS

    promises = [
        f"{room}.{name}" for room, said in ROOMS.items() for name, text in said.items() if _safe(text)
    ]
    assert promises == []


def _safe(text: str) -> bool:
    return re.search(r"\b(un)?safe(ly|ty)?\b", text, re.IGNORECASE) is not None
