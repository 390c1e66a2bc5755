"""What speaks against a tightening: lubricant, grade, unit, passes left out, and a card that cannot be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from whitemetal.card import Card
from whitemetal.closing.bolts import Grade, Thread, grade, thread
from whitemetal.closing.sequence import Pass
from whitemetal.closing.torque import LUBRICATED, SCATTER, Lubricated, lubricated, on_other_lubricant
from whitemetal.errors import InputError
from whitemetal.gauging.contract import Facts, Finding, Reading, Severity
from whitemetal.gauging.wire.facts import text
from whitemetal.units import INCH, POUND_FORCE, read, show
from whitemetal.words import say

PRACTICE = "common practice"
WRENCH = 0.04
"""A nut further than this share from its torque was not pulled to it: what ISO 6789 permits a torque wrench,
from memory."""

OTHER_UNITS: tuple[tuple[str, str, float], ...] = (
    ("lbf ft", "N m", 12 * INCH * POUND_FORCE), ("lbf in", "N m", INCH * POUND_FORCE),
    ("lbf in", "lbf ft", 1.0 / 12.0), ("kgf m", "N m", 9.80665),
)  # fmt: skip
"""Units one may be read for another, and the first in the second: exact, but for the metre-kilogram of old
wrenches, which is 9.80665 N m by definition."""

BELOW, ABOVE = 0.15, 0.95
"""A torque on the card that would load the bolt to less or more than these shares of its proof load is asked
about. Our own."""

FIRST_PASS = 0.9
"""A reading below this share of the final torque is one of a pass before the last, whatever the passes. Our
own."""


def found(
    code: str, severity: Severity, place: str = "", source: str = PRACTICE, **values: object
) -> Finding:
    """A finding of a tightening."""
    return Finding(f"tightening.{code}", severity, say(f"tightening.{code}", **values), source, place)


def thread_of(card: Card) -> Thread | None:
    """The thread on the card, None where it says none that can be read."""
    try:
        return thread(card.fasteners.size)
    except InputError:
        return None


def grade_of(words: str) -> Grade | None:
    """The grade that a text names, None where it names none that is known."""
    try:
        return grade(words)
    except InputError:
        return None


def of_lubricant(card: Card, facts: Facts) -> Iterator[Finding]:
    """A torque counts for one state of thread and seat only."""
    said, seen = card.fasteners.lubricant.strip(), LUBRICATED.get(text(facts, "thread"))
    if not said:
        yield found("lubricant_not_stated", "question")
        return
    stated = lubricated(said)
    if stated is None:
        yield found("lubricant_unknown", "question", said=said)
    elif seen is not None and seen != stated:
        yield _other(card, stated, seen)


def _other(card: Card, stated: Lubricated, seen: Lubricated) -> Finding:
    """Found in another state: outside limits where the two have no nut factor in common."""
    apart = seen.high < stated.low or seen.low > stated.high
    share = stated.middle / seen.middle - 1.0
    same, final = "", card.fasteners.torque
    if final is not None:
        same = say("tightening.same_preload", torque=shown(card, on_other_lubricant(final, stated, seen)))
    return found(
        "overload" if share > 0.0 else "underload", "fault" if apart else "warning", source=stated.source,
        stated=stated.name, seen=seen.name, share=f"{100 * abs(share):.0f} %", same=same,
    )  # fmt: skip


def of_grade(card: Card, facts: Facts) -> Iterator[Finding]:
    """The grade stamped on the bolts against the card's."""
    stamped, wanted = text(facts, "grade"), card.fasteners.grade.strip()
    if not stamped:
        return
    if not wanted:
        yield found("grade_not_on_card", "warning", stamped=stamped)
    elif stamped.casefold() in NOT_STAMPED:
        yield found("not_stamped", "hold", wanted=wanted)
    elif not _same_grade(stamped, wanted):
        yield found("grade_differs", "fault", stamped=stamped, wanted=wanted)


NOT_STAMPED = ("none", "no mark", "not stamped", "-")
"""What people write where nothing is stamped."""


def _same_grade(one: str, other: str) -> bool:
    named = grade_of(one), grade_of(other)
    if None not in named:
        return named[0] == named[1]
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def of_card(card: Card) -> Iterator[Finding]:
    """A torque that the card's own bolt could not be meant to bear, or would hardly feel."""
    size, known = thread_of(card), grade_of(card.fasteners.grade)
    state, final = lubricated(card.fasteners.lubricant), card.fasteners.torque
    if size is None or known is None or state is None or final is None:
        return
    try:
        proof = known.proof_stress(size.diameter) * size.stress_area
    except InputError:
        return
    preload = final / (state.middle * size.diameter)
    load = say("tightening.yield_load" if known.of_yield else "tightening.proof_load")
    if not BELOW <= preload / proof <= ABOVE:
        yield found(
            "card_torque", "question", source="our own threshold", torque=shown(card, final),
            bolt=f"{card.fasteners.size} {known.name}", share=f"{100 * preload / proof:.0f} %", load=load,
        )  # fmt: skip
    else:
        least, most = (preload * (1.0 + sign * SCATTER[1]) for sign in (-1, 1))
        yield found(
            "preload", "note", low=f"{least / 1e3:.0f} kN", high=f"{most / 1e3:.0f} kN",
            bears=f"{proof / 1e3:.0f} kN", state=state.name, load=load,
        )  # fmt: skip


def other_unit(value: float, final: float) -> tuple[str, str] | None:
    """The units that one may have been read for the other: of the wrench, of what was written. value,
    final [N m]."""
    for one, other, factor in OTHER_UNITS:
        if abs(value * factor / final - 1.0) <= WRENCH:
            return one, other
        if abs(value / factor / final - 1.0) <= WRENCH:
            return other, one
    return None


def of_passes(final: float, shares: Sequence[float], readings: Sequence[Reading]) -> Iterator[Finding]:
    """A cap pulled home nut by nut in one go closes askew. shares: of the final torque, pass by pass, the
    final one last; one alone is the maker's own word. In a pass before the last, what is nearer to the pass
    before the last than to the final torque was not pulled home, also where a maker has them close."""
    wanted, near = len(shares), max(FIRST_PASS, 0.5 * (sum(shares[-2:])))
    before: dict[str, set[int]] = {one.place: set() for one in readings}
    for one in readings:
        if one.value < (near if one.squeeze < wanted else FIRST_PASS) * final:
            before[one.place].add(one.squeeze)
    at_once = [place for place, passes in before.items() if not passes]
    if at_once and wanted > 1:
        yield found("at_once", "hold", places=", ".join(at_once))
    elif any(len(passes) < min(wanted - 1, 2) for passes in before.values()):
        yield found("few_passes", "warning")


def of_order(passes: Sequence[Pass], labels: Sequence[str], readings: Sequence[Reading]) -> Iterator[Finding]:
    """Passes that were written down in another order than the pattern. labels: of the nuts, by number."""
    number = {label: i for i, label in enumerate(labels, start=1)}
    for one in passes:
        written = [number[r.place] for r in readings if r.squeeze == one.number and r.place in number]
        whole = len(written) == len(set(written)) == len(one.order)
        if whole and tuple(written) != one.order:
            yield found(
                "other_order", "warning", number=one.number, written=" – ".join(map(str, written)),
                wanted=" – ".join(map(str, one.order)),
            )  # fmt: skip


def shown(card: Card, torque: float) -> str:
    """A torque [N m] in the unit the card's own is written in."""
    return show(torque, torque_unit(card), "torque", digits=3)


def torque_unit(card: Card) -> str:
    """The unit in which the card's torque was typed; newton metres where none was."""
    typed = card.typed.get("fasteners.torque", "")
    return read(typed, "torque", field="fasteners.torque").unit if typed else "N m"
