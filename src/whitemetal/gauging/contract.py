"""The one contract for gauging methods: a method is data plus one function.

A method declares its places, fields, units, basis, drawing, limits, rejection rules, cautions and sheet
lines as data, and one function that turns typed readings into quantities. The page, the terminal and the
paper render any method from this declaration alone; a new method is one file and its registration.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from whitemetal.card import Card
from whitemetal.quantity import Quantity
from whitemetal.units import Dimension

Severity = Literal["note", "warning", "question", "hold", "refused", "fault"]
"""How far a finding reaches: a *question* must be answered and a *hold* be cleared before a verdict can
be other than not proven; *refused* means there is no result at all; a *fault* is seen, not measured (a
dowel missing, a bond test failed), and puts the check outside limits whatever the numbers say."""

FieldKind = Literal["quantity", "number", "choice", "text", "date", "yes or no"]
Scope = Literal["check", "squeeze", "instrument"]
View = Literal["section", "unrolled half", "round", "contact grid", "cap"]
"""A drawing that carries the places: the upper half unrolled; one ring a piece with a box at each angle;
the loaded half unrolled in cells; the cap from above with its nuts."""

Ring = Literal["bore", "journal", "shell back", "seal", "rotor", "fit"]
"""What a ring of the round view shows; "fit" is the shaft at rest in its shells."""

CLEARANCE, GAP_CHANGE = "clearance", "gap_change"
JOURNAL_CHANGE, BORE_CHANGE = "journal_change", "bore_change"
"""What several methods may measure (`Result.says`), lengths [m], diametral: the oil clearance in the middle
of the land, and the change from the card's first end to its last over the whole land of the clearance, of
the journal's diameter and of the bore."""


@dataclass(frozen=True)
class Field:
    """A fact the method asks for once a check, once a squeeze, or once an instrument.

    See `unit_of` for the unit its box suggests.

    key: name in files and entries. label: on forms and sheets. dimension, unit: of a quantity; a
    length without a unit here takes the card's. choices: of a choice. default: text used (and labelled
    as assumed) when nothing was typed; None when there is none. source: where the default comes from.
    needed: a check without it is judged not proven. help: half a sentence. measured: its fact is a reading
    of the parts, so that a change of the fit makes it stale as it does a reading.
    """

    key: str
    label: str
    kind: FieldKind
    scope: Scope = "check"
    dimension: Dimension | None = None
    unit: str = ""
    choices: tuple[str, ...] = ()
    default: str | None = None
    source: str = ""
    needed: bool = False
    help: str = ""
    measured: bool = False


def unit_of(field: Field, card: Card) -> str:
    """The unit a field's box suggests: its own, or for a length without one the card's clearance unit."""
    return field.unit or (card.bearing.unit if field.dimension == "length" else "")


@dataclass(frozen=True)
class Place:
    """Where a reading is taken.

    label: short and unique, e.g. "DE left". axial [m] from the edge of the land at the card's first end.
    angle [rad] from top centre, positive to the right as seen from the machine's viewing end.
    piece: the piece of wire it lies on, or the ring it is drawn on. lies: how that piece lies. title: the
    place in full words.
    """

    label: str
    axial: float
    angle: float
    piece: str
    lies: Literal["across", "along"] = "across"
    title: str = ""


@dataclass(frozen=True)
class Reading:
    """One reading as taken. text is as typed; value and resolution [SI] are read from it. Of a reading that
    is a choice the value is the choice's place in the field's list, counted from 0.

    squeeze: 1 for the first closing of the cap, 2 for a repeat of the whole squeeze. entry: id of the
    entry that keeps it ("" outside a ledger). instrument: its id, "" when not recorded.
    """

    place: str
    text: str
    value: float
    resolution: float
    squeeze: int = 1
    instrument: str = ""
    entry: str = ""


@dataclass(frozen=True)
class Fact:
    """A fact as typed, with its SI value where it is a quantity. entry: id of the entry that keeps it."""

    text: str
    value: float | None = None
    entry: str = ""
    by: str = ""


Facts = Mapping[str, Fact]
"""Facts by key. Facts of one squeeze are keyed ``key@2`` (no suffix means squeeze 1); facts of an instrument
``instrument.ID.key``. Answers to questions are keyed ``answer.CODE``."""


@dataclass(frozen=True)
class Finding:
    """Something the method noticed. code: name of its message, also what an answer refers to.

    text: one sentence for people. source: of the rule behind it. place: where it belongs, "" if overall.
    """

    code: str
    severity: Severity
    text: str
    source: str = ""
    place: str = ""


@dataclass(frozen=True)
class PlaceResult:
    """The quantity at one place, its squeezes averaged. readings, squeezes: how many were used;
    reading: their mean as read [SI]; residual: reading minus fit [SI]; standardized: that over its
    standard deviation."""

    place: Place
    value: Quantity
    reading: float
    readings: int
    squeezes: int = 1
    residual: float = 0.0
    standardized: float = 0.0


@dataclass(frozen=True)
class Named:
    """A further quantity of a result, e.g. taper end to end. unit_kind: how it is shown."""

    key: str
    label: str
    quantity: Quantity
    unit_kind: Literal["length", "slope", "angle"] = "length"
    note: str = ""


@dataclass(frozen=True)
class Fitted:
    """How well the readings fit the model. worst: label of the place that disagrees most."""

    chi_square: float
    dof: int
    probability: float
    worst: str
    worst_standardized: float
    scatter_ratio: float


@dataclass(frozen=True)
class Assessed:
    """A quantity that a limit may be set for, other than the oil clearance.

    of: what a limit's ``of`` names, a key of `card.LIMITED`, which knows dimension and basis. values: [SI]
    in the main basis, one for each of ``where`` (a station, a side; "" for the whole). needed: the check
    exists for it, so that without a limit the check is not proven; otherwise it is shown beside. rules:
    general rules that follow from the facts of this check, beside those the method has for the card.
    """

    of: str
    label: str
    values: tuple[Quantity, ...]
    where: tuple[str, ...] = ("",)
    note: str = ""
    needed: bool = True
    rules: tuple[GeneralRule, ...] = ()


@dataclass(frozen=True)
class GeneralRule:
    """A limit that is common practice for a quantity; it counts only when an engineer adopts it on the card.

    of: a key of `card.LIMITED`. minimum, maximum, renewal: [SI], in the quantity's main basis.
    """

    of: str
    title: str
    source: str
    minimum: float | None = None
    maximum: float | None = None
    renewal: float | None = None


@dataclass(frozen=True)
class Result:
    """What a method makes of its readings; everything in the method's own basis, SI.

    assessed: further quantities with limits of their own; a method that does not measure the oil clearance
    has only these. says: what other methods may measure too, by `CLEARANCE`, `GAP_CHANGE`, ... .

    overall: the quantity as a whole (None when the readings cannot say). places: one a place.
    covariance: of the places, shape (n, n) [SI squared]. named: further quantities. fit: None when
    nothing is over-determined. shrinking: of the overall and the widest place, the part of the variance
    that repeating the whole squeeze would shrink, 0 to 1. unknown: what these readings cannot say.
    assumed: labels of defaults used, each with value and source.
    """

    overall: Quantity | None
    places: tuple[PlaceResult, ...] = ()
    covariance: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 0)))
    named: tuple[Named, ...] = ()
    fit: Fitted | None = None
    findings: tuple[Finding, ...] = ()
    shrinking: float = 0.0
    unknown: tuple[str, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    assessed: tuple[Assessed, ...] = ()
    says: Mapping[str, Quantity] = field(default_factory=dict)


@dataclass(frozen=True)
class Assumed:
    """A default that was used. key: of the field or budget entry."""

    key: str
    label: str
    text: str
    source: str


@dataclass(frozen=True)
class HoldPoint:
    """Something a person confirms before (or after) the readings. people: True where it protects people."""

    key: str
    when: Literal["before", "after"]
    text: str
    why: str
    people: bool = False


@dataclass(frozen=True)
class RejectionRule:
    """A reason to throw a reading away, and whether the program finds it or a person must look."""

    code: str
    text: str
    found_by: Literal["program", "person"]
    source: str


@dataclass(frozen=True)
class SheetLine:
    """A line of the paper sheet: label and the key of the field, named quantity or place it shows."""

    label: str
    key: str


def _no_rules(card: Card) -> tuple[GeneralRule, ...]:
    return ()


@dataclass(frozen=True)
class Method:
    """A gauging method.

    key: in files, addresses and entries. measures: the quantity a limit's ``of`` names. basis: of its
    readings' result. reading_field: unit and dimension of a reading, or its choices. default_places: the
    standard layout for a card, () where everything is asked as a fact. evaluate: readings in, result out;
    pure. views: which drawings carry the places; ring: what a ring of the round view shows.
    assesses: every quantity its result may be judged by beside the clearance, keys of `card.LIMITED`.
    rules: general rules for those, for a card. proves: key of the hold point of the order of trust that
    the check's verdict closes, "" for none. subject: what it belongs to. repeats: whether the whole
    measurement can be done again as a second squeeze. about: what it is for and what it cannot see, in
    one or two sentences. again: how it is repeated, in words that go on from "and" ("squeeze new wires").
    finish: what is done last, before closing. finer: a method that knows more, "" where there is none.
    stale_with: what a change of the fit must touch to make the check stale, where that is not what it proves.
    reads: "gap" where a reading of length is the thickness of something thin, so that a readings file may
    refuse one that is nothing or a tenth of the journal; "other" where the method alone can tell.
    births: whether its places have values of birth, which the bearing's own book keeps (`birth`).
    passes: its squeezes are steps of one job and no repeats: the last one counts, no mean is taken.
    """

    key: str
    title: str
    measures: str
    basis: Literal["diametral", "radial", "joint gap", "none"]
    reading_field: Field
    fields: tuple[Field, ...]
    default_places: Callable[[Card], tuple[Place, ...]]
    evaluate: Callable[[Card, tuple[Place, ...], Facts, tuple[Reading, ...]], Result]
    views: tuple[View, ...] = ("section", "unrolled half")
    hold_points: tuple[HoldPoint, ...] = ()
    rejection_rules: tuple[RejectionRule, ...] = ()
    sheet_lines: tuple[SheetLine, ...] = ()
    cautions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    ring: Ring = "bore"
    assesses: tuple[str, ...] = ()
    rules: Callable[[Card], tuple[GeneralRule, ...]] = _no_rules
    proves: str = ""
    subject: Literal["bearing", "machine"] = "bearing"
    repeats: bool = True
    about: str = ""
    again: str = "take the measurement again"
    finish: str = ""
    finer: str = ""
    stale_with: tuple[str, ...] = ()
    reads: Literal["gap", "other"] = "gap"
    births: bool = False
    passes: bool = False
