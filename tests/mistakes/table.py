"""The twenty-one mistakes: the entry that makes each, and the same job without it. Common practice.

`told` runs the job and returns every sentence it then says and the verdict. `says` is how the sentence that
catches the mistake is known again; the sentence itself comes from the run.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from tests.mistakes.hand import (
    BORE_FACTS,
    CARD,
    CRUSH_FACTS,
    RING_FACTS,
    SEAT_FACTS,
    VIBRATION_FACTS,
    Hand,
    a_hand,
    bored,
    squeezed,
)
from whitemetal.job.run_in import said_of_run

Told = tuple[tuple[str, ...], str]
"""Every sentence said, and the verdict."""


@dataclass(frozen=True)
class Mistake:
    """what: the mistake. entry: what makes it, "" while its subject does not exist. run: a job with the mistake
    or without. says: in the sentence that catches it. open: what is still to come."""

    number: int
    what: str
    entry: str = ""
    run: Callable[[bool], Told] | None = None
    says: str = ""
    still_open: str = ""


def _wire(hand: Hand, **facts: str | None) -> Told:
    check = hand.wire(**facts)  # type: ignore[arg-type]
    return hand.told(check), hand.word(check)


def basis(made: bool) -> Told:
    figures = CARD.replace('"0.15 mm"\nmaximum = "0.30 mm"', '"0.075 mm"\nmaximum = "0.15 mm"')
    with a_hand(figures if made else figures.replace('basis = "diametral"', 'basis = "radial"', 1)) as hand:
        return _wire(hand)


def thin(made: bool) -> Told:
    with a_hand() as hand:
        return _wire(hand, wire_diameter="0.80 mm" if made else "0.40 mm")


def joint(made: bool) -> Told:
    filled = '\n[joint]\nfilling = "shims"\nleft = "0.10 mm"\nright = "0.10 mm"\nshim_sits = "shell joint"\n'
    with a_hand(CARD + filled) as hand:
        said = "metal to metal" if made else "shims"
        between = None if made else "0.10 mm"
        return _wire(hand, joint=said, joint_left=between, joint_right=between)


def unit(made: bool) -> Told:
    with a_hand() as hand:
        usual = squeezed()
        check = hand.wire(
            lambda p: usual(p) if p.label != "DE top" else ("8.9 mm" if made else "8.9 thou"), wires_in="2"
        )
        return hand.told(check), hand.word(check)


def torque(made: bool) -> Told:
    with a_hand() as hand:
        return _wire(hand, tightened="not final" if made else "final value")


def profile(made: bool) -> Told:
    with a_hand(CARD.replace("[bearing]", '[bearing]\nprofile = "tilting pad"') if made else CARD) as hand:
        return _wire(hand)


def crush(thickness: str) -> Told:
    with a_hand() as hand:
        check = hand.check(
            "crush", CRUSH_FACTS, lambda p: thickness, skip=lambda p: not p.label.endswith("crown")
        )
        return hand.told(check), hand.word(check)


def marks(made: bool) -> Told:
    with a_hand() as hand:
        check = hand.check("seat", {**SEAT_FACTS, "marks_meet": "no" if made else "yes"})
        return hand.told(check), hand.word(check)


def scraped(made: bool) -> Told:
    with a_hand() as hand:
        if not made:
            hand.change("scraping", "lower")
        check = hand.wire()
        if made:
            hand.change("scraping", "lower")
        return hand.told(check), hand.word(check)


def dry(made: bool) -> Told:
    stated = CARD.replace(
        'torque = "420 N m"', f'torque = "420 N m"\nsize = "M24"\ngrade = "8.8"\nlubricant = "{"dry" if made else "oiled"}"'
    )  # fmt: skip
    with a_hand(stated) as hand:
        check = hand.tighten(thread="oiled")
        return hand.told(check), hand.word(check)


def taper(made: bool) -> Told:
    with a_hand() as hand:
        check = hand.wire(squeezed(0.190, 0.260) if made else squeezed())
        return hand.told(check), hand.word(check)


def zero(made: bool) -> Told:
    checked = None if made else "0.000 mm"
    with a_hand() as hand:
        return _wire(hand, zero_before=checked, zero_after=checked)


def thumb(made: bool) -> Told:
    rule = CARD.replace("maker's figure for this machine", "general rule", 1)
    with a_hand(
        rule.replace('revision = "2"', 'revision = "2"\nsigned_by = "Eva Invented"', 1) if made else CARD
    ) as hand:
        return _wire(hand)


def round_journal(made: bool) -> Told:
    with a_hand() as hand:
        check = hand.check(
            "bore", BORE_FACTS, bored(),
            skip=lambda p: made and p.piece.endswith("journal") and abs(p.angle) > 1e-6,
        )  # fmt: skip
        return hand.told(check), hand.word(check)


def ring(made: bool) -> Told:
    with a_hand() as hand:
        check = hand.check("oil_ring", {**RING_FACTS, "turns": "no" if made else "yes"})
        ran = hand.run_in(120, ring="" if made else "yes")
        said = (*(f"{one.text}: {one.said}" for one in ran.points if not one.closed), said_of_run(ran))
        return (*hand.told(check), *said), hand.word(check)


def stopped(made: bool) -> Told:
    with a_hand() as hand:
        ran = hand.run_in(35 if made else 120, ring="yes")
        return (said_of_run(ran),), ran.standing


def zones(made: bool) -> Told:
    """2.0 mm/s is within the 2.8 of group 2 on a rigid support either way; the wrong row would let 7.1 pass."""
    power = 'speed = "990 rpm"\npower = "110 kW"'
    limit = """
[[limit]]
of = "housing vibration"
maximum = "2.8 mm/s"
rung = "maker's figure for this machine"
document = "maker's book, table 8 (invented)"
revision = "2"
"""
    with a_hand(CARD.replace('speed = "990 rpm"', power) + limit) as hand:
        row = "group 1, flexible support" if made else "group 2, rigid support"
        check = hand.check("vibration", {**VIBRATION_FACTS, "machine_group": row})
        return hand.told(check), hand.word(check)


def replaced(made: bool) -> Told:
    with a_hand() as hand:
        if not made:
            hand.change("shell", "both")
        hand.close("joint_faces", "tightening", "crush", "contact", "alignment", "seals")
        if made:
            hand.change("shell", "both")
        check = hand.wire()
        for point in hand.desk.judgement(hand.job, check).holds:
            if point.key in ("isolated", "rotor_blocked", "cap_held", "lead", "journal_down", "clean_dry",
                             "wires_out", "wiped", "closing_repeats"):  # fmt: skip
                hand.desk.set_hold(hand.job, point.key, "closed", "seen", hand.writer, check=check)
        return hand.told(), hand.word()


def as_found(made: bool) -> Told:
    with a_hand() as hand:
        if not made:
            hand.wire(purpose="as found")
        hand.change("scraping", "upper")
        check = hand.wire()
        return hand.told(check), hand.word(check)


def hot(made: bool) -> Told:
    with a_hand() as hand:
        warm = "55 degC" if made else "20 degC"
        return _wire(hand, part_temperature=warm, journal_temperature=warm)


MISTAKES: tuple[Mistake, ...] = (
    Mistake(1, "Radial limit compared with a diametral reading, or the other way round",
            "the radial figures of the maker's book on the card as diametral", basis, "is the limit written as"),
    Mistake(2, "Wire read below a third of its thickness, or hardly flattened",
            "wire of 0.80 mm in a gap of 0.225 mm", thin, "below a third the wire sinks"),
    Mistake(3, "Shims or gasket at the joint differ between the check and the final closing",
            "joint metal to metal at the squeeze, shims of 0.10 mm on the card", joint, "was metal to metal, but"),
    Mistake(4, "Inches typed as millimetres, or thou as inches",
            "8.9 thou typed as 8.9 mm", unit, "wrong unit, wrong wire or wrong place"),
    Mistake(5, "Cap not at its final torque when the wire was read",
            "cap tightened to: not final", torque, "was not at its final torque"),
    Mistake(6, "Wrong shape of bore for the method", "soft wire in a bore with tilting pads", profile,
            "is wrong for a bore with"),
    Mistake(7, "Too much crush", "crush read as 0.40 less 0.30 mm, limit 0.05 mm",
            lambda made: crush("0.300 mm" if made else "0.375 mm"), "The chance that Crush lies"),
    Mistake(8, "Too little crush, bright shell back", "crush read as 0.40 less 0.43 mm in a cylindrical seat",
            lambda made: crush("0.430 mm" if made else "0.375 mm"), "it will turn or fret"),
    Mistake(9, "Halves swapped, match marks or oil holes not together, dam reversed",
            "match marks together: no", marks, "Halves swapped or turned"),
    Mistake(10, "Scraped after the clearance was taken", "scraping of the lower half after the readings", scraped,
            "scraping (lower): scraping as entered was entered by"),
    Mistake(11, "Dry torque on an oiled bolt, or the wrong grade",
            "torque stated for dry threads, pulled on oiled ones", dry, "loads the bolt about"),
    Mistake(12, "Averages hide taper and tilt", "0.190 mm at one end, 0.260 mm at the other, limits 0.15 to 0.30",
            taper, "tilt, taper or a cocked cap"),
    Mistake(13, "Micrometer's zero or a warm part not recorded", "no zero of the micrometer, neither before nor after the readings",
            zero, "was not checked; 2 µm are allowed"),
    Mistake(14, "Rule of thumb used although there is a drawing",
            "the limit on the card is a general rule, the maker's figure left out", thumb,
            "Provisional: judged by a rule of thumb"),
    Mistake(15, "Journal out of round, clearance worked out from one diameter",
            "bore less journal with one diameter of the journal a station", round_journal,
            "says nothing of its roundness"),
    Mistake(16, "Ring not turning, oil too high or too low",
            "ring turns freely on the shaft: no; nobody saw it turn at the run-in", ring,
            "The ring does not turn freely"),
    Mistake(17, "Running test stopped before it was steady", "the last reading of the run-in after 35 minutes",
            stopped, "Not settled: 35 minutes run"),
    Mistake(18, "Wrong group or class in the vibration table",
            "group 1, flexible support, said of a fan of 110 kW", zones, "does not fit a machine of 110 kW"),
    Mistake(19, "Bearing replaced, alignment and seals not checked again",
            "another shell after alignment and seals were closed", replaced, "Alignment checked: opened again by shell"),
    Mistake(20, "As found not taken before dismantling", "scraping entered, no clearance as found", as_found,
            "was not taken as found, and cannot be taken any more"),
    Mistake(21, "Cold reading taken on a hot machine", "shell and journal at 55 °C", hot, "too warm to measure"),
)  # fmt: skip

EXISTS = tuple(one for one in MISTAKES if one.run is not None)


@cache
def told(number: int, made: bool) -> Told:
    """What the job of a mistake says, with it or without."""
    run = next(one.run for one in MISTAKES if one.number == number)
    assert run is not None
    return run(made)


def caught(one: Mistake) -> tuple[str, ...]:
    """The sentences that catch a mistake, from the run."""
    return tuple(text for text in told(one.number, True)[0] if one.says in text)
