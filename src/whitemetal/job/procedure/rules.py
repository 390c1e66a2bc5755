"""Every step there is, in the order of the work, and for which build of bearing it stands. Common practice.

The sentences are messages: ``procedure.step_WORD`` and ``procedure.why_WORD``; a caution is
``procedure.caution_WORD`` with the public rules it points to in ``RULES_OF``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.job.procedure import built
from whitemetal.job.procedure.step import Page, Stage

When = Callable[[Card], bool]
FOUND, LEFT = "as found", "as left"

RULES_OF: dict[str, str] = {
    "isolation": "29 CFR 1910.147; ISO 14118",
    "rotor": "29 CFR 1910.147; ISO 14118",
    "pressure": "ISO 4413",
    "lifting": "29 CFR 1910.179 and 1910.184; ASME B30; LOLER 1998 (UK)",
    "lead": "29 CFR 1910.1025; CLAW 2002 (UK)",
    "asbestos": "29 CFR 1910.1001 and 1926.1101; CAR 2012 (UK)",
    "solvents": "29 CFR 1910.1200",
    "air": "US Army TM 55-2210-223-34: 30 psi at most for cleaning",
    "hot": "",
    "fingers": "",
    "bolts": "ISO 4413",
    "confined": "29 CFR 1910.146",
    "electrical": "NFPA 70E; IEC 60204-1",
    "running": "29 CFR 1910.147; ISO 14118",
}
"""By caution: the public rules it points to. Local codes and licensed practice come first."""


@dataclass(frozen=True)
class Rule:
    """A step and the bearings it is for. word: its own, which names its sentences; the rest as in `Step`.
    note: whether something must be noted with its tick, ``procedure.note_WORD``."""

    stage: Stage
    word: str
    when: When = built.always
    cautions: tuple[str, ...] = ()
    hold: bool = False
    people: bool = False
    trust: str = ""
    method: str = ""
    purpose: str = ""
    page: Page = ""
    note: bool = False

    @property
    def key(self) -> str:
        """The step's key."""
        return f"{self.stage}.{self.word}"


_PREPARE: tuple[Rule, ...] = (
    Rule("prepare", "papers"),
    Rule("prepare", "spares"),
    Rule("prepare", "gauges"),
    Rule("prepare", "lifting_gear", cautions=("lifting",), people=True),
)
_ISOLATE: tuple[Rule, ...] = (
    Rule("isolate", "permit", cautions=("isolation",), hold=True, people=True, note=True),
    Rule("isolate", "tried", hold=True, people=True),
    Rule("isolate", "blocked", built.no_flow, ("rotor",), hold=True, people=True),
    Rule("isolate", "flow_blocked", built.flow_turns, ("rotor", "confined"), hold=True, people=True),
    Rule("isolate", "bled", built.under_pressure, ("pressure",), hold=True, people=True),
    Rule("isolate", "probes_off", built.probes, ("electrical",)),
    Rule("isolate", "cooled", cautions=("hot",), hold=True, people=True),
)
_AS_FOUND: tuple[Rule, ...] = (
    Rule("as_found", "oil", built.sump),
    Rule("as_found", "oil_fed", built.oil_fed),
    Rule("as_found", "signs", method="condition", purpose=FOUND, page="as-found"),
    Rule("as_found", "marks", page="photographs"),
    Rule("as_found", "alignment_found", method="alignment", purpose=FOUND),
    Rule("as_found", "float_found", built.thrust, method="end_float", purpose=FOUND),
    Rule("as_found", "lift_found", built.by_lift, ("lifting",), method="lift", purpose=FOUND),
    Rule("as_found", "loosened", built.has_joint, ("bolts",)),
    Rule("as_found", "upper_loose", built.loose_upper, ("fingers",), people=True),
    Rule("as_found", "cap_off", built.has_joint, ("lifting", "fingers"), hold=True, people=True),
    Rule("as_found", "shims_found", built.shims, page="as-found"),
    Rule("as_found", "gasket_found", built.gasket, ("asbestos",), people=True, page="as-found"),
    Rule("as_found", "sealant_found", built.sealant, ("asbestos", "solvents")),
    Rule("as_found", "joint_found", built.metal_joint, page="as-found"),
    Rule("as_found", "wire_found", built.wire_fits, ("lead",), method="wire", purpose=FOUND),
    Rule("as_found", "crush_found", built.crushed, method="crush", purpose=FOUND),
)
_STRIP: tuple[Rule, ...] = (
    Rule("strip", "drained", built.sump, ("hot",)),
    Rule("strip", "covered"),
    Rule("strip", "ring_out", built.oil_ring),
    Rule("strip", "upper_screwed", built.screwed_upper, ("fingers",)),
    Rule("strip", "upper_dowelled", built.dowelled_upper, ("fingers",)),
    Rule("strip", "rotor_up", cautions=("lifting",), hold=True, people=True),
    Rule("strip", "rolled_out", built.split, ("fingers", "lifting"), people=True),
    Rule("strip", "drawn_off", built.solid, ("fingers",)),
    Rule("strip", "cleaned", cautions=("solvents", "air", "lead")),
)
_INSPECT: tuple[Rule, ...] = (
    Rule("inspect", "looked", page="inspection"),
    Rule("inspect", "bond", method="bond", purpose=FOUND),
    Rule("inspect", "crown", built.split, method="crown", purpose=FOUND),
    Rule("inspect", "journal", method="journal", purpose=FOUND),
    Rule("inspect", "insulation", built.insulated, ("electrical",), method="insulation", purpose=FOUND),
    Rule("inspect", "maybe_insulated", built.may_be_insulated),
    Rule("inspect", "decided", hold=True, page="fit"),
)
_CLOSE: tuple[Rule, ...] = (
    Rule("close", "no_scraping", built.scraping_refused),
    Rule(
        "close", "faces", cautions=("fingers",), hold=True, trust="joint_faces", method="seat", purpose=LEFT
    ),
    Rule("close", "ways_open", hold=True),
    Rule("close", "pins", built.dowels, method="dowels", purpose=LEFT),
    Rule("close", "tips", built.spherical),
    Rule("close", "same_shims", built.shims),
    Rule("close", "new_gasket", built.gasket),
    Rule(
        "close",
        "nuts",
        built.has_joint,
        ("bolts",),
        hold=True,
        trust="tightening",
        method="tightening",
        purpose=LEFT,
        page="close-up",
    ),
    Rule("close", "crush", built.crushed, ("lead",), hold=True, trust="crush", method="crush", purpose=LEFT),
    Rule("close", "contact", hold=True, trust="contact", method="contact", purpose=LEFT),
    Rule(
        "close",
        "wire",
        built.wire_fits,
        ("lead", "fingers"),
        hold=True,
        trust="clearance",
        method="wire",
        purpose=LEFT,
    ),
    Rule(
        "close",
        "lift",
        built.by_lift,
        ("lifting",),
        hold=True,
        trust="clearance",
        method="lift",
        purpose=LEFT,
    ),
    Rule("close", "ring", built.oil_ring, method="oil_ring", purpose=LEFT),
    Rule("close", "counted_out", hold=True, method="closed_up", purpose=LEFT),
    Rule("close", "closed", built.has_joint, ("fingers", "lifting"), people=True),
    Rule("close", "nuts_again", built.has_joint, ("bolts",), page="close-up"),
    Rule("close", "locked", built.has_joint),
    Rule("close", "float", built.thrust, method="end_float", purpose=LEFT),
    Rule("close", "seals", built.seals, hold=True, trust="seals", method="seals", purpose=LEFT),
    Rule("close", "insulation_left", built.insulated, ("electrical",), method="insulation", purpose=LEFT),
    Rule("close", "alignment", hold=True, trust="alignment", method="alignment", purpose=LEFT),
    Rule("close", "air_gap", built.motor, method="air_gap", purpose=LEFT),
    Rule("close", "impeller", built.impeller, method="impeller", purpose=LEFT),
    Rule("close", "mesh", built.gears, method="gear_mesh", purpose=LEFT),
    Rule("close", "filled", built.sump),
    Rule("close", "fed", built.oil_fed, ("pressure",)),
    Rule("close", "probes_on", built.probes),
)
_RUN_IN: tuple[Rule, ...] = (
    Rule("run_in", "everybody_out", cautions=("running",), hold=True, people=True),
    Rule("run_in", "level", built.sump),
    Rule("run_in", "pressure_first", built.oil_fed, hold=True),
    Rule("run_in", "ring_seen", built.oil_ring, hold=True, page="run-in"),
    Rule("run_in", "watched", cautions=("hot",), page="run-in"),
    Rule("run_in", "hot_again", cautions=("isolation", "hot"), page="run-in"),
)
_SIGN: tuple[Rule, ...] = (
    Rule("sign", "put_back", people=True),
    Rule("sign", "signed", hold=True, page="sign"),
)

RULES: tuple[Rule, ...] = (
    *_PREPARE, *_ISOLATE, *_AS_FOUND, *_STRIP, *_INSPECT, *_CLOSE, *_RUN_IN, *_SIGN,
)  # fmt: skip
