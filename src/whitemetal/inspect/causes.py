"""Causes of damage, what to check next for each, and which known facts speak for or against it."""

from __future__ import annotations

from dataclasses import dataclass, field

from whitemetal.inspect.looks import Where

PRACTICE = "common practice"


@dataclass(frozen=True)
class Known:
    """What is known of this bearing; None where it is not, which then speaks neither way.

    tapered: the clearance changes along the axis by more than its limit or a tenth of itself.
    contact_heavy_end: the blue is heavy at one end. aligned: alignment within its limits. crush_tight,
    crush_loose: crush above its limit, below it. clearance_low, clearance_high: outside the limits. film_low:
    the calculated film is below what is wanted. dirt: grit was found. oil_bad: water, acid or oxidation found
    in the oil. oil_failed: the oil was low, the ring stood or the feed failed. insulated_ok: the insulation
    holds. hot: it ran above its alarm. many_starts: started far more often than usual. bond_ok: the bond test
    passed. shaking: vibration in zone C or D. journal_ok: round, smooth and without steps.
    """

    tapered: bool | None = None
    contact_heavy_end: bool | None = None
    aligned: bool | None = None
    crush_tight: bool | None = None
    crush_loose: bool | None = None
    clearance_low: bool | None = None
    clearance_high: bool | None = None
    film_low: bool | None = None
    dirt: bool | None = None
    oil_bad: bool | None = None
    oil_failed: bool | None = None
    insulated_ok: bool | None = None
    hot: bool | None = None
    many_starts: bool | None = None
    bond_ok: bool | None = None
    shaking: bool | None = None
    journal_ok: bool | None = None


@dataclass(frozen=True)
class Sign:
    """A fact that speaks for a cause. fact: a field of `Known`; says: its value that speaks for the cause
    (the other value speaks against it); points: how much either way."""

    fact: str
    says: bool
    points: int
    text: str


@dataclass(frozen=True)
class Cause:
    """key; name in words; signs: facts that speak for and against; places: where on the shell it shows, each
    with points; check: what to check next."""

    key: str
    name: str
    signs: tuple[Sign, ...]
    check: str
    places: dict[Where, int] = field(default_factory=dict)
    source: str = PRACTICE


def _yes(fact: str, points: int, text: str) -> Sign:
    return Sign(fact, True, points, text)


def _no(fact: str, points: int, text: str) -> Sign:
    return Sign(fact, False, points, text)


CAUSES: dict[str, Cause] = {
    one.key: one
    for one in (
        Cause(
            "dirt_at_assembly",
            "dirt left in at assembly",
            (_yes("dirt", 3, "grit was found"),),
            "Flush; look into ports, drillings and under the shells.",
            {"all over": 1, "a spot": 1},
        ),
        Cause(
            "dirty_oil",
            "dirt in the oil",
            (_yes("dirt", 3, "grit was found"), _yes("oil_bad", 1, "the oil is bad")),
            "Oil sample; filter and its bypass; breather.",
            {"all over": 2},
        ),
        Cause(
            "fine_dirt",
            "fine particles in the flow",
            (_yes("dirt", 2, "grit was found"),),
            "Rating of the filter; oil sample.",
            {"all over": 2},
        ),
        Cause(
            "oil_lost",
            "no oil, or too little",
            (
                _yes("oil_failed", 4, "the oil supply failed"),
                _yes("film_low", 1, "the film is thin"),
                _yes("hot", 1, "it ran hot"),
            ),
            "Level, ring and feed; the trip and its record.",
            {"loaded sector": 2},
        ),
        Cause(
            "tight",
            "too little clearance",
            (
                _yes("clearance_low", 4, "the clearance is below its limit"),
                _yes("crush_tight", 2, "the crush is above its limit"),
            ),
            "Clearance and crush, in that order of trust: crush first.",
            {"all over": 1, "unloaded half": 2},
        ),
        Cause(
            "misaligned",
            "journal and bearing not in line",
            (
                _no("aligned", 3, "the alignment is outside its limits"),
                _yes("contact_heavy_end", 2, "the blue is heavy at one end"),
                _yes("tapered", 1, "the clearance changes along the axis"),
            ),
            "Alignment, contact by bluing, seat of the shell.",
            {"one end": 3, "opposite corners": 3, "both ends": 1},
        ),
        Cause(
            "tapered",
            "tapered journal or bore",
            (
                _yes("tapered", 3, "the clearance changes along the axis"),
                _no("journal_ok", 2, "the journal is not round and straight"),
            ),
            "Journal survey and bore at three stations: whose taper is it?",
            {"one end": 3},
        ),
        Cause(
            "bent",
            "bent shaft",
            (_yes("contact_heavy_end", 1, "the blue is heavy at one end"), _yes("shaking", 2, "it vibrates")),
            "Run-out of the shaft.",
            {"both ends": 2, "opposite corners": 1},
        ),
        Cause(
            "overload",
            "more load than the film carries",
            (_yes("film_low", 3, "the film is thin"), _yes("hot", 1, "it ran hot")),
            "Load, belt or gear forces; the film at this load.",
            {"loaded sector": 2},
        ),
        Cause(
            "many_starts",
            "many starts",
            (_yes("many_starts", 3, "it is started often"),),
            "Starts and hours; turning gear; jacking oil if there is any.",
            {"loaded sector": 1},
        ),
        Cause(
            "shaking_load",
            "a load that shakes",
            (
                _yes("shaking", 3, "it vibrates"),
                _yes("clearance_high", 1, "the clearance is above its limit"),
            ),
            "Vibration history, balance, clearance.",
            {"loaded sector": 2},
        ),
        Cause(
            "hot_lining",
            "the lining ran hot",
            (_yes("hot", 3, "it ran above its alarm"), _yes("oil_failed", 1, "the oil supply failed")),
            "Temperature record against the alarm; cooler; oil grade.",
            {"loaded sector": 1},
        ),
        Cause(
            "bad_bond",
            "the lining is not bonded",
            (_no("bond_ok", 4, "the bond test failed"),),
            "Bond test: ultrasonic over the area, dye at edges and joint.",
            {"a spot": 1, "at the joint": 1},
        ),
        Cause(
            "hard_scab",
            "a hard particle cutting a chromium steel journal",
            (_yes("dirt", 2, "grit was found"), _no("journal_ok", 1, "the journal is cut")),
            "Steel of the journal: 12 to 13 % chromium is prone; new sleeve or coating by its maker.",
            {"a spot": 2},
        ),
        Cause(
            "shaft_current",
            "current through the bearing",
            (_no("insulated_ok", 4, "the insulation does not hold"),),
            "Insulation at 500 V, coupling parted; earthing brush.",
            {"loaded sector": 1, "all over": 1},
        ),
        Cause(
            "air_in_oil",
            "air in the oil",
            (_yes("oil_bad", 1, "the oil is bad"),),
            "Foam, leaks on the suction side, level.",
            {"at a feed or groove": 3},
        ),
        Cause(
            "low_feed",
            "feed pressure too low",
            (_yes("oil_failed", 2, "the oil supply failed"),),
            "Feed pressure and orifice.",
            {"at a feed or groove": 2},
        ),
        Cause(
            "water_in_oil",
            "water or acid in the oil",
            (_yes("oil_bad", 3, "the oil is bad"),),
            "Water and acid number; breather and cooler.",
            {"all over": 2},
        ),
        Cause(
            "hydrogen",
            "hydrogen coming out of the steel",
            (_no("bond_ok", 1, "the bond test failed"),),
            "Ask the maker of the shells: steel and its baking.",
            {"all over": 1},
        ),
        Cause(
            "old_oil",
            "old oil",
            (_yes("oil_bad", 3, "the oil is bad"), _yes("hot", 1, "it ran hot")),
            "Age, acid number, varnish potential.",
            {"all over": 1},
        ),
        Cause(
            "dirt_under_shell",
            "something under the shell",
            (_yes("dirt", 2, "grit was found"),),
            "Shell back and seat: blue, burrs.",
            {"a spot": 3},
        ),
        Cause(
            "misfit",
            "halves swapped or not home",
            (_yes("crush_tight", 1, "the crush is above its limit"),),
            "Match marks, dowels, lugs; feeler at the joint.",
            {"at the joint": 3, "a spot": 1},
        ),
        Cause(
            "low_crush",
            "crush too small",
            (_yes("crush_loose", 4, "the crush is below its limit"),),
            "Crush, seat contact, tightening.",
            {"all over": 1},
        ),
        Cause(
            "over_crush",
            "crush too large",
            (
                _yes("crush_tight", 4, "the crush is above its limit"),
                _yes("clearance_low", 1, "the clearance is below its limit"),
            ),
            "Crush; then the clearance again.",
            {"at the joint": 3},
        ),
        Cause(
            "dowel_gone",
            "dowel or lug missing or sheared",
            (_yes("crush_loose", 1, "the crush is small"),),
            "Dowel, its hole, and why it was loaded.",
            {"at the joint": 1},
        ),
        Cause(
            "rough_journal",
            "a fault of the journal's surface",
            (_no("journal_ok", 3, "the journal is faulty"),),
            "Journal survey: roughness, steps, hard spots.",
            {"all over": 1},
        ),
    )
}

FIRST_OF_LOOK, NEXT_OF_LOOK = 3, 2
"""Points a cause has before anything is known: the usual cause of a look, and the others. Our own."""

NEXT: dict[str, tuple[str, ...]] = {
    "oil_lost": ("condition", "oil_ring"),
    "tight": ("crush", "wire"),
    "misaligned": ("alignment", "contact", "seat"),
    "tapered": ("journal", "bore"),
    "overload": ("alignment",),
    "shaking_load": ("vibration", "wire"),
    "hot_lining": ("condition", "wire"),
    "bad_bond": ("bond",),
    "hard_scab": ("journal",),
    "shaft_current": ("insulation",),
    "low_feed": ("condition",),
    "dirt_under_shell": ("seat",),
    "misfit": ("dowels", "seat"),
    "low_crush": ("crush", "seat"),
    "over_crush": ("crush", "wire"),
    "dowel_gone": ("dowels",),
    "rough_journal": ("journal",),
}
"""Checks of this program that tell whether it is this cause, by cause; for the others there is none."""
