"""The commands ``plan`` and ``order``: what to do to a bearing, and what to order of the machine shop."""

from __future__ import annotations

import argparse
import sys
import tomllib
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from whitemetal.card import Card
from whitemetal.cli.files import FileInputError, card_of, form_of, read_bytes, write_bytes
from whitemetal.cli.screen import Screen, screen_for
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.fitting.bore_order import Order
    from whitemetal.fitting.plan import Plan
    from whitemetal.gauging.readings_file import ReadingsFile


def show_plan(options: argparse.Namespace, emit: Any, emit_json: Any) -> int:
    """Plan and show it; 0. emit, emit_json: print lines, and a JSON value. Raises InputError."""
    from whitemetal.job.plan_json import plan_json
    from whitemetal.job.planning import plan_alone

    _one_stdin(options.card, options.readings, options.crush)
    card = card_of(options.card)
    method, taken = _taken(card, options.readings, "wire")
    crush = _taken(card, options.crush, "crush")[1] if options.crush else None
    plan = plan_alone(card, taken, method=method, crush=crush, texts=_texts(card, options))
    if options.json:
        emit_json(plan_json(plan))
    else:
        screen = screen_for(sys.stdout, options.plain)
        emit([*plan_lines(card, plan, screen), *taken.notes], screen)
    return 0


def show_order(options: argparse.Namespace, emit: Any, emit_json: Any) -> int:
    """Work out the order and show it, or write it as PDF; 0. Raises InputError."""
    from whitemetal.job.plan_json import order_json
    from whitemetal.job.planning import order_alone

    _one_stdin(options.card, options.readings or "")
    card = card_of(options.card)
    method, taken = _taken(card, options.readings, "journal") if options.readings else ("journal", None)
    order = order_alone(card, taken, method=method, part=options.part, grade=options.grade)
    if options.output:
        from whitemetal.sheets.bore_order import bore_order_sheet
        from whitemetal.version import VERSION

        made = bore_order_sheet(card, order, version=VERSION)
        write_bytes(options.output, made)
        if options.output != "-":
            print(say("terminal.sheet_done", name=options.output, size=len(made) // 1000))
    elif options.json:
        emit_json(order_json(card, order))
    else:
        screen = screen_for(sys.stdout, options.plain)
        emit(list(order_lines(card, order, screen)), screen)
    return 0


def _one_stdin(*names: str) -> None:
    if names.count("-") > 1:
        raise InputError(Problem("-", "-", say("terminal.one_stdin")))


def _taken(card: Card, where: str, usual: str) -> tuple[str, ReadingsFile]:
    """A readings file and the method it names. Raises FileInputError."""
    from whitemetal.gauging import METHODS
    from whitemetal.gauging.readings_file import read_csv, read_toml

    data = read_bytes(where)
    if form_of(where, data) == "csv":
        named, taken = usual, read_csv(data, card, METHODS[usual])
    else:
        named = _method(data) or usual
        if named not in METHODS:
            raise FileInputError(where, Problem("method", named, ", ".join(METHODS)))
        taken = read_toml(data, card, METHODS[named])
    if taken.problems:
        raise FileInputError(where, *taken.problems)
    return named, taken


def _method(data: bytes) -> str:
    """The method a TOML file names; "" where it cannot be read, which its reader then says."""
    try:
        return str(tomllib.loads(data.decode("utf-8-sig")).get("method", ""))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError):
        return ""


def _texts(card: Card, options: argparse.Namespace) -> dict[str, str]:
    """What was typed, by the keys of `fitting.plan_typed`. A pack without a joint lies in the only one."""
    from whitemetal.fitting.shim_effect import joints_for_shims

    texts = {
        "stock": options.stock, "lining": options.lining, "contact": options.contact,
        "contact_passes": options.contact_passes,
    }  # fmt: skip
    joints = joints_for_shims(card)
    for typed in options.inside:
        joint, mark, sizes = typed.partition(":")
        if not mark and len(joints) == 1:
            joint, sizes = joints[0], typed
        if joint.strip() not in joints:
            known = ", ".join(joints) or say("plan.no_stock")
            raise InputError(Problem("--in", typed, say("plan.in_which", joints=known)))
        texts[f"in.{joint.strip()}"] = sizes
    return texts


def plan_lines(card: Card, plan: Plan, screen: Screen) -> Iterator[str]:
    """The plan as text."""
    yield screen.heading(f"{card.machine.tag}  {card.machine.name}, {card.bearing.position}")
    yield ""
    if plan.works:
        yield from _steps(plan, screen)
    else:
        yield screen.heading(say("plan.nothing_works"))
        yield from _list(plan.because, screen)
        yield from screen.wrapped(say("plan.each_needed"), "  ", "  ")
        yield ""
        yield screen.heading(say("plan.way_out"))
        yield from _list(plan.way_out, screen)
    yield ""
    yield from _foreseen(card, plan, screen)
    if plan.remarks:
        yield ""
        yield from _list(plan.remarks, screen)
    yield ""
    yield screen.heading(say("plan.assumptions"))
    yield from _list([f"{one.text} ({one.source})" for one in plan.assumptions], screen)
    if plan.proof is not None:
        yield say(
            "plan.proven", status=plan.proof.status, programmes=plan.proof.programmes, nodes=plan.proof.nodes
        )
    yield from screen.wrapped(say("caution.defer"))


def _steps(plan: Plan, screen: Screen) -> Iterator[str]:
    yield screen.heading(say("plan.steps"))
    for number, step in enumerate(plan.steps, 1):
        yield from screen.wrapped(step.text, f"  {number}. ", "     ")
        for text in step.then:
            yield from screen.wrapped(text, "     - ", "       ")


def _foreseen(card: Card, plan: Plan, screen: Screen) -> Iterator[str]:
    from whitemetal.fitting.plan_words import length

    seen = plan.prediction
    how = {"within limits": "good", "outside limits": "bad"}
    yield f"{say('plan.foreseen')}: " + screen.paint(seen.word.upper(), how.get(seen.word, "open"))
    if seen.crush_word is not None:
        word = screen.paint(seen.crush_word.upper(), how.get(seen.crush_word, "open"))
        yield f"{say('plan.crush_then')}: " + word
    width = max(len(one.where) for one in seen.clearance)
    for one in (*seen.clearance, *seen.crush):
        crush = one in seen.crush
        name = f"{say('plan.crush')} {one.where}".strip() if crush else one.where
        yield f"  {name.ljust(width)}  {length(card, one.before)} -> {length(card, one.after)}"


def _list(texts: tuple[str, ...] | list[str], screen: Screen) -> Iterator[str]:
    for text in texts:
        yield from screen.wrapped(text, "  - ", "    ")


def order_lines(card: Card, order: Order, screen: Screen) -> Iterator[str]:
    """The order as text."""
    from whitemetal.fitting import bore_order_words as words

    yield screen.heading(f"{card.machine.tag}  {card.machine.name}, {card.bearing.position}")
    yield screen.heading(words.title(order))
    yield ""
    for text in words.warnings(card, order):
        yield from screen.wrapped(text, "  ! ", "    ")
    for line in words.lines(card, order):
        told = f"{line.text} ({line.source})" if line.source else line.text
        yield from screen.wrapped(told, f"  {line.label}: ", "    ")
    yield ""
    yield from screen.wrapped(say("bore_order.temperature_head"), "  ", "  ")
    head, rows = words.temperatures(card, order)
    for row in (head, *rows):
        yield "    " + "  ".join(text.ljust(12) for text in row).rstrip()
    yield from screen.wrapped(say("bore_order.defer"))
