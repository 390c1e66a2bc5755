"""The plan in words: steps a fitter can follow, what must be known of them, why nothing works."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from whitemetal.card import Card
from whitemetal.fitting.plan_model import Pass, PassWork, Present, ShimWork, Work
from whitemetal.fitting.plan_predict import Foreseen, Prediction, predict
from whitemetal.fitting.plan_rows import Constraint
from whitemetal.fitting.shim_effect import effect_of
from whitemetal.units import clearance_step, show
from whitemetal.words import say

StepKind = Literal["shims", "contact", "pass", "check"]

LEAST_SHOWN = 0.5e-6
"""Changes below this are none [m]: half the step to which clearances are shown. Our own."""


@dataclass(frozen=True)
class Step:
    """One step. opening: which opening of the bearing it belongs to, counted from 1. then: what is looked at
    before the next step."""

    kind: StepKind
    opening: int
    text: str
    then: tuple[str, ...] = ()


def length(card: Card, value: float) -> str:
    """A length [m] as clearances of this bearing are shown."""
    unit = card.bearing.unit
    return show(value, unit, "length", step=clearance_step(unit))


def range_of(card: Card, values: Sequence[float]) -> str:
    """Least to greatest of some lengths [m]."""
    low, high = length(card, min(values)), length(card, max(values))
    return low if low == high else say("plan.range", low=low, high=high)


def pieces(card: Card, sizes: Sequence[float]) -> str:
    """Shims of one side: "2 of 0.05 mm and 0.10 mm"."""
    counted = sorted(Counter(length(card, size) for size in sizes).items(), reverse=True)
    return _and(size if count == 1 else say("plan.pieces", count=count, size=size) for size, count in counted)


def _and(names: Iterable[str]) -> str:
    return f" {say('plan.and')} ".join(names)


def steps(card: Card, present: Present, work: Work) -> tuple[Step, ...]:
    """The steps in the order of trust: shims and crush, then contact, then the clearance pass by pass."""
    found: list[Step] = []
    for group in (_shims(card, present, work), _contact(card, present), _rounds(card, present, work)):
        for step in group:
            opening = (found[-1].opening if found else 0) + 1
            found.append(Step(step.kind, opening, step.text, step.then))
    if not found:
        return ()
    last = say("plan.last_check")
    return (*found, Step("check", found[-1].opening, last))


def _shims(card: Card, present: Present, work: Work) -> Iterator[Step]:
    if not work.changes_shims:
        return
    lines = [_one_joint(card, one) for one in work.shims if one.added or one.taken]
    only = Work(work.shims)
    after = predict(Present(**{**vars(present), "contact": None}), only)
    then = [say("plan.close_final")]
    if after.crush_changes:
        crush = range_of(card, [one.after for one in after.crush]) if after.crush else ""
        then.append(say("plan.crush_again", expected=crush) if crush else say("plan.crush_first"))
        then.append(say("plan.clearance_again"))
    then.append(_expected(card, after.clearance))
    yield Step("shims", 0, " ".join(lines), tuple(then))


def _one_joint(card: Card, one: ShimWork) -> str:
    change = length(card, abs(one.change))
    if one.taken and one.added:
        return say(
            "plan.swap_shims", joint=one.joint, taken=pieces(card, one.taken), added=pieces(card, one.added),
            change=say("plan.thinner" if one.change < 0 else "plan.thicker", change=change),
        )  # fmt: skip
    if one.taken:
        return say("plan.take_shims", joint=one.joint, taken=pieces(card, one.taken))
    return say("plan.add_shims", joint=one.joint, added=pieces(card, one.added))


def _expected(card: Card, clearance: Sequence[Foreseen]) -> str:
    return say("plan.expected", values=range_of(card, [one.after for one in clearance]))


def _contact(card: Card, present: Present) -> Iterator[Step]:
    work = present.contact
    if work is None:
        return
    half = "lower" if present.unloaded == "upper" else "upper"
    for number in range(1, work.passes + 1):
        text = say("plan.contact_pass", half=half, where=_on(work.where), number=number, of=work.passes)
        drop = length(card, present.allowed.finishing.middle)
        then = [say("plan.blue_contact")]
        if work.where == "flanks":
            then.append(say("plan.flanks_lower_nothing"))
        elif work.where == "full length":
            then.append(say("plan.shaft_lower", drop=drop))
        else:
            then.append(say("plan.shaft_tilts", end=work.where, drop=drop))
        yield Step("contact", 0, text, tuple(then))


def _on(where: str) -> str:
    if where == "full length":
        return say("plan.over_full_length")
    return say("plan.on_flanks") if where == "flanks" else say("plan.at_end", end=where)


def _rounds(card: Card, present: Present, work: Work) -> Iterator[Step]:
    done: dict[str, tuple[int, int]] = {one.station: (0, 0) for one in work.passes}
    before = [say("plan.only_if")] if predict(present, Work(work.shims)).crush_changes else []
    for number in range(1, work.rounds + 1):
        lines = []
        for kind in ("rough", "finishing"):
            here = [one.station for one in work.passes if _kind(one, number) == kind]
            for station in here:
                rough, fine = done[station]
                done[station] = (rough + 1, fine) if kind == "rough" else (rough, fine + 1)
            if here:
                lines.append(_one_round(card, present, kind, here))
        so_far = Work(work.shims, tuple(PassWork(s, r, f) for s, (r, f) in done.items()))
        after = predict(present, so_far)
        yield Step(
            "pass", 0, " ".join([*before, *lines]), (say("plan.blue"), _expected(card, after.clearance))
        )


def _kind(one: PassWork, number: int) -> str:
    if number <= one.rough:
        return "rough"
    return "finishing" if number <= one.count else ""


def _one_round(card: Card, present: Present, kind: str, stations: Sequence[str]) -> str:
    one: Pass = present.allowed.rough if kind == "rough" else present.allowed.finishing
    named = _and(_station(card, station) for station in stations)
    whole = len(stations) == len(present.stations)
    where = say("plan.whole_length") if whole else say("plan.at_stations", stations=named)
    takes = say("plan.range", low=length(card, one.least), high=length(card, one.most))
    return say(f"plan.{kind}_pass", half=present.unloaded, where=where, takes=takes)


def _station(card: Card, station: str) -> str:
    mark = station == card.bearing.match_mark_end
    return say("plan.mark_end", station=station) if mark else station


def remarks(card: Card, present: Present, work: Work, foreseen: Prediction) -> tuple[str, ...]:
    """What must be known of the work."""
    found = []
    if not work.changes_shims and not work.rounds and present.contact is None:
        found.append(say("plan.nothing_to_do"))
    opens = [pack for pack in present.packs if effect_of(pack.joint).clearance]
    changes = {one.joint: one.change for one in work.shims}
    out_of_round = sum(pack.thickness + changes.get(pack.joint, 0.0) for pack in opens)
    if out_of_round > LEAST_SHOWN:
        found.append(say("plan.not_round", by=length(card, out_of_round)))
    if foreseen.crush_changes:
        found.append(say("plan.bore_unknown"))
    if work.rounds:
        found.append(say("plan.never_half"))
        if present.unloaded == "lower":
            found.append(say("plan.rests_on_it"))
        if foreseen.least_word != "within limits":
            found.append(say("plan.maybe_another"))
    if present.contact is not None and present.contact.where != "flanks":
        found.append(say("plan.alignment_again"))
    return tuple(found)


def sentence(card: Card, present: Present, one: Constraint) -> str:
    """One constraint as a sentence that goes on from "because"."""
    low, high = present.band.low, present.band.high
    values: dict[str, str] = {"where": one.where}
    if one.code in ("least", "greatest"):
        limit = low if one.code == "least" else high
        place = present.clearance.where.index(one.where)
        values |= {
            "limit": length(card, limit if limit is not None else 0.0),
            "now": length(card, float(present.clearance.values[place])),
        }
    elif one.code in ("crush_least", "crush_greatest") and present.crush and present.crush_band:
        limit = present.crush_band.low if one.code == "crush_least" else present.crush_band.high
        place = present.crush.where.index(one.where)
        values |= {
            "limit": length(card, limit if limit is not None else 0.0),
            "now": length(card, float(present.crush.values[place])),
            "station": f" ({one.where})" if one.where else "",
        }
    elif one.code == "lining":
        values["left"] = length(card, present.allowed.lining or 0.0)
    elif one.code == "rounds":
        values["rounds"] = str(present.allowed.rounds)
    elif one.code == "stock":
        sizes = present.allowed.stock
        values["stock"] = ", ".join(length(card, size) for size in sizes) or say("plan.no_stock")
    elif one.code == "shims_in":
        pack = next((pack for pack in present.packs if pack.joint == one.where), None)
        values["pack"] = pieces(card, pack.pieces) if pack and pack.pieces else say("plan.no_pieces")
    return say(f"plan.because_{one.code}", **values)


def way_out(colliding: Collection[Constraint]) -> tuple[str, ...]:
    """What is left when nothing works: first what only has to be measured or said, then the shells."""
    codes = {one.code for one in colliding}
    found = [
        say(f"plan.way_{name}")
        for name, those in (
            ("finer", {"gauge", "together", "crush_gauge", "crush_together"}),
            ("measure_crush", {"crush_unknown"}),
            ("crush_limit", {"crush_no_limit"}),
            ("other_shim", {"stock"}),
            ("ask_maker", {"do_not_scrape"}),
        )
        if codes & those
    ]
    return (*found, say("plan.way_shells")) if codes else ()
