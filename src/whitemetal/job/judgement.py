"""The judgement: the only shape that page, terminal, paper, JSON and API render.

A face that compares a number with a limit is a defect: every comparison is made here (through
`fitting.verdict`) and arrives at the face as a word, a probability and a sentence.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Word = Literal["within limits", "outside limits", "not proven"]

FORMAT = "whitemetal.judgement/1"


@dataclass(frozen=True)
class PlaceJudgement:
    """One place. All lengths [m], angle [rad]. probability: that the true value lies within the limits
    (None without limits). struck readings are not here but in `Judgement.struck`."""

    label: str
    title: str
    axial_m: float
    angle_rad: float
    lies: str
    piece: str
    squeezes: int
    readings: int
    reading_m: float
    diametral_m: float
    radial_m: float
    u_m: float
    dof: float
    verdict: Word
    probability: float | None
    residual_m: float
    standardized: float


@dataclass(frozen=True)
class NamedValue:
    """A further result. unit: "m", "m/m" or "rad"."""

    key: str
    label: str
    value: float
    u: float
    unit: str
    note: str


@dataclass(frozen=True)
class Clearance:
    """The oil clearance as a whole. expanded_m = k * u_m for 95 %."""

    diametral_m: float
    radial_m: float
    u_m: float
    dof: float
    k: float
    expanded_m: float
    end_to_end_m: float | None
    end_to_end_u_m: float | None
    places: tuple[PlaceJudgement, ...]
    named: tuple[NamedValue, ...]


@dataclass(frozen=True)
class LimitShown:
    """A limit as judged by; figures diametral [m]. source: document and revision in one line.

    accept_from_m, accept_to_m: the guarded edges between which one value with the check's widest place
    uncertainty is proven within (None where even the middle of the band cannot be proven).
    """

    basis: str
    rung: str
    source: str
    minimum_m: float | None
    maximum_m: float | None
    renewal_m: float | None
    provisional: bool
    accept_from_m: float | None = None
    accept_to_m: float | None = None
    probability: float | None = None
    word: Word | None = None
    note: str = ""
    kind: str = "limits"


@dataclass(frozen=True)
class AssessedValue:
    """One value of an assessed quantity, in SI. where: station or side, "" for the whole. expanded = k * u
    for 95 %. word, probability: None without a limit to judge by."""

    where: str
    value: float
    u: float
    dof: float
    k: float
    expanded: float
    word: Word | None
    probability: float | None


@dataclass(frozen=True)
class AssessedLimit:
    """A limit of an assessed quantity; figures in SI, in the main basis. basis: as written. note: why it
    does not count, "" where it does."""

    basis: str
    rung: str
    source: str
    minimum: float | None
    maximum: float | None
    renewal: float | None
    provisional: bool
    note: str = ""
    title: str = ""
    word: Word | None = None
    probability: float | None = None


@dataclass(frozen=True)
class AssessedShown:
    """A quantity other than the oil clearance. dimension, unit: how its SI values are shown. limit: the one
    judged by, None if there is none; ladder: all the card has; rules: general rules side by side. word: of
    all values together, None without a limit. needed: the check exists for it."""

    of: str
    label: str
    dimension: str
    unit: str
    basis: str
    values: tuple[AssessedValue, ...]
    limit: AssessedLimit | None
    ladder: tuple[AssessedLimit, ...]
    rules: tuple[AssessedLimit, ...]
    word: Word | None
    probability: float | None
    note: str
    needed: bool


@dataclass(frozen=True)
class BudgetShown:
    """A family of the budget. u_input_m: of one influence; u_m: what it adds [m]; share: of the variance."""

    label: str
    shape: str
    u_input_m: float
    u_m: float
    share: float
    dof: float
    count: int
    source: str


@dataclass(frozen=True)
class Warned:
    """A finding. severity: note, warning, question, hold or refused. code: what an answer refers to."""

    code: str
    severity: str
    text: str
    source: str
    place: str


@dataclass(frozen=True)
class Struck:
    """A struck reading stays visible, with who and why."""

    place: str
    text: str
    by: str
    why: str


@dataclass(frozen=True)
class HoldShown:
    """A hold point as the entries leave it, and why it stands open where that is known."""

    key: str
    text: str
    closed: bool
    why: str


@dataclass(frozen=True)
class Judgement:
    """Everything a face may show of a check.

    verdict and probability are of the check; ``bearing`` is "fit" or "not fit", with ``holds`` listing
    every hold point and whether it is closed. settle: what would settle a *not proven*. next: in order.
    limits: the one judged by (None if there is none); ladder: all the card has; rules: the general
    rules that apply, side by side. stale: why the check no longer counts ("" while it does).
    fit_*: chi-square of the model against the readings. assessed: quantities other than the oil clearance,
    each with its own limit; proves: the hold point of the order of trust that the verdict closes.
    """

    method: str
    title: str
    card_digest: str
    machine: str
    bearing_name: str
    unit: str
    verdict: Word
    probability: float | None
    clearance: Clearance | None
    limits: LimitShown | None
    ladder: tuple[LimitShown, ...]
    rules: tuple[LimitShown, ...]
    reasons: tuple[str, ...]
    warnings: tuple[Warned, ...]
    settle: tuple[str, ...]
    next: tuple[str, ...]
    budget: tuple[BudgetShown, ...]
    assumed: tuple[tuple[str, str, str], ...]
    unknown: tuple[str, ...]
    struck: tuple[Struck, ...]
    holds: tuple[HoldShown, ...]
    bearing: Literal["fit", "not fit"]
    stale: str
    decision_rule: str
    chi_square: float | None = None
    chi_dof: int = 0
    chi_probability: float | None = None
    disagrees_most: str = ""
    assessed: tuple[AssessedShown, ...] = ()
    proves: str = ""
