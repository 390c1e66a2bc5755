"""Which bond test tells what, and where it is blind. ISO 4386, from memory and from its scope pages; local
practice and the standard itself govern."""

from __future__ import annotations

from dataclasses import dataclass

PROBE_SHARE = 0.5
"""Ultrasonic testing is blind within half a probe's diameter of edges, holes and grooves: ISO 4386-1."""

THINNEST = 0.5e-3
"""Lining [m] that ultrasonic testing needs at least: ISO 4386-1."""

THINNEST_TORN, SMALLEST_TORN = 2.0e-3, 90e-3
"""Lining and bore [m] that the destructive test needs at least: ISO 4386-2."""


@dataclass(frozen=True)
class BondTest:
    """name; tells: what it shows; blind: where it cannot see; source."""

    name: str
    tells: str
    blind: str
    source: str


TESTS: tuple[BondTest, ...] = (
    BondTest(
        "ultrasonic from the lining",
        "whether the lining is bonded below the probe: bonded or not, no more",
        "within half a probe's diameter of edges, holes and grooves; linings below 0.5 mm; cast backs that "
        "scatter the sound",
        "ISO 4386-1, scope",
    ),
    BondTest(
        "dye penetrant at edges and joint faces",
        "open gaps of the bond where it comes to the surface",
        "everything below the surface",
        "ISO 4386-3, scope",
    ),
    BondTest(
        "tearing a piece off",
        "the strength of the bond in N/mm²",
        "the shell that is fitted: it destroys a sample; linings below 2 mm, bores below 90 mm, cast iron",
        "ISO 4386-2, scope",
    ),
    BondTest(
        "ringing and oil at the edge",
        "a large loose area, when it rings dull or oil is pressed out",
        "small faults; it proves nothing",
        "common practice",
    ),
)


def tests_for(lining: float | None, bore: float | None) -> tuple[tuple[BondTest, bool], ...]:
    """Every test and whether this shell allows it. lining, bore [m]; None: not known, not ruled out."""
    thick = lining is None or lining >= THINNEST
    torn = (lining is None or lining >= THINNEST_TORN) and (bore is None or bore >= SMALLEST_TORN)
    able = (thick, True, torn, True)
    return tuple(zip(TESTS, able, strict=True))
