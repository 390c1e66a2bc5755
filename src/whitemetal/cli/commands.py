"""What each command does. Heavy imports stand inside, so that a light command stays light."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Mapping
from dataclasses import asdict, is_dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from whitemetal.card import Card, write_card
from whitemetal.cli.copies import copy, said_once, where_kept, where_there
from whitemetal.cli.files import FileInputError, card_of, facts_of, form_of, read_bytes, write_bytes
from whitemetal.cli.screen import screen_for
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.cli.options import Serve
    from whitemetal.cli.screen import Screen
    from whitemetal.fitting.verdict import Policy
    from whitemetal.gauging import Method
    from whitemetal.gauging.readings_file import ReadingsFile
    from whitemetal.job.judgement import Judgement


def do_judge(options: argparse.Namespace, serve: Serve) -> int:
    """judge CARD READINGS"""
    card, _, taken, judgement = _judged(options)
    if options.json:
        from whitemetal.job.judgement_json import as_json

        _print_json(as_json(judgement))
        _aside(taken.notes)
        return 0
    from whitemetal.cli.judgement_text import judgement_lines

    screen = screen_for(sys.stdout, options.plain)
    _print([*judgement_lines(judgement, card, taken.places, taken.readings, screen), *taken.notes], screen)
    return 0


def _judged(options: argparse.Namespace) -> tuple[Card, Method, ReadingsFile, Judgement]:
    from whitemetal.gauging import method_named
    from whitemetal.job.judge import judge_readings

    card, method = _card_and(options), method_named(options.method)
    taken = _taken(options, card, method)
    policy = _policy(options)
    judgement = judge_readings(method, card, taken.places, taken.facts, taken.readings, policy=policy)
    return card, method, taken, judgement


def _card_and(options: argparse.Namespace) -> Card:
    if [options.card, options.readings, options.facts].count("-") > 1:
        raise InputError(Problem("-", "-", say("terminal.one_stdin")))
    return card_of(options.card)


def _taken(options: argparse.Namespace, card: Card, method: Method) -> ReadingsFile:
    """The readings file with the facts given beside it. Raises InputError with the file's name."""
    from whitemetal.gauging.readings_file import read_csv, read_toml

    facts = {**_facts_file(options, card, method), **facts_of(options.fact)}
    data = read_bytes(options.readings)
    read = read_csv if form_of(options.readings, data) == "csv" else read_toml
    taken = read(data, card, method, facts=facts, unit=options.unit, instrument=options.instrument)
    if taken.problems:
        raise FileInputError(options.readings, *taken.problems)
    return taken


def _facts_file(options: argparse.Namespace, card: Card, method: Method) -> Mapping[str, str]:
    from whitemetal.gauging.readings_file import read_toml

    if not options.facts:
        return {}
    found = read_toml(read_bytes(options.facts), card, method, unit=options.unit, only_facts=True)
    if found.problems:
        raise FileInputError(options.facts, *found.problems)
    return {key: fact.text for key, fact in found.facts.items()}


def _policy(options: argparse.Namespace) -> Policy:
    from whitemetal.fitting.verdict import Policy

    if options.rule != "simple":
        return Policy()
    if not options.by.strip():
        raise InputError(Problem("--by", "", say("terminal.by_needed")))
    return Policy("simple acceptance", options.by, options.why)


def do_wire(options: argparse.Namespace, serve: Serve) -> int:
    """wire CARD"""
    card = card_of(options.card)
    from whitemetal.fitting.wire_choice import advise

    advice = advise(card)
    if options.json:
        _print_json({"format": "whitemetal.advice/1", **_si(asdict(advice))})
        return 0
    from whitemetal.cli.card_text import advice_lines

    screen = screen_for(sys.stdout, options.plain)
    _print(advice_lines(card, advice, screen), screen)
    return 0


_LENGTHS = ("expected", "wire", "wires", "piece", "u", "expanded", "accept", "left", "axial")


def _si(values: dict[str, Any]) -> dict[str, Any]:
    """Keys of lengths end in _m, of angles in _rad. A place's piece is a name, no length."""
    named = {}
    for key, value in values.items():
        is_length = key in _LENGTHS and not isinstance(value, str)
        name = f"{key}_m" if is_length else f"{key}_rad" if key == "angle" else key
        named[name] = [_si(each) for each in value] if key == "places" else value
    return named


def do_card(options: argparse.Namespace, serve: Serve) -> int:
    """card CARD"""
    card = card_of(options.card)
    if options.toml:
        _print_toml(write_card(card))
        return 0
    from whitemetal.cli.card_text import card_lines

    screen = screen_for(sys.stdout, options.plain)
    _print(card_lines(card, screen), screen)
    return 0


def do_blank(options: argparse.Namespace, serve: Serve) -> int:
    """blank CARD --method KEY"""
    from whitemetal.cli.blank import blank

    return blank(options)


def do_methods(options: argparse.Namespace, serve: Serve) -> int:
    """methods"""
    from whitemetal.cli.blank import methods_lines

    screen = screen_for(sys.stdout, options.plain)
    _print(methods_lines(screen), screen)
    return 0


def do_sheet(options: argparse.Namespace, serve: Serve) -> int:
    """sheet CARD [READINGS] -o FILE"""
    from whitemetal.version import VERSION

    if options.readings is None:
        from whitemetal.desk.papers import blank_sheet
        from whitemetal.gauging import method_named

        pdf = blank_sheet(card_of(options.card), method_named(options.method), VERSION)
    else:
        from whitemetal.job.judgement_json import as_json
        from whitemetal.sheets import JobHead, data_sheet

        card, method, taken, judgement = _judged(options)
        purpose = taken.facts["purpose"].text if "purpose" in taken.facts else ""
        pdf = data_sheet(
            as_json(judgement), card, method, places=taken.places, readings=taken.readings, facts=taken.facts,
            job=JobHead(purpose=purpose), version=VERSION,
        )  # fmt: skip
        _aside(taken.notes)
    write_bytes(options.output, pdf)
    if options.output != "-":
        print(say("terminal.sheet_done", name=options.output, size=len(pdf) // 1000))
    return 0


def do_agree(options: argparse.Namespace, serve: Serve) -> int:
    """agree CARD READINGS..."""
    from whitemetal.cli.agreement import show

    return show(options, _print, _print_json)


def do_plan(options: argparse.Namespace, serve: Serve) -> int:
    """plan CARD READINGS"""
    from whitemetal.cli.plan import show_plan

    return show_plan(options, _print, _print_json)


def do_order(options: argparse.Namespace, serve: Serve) -> int:
    """order CARD [READINGS]"""
    from whitemetal.cli.plan import show_order

    return show_order(options, _print, _print_json)


def do_procedure(options: argparse.Namespace, serve: Serve) -> int:
    """procedure CARD"""
    from whitemetal.cli.procedure import show_procedure

    return show_procedure(options, _print, _print_json)


def do_film(options: argparse.Namespace, serve: Serve) -> int:
    """film CARD [READINGS]"""
    from whitemetal.cli.film import show

    return show(options, "film", _print)


def do_window(options: argparse.Namespace, serve: Serve) -> int:
    """window CARD [READINGS]"""
    from whitemetal.cli.film import show

    return show(options, "window", _print)


def do_schema(options: argparse.Namespace, serve: Serve) -> int:
    """schema [card|readings|judgement]"""
    from whitemetal.card import card_schema

    schemas: dict[str, Any] = {"card": card_schema()}
    if options.what != "card":
        from whitemetal.gauging import method_named
        from whitemetal.gauging.readings_file import readings_schema
        from whitemetal.job.judgement_schema import judgement_schema

        schemas["readings"] = readings_schema(method_named(options.method))
        schemas["judgement"] = judgement_schema()
    _print_json(schemas[options.what] if options.what else schemas)
    return 0


def do_verify(options: argparse.Namespace, serve: Serve) -> int:
    """verify RECORD | FILE"""
    from whitemetal.cli.record import verify

    return verify(where_there(said_once("verify", options.kept, options.database), "RECORD"), options.keys)


def do_people(options: argparse.Namespace, serve: Serve) -> int:
    """people WHAT [NAME]"""
    from whitemetal.cli.people import do_people as done

    return done(options)


def do_move(options: argparse.Namespace, serve: Serve) -> int:
    """move FROM TO"""
    return copy(options)


def do_backup(options: argparse.Namespace, serve: Serve) -> int:
    """backup [RECORD] FILE"""
    return copy(options)


def do_restore(options: argparse.Namespace, serve: Serve) -> int:
    """restore FILE TO"""
    return copy(options)


def do_demo(options: argparse.Namespace, serve: Serve) -> int:
    """demo --into FILE | --files FOLDER [--serve]"""
    from whitemetal.cli.record import demo

    return demo(options, serve)


def do_tell(options: argparse.Namespace, serve: Serve) -> int:
    """tell --to ADDRESS"""
    from whitemetal.cli.tell import tell

    return tell(options)


def do_follow(options: argparse.Namespace, serve: Serve) -> int:
    """follow FILE --job NUMBER --by NAME"""
    from whitemetal.cli.follow import follow

    return follow(options, where_there(options.database))


def do_report(options: argparse.Namespace, serve: Serve) -> int:
    """report JOB"""
    from whitemetal.cli.filing import report

    return report(options, where_there(options.database))


def do_export(options: argparse.Namespace, serve: Serve) -> int:
    """export [JOB] --as KIND"""
    from whitemetal.cli.filing import export

    return export(options, where_there(options.database))


def do_serve(options: argparse.Namespace, serve: Serve) -> int:
    """serve"""
    options.database = where_kept(options.database)
    return serve(options)


def _print(lines: Iterable[str], screen: Screen) -> None:
    text = "\n".join(screen.line(line) for line in lines)
    print(_ascii(text) if screen.plain else text)


_IN_ASCII = str.maketrans({
    "±": "+/-", "µ": "u", "°": " deg", "–": "-", "∞": "inf", "‰": " per mille", "·": ".", "²": "2",
    "Ø": "dia.", "×": "x", "…": "...", "≤": "<=", "≥": ">=", "→": "->",
})  # fmt: skip


def _ascii(text: str) -> str:
    text = text.replace("°C", "degC").replace("°F", "degF")
    return text.translate(_IN_ASCII).encode("ascii", "replace").decode()


def _print_json(value: Any) -> None:
    """JSON with every letter: as it is where the output can hold it, else escaped."""
    escaped = not (sys.stdout.encoding or "").casefold().startswith("utf")
    json.dump(value, sys.stdout, ensure_ascii=escaped, indent=2, allow_nan=False, default=_jsonable)
    sys.stdout.write("\n")


def _print_toml(text: str) -> None:
    """A file of TOML is always in UTF-8, whatever letters a terminal has."""
    if sys.stdout.isatty():
        print(text, end="")
    else:
        sys.stdout.buffer.write(text.encode())


def _aside(notes: Iterable[str]) -> None:
    """What was taken for granted, where the output itself has no room for it."""
    for note in notes:
        print(note, file=sys.stderr)


def _jsonable(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    return str(value) if isinstance(value, Path) else list(value)
