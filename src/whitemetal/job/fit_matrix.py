"""What a change of the fit touches: which checks go stale and which hold points open again.

A matrix by what was done, to which half and at which joint. A false alarm gets clicked away, so nothing is
touched that the change does not move; what is touched by an unknown change is everything.

| change | what it touches |
|---|---|
| scraping the loaded half | contact, clearance, alignment, seals (the shaft comes down) |
| scraping the other half | clearance |
| another shell | joint faces, crush, contact, clearance, alignment, seals, end float, ring, pin |
| shim or gasket in the shell joint | clearance and crush |
| in the housing joint outside a shell | crush, and so the clearance, which is taken after it |
| in both joints | clearance |
| in the joint of a lined cap | clearance (no crush exists) |
| joint not said | clearance and crush |
| another tightening | tightening, crush, clearance |
| a machined journal | clearance, contact, seals, the journal's survey |
| work on the oil ring, a seal, a dowel | that part |
| the cap opened again | tightening, and that everything was counted out |
| another oil | no check: the run-in |
| any of them | a run-in made before it (`run_state`): what ran is not what stands there |

Sources: order of trust and effects, common practice; where a shim sits, derived from geometry.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from whitemetal.gauging.contract import Method
from whitemetal.words import say

POINTS = ("joint_faces", "tightening", "crush", "contact", "clearance", "alignment", "seals")
"""The order of trust. Common practice: a later point means nothing while an earlier one is open."""

CLEARANCE = "clearance"

CAP_OPENED = "cap opened"

FIT_CHANGES = (
    "scraping", "shim", "gasket", "shell", "journal", "tightening", "oil ring", "seal", "dowel", "oil",
    CAP_OPENED,
)  # fmt: skip
HALVES = ("", "upper", "lower", "both")
JOINTS = ("", "shell joint", "housing joint", "both joints", "lined cap joint")
"""Where a shim or gasket was changed; "" where it was not said."""

EVERYTHING = frozenset({"*"})
"""What an unknown change touches."""

_MOVES_SHAFT = frozenset({"contact", "clearance", "alignment", "seals"})
_SHELL = _MOVES_SHAFT | {"joint_faces", "crush", "end_float", "oil_ring", "dowels", "shell"}
_BY_JOINT: Mapping[str, frozenset[str]] = {
    "shell joint": frozenset({"clearance", "crush"}),
    "housing joint": frozenset({"crush", "clearance"}),
    "both joints": frozenset({"clearance"}),
    "lined cap joint": frozenset({"clearance"}),
}
_ALWAYS: Mapping[str, frozenset[str]] = {
    "shell": _SHELL,
    "journal": frozenset({"clearance", "contact", "seals", "journal"}),
    "tightening": frozenset({"tightening", "crush", "clearance"}),
    "oil ring": frozenset({"oil_ring"}),
    "seal": frozenset({"seals"}),
    "dowel": frozenset({"dowels"}),
    "oil": frozenset({"run_in"}),
    CAP_OPENED: frozenset({"tightening", "closed_up"}),
}


_BESIDE = frozenset({"end_float", "oil_ring", "dowels", "shell", "journal", "closed_up", "run_in"})


def touched(what: str, half: str = "", joint: str = "", loaded: str = "lower") -> frozenset[str]:
    """Hold points and other things that a change touches; `EVERYTHING` for an unknown one.

    half: scraped half, "" where it was not said (then both are meant). joint: one of `JOINTS`; another text
    counts as not said. loaded: the loaded half as the card had it when the change was written; it stands in
    the entry, so that a fold needs no card and a card put right later does not rewrite what was done. Where
    it was not said, either half may have been the loaded one.
    """
    if what == "scraping":
        unloaded = (half, loaded) in (("upper", "lower"), ("lower", "upper"))
        return frozenset({"clearance"}) if unloaded else _MOVES_SHAFT
    if what in ("shim", "gasket"):
        return _BY_JOINT.get(joint, frozenset({"clearance", "crush"}))
    return _ALWAYS.get(what, EVERYTHING)


def things_of(method: Method | None) -> frozenset[str]:
    """What a check of this method goes stale with: what it declares, else the point it proves or its key."""
    if method is None:
        return EVERYTHING
    return frozenset(method.stale_with or (method.proves or method.key,))


def touches(change: frozenset[str], things: frozenset[str]) -> bool:
    """Whether a change reaches any of these things."""
    return bool(change & things) or change == EVERYTHING or things == EVERYTHING


def in_words(things: Iterable[str]) -> str:
    """What a change touches in words, in the order of trust; "everything" for an unknown change."""
    found = set(things)
    if found == EVERYTHING:
        return say("fit.thing_everything")
    order = [*(point for point in POINTS if point in found), *sorted(found - set(POINTS))]
    return ", ".join(_named(thing) for thing in order)


def _named(thing: str) -> str:
    return say(f"fit.thing_{thing}") if thing in POINTS or thing in _BESIDE else thing.replace("_", " ")


def half_matters(what: str) -> bool:
    """Whether which half was worked on says what goes stale."""
    return what == "scraping"


def joint_matters(what: str) -> bool:
    """Whether the joint it was in says what goes stale."""
    return what in ("shim", "gasket")
