"""What the card says of a bearing's build, as questions a step asks. What was not said counts as possible:
its step stays and tells a person to look."""

from __future__ import annotations

from whitemetal.card import Card

WRONG_FOR_WIRE = ("tilting pad", "pressure dam", "multi-lobe")
"""Bores whose clearance no wire at top centre shows: derived from geometry."""


def always(card: Card) -> bool:
    """Of every bearing."""
    return True


def split(card: Card) -> bool:
    """Shells that come apart at a joint of their own (or may)."""
    return card.construction.shell in ("split", "not known") and not poured(card)


def solid(card: Card) -> bool:
    """One ring, drawn off along the shaft."""
    return card.construction.shell == "solid"


def poured(card: Card) -> bool:
    """White metal in cap and housing themselves: no shell, no crush."""
    return card.construction.shell == "poured in the housing" or card.joint.shim_sits == "lined cap joint"


def has_joint(card: Card) -> bool:
    """A cap over the journal, so that its gap can be squeezed and shims can lie in it."""
    return not solid(card)


def loose_upper(card: Card) -> bool:
    """The upper shell may fall out of a lifted cap."""
    return split(card) and card.construction.upper_held in ("lies loose in the cap", "not known")


def screwed_upper(card: Card) -> bool:
    """The upper shell comes up with the cap."""
    return split(card) and card.construction.upper_held == "screwed to the cap"


def dowelled_upper(card: Card) -> bool:
    """The upper shell stays on its dowels."""
    return split(card) and card.construction.upper_held == "held by dowels"


def shims(card: Card) -> bool:
    """Shims belong in the joint."""
    return has_joint(card) and card.joint.filling == "shims"


def gasket(card: Card) -> bool:
    """A gasket belongs in the joint."""
    return has_joint(card) and card.joint.filling == "gasket"


def sealant(card: Card) -> bool:
    """Sealant belongs in the joint."""
    return has_joint(card) and card.joint.filling == "sealant"


def metal_joint(card: Card) -> bool:
    """Nothing belongs in the joint."""
    return has_joint(card) and card.joint.filling == "metal to metal"


def oil_ring(card: Card) -> bool:
    """Oil rings bring the oil up."""
    return card.bearing.lubrication == "ring-oiled"


def oil_fed(card: Card) -> bool:
    """Oil comes under pressure."""
    return card.bearing.lubrication == "pressure-fed" or card.oil.feed_pressure is not None


def sump(card: Card) -> bool:
    """Oil stands in the housing, with a level to be seen."""
    return card.bearing.lubrication in ("ring-oiled", "flooded", "other")


def under_pressure(card: Card) -> bool:
    """Something in or at the bearing may stand under pressure."""
    return oil_fed(card) or jacking_oil(card) or water(card)


def jacking_oil(card: Card) -> bool:
    """Jacking oil lifts the shaft."""
    return card.construction.jacking_oil == "yes"


def water(card: Card) -> bool:
    """Water cools it."""
    return card.construction.water_cooled == "yes"


def flow_turns(card: Card) -> bool:
    """What flows through the machine can turn it."""
    return card.machine.kind in ("fan", "pump", "blower", "turbine", "other")


def no_flow(card: Card) -> bool:
    """Nothing flows through the machine itself."""
    return not flow_turns(card)


def thrust(card: Card) -> bool:
    """It has thrust faces, or may have."""
    return card.construction.thrust_faces != "no"


def seals(card: Card) -> bool:
    """It has shaft seals, or may have."""
    return card.construction.seals != "none"


def dowels(card: Card) -> bool:
    """Dowels or pins keep the shells from turning, or may."""
    return card.construction.dowels != "no" and not poured(card)


def insulated(card: Card) -> bool:
    """It is insulated."""
    return card.construction.insulated == "yes"


def may_be_insulated(card: Card) -> bool:
    """An electrical machine's bearing of which nobody said whether it is insulated."""
    return card.construction.insulated == "not known" and card.machine.kind == "motor"


def probes(card: Card) -> bool:
    """Thermometers or probes are in it."""
    return bool(card.construction.probes)


def spherical(card: Card) -> bool:
    """The shell tips in a spherical seat."""
    return card.bearing.seat == "spherical" and not poured(card)


def crushed(card: Card) -> bool:
    """Shells held tight by their cap."""
    return split(card)


def wire_fits(card: Card) -> bool:
    """The clearance can be taken by soft wire."""
    return has_joint(card) and card.bearing.profile not in WRONG_FOR_WIRE


def by_lift(card: Card) -> bool:
    """The clearance is taken by lifting the shaft."""
    return not wire_fits(card)


def scraping_refused(card: Card) -> bool:
    """The maker forbids scraping."""
    return card.bearing.scraping_allowed is False


def motor(card: Card) -> bool:
    """A motor, whose air gap follows the shaft."""
    return card.machine.kind == "motor"


def impeller(card: Card) -> bool:
    """Something on the shaft runs close to a casing."""
    return card.machine.kind in ("fan", "pump", "blower")


def gears(card: Card) -> bool:
    """A gear unit, whose mesh follows the shaft."""
    return card.machine.kind == "gear unit"
