"""From a card to the steps of a job on its bearing."""

from __future__ import annotations

from whitemetal.card import Card
from whitemetal.gauging import METHODS
from whitemetal.job.procedure import built
from whitemetal.job.procedure.rules import RULES, RULES_OF, Rule
from whitemetal.job.procedure.step import Caution, Step
from whitemetal.units import show
from whitemetal.words import say


def generate(card: Card) -> tuple[Step, ...]:
    """The steps for this bearing in the order of the work, each with its reason."""
    words = _words(card)
    return tuple(_step(rule, words) for rule in RULES if rule.when(card))


def all_keys() -> dict[str, bool]:
    """Keys of every step there is for any bearing, each with whether it is protected."""
    return {rule.key: rule.people or bool(rule.trust) for rule in RULES}


def caution(word: str) -> Caution:
    """The caution of this word. Raises KeyError."""
    return Caution(word, say(f"procedure.caution_{word}"), RULES_OF[word])


def _step(rule: Rule, words: dict[str, str]) -> Step:
    method = rule.method if rule.method in METHODS else ""
    return Step(
        rule.key, rule.stage, say(f"procedure.step_{rule.word}", **words),
        say(f"procedure.why_{rule.word}", **words), tuple(caution(word) for word in rule.cautions),
        rule.hold, rule.people, rule.trust, method, rule.purpose if method else "", rule.page,
        say(f"procedure.note_{rule.word}") if rule.note else "",
    )  # fmt: skip


def _words(card: Card) -> dict[str, str]:
    """What the sentences name of this bearing, "not said on the card" where it does not say."""
    bearing, oil, built_so, held = card.bearing, card.oil, card.construction, card.fasteners
    unit, unsaid = _length_unit(card), say("procedure.not_said")
    load = card.duty.load
    return {
        "journal": f"Ø {show(bearing.journal_diameter, unit, 'length', digits=5)}",
        "profile": bearing.profile,
        "kind": card.machine.kind,
        "nuts": _nuts(card),
        "joint": joint_words(card),
        "seals": built_so.seals if built_so.seals != "not known" else unsaid,
        "oil": oil.grade or unsaid,
        "quantity": oil.quantity or say("procedure.to_mark"),
        "cap": mass_words(card, built_so.cap_mass),
        "rotor": mass_words(card, card.duty.rotor_mass),
        "lifting": built_so.lifting or unsaid,
        "jack": built_so.jack_points or unsaid,
        "probes": built_so.probes,
        "pressures": ", ".join(_pressures(card)),
        "torque": _torque(card) if held.torque is not None else unsaid,
        "load_words": say("procedure.load", load=show(load, _force_unit(card), "force")) if load else "",
    }


def joint_words(card: Card) -> str:
    """What lies in the joint at the final closing, with its thickness."""
    joint = card.joint
    if joint.filling == "metal to metal":
        return joint.filling
    unit, typed = card.bearing.unit, card.typed
    left, right = (
        typed.get(f"joint.{side}", "") or show(thick, unit, "length", digits=3)
        for side, thick in (("left", joint.left), ("right", joint.right))
    )
    return say("procedure.joint_both", filling=joint.filling, left=left, right=right)


def _nuts(card: Card) -> str:
    held = card.fasteners
    if held.count is None:
        return ""
    if not held.size:
        return say("procedure.nuts_some")
    return say("procedure.nuts", count=held.count, size=held.size)


def _torque(card: Card) -> str:
    typed = card.typed.get("fasteners.torque", "")
    return typed or show(card.fasteners.torque or 0.0, "N m", "torque")


def mass_words(card: Card, mass: float | None) -> str:
    """A mass [kg] in the units of the card, "not said on the card" where it does not say."""
    if mass is None:
        return say("procedure.not_said")
    return show(mass, "kg" if card.bearing.unit == "mm" else "lb", "mass")


def _pressures(card: Card) -> list[str]:
    found = {"p_oil": built.oil_fed, "p_jacking": built.jacking_oil, "p_water": built.water}
    return [say(f"procedure.{word}") for word, there in found.items() if there(card)]


def _length_unit(card: Card) -> str:
    return "mm" if card.bearing.unit == "mm" else "in"


def _force_unit(card: Card) -> str:
    return "kN" if card.bearing.unit == "mm" else "lbf"
