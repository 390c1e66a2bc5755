"""What some work would make of the clearance and the crush, and which constraints it would leave."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from whitemetal.fitting import plan_rows
from whitemetal.fitting.plan_box import Box
from whitemetal.fitting.plan_model import Matrix, Pass, PassWork, Present, Work
from whitemetal.fitting.plan_rows import MICRO, Columns, Constraint, lowering
from whitemetal.fitting.plan_solve import clearance_rows
from whitemetal.fitting.shim_effect import effect_of
from whitemetal.fitting.verdict import WITHIN, Policy, Word, judge_all, judge_one

SLACK = 1e-3
"""A row counts as kept within this [µm]. Our own."""

RULE = Policy()
"""Predictions are judged by the conformity probability."""


@dataclass(frozen=True)
class Foreseen:
    """One value before and after. after: as reckoned; least, most: when every pass takes its least or most;
    u: standard uncertainty of the measurement and of what the passes take; all [m]. word, probability: of
    ``after`` as a check with the present uncertainty would read it, None without a limit."""

    where: str
    axial: float
    before: float
    after: float
    least: float
    most: float
    u: float
    word: Word | None
    probability: float | None


@dataclass(frozen=True)
class Prediction:
    """word, probability: of all values together as a check with the present uncertainty would read them;
    least_word, most_word: when every pass takes its least or its most. broken: constraints not kept."""

    clearance: tuple[Foreseen, ...]
    word: Word
    probability: float
    least_word: Word
    most_word: Word
    crush: tuple[Foreseen, ...]
    crush_word: Word | None
    crush_probability: float | None
    crush_changes: bool
    broken: tuple[Constraint, ...] = ()


NO_WORK = Work()
"""Nothing done."""


def predict(present: Present, work: Work) -> Prediction:
    """What the work would come to. Shims are taken as they are, in stock or not."""
    columns = Columns(present)
    least, middle, most = (_clearance(present, work, which) for which in ("least", "middle", "most"))
    clearance = Box(present.clearance, present.band)
    shown = _foreseen(present, work, least, middle, most)
    word, probability = _judged(clearance, middle)
    crush = _crush(present, work)
    crush_word, crush_probability = _crush_word(present, crush)
    return Prediction(
        shown, word, probability, _judged(clearance, least)[0], _judged(clearance, most)[0],
        crush, crush_word, crush_probability, abs(_crush_change(present, work)) > 0.0,
        _broken(present, columns, work, clearance, middle, most),
    )  # fmt: skip


def _judged(box: Box, values: Matrix) -> tuple[Word, float]:
    return judge_all(values, box.measured.covariance, box.measured.dof, box.band, RULE)


def _takes(one: Pass, which: str) -> float:
    return {"least": one.least, "middle": one.middle, "most": one.most}[which]


def _clearance(present: Present, work: Work, which: str) -> Matrix:
    """The clearance [m] when every pass takes its least, middle or most, shape (n,)."""
    allowed = present.allowed
    shim = sum(effect_of(one.joint).clearance * one.change for one in work.shims)
    passes = {one.station: one for one in work.passes}
    values = []
    for place, spot in enumerate(present.spots):
        done = passes.get(spot.station, PassWork(spot.station))
        metal = done.rough * _takes(allowed.rough, which) + done.finishing * _takes(allowed.finishing, which)
        contact = lowering(present, _takes(allowed.finishing, which), spot)
        now = float(present.clearance.values[place])
        values.append(now + spot.by_shim * (contact + shim) + spot.by_metal * metal)
    return np.array(values)


def _foreseen(
    present: Present, work: Work, least: Matrix, middle: Matrix, most: Matrix
) -> tuple[Foreseen, ...]:
    spread = _spread(present, work)
    limited = present.band.low is not None or present.band.high is not None
    found = []
    for i, spot in enumerate(present.spots):
        u = float(present.clearance.u[i])
        word, probability = None, None
        if limited:
            word, probability = judge_one(float(middle[i]), u, present.clearance.dof, present.band, RULE)
        found.append(
            Foreseen(
                spot.label,
                spot.axial,
                float(present.clearance.values[i]),
                float(middle[i]),
                float(least[i]),
                float(most[i]),
                math.hypot(u, float(spread[i])),
                word,
                probability,
            )
        )
    return tuple(found)


def _spread(present: Present, work: Work) -> Matrix:
    """Standard uncertainty of what the passes take at each place [m], shape (n,): each rectangular between
    its least and its most and independent of the others."""
    passes = {one.station: one for one in work.passes}
    contact = present.contact.passes if present.contact is not None else 0
    found = []
    for spot in present.spots:
        done = passes.get(spot.station, PassWork(spot.station))
        counts = ((done.rough, present.allowed.rough, spot.by_metal),
                  (done.finishing, present.allowed.finishing, spot.by_metal))  # fmt: skip
        variance = sum(n * (by * (one.most - one.least)) ** 2 / 12.0 for n, one, by in counts)
        if contact:
            fine = present.allowed.finishing
            share = lowering(present, 1.0, spot) / contact
            variance += contact * (share * spot.by_shim * (fine.most - fine.least)) ** 2 / 12.0
        found.append(math.sqrt(variance))
    return np.array(found)


def _crush_change(present: Present, work: Work) -> float:
    if not present.has_crush:
        return 0.0
    change = sum((effect_of(one.joint).crush or 0.0) * one.change for one in work.shims)
    return change if abs(change) * MICRO > SLACK else 0.0


def _crush(present: Present, work: Work) -> tuple[Foreseen, ...]:
    if not present.has_crush or present.crush is None:
        return ()
    change, found = _crush_change(present, work), []
    crush, band = present.crush, present.crush_band
    for i, where in enumerate(crush.where):
        now, u = float(crush.values[i]), float(crush.u[i])
        word, probability = None, None
        if band is not None:
            word, probability = judge_one(now + change, u, crush.dof, band, RULE)
        after = now + change
        found.append(Foreseen(where, 0.0, now, after, after, after, u, word, probability))
    return tuple(found)


def _crush_word(present: Present, crush: tuple[Foreseen, ...]) -> tuple[Word | None, float | None]:
    if not crush or present.crush is None or present.crush_band is None:
        return None, None
    return _judged(Box(present.crush, present.crush_band), np.array([one.after for one in crush]))


def unknowns_of(columns: Columns, work: Work) -> Matrix:
    """The work as values of the programme's unknowns, shape (columns,). A piece that is neither in stock nor
    in the pack counts as thickness beyond them."""
    known = set(columns.names)
    found = np.zeros(len(columns.names))
    for one in work.shims:
        for kind, extra, pieces in (("add", "more", one.added), ("take", "less", one.taken)):
            for size in pieces:
                name = _named(known, kind, one.joint, size)
                if name is None and ("more", one.joint) not in known:
                    continue
                found += columns.one(*name) if name else columns.one(extra, one.joint) * size * MICRO
    for done in work.passes:
        for kind, count in (("rough", done.rough), ("finishing", done.finishing)):
            found += columns.one(kind, done.station) * count
            found += columns.one(f"any {kind}", done.station) * float(count > 0)
    found += columns.one("shims") * float(work.changes_shims) + columns.one("rounds") * work.rounds
    return found


def _named(known: set[tuple[str, ...]], kind: str, joint: str, size: float) -> tuple[str, ...] | None:
    for name in known:
        if name[:2] == (kind, joint) and abs(float(name[2]) - size) < 1e-9:
            return name
    return None


def _broken(
    present: Present, columns: Columns, work: Work, box: Box, middle: Matrix, most: Matrix
) -> tuple[Constraint, ...]:
    """Constraints that the work does not keep; of the places outside a limit only the worst."""
    crush = None
    if present.has_crush and present.crush is not None and present.crush_band is not None:
        crush = Box(present.crush, present.crush_band)
    found = unknowns_of(columns, work)
    rows = [
        *plan_rows.allowed(columns), *plan_rows.half_of_what_is_left(columns),
        *plan_rows.within_crush(columns, crush), *plan_rows.within_clearance(columns, box),
    ]  # fmt: skip
    by_how_much = {
        row.of: max(row.low - (is_at := float(row.weights @ found)), is_at - row.high)
        for row in rows
        if row.of is not None and not row.low - SLACK <= float(row.weights @ found) <= row.high + SLACK
    }
    broken = _worst_places(by_how_much)
    single = any(one.code in ("least", "greatest", "gauge") for one in broken)
    if not single and min(box.chance(middle), box.chance(most)) < WITHIN:
        broken.append(Constraint("together"))
    return tuple(broken)


def _worst_places(by_how_much: dict[Constraint, float]) -> list[Constraint]:
    """Of each limit only the place that breaks it most; everything else as it is."""
    found: list[Constraint] = []
    for one in by_how_much:
        mates = [other for other in by_how_much if other.code == one.code]
        by_place = one.code in ("least", "greatest", "crush_least", "crush_greatest", "half")
        if not by_place or one == max(mates, key=lambda other: by_how_much[other]):
            found.append(one)
    return found


def values_of(present: Present, work: Work, *, most: bool) -> Matrix:
    """The clearance as the programme reckons it, shape (n,) [m]; for comparison with `predict`."""
    columns = Columns(present)
    start, gains = clearance_rows(columns, most=most)
    return start + gains @ unknowns_of(columns, work) / MICRO
