"""Every sentence the program says exists, is used, and gets the values it has places for."""

from __future__ import annotations

import ast
import re
import string
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from tools import source
from whitemetal.words.en import ROOMS

MESSAGES = {f"{room}.{name}": text for room, said in ROOMS.items() for name, text in said.items()}
NAMED = re.compile(rf"(?:{'|'.join(ROOMS)})\.\w*")
PAGES = ("*.html", "*.svg", "*.js", "*.typ")


@cache
def speaking() -> tuple[str, ...]:
    """Modules that may say something: all but the sentences themselves."""
    return tuple(name for name in source.modules() if not name.startswith("whitemetal.words.en"))


@cache
def page_texts() -> dict[str, str]:
    """Text of every template and script, by its path."""
    found = (path for kind in PAGES for path in (source.SOURCE / source.PACKAGE).rglob(kind))
    return {str(path.relative_to(source.SOURCE)): path.read_text(encoding="utf-8") for path in found}


@cache
def literals() -> set[str]:
    """Every quoted text in the product's source and pages."""
    found = {text for page in page_texts().values() for text in re.findall(r"""["']([^"'\n]*)["']""", page)}
    found |= {name for page in page_texts().values() for name in re.findall(r"""say\(["']([\w.]+)""", page)}
    for name in speaking():
        nodes = ast.walk(source.tree(name))
        found |= {
            node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)
        }
    return found


@cache
def patterns() -> dict[re.Pattern[str], str]:
    """Names of messages put together at run time, e.g. ``f"wire.{code}"``, and where."""
    found = {}
    for name in speaking():
        for call in _says(source.tree(name)):
            text = _pattern(call.args[0])
            if text is not None:
                found[re.compile(text)] = name
    for name, page in page_texts().items():
        for start in re.findall(rf"""["']({NAMED.pattern})["']\s*~""", page):
            found[re.compile(re.escape(start) + "(.+)")] = name
    return found


def _pattern(node: ast.AST) -> str | None:
    """The regular expression of an f-string that begins like a message's name; None of anything else."""
    if not isinstance(node, ast.JoinedStr) or not isinstance(node.values[0], ast.Constant):
        return None
    if NAMED.match(str(node.values[0].value)) is None:
        return None
    parts = [re.escape(str(p.value)) if isinstance(p, ast.Constant) else "(.+)" for p in node.values]
    return "".join(parts)


def _says(tree: ast.AST) -> Iterator[ast.Call]:
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id == "say"
            and node.args
        ):
            yield node


@dataclass(frozen=True)
class Said:
    """One sentence said. given: names of the values it gets, None when they are not told apart (``**values``)."""

    where: str
    name: str
    given: frozenset[str] | None


@dataclass(frozen=True)
class Wrapper:
    """A function that puts its own parameter number ``index`` into a message's name."""

    index: int
    shape: str
    given: frozenset[str]
    passes_on: bool


def said() -> Iterator[Said]:
    """Every call of ``say`` with a message named in full, directly or through a wrapper."""
    for module in speaking():
        wrappers = dict(_wrappers(source.tree(module)))
        wrappers["say"] = Wrapper(0, "{}", frozenset(), True)
        for node in ast.walk(source.tree(module)):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in wrappers:
                yield from _said(module, node, wrappers[node.func.id])


def _said(module: str, call: ast.Call, wrapper: Wrapper) -> Iterator[Said]:
    given = call.args[wrapper.index] if wrapper.index < len(call.args) else None
    if not isinstance(given, ast.Constant) or not isinstance(given.value, str):
        return
    named = {keyword.arg for keyword in call.keywords}
    told = None if None in named else frozenset(each for each in named if each)
    values = None if told is None else wrapper.given | (told if wrapper.passes_on else frozenset())
    yield Said(f"{module}:{call.lineno}", wrapper.shape.format(given.value), values)


def _wrappers(tree: ast.Module) -> Iterator[tuple[str, Wrapper]]:
    for function in ast.walk(tree):
        if not isinstance(function, ast.FunctionDef):
            continue
        names = [argument.arg for argument in function.args.args]
        for call in _says(function):
            name = call.args[0]
            if not isinstance(name, ast.JoinedStr) or _pattern(name) is None:
                continue
            holes = [part.value for part in name.values if isinstance(part, ast.FormattedValue)]
            if len(holes) == 1 and isinstance(holes[0], ast.Name) and holes[0].id in names:
                shape = "".join(str(p.value) if isinstance(p, ast.Constant) else "{}" for p in name.values)
                own = frozenset(keyword.arg for keyword in call.keywords if keyword.arg)
                passes_on = any(keyword.arg is None for keyword in call.keywords)
                yield function.name, Wrapper(names.index(holes[0].id), shape, own, passes_on)


def places(text: str) -> set[str]:
    """Names of the placeholders of a message."""
    return {name.split(".")[0].split("[")[0] for _, name, _, _ in string.Formatter().parse(text) if name}


def test_every_message_said_exists() -> None:
    assert [f"{each.where} says {each.name}" for each in said() if each.name not in MESSAGES] == []


def test_every_message_named_on_a_page_exists() -> None:
    unknown = []
    for path, page in page_texts().items():
        names = re.findall(rf"""\bsay\(\s*["']({NAMED.pattern})["']\s*[,)]""", page)
        unknown += [f"{path} says {name}" for name in names if name not in MESSAGES]
    assert unknown == []


def test_every_name_put_together_can_be_a_message() -> None:
    lost = [f"{where}: {p.pattern}" for p, where in patterns().items() if not any(map(p.fullmatch, MESSAGES))]
    assert lost == []


def test_every_message_is_used() -> None:
    assert [name for name in MESSAGES if not _used(name)] == []


def _used(name: str) -> bool:
    if name in literals():
        return True
    for pattern in patterns():
        match = pattern.fullmatch(name)
        if match and all(
            part in literals() or part.replace("_", " ") in literals() for part in match.groups()
        ):
            return True
    return False


def test_every_place_in_a_message_is_filled() -> None:
    empty = []
    for each in said():
        missing = places(MESSAGES.get(each.name, "")) - (each.given or frozenset())
        if missing and each.given is not None:
            empty.append(f"{each.where}: {each.name} lacks {', '.join(sorted(missing))}")
    assert empty == []


def test_messages_are_clean_text() -> None:
    """A fragment may begin with a blank; nothing ends with one or holds two."""
    wrong = [name for name, text in MESSAGES.items() if text != text.rstrip() or "  " in text or not text]
    assert wrong == []


def test_no_sentence_says_degc_or_degf_but_where_it_is_to_be_typed_so() -> None:
    """On the command line, and in a column's answer, the ASCII name is what is typed."""
    typed = {"run_in.help_column", "run_in.a_column", "examples.film"}
    said = [key for key, text in MESSAGES.items() if re.search(r"\bdeg[CF]\b", text)]
    assert set(said) == typed
