"""The plan as a mixed-integer programme: its unknowns, rows and objectives. Lengths in micrometres.

Unknowns, in this order: shims added and taken by joint and thickness (whole numbers, one side); thickness
added and taken beyond stock and pack (only used to ask what collides); rough and finishing passes by
station (whole numbers) and whether there are any (0 or 1); whether shims are changed at all; rounds of
scraping; the largest distance of a clearance from the middle of its band.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from whitemetal.fitting.plan_box import Box
from whitemetal.fitting.plan_model import (
    HALF,
    MOST_OF_ONE,
    Matrix,
    Pack,
    Pass,
    Present,
    ShimWork,
    Spot,
    Work,
)
from whitemetal.fitting.plan_model import PassWork as Passes
from whitemetal.fitting.shim_effect import effect_of

MICRO = 1e6
"""Micrometres in a metre [1/m]: exact, by definition."""

NEVER = 60.0
"""Passes at one station beyond all reason; keeps the programme bounded. Our own."""

THICK = 5000.0
"""A thickness of shims, and a clearance, beyond all reason [µm]; keeps the programme bounded. Our own."""


@dataclass(frozen=True, order=True)
class Constraint:
    """One constraint that may collide with others. code: names its sentence; where: place, station,
    joint."""

    code: str
    where: str = ""


@dataclass(frozen=True)
class Row:
    """``low <= weights @ x <= high``. of: the constraint it belongs to, None for what always holds."""

    weights: Matrix
    low: float
    high: float
    of: Constraint | None = None


NO_JOINT = Pack("both joints")
"""Stands for the joint faces where no shim may lie, so that a plan can ask whether that is what collides."""


class Columns:
    """Which unknown stands in which column."""

    def __init__(self, present: Present) -> None:
        self.present = present
        self.packs = present.packs or (NO_JOINT,)
        self.stock = tuple(sorted(set(present.allowed.stock), reverse=True))
        self.names: list[tuple[str, ...]] = []
        self.upper: list[float] = []
        self.whole: list[int] = []
        for pack in self.packs:
            for size in self.stock:
                self._add(("add", pack.joint, repr(size)), MOST_OF_ONE)
            for size in sorted(set(pack.pieces), reverse=True):
                self._add(("take", pack.joint, repr(size)), pack.pieces.count(size))
            self._add(("more", pack.joint), THICK, whole=False)
            self._add(("less", pack.joint), THICK, whole=False)
        for station in present.stations:
            self._add(("rough", station), NEVER)
            self._add(("finishing", station), NEVER)
            self._add(("any rough", station), 1.0)
            self._add(("any finishing", station), 1.0)
        self._add(("shims",), 1.0)
        self._add(("rounds",), 2.0 * NEVER)
        self._add(("off middle",), THICK, whole=False)
        self._at = {name: column for column, name in enumerate(self.names)}

    def _add(self, name: tuple[str, ...], upper: float, *, whole: bool = True) -> None:
        self.names.append(name)
        self.upper.append(upper)
        self.whole.append(int(whole))

    def vector(self, weights: dict[tuple[str, ...], float]) -> Matrix:
        """Weights by name as a row, shape (columns,)."""
        row = np.zeros(len(self.names))
        for name, weight in weights.items():
            row[self._at[name]] += weight
        return row

    def one(self, *name: str) -> Matrix:
        """The row that picks one unknown."""
        return self.vector({name: 1.0})

    def thickness(self, joint: str) -> Matrix:
        """Change of a pack's thickness on one side [µm]."""
        signs = {"add": 1.0, "take": -1.0}
        row = self.one("more", joint) - self.one("less", joint)
        for name in self.names:
            if name[0] in signs and name[1] == joint:
                row += self.vector({name: signs[name[0]] * float(name[2]) * MICRO})
        return row

    def pieces(self, *kinds: str) -> Matrix:
        """How many pieces are added or taken, in all joints."""
        return self.vector({name: 1.0 for name in self.names if name[0] in kinds})

    def clearance(self, spot: Spot, rough: float, finishing: float) -> Matrix:
        """Change of the clearance at a place [µm] when a pass takes so much [m]."""
        row = np.zeros(len(self.names))
        for pack in self.packs:
            row += effect_of(pack.joint).clearance * spot.by_shim * self.thickness(pack.joint)
        row += self.one("rough", spot.station) * rough * MICRO * spot.by_metal
        return row + self.one("finishing", spot.station) * finishing * MICRO * spot.by_metal

    def crush(self) -> Matrix:
        """Change of the crush [µm]."""
        row = np.zeros(len(self.names))
        for pack in self.packs:
            row += (effect_of(pack.joint).crush or 0.0) * self.thickness(pack.joint)
        return row

    def work(self, found: Matrix) -> Work:
        """The work that a solution, shape (columns,), stands for; all of whole pieces."""
        counts = {name: round(float(found[at])) for name, at in self._at.items()}
        shims = []
        for pack in self.packs:
            sizes = {
                kind: tuple(
                    float(name[2])
                    for name, count in counts.items()
                    if name[:2] == (kind, pack.joint)
                    for _ in range(count)
                )
                for kind in ("add", "take")
            }
            shims.append(ShimWork(pack.joint, sizes["add"], sizes["take"]))
        passes = tuple(Passes(s, counts["rough", s], counts["finishing", s]) for s in self.present.stations)
        return Work(tuple(shims), passes)


def lowering(present: Present, one: Pass | float, spot: Spot) -> float:
    """How far the shaft comes down under a place [m] when each pass of the contact work takes ``one`` [m].

    Over the full length: by what comes off. At one end: the shaft tilts about the other. On the flanks: not
    at all. Derived from geometry.
    """
    work = present.contact
    if work is None or work.where == "flanks" or not work.passes:
        return 0.0
    each = one.middle if isinstance(one, Pass) else one
    if work.where == "full length" or present.length <= 0.0:
        return work.passes * each
    along = spot.axial / present.length
    return work.passes * each * (1.0 - along if work.where == present.ends[0] else along)


def before_passes(present: Present, spot: Spot, place: int, *, most: bool) -> float:
    """The clearance at a place [m] after the contact work, before shims and passes."""
    one = present.allowed.finishing.most if most else present.allowed.finishing.middle
    return float(present.clearance.values[place]) + spot.by_shim * lowering(present, one, spot)


def always(columns: Columns) -> Iterator[Row]:
    """What holds by the meaning of the unknowns."""
    most = MOST_OF_ONE * max(1, len(columns.stock)) * len(columns.packs)
    moved = columns.pieces("add", "take")
    pieces = sum(len(pack.pieces) for pack in columns.packs)
    yield Row(moved - columns.one("shims") * float(most + pieces), -np.inf, 0.0)
    for pack in columns.packs:
        for extra in ("more", "less"):
            yield Row(columns.one(extra, pack.joint) - THICK * columns.one("shims"), -np.inf, 0.0)
    for station in columns.present.stations:
        both = columns.one("rough", station) + columns.one("finishing", station)
        yield Row(both - columns.one("rounds"), -np.inf, 0.0)
        for kind in ("rough", "finishing"):
            some = NEVER * columns.one(f"any {kind}", station)
            yield Row(columns.one(kind, station) - some, -np.inf, 0.0)


def allowed(columns: Columns) -> Iterator[Row]:
    """What maker, stock, pack and lining allow."""
    present, limits = columns.present, columns.present.allowed
    if limits.scraping is False:
        yield Row(columns.one("rounds"), -np.inf, 0.0, Constraint("do_not_scrape"))
    yield Row(columns.one("rounds"), -np.inf, float(limits.rounds), Constraint("rounds"))
    for pack in columns.packs:
        more, less = Constraint("stock", pack.joint), Constraint("shims_in", pack.joint)
        if not present.packs:
            more = less = Constraint("no_joint")
            yield Row(columns.pieces("add"), -np.inf, 0.0, more)
        yield Row(columns.one("more", pack.joint), -np.inf, 0.0, more)
        yield Row(columns.one("less", pack.joint), -np.inf, 0.0, less)
    if limits.lining is not None:
        for station in present.stations:
            off = columns.one("rough", station) * limits.rough.most * MICRO
            off = off + columns.one("finishing", station) * limits.finishing.most * MICRO
            yield Row(off, -np.inf, limits.lining * MICRO, Constraint("lining", station))


def within_clearance(columns: Columns, box: Box) -> Iterator[Row]:
    """Each place inside its guarded edges: what is reckoned with not too small, the most not too large."""
    present, passes = columns.present, columns.present.allowed
    for place, spot in enumerate(present.spots):
        edges = box.edges(place)
        if edges is None:
            yield Row(np.zeros(len(columns.names)), 1.0, np.inf, Constraint("gauge"))
            continue
        low, high = edges
        if low is not None:
            start = before_passes(present, spot, place, most=False) * MICRO
            gain = columns.clearance(spot, passes.rough.middle, passes.finishing.middle)
            yield Row(gain, low * MICRO - start, np.inf, Constraint("least", spot.label))
        if high is not None:
            start = before_passes(present, spot, place, most=True) * MICRO
            gain = columns.clearance(spot, passes.rough.most, passes.finishing.most)
            yield Row(gain, -np.inf, high * MICRO - start, Constraint("greatest", spot.label))


def half_of_what_is_left(columns: Columns) -> Iterator[Row]:
    """The last pass of each kind takes at most half of what is left to the far limit before it."""
    present, passes = columns.present, columns.present.allowed
    if present.band.high is None:
        return
    for place, spot in enumerate(present.spots):
        room = (present.band.high - before_passes(present, spot, place, most=True)) * MICRO
        gain = columns.clearance(spot, passes.rough.most, passes.finishing.most)
        last = columns.one("finishing", spot.station) * passes.finishing.most * MICRO * spot.by_metal
        for kind, one, so_far in (
            ("rough", passes.rough, gain - last),
            ("finishing", passes.finishing, gain),
        ):
            more = (1.0 / HALF - 1.0) * one.most * MICRO * spot.by_metal
            some = columns.one(f"any {kind}", spot.station)
            row = so_far + some * THICK
            yield Row(row, -np.inf, room - more + THICK, Constraint("half", spot.station))


def within_crush(columns: Columns, box: Box | None) -> Iterator[Row]:
    """The crush inside its guarded edges, or not changed where it is not known or has no limit."""
    present = columns.present
    if not present.has_crush:
        return
    if box is None:
        code = "crush_unknown" if present.crush is None else "crush_no_limit"
        yield Row(columns.crush(), 0.0, 0.0, Constraint(code))
        return
    for place, where in enumerate(box.measured.where):
        edges = box.edges(place)
        start = float(box.measured.values[place]) * MICRO
        if edges is None:
            yield Row(np.zeros(len(columns.names)), 1.0, np.inf, Constraint("crush_gauge"))
            continue
        low, high = edges
        if low is not None:
            yield Row(columns.crush(), low * MICRO - start, np.inf, Constraint("crush_least", where))
        if high is not None:
            yield Row(columns.crush(), -np.inf, high * MICRO - start, Constraint("crush_greatest", where))


def off_middle(columns: Columns) -> Iterator[Row]:
    """The largest distance of a clearance from the middle of its band, where it has two limits."""
    present, passes = columns.present, columns.present.allowed
    low, high = present.band.low, present.band.high
    if low is None or high is None:
        return
    for place, spot in enumerate(present.spots):
        gain = columns.clearance(spot, passes.rough.middle, passes.finishing.middle)
        off = (0.5 * (low + high) - before_passes(present, spot, place, most=False)) * MICRO
        yield Row(columns.one("off middle") - gain, -off, np.inf)
        yield Row(columns.one("off middle") + gain, off, np.inf)


def objectives(columns: Columns) -> tuple[tuple[str, Matrix], ...]:
    """In order: openings, metal [µm], shims in the joints at closing, pieces handled, distance from the
    middle of the band [µm]. Shims are counted on one side, and from those that are in now."""
    passes = columns.present.allowed
    metal = np.zeros(len(columns.names))
    for station in columns.present.stations:
        metal += columns.one("rough", station) * passes.rough.middle * MICRO
        metal += columns.one("finishing", station) * passes.finishing.middle * MICRO
    return (
        ("openings", columns.one("shims") + columns.one("rounds")),
        ("metal", metal),
        ("shims", columns.pieces("add") - columns.pieces("take")),
        ("pieces", columns.pieces("add", "take")),
        ("off middle", columns.one("off middle")),
    )
