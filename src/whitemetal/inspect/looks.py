"""What damage looks like, in plain words.

The families are those of ISO 7146-1 (from memory) in our own words; that standard keeps to damage whose look
can be tied to its cause with some certainty, and so does this list. What is seen comes first, a name for it
later.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Part = Literal["lining", "shell back", "joint face", "journal"]
Where = Literal[
    "loaded sector", "unloaded half", "one end", "both ends", "opposite corners", "at a feed or groove",
    "at the joint", "all over", "a spot",
]  # fmt: skip

PRACTICE = "common practice"
GUIDE = "a bearing damage guide of 2000, in our own words"
TRIBOLOGY = "a public summary of bearing damage, in our own words"


@dataclass(frozen=True)
class Look:
    """key; part it is seen on; what is seen; name: the word the trade has for it; source; causes: keys of
    `causes.CAUSES`, the usual first."""

    key: str
    part: Part
    seen: str
    name: str
    causes: tuple[str, ...]
    source: str = PRACTICE


LOOKS: dict[str, Look] = {
    one.key: one
    for one in (
        Look(
            "lines",
            "lining",
            "bright lines round the bore, each ending at a speck or a groove",
            "scoring, embedded particles",
            ("dirt_at_assembly", "dirty_oil"),
            TRIBOLOGY,
        ),
        Look(
            "rough",
            "lining",
            "roughened in the middle of the lands, away from the feeds",
            "mild erosion",
            ("fine_dirt",),
            TRIBOLOGY,
        ),
        Look(
            "smeared",
            "lining",
            "metal smeared, grooves filled, thin feathered edges",
            "wiping",
            ("oil_lost", "tight", "misaligned", "overload", "many_starts"),
            GUIDE,
        ),
        Look(
            "net",
            "lining",
            "a net of cracks, pieces missing down to the bond",
            "fatigue",
            ("shaking_load", "hot_lining", "bad_bond", "misaligned"),
            PRACTICE,
        ),
        Look(
            "one_sided",
            "lining",
            "worn bright at one end, or at opposite corners",
            "edge load",
            ("misaligned", "tapered", "bent"),
            PRACTICE,
        ),
        Look(
            "ripples",
            "lining",
            "ripples, dark metal, the shell discoloured",
            "overheating, creep",
            ("oil_lost", "hot_lining", "tight", "overload"),
            PRACTICE,
        ),
        Look(
            "craze",
            "lining",
            "fan-shaped cells or a hairline net",
            "thermal craze",
            ("hot_lining", "many_starts"),
            GUIDE,
        ),
        Look(
            "scab",
            "lining",
            "a hard black lump and a groove cut in the journal, with steel wool",
            "black scab",
            ("hard_scab",),
            GUIDE,
        ),
        Look(
            "frosted",
            "lining",
            "small round shiny pits, or a frosted track",
            "electrical erosion",
            ("shaft_current",),
            TRIBOLOGY,
        ),
        Look(
            "pits_behind",
            "lining",
            "pits behind the edge of a groove or a feed",
            "cavitation",
            ("air_in_oil", "low_feed"),
            PRACTICE,
        ),
        Look(
            "crust", "lining", "a hard grey-black crust", "corrosion, tin oxide", ("water_in_oil",), PRACTICE
        ),
        Look("domes", "lining", "small domes in the lining", "hydrogen blisters", ("hydrogen",), PRACTICE),
        Look(
            "lifted",
            "lining",
            "the lining lifts off cleanly and the tinned back shows",
            "bond failure",
            ("bad_bond",),
            PRACTICE,
        ),
        Look(
            "film",
            "lining",
            "a brown film that does not wipe off",
            "lacquer",
            ("old_oil", "hot_lining"),
            PRACTICE,
        ),
        Look(
            "dents",
            "lining",
            "dents, or a bright patch where the back lay on something",
            "assembly damage",
            ("dirt_under_shell", "misfit"),
            PRACTICE,
        ),
        Look(
            "dust",
            "shell back",
            "red or black dust, polished bright spots",
            "fretting",
            ("low_crush",),
            PRACTICE,
        ),
        Look(
            "turned",
            "shell back",
            "turned in its seat, the lug or the dowel sheared",
            "shell turned",
            ("low_crush", "dowel_gone"),
            PRACTICE,
        ),
        Look(
            "pinched",
            "joint face",
            "bearing hard at the joint, metal pushed in",
            "joint pinched",
            ("over_crush", "misfit"),
            PRACTICE,
        ),
        Look(
            "hard_spot",
            "journal",
            "scratches that all begin at one spot or step of the journal",
            "journal fault",
            ("rough_journal",),
            GUIDE,
        ),
        Look(
            "scratched",
            "journal",
            "scratches round the journal",
            "scored journal",
            ("dirty_oil", "dirt_at_assembly", "hard_scab"),
            PRACTICE,
        ),
    )
}
