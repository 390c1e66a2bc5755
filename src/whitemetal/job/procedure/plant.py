"""What a plant adds to the procedure, drops from it or words in its own way, from a TOML text.

::

    format = "whitemetal.procedure/1"
    signed_by = "who answers for this file"
    run_in_before_signing = true      # left out: the run-in is told to who signs, and holds nothing

    [[add]]
    step = "isolate.radio"            # its own key, "stage.word"
    after = "isolate.tried"           # left out: at the end of its stage
    text = "Control room told by radio."
    why = "nobody starts what they know is open"
    hold = true
    people = true
    cautions = ["rotor"]

    [[drop]]
    step = "strip.drained"
    why = "drained by the lubrication crew"

    [[reword]]
    step = "isolate.cooled"
    text = "Bearing below 40 degC on the wall thermometer."
    why = "our thermometers read at the wall"
    by = "Engineer B"                 # needed for what protects people or the order of trust

A step that protects people or the order of trust is never gone: dropped, it stays in the procedure with who
dropped it and why; worded anew, its own words stand below. Without a name and a reason both are refused.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from whitemetal.card.lines import KeyLines, key_lines
from whitemetal.card.nearest import nearest_of
from whitemetal.card.toml_in import load_toml
from whitemetal.errors import InputError, Problem
from whitemetal.job.procedure.generate import all_keys, caution
from whitemetal.job.procedure.rules import RULES_OF
from whitemetal.job.procedure.step import STAGES, Changed, Stage, Step
from whitemetal.words import say

FORMAT = "whitemetal.procedure/1"
RUN_IN = "run_in_before_signing"
LONGEST = 400
"""Letters a step's text or reason may have. Our own: a step is read with a lamp in one hand."""

_TEXTS = {
    "add": ("step", "after", "text", "why", "by"), "drop": ("step", "why", "by"),
    "reword": ("step", "text", "why", "by"),
}  # fmt: skip
_NEEDED = {"add": ("step", "text", "why"), "drop": ("step", "why"), "reword": ("step", "text")}
_FLAGS = ("hold", "people")


@dataclass(frozen=True)
class Add:
    """A step of the plant's own. after: key of the step it follows, "" for the end of its stage."""

    step: Step
    after: str


@dataclass(frozen=True)
class Change:
    """A step dropped (text "") or worded anew."""

    key: str
    text: str
    why: str
    by: str


@dataclass(frozen=True)
class Plant:
    """A plant's procedure file as read. run_in: whether a settled run-in is demanded before the second
    signature of a bearing that is to run."""

    adds: tuple[Add, ...] = ()
    drops: tuple[Change, ...] = ()
    rewords: tuple[Change, ...] = ()
    run_in: bool = False


NOTHING = Plant()


def read_plant(text: str, name: str = "procedure") -> Plant:
    """The plant's changes in a TOML text; an empty text changes nothing. Raises InputError with every problem
    and its line."""
    if not text.strip():
        return NOTHING
    document, problems, _ = load_toml(text, name)
    lines = key_lines(text)
    problems += _head(document, lines)
    for table in _TEXTS:
        problems += _tables(table, document.get(table, []), lines)
    if not problems:
        problems += _keys(document, lines)
    if problems:
        raise InputError(*sorted(problems, key=lambda problem: problem.line or 0))
    signed = str(document.get("signed_by", ""))
    return Plant(
        tuple(_add(each, signed) for each in document.get("add", [])),
        tuple(_change(each, signed) for each in document.get("drop", [])),
        tuple(_change(each, signed) for each in document.get("reword", [])),
        document.get(RUN_IN, False),
    )


def applied(steps: Sequence[Step], plant: Plant) -> tuple[Step, ...]:
    """The steps as the plant leaves them. A change of a step that this bearing does not have does nothing; an
    added step may follow one that the file adds further down."""
    changed = [_dropped(_reworded(step, plant), plant) for step in steps]
    waiting = list(plant.adds)
    while waiting:
        still = {add.step.key for add in waiting}
        add = next((add for add in waiting if add.after not in still), waiting[0])
        changed.insert(_where(changed, add), add.step)
        waiting.remove(add)
    return tuple(changed)


def _reworded(step: Step, plant: Plant) -> Step:
    for one in plant.rewords:
        if one.key == step.key:
            was = Changed("reworded", step.text, one.by, one.why)
            step = replace(step, text=one.text, changed=(*step.changed, was))
    return step


def _dropped(step: Step, plant: Plant) -> Step:
    for one in plant.drops:
        if one.key == step.key:
            step = replace(step, changed=(*step.changed, Changed("dropped", "", one.by, one.why)))
    return step


def _where(steps: Sequence[Step], add: Add) -> int:
    """Behind the step named, else behind the last of its stage or of an earlier one."""
    for at, step in enumerate(steps):
        if step.key == add.after:
            return at + 1
    stage = STAGES.index(add.step.stage)
    return sum(1 for step in steps if STAGES.index(step.stage) <= stage)


def _add(table: Mapping[str, Any], signed: str) -> Add:
    key = str(table["step"])
    step = Step(
        key, _stage(key), str(table["text"]), str(table["why"]),
        tuple(caution(word) for word in table.get("cautions", [])),
        bool(table.get("hold", False)), bool(table.get("people", False)),
        changed=(Changed("added", "", str(table.get("by", signed)), ""),),
    )  # fmt: skip
    return Add(step, str(table.get("after", "")))


def _stage(key: str) -> Stage:
    return next(stage for stage in STAGES if stage == key.partition(".")[0])


def _change(table: Mapping[str, Any], signed: str) -> Change:
    by = str(table.get("by", "")) or signed
    return Change(str(table["step"]), str(table.get("text", "")), str(table.get("why", "")), by)


def _head(document: Mapping[str, Any], lines: KeyLines) -> Iterator[Problem]:
    typed = document.get("format")
    if typed != FORMAT:
        expected = say("procedure.format", format=FORMAT)
        yield Problem("format", "" if typed is None else str(typed), expected, lines.line("format") or 1)
    known = ("format", "signed_by", RUN_IN, *_TEXTS)
    for key, value in document.items():
        if key not in known:
            near = nearest_of(key, known, ("card.unknown_key", "card.unknown_key_near"))
            yield Problem(key, "", near, lines.line(key))
        elif key == "signed_by" and not isinstance(value, str):
            yield Problem(key, str(value), say("procedure.a_text"), lines.line(key))
        elif key == RUN_IN and not isinstance(value, bool):
            yield Problem(key, str(value), say("procedure.true_false"), lines.line(key))


def _tables(table: str, found: Any, lines: KeyLines) -> Iterator[Problem]:
    if not isinstance(found, list) or not all(isinstance(each, dict) for each in found):
        yield Problem(table, "", say("procedure.tables", table=table), lines.line(table))
        return
    for number, each in enumerate(found, start=1):
        for problem in _table(table, each):
            path = f"{table}.{number}"
            line = lines.line(f"{path}.{problem.field}") or lines.line(path)
            yield replace(problem, field=f"{path}.{problem.field}", line=line)


def _table(table: str, values: Mapping[str, Any]) -> Iterator[Problem]:
    """Problems of one table, their field without the table's name."""
    allowed = _TEXTS[table] + ((*_FLAGS, "cautions") if table == "add" else ())
    for key, value in values.items():
        if key not in allowed:
            yield Problem(key, "", nearest_of(key, allowed, ("card.unknown_key", "card.unknown_key_near")))
        elif key in _FLAGS and not isinstance(value, bool):
            yield Problem(key, str(value), say("procedure.true_false"))
        elif key == "cautions":
            yield from _cautions(value)
        elif key in _TEXTS[table] and not isinstance(value, str):
            yield Problem(key, str(value), say("procedure.a_text"))
        elif isinstance(value, str) and len(value) > LONGEST:
            yield Problem(key, value[:60], say("procedure.too_long", most=LONGEST))
    for key in _NEEDED[table]:
        if isinstance(values.get(key, ""), str) and not str(values.get(key, "")).strip():
            yield Problem(key, "", say("procedure.needed", key=key))


def _cautions(value: Any) -> Iterator[Problem]:
    if not isinstance(value, list):
        yield Problem("cautions", str(value)[:60], say("procedure.a_list"))
        return
    for word in value:
        if not isinstance(word, str) or word not in RULES_OF:
            yield Problem(
                "cautions", str(word), nearest_of(str(word), RULES_OF, ("card.choice", "card.choice_near"))
            )


def _keys(document: Mapping[str, Any], lines: KeyLines) -> Iterator[Problem]:
    """Keys that name a step there is, or a new one; names and reasons where the step is protected."""
    own = [each["step"] for each in document.get("add", [])]
    known, signed = all_keys(), str(document.get("signed_by", "")).strip()
    for number, each in enumerate(document.get("add", []), start=1):
        yield from _own_key(each, number, own, known, lines)
    for table in ("drop", "reword"):
        for number, each in enumerate(document.get(table, []), start=1):
            path, key = f"{table}.{number}", each["step"]
            if key not in known:
                yield Problem(f"{path}.step", key, _known(key, known), lines.line(f"{path}.step"))
            elif known[key]:
                yield from _answered_for(each, path, signed, lines)


def _own_key(
    each: Mapping[str, Any], number: int, own: Sequence[str], known: Mapping[str, bool], lines: KeyLines
) -> Iterator[Problem]:
    path, key = f"add.{number}", each["step"]
    stage, _, word = key.partition(".")
    if stage not in STAGES or not word.replace("_", "").isalnum():
        stages = ", ".join(STAGES)
        yield Problem(
            f"{path}.step", key, say("procedure.own_key", stages=stages), lines.line(f"{path}.step")
        )
    elif key in known or own.count(key) > 1:
        yield Problem(f"{path}.step", key, say("procedure.taken_key"), lines.line(f"{path}.step"))
    after = each.get("after", "")
    if after and after not in known and after not in own:
        yield Problem(f"{path}.after", after, _known(after, known), lines.line(f"{path}.after"))


def _answered_for(each: Mapping[str, Any], path: str, signed: str, lines: KeyLines) -> Iterator[Problem]:
    """Of a protected step: who answers for the change, and why."""
    if not str(each.get("by", "")).strip() and not signed:
        yield Problem(f"{path}.by", "", say("procedure.protected_by", step=each["step"]), lines.line(path))
    if not str(each.get("why", "")).strip():
        yield Problem(f"{path}.why", "", say("procedure.protected_why", step=each["step"]), lines.line(path))


def _known(key: str, known: Mapping[str, bool]) -> str:
    return nearest_of(key, known, ("procedure.known_step", "procedure.known_step_near"))
