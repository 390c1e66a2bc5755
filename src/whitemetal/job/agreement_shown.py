"""How the checks of a job agree, in the only shape that page, terminal and JSON show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

AGREEMENT = "whitemetal.agreement/1"
"""Format of an agreement as JSON. Our own."""

AgreementWord = Literal["agree", "disagree", "one counts"]


@dataclass(frozen=True)
class SideBySide:
    """One check's value of a measurand [m], with its 95 % interval. weight: in the pooled value."""

    check: str
    title: str
    value_m: float
    u_m: float
    k: float
    low_m: float
    high_m: float
    weight: float
    counts: bool


@dataclass(frozen=True)
class PairShown:
    """Two checks and their difference [m]. normalized: over its expanded uncertainty; apart: above 1."""

    high: str
    low: str
    difference_m: float
    u_m: float
    normalized: float
    apart: bool
    text: str


@dataclass(frozen=True)
class SuspectShown:
    """A usual cause with its points and the reason for every one. likely: more speaks for it than against.
    looks: what it would look like; next: what to measure."""

    code: str
    check: str
    title: str
    points: int
    likely: bool
    reasons: tuple[tuple[int, str], ...]
    looks: str
    next: str


@dataclass(frozen=True)
class Measured:
    """One measurand side by side. of: its key. pooled_m: None unless the checks agree.

    suspects: the usual causes of the worst pair's disagreement, the likeliest first. next: what to measure to
    find out.
    """

    of: str
    label: str
    values: tuple[SideBySide, ...]
    word: AgreementWord
    chi_square: float
    dof: int
    probability: float
    birge: float
    pooled_m: float | None
    pooled_u_m: float | None
    pooled_expanded_m: float | None
    text: str
    pairs: tuple[PairShown, ...]
    suspects: tuple[SuspectShown, ...]
    next: tuple[str, ...]


@dataclass(frozen=True)
class Change:
    """A change along the land [m] from the first end to the last. inferred: from the other two."""

    label: str
    value_m: float
    expanded_m: float
    inferred: bool


@dataclass(frozen=True)
class TaperShown:
    """Whose taper it is. closes: whether gap, bore and journal fit together; None where one is inferred."""

    changes: tuple[Change, ...]
    closure_m: float | None
    closure_expanded_m: float | None
    closes: bool | None
    door: str
    text: str


@dataclass(frozen=True)
class LeftOut:
    """A check that is not compared, or compared but not pooled, and why."""

    check: str
    title: str
    why: str


@dataclass(frozen=True)
class Agreement:
    """The checks of one purpose put side by side. word: "disagree" as soon as one measurand does."""

    purpose: str
    unit: str
    word: AgreementWord
    measured: tuple[Measured, ...]
    taper: TaperShown | None
    left_out: tuple[LeftOut, ...]
