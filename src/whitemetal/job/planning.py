"""Plans and orders of a job: what the plan needs is gathered from the job's checks.

The clearance is that of the check the plan is made from; the crush is read from the newest crush check that
still counts and is without doubts; the contact is right where the newest check of it that still counts is
within limits.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.errors import InputError, MethodRefused, Problem
from whitemetal.fitting.bore_order import Order, Part, Spread, of_card, order_bore, order_journal
from whitemetal.fitting.bore_order_measured import bore_measured, journal_measured
from whitemetal.fitting.plan import Plan, Said, plan_work, tried
from whitemetal.fitting.plan_present import present_of
from whitemetal.fitting.plan_typed import said_from, work_from
from whitemetal.gauging import METHODS, method_named
from whitemetal.gauging.contract import Facts, Method, Place, Reading, Result
from whitemetal.gauging.readings_file import ReadingsFile
from whitemetal.job.judge import judge_check
from whitemetal.job.judgement import Judgement
from whitemetal.job.state import CheckState, JobState
from whitemetal.words import say


def plan_of(state: JobState, card: Card, check: str, texts: Mapping[str, str]) -> tuple[Plan, Plan | None]:
    """The best plan from a check of a job, and the work of one's own where some was typed.

    texts: see `plan_typed`. Raises InputError, MethodRefused, NotConverged; KeyError for an unknown check.
    """
    known = _known(state, card, check, texts)
    return plan_work(card, *known), _own(card, known, texts)


def own_of(state: JobState, card: Card, check: str, texts: Mapping[str, str]) -> Plan | None:
    """The work of one's own alone, None where none was typed: nothing is solved. Raises as `plan_of`."""
    return _own(card, _known(state, card, check, texts), texts)


Known = tuple[Result, Facts, Result | None, Said]
"""What a plan starts from: the clearance, its facts, the crush, what was said."""


def _known(state: JobState, card: Card, check: str, texts: Mapping[str, str]) -> Known:
    found = state.checks[check]
    _carries(method_named(found.method))
    said = said_from(card, texts)
    if not said.contact and _contact_is_right(state, card):
        said = replace(said, contact="good")
    return _result(card, found), found.facts, _crush(state, card), said


def plan_alone(
    card: Card, taken: ReadingsFile, *, method: str = "wire", crush: ReadingsFile | None = None,
    texts: Mapping[str, str] | None = None,
) -> Plan:  # fmt: skip
    """The best plan from readings files, without a record. Raises as `plan_of`."""
    _carries(method_named(method))
    result = method_named(method).evaluate(card, taken.places, taken.facts, taken.readings)
    pressed = None
    if crush is not None:
        pressed = METHODS["crush"].evaluate(card, crush.places, crush.facts, crush.readings)
    known = (result, taken.facts, pressed, said_from(card, texts or {}))
    own = _own(card, known, texts or {})
    return own if own is not None else plan_work(card, *known)


def _own(card: Card, known: Known, texts: Mapping[str, str]) -> Plan | None:
    work = work_from(card, present_of(card, *known)[0], texts)
    clearance, facts, crush, said = known
    return None if work is None else tried(card, clearance, facts, work, crush, said)


def _carries(method: Method) -> None:
    """Raises MethodRefused for a method that does not read the clearance place by place under the unloaded
    half: the least and the greatest of a bore are no places that a shim or a pass moves alike."""
    if method.measures != OIL_CLEARANCE or "unrolled half" not in method.views:
        raise MethodRefused(say("plan.wrong_check"), say("plan.right_check"))


def _result(card: Card, check: CheckState) -> Result:
    return method_named(check.method).evaluate(card, check.places, check.facts, check.readings)


def _counting(state: JobState, *methods: str) -> Iterator[CheckState]:
    """Checks of these methods that still count and have readings, the newest first."""
    for check in reversed(tuple(state.checks.values())):
        if check.method in methods and not check.stale and check.readings:
            yield check


def _crush(state: JobState, card: Card) -> Result | None:
    for check in _counting(state, "crush"):
        result = _result(card, check)
        if result.assessed and not doubts_of_check(judge_check(check, card, ())):
            return result
    return None


def doubts_of_check(judgement: Judgement) -> tuple[str, ...]:
    """Why the numbers of a check are not to be relied on yet: what is refused, on hold, asked or at fault."""
    return tuple(
        one.text for one in judgement.warnings if one.severity in ("refused", "hold", "question", "fault")
    )


def _contact_is_right(state: JobState, card: Card) -> bool:
    newest = next(_counting(state, "contact"), None)
    return newest is not None and judge_check(newest, card, ()).verdict == "within limits"


def order_of(state: JobState, card: Card, part: Part = "bore", grade: str = "") -> Order:
    """The order of a job: from the newest survey or check of bore and journal that still counts, else (for a
    bore) from the card's journal. Raises InputError, MethodRefused."""
    newest = (
        (one.method, one.places, one.facts, one.readings) for one in _counting(state, "journal", "bore")
    )
    return _ordered(card, newest, part, grade)


def order_alone(
    card: Card, taken: ReadingsFile | None = None, *, method: str = "journal", part: Part = "bore",
    grade: str = "",
) -> Order:  # fmt: skip
    """The order from one readings file, or from the card alone. Raises as `order_of`."""
    files = [] if taken is None else [(method, taken.places, taken.facts, taken.readings)]
    return _ordered(card, iter(files), part, grade)


def _ordered(
    card: Card,
    checks: Iterator[tuple[str, tuple[Place, ...], Facts, tuple[Reading, ...]]],
    part: Part,
    grade: str,
) -> Order:
    measured = journal_measured if part == "bore" else bore_measured
    found: Spread | None = None
    for one in checks:
        found = measured(card, *one)
        if found is not None:
            break
    if part == "bore":
        return order_bore(card, found or of_card(card), _grade(grade))
    if found is None:
        raise InputError(Problem("bore", "", say("bore_order.bore_needed")))
    return order_journal(card, found, _grade(grade))


def _grade(text: str) -> int | None:
    text = text.strip().upper().removeprefix("IT").strip()
    if not text:
        return None
    if not text.isascii() or not text.isdecimal():
        raise InputError(Problem("grade", text, say("bore_order.grades")))
    return int(text)
