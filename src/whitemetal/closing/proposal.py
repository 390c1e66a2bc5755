"""A torque proposed from typed texts, for an engineer to sign: what is asked, and what comes of it.

The maker's torque governs; where the card has one that nobody signed, this only says what it does to bolt and
thread.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from whitemetal.card import Card
from whitemetal.closing.bolts import Grade, Thread, grade, thread
from whitemetal.closing.torque import (
    HOUSINGS,
    HYDRAULIC_ABOVE,
    LUBRICATED,
    SCATTER,
    SHARE_OF_PROOF,
    Housing,
    Lubricated,
    Torque,
    lubricated,
    propose,
    stretch,
    stripping_load,
)
from whitemetal.errors import InputError, Problem
from whitemetal.units import Typed, read, show
from whitemetal.words import say

Read = TypeVar("Read")

ASKED = ("size", "grade", "lubricant", "housing", "engagement", "share", "grip")
"""Keys of the texts that are asked, in the order of the form."""

NEEDED = ASKED[:5]
"""Without these nothing can be proposed. Our own."""

MOST_OVER = 0.005
"""A torque signed may be above the proposal by this share: rounding, no more. Our own."""


@dataclass(frozen=True)
class Proposal:
    """What was asked and what comes of it. engaged, grip [m]; share: of the proof load; stretch [m]: of the
    bolt at the preload, None without its clamped length. hydraulic: whether a hydraulic tool is advised."""

    thread: Thread
    grade: Grade
    lubricated: Lubricated
    housing: Housing
    engaged: float
    share: float
    torque: Torque
    stretch: tuple[float, float] | None
    hydraulic: bool

    @property
    def document(self) -> str:
        """Where the torque is from, as the card then says."""
        return say(
            "closing.document",
            share=f"{100 * self.share:.0f} %",
            size=self.thread.name,
            grade=self.grade.name,
            lubricant=self.lubricated.name,
            factor=f"{self.torque.nut_factor:.3g}",
            housing=self.housing.name,
            engaged=show(self.engaged, "mm", "length"),
            governed=say(f"closing.by_{self.torque.governed_by}"),
        )


@dataclass(frozen=True)
class Makers:
    """What the torque on the card does. torque [N m]; preload [N]: least, middle and greatest; of_proof: the
    middle as a share of the bolt's proof load (of_yield: at yield, where the grade is stated so), of_thread:
    of what strips the thread; None where the card does not say enough."""

    torque: float
    preload: tuple[float, float, float]
    of_proof: float | None
    of_thread: float | None
    of_yield: bool = False


def texts_of_card(card: Card) -> dict[str, str]:
    """What the card says already, as the form's texts."""
    typed = card.typed
    found = {key: typed.get(f"fasteners.{key}", "") for key in ASKED if key != "share"}
    known = lubricated(found["lubricant"])
    found["lubricant"] = known.name if known is not None else ""
    found["housing"] = "" if found["housing"] == "not known" else found["housing"]
    return {**found, "share": f"{100 * SHARE_OF_PROOF:g} %"}


def proposed(texts: Mapping[str, str]) -> Proposal:
    """The torque that what was typed will bear. Raises InputError with every problem."""
    problems: list[Problem] = []

    def take(key: str, made: Callable[[str], Read]) -> Read | None:
        text = " ".join(texts.get(key, "").split())
        if not text:
            if key in NEEDED:
                problems.append(Problem(say(f"closing.f_{key}"), "", say("closing.needed")))
            return None
        try:
            return made(text)
        except InputError as bad:
            problems.extend(Problem(say(f"closing.f_{key}"), text, one.expected) for one in bad.problems)
            return None

    size, named = take("size", thread), take("grade", grade)
    state, into = take("lubricant", _state), take("housing", _housing)
    engaged, grip = take("engagement", _length), take("grip", _length)
    part = take("share", _share)
    if problems or size is None or named is None or state is None or into is None or engaged is None:
        raise InputError(*problems)
    share = SHARE_OF_PROOF if part is None else part
    return _made(size, named, state, into, engaged, share, grip)


def _made(
    size: Thread, named: Grade, state: Lubricated, into: Housing, engaged: float, share: float,
    grip: float | None,
) -> Proposal:  # fmt: skip
    torque = propose(size, named, state, into, engaged, share)
    ends = None
    if grip is not None:
        ends = (
            stretch(torque.least, grip, size.stress_area),
            stretch(torque.greatest, grip, size.stress_area),
        )
    return Proposal(
        size, named, state, into, engaged, share, torque, ends, torque.torque > HYDRAULIC_ABOVE
    )  # fmt: skip


def _state(text: str) -> Lubricated:
    found = lubricated(text)
    if found is None:
        raise InputError(Problem("lubricant", text, say("closing.one_of", known=", ".join(LUBRICATED))))
    return found


def _housing(text: str) -> Housing:
    found = HOUSINGS.get(text)
    if found is None:
        raise InputError(Problem("housing", text, say("closing.one_of", known=", ".join(HOUSINGS))))
    return found


def _length(text: str) -> float:
    value = read(text, "length", field="engagement", default_unit="mm").value
    if not value > 0.0:
        raise InputError(Problem("engagement", text, say("closing.engaged")))
    return value


def _share(text: str) -> float:
    """A share of the proof load, "75 %" or "75". "0.75" is asked: it may be that, or three quarters of a per
    cent."""
    typed: Typed = read(text, "ratio", field="share", default_unit="%")
    if not typed.unit_given and typed.value < 0.01:
        raise InputError(Problem("share", text, say("readings.share", unit="%", typed=text)))
    if not 0.0 < typed.value <= 0.9:
        raise InputError(Problem("share", text, say("closing.share")))
    return typed.value


def makers(card: Card) -> Makers | None:
    """What the torque on the card does to bolt and thread; None where there is none, or nobody can tell."""
    torque, state = card.fasteners.torque, lubricated(card.fasteners.lubricant)
    try:
        size = thread(card.fasteners.size)
    except InputError:
        return None
    if torque is None or state is None:
        return None
    middle = torque / (state.middle * size.diameter)
    preload = (middle * (1.0 - SCATTER[1]), middle, middle * (1.0 + SCATTER[1]))
    housing, engaged = HOUSINGS.get(card.fasteners.housing), card.fasteners.engagement
    strips = None
    if housing is not None and engaged is not None:
        strips = stripping_load(size, engaged, housing.shear)
    proof = _proof_load(card, size)
    of_proof = None if proof is None else middle / proof
    of_thread = None if strips is None else middle / strips
    return Makers(torque, preload, of_proof, of_thread, proof is not None and _grade(card).of_yield)


def _proof_load(card: Card, size: Thread) -> float | None:
    try:
        return _grade(card).proof_stress(size.diameter) * size.stress_area
    except InputError:
        return None


def _grade(card: Card) -> Grade:
    return grade(card.fasteners.grade)


def stands_by_the_maker(card: Card) -> bool:
    """Whether the card has a torque that no engineer signed: the maker's own, which nothing here replaces."""
    return card.fasteners.torque is not None and not card.fasteners.signed_by.strip()


def signed(texts: Mapping[str, str], card: Card) -> dict[str, str]:
    """The card's new texts of its fasteners, by path, with the torque that an engineer signs. texts: as of
    `proposed`, with "torque" and "signed_by".

    Raises InputError: on a card with the maker's torque, without a name, on more than bolt or thread bear.
    """
    if stands_by_the_maker(card):
        said = card.typed.get("fasteners.torque", "")
        raise InputError(Problem(say("closing.f_torque"), said, say("closing.makers_governs")))
    made = proposed(texts)
    name, text = texts.get("signed_by", "").strip(), texts.get("torque", "").strip()
    problems = []
    if not name:
        problems.append(Problem(say("closing.f_signed_by"), "", say("closing.needed")))
    problems += _too_much(text, made)
    if problems:
        raise InputError(*problems)
    kept = {key: " ".join(texts.get(key, "").split()) for key in ASKED if key != "share"}
    kept = {key: text for key, text in kept.items() if text} | {"lubricant": made.lubricated.name}
    kept |= {"torque": text, "signed_by": name, "source": made.document}
    return {f"fasteners.{key}": text for key, text in kept.items()}


def _too_much(text: str, made: Proposal) -> list[Problem]:
    label = say("closing.f_torque")
    try:
        value = read(text, "torque", field=label).value
    except InputError as bad:
        return list(bad.problems)
    most = made.torque.torque
    if not 0.0 < value <= most * (1.0 + MOST_OVER):
        return [Problem(label, text, say("closing.at_most", torque=show(most, "N m", "torque")))]
    return []
