"""The one declaration of everything a card holds.

The loader, the JSON Schema, the web form and the printed reference are all made from ``CARD_FIELDS``;
a new field of a card is one line here and one attribute in its dataclass.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, get_args

from whitemetal.card.bearing import Lubrication, Profile
from whitemetal.card.construction import EndSeal, Said, ShellMade, UpperHeld
from whitemetal.card.duty import LoadDirection
from whitemetal.card.fasteners import Layout, ThreadIn
from whitemetal.card.joint import ShimSits
from whitemetal.card.limited import LIMITED, OIL_CLEARANCE
from whitemetal.card.limits import RUNGS, Basis
from whitemetal.card.machine import MachineKind, Rotation
from whitemetal.units import Dimension

FORMAT = "whitemetal.card/1"

TABLES: tuple[str, ...] = (
    "machine", "bearing", "construction", "joint", "fasteners", "oil", "duty", "limit", "uncertainty",
)  # fmt: skip
"""Tables of a card, in the order in which they are written. ``limit`` is a list of tables."""

CardKind = Literal["quantity", "whole number", "choice", "text", "two texts", "yes or no"]
Sign = Literal["above zero", "not negative", "any"]


@dataclass(frozen=True)
class CardField:
    """One field of a card.

    path: "table.key"; a field of the n-th limit is "limit.key" here and "limit.n.key" in a card's texts.
    label: on forms and sheets. dimension, unit: of a quantity and the unit its box suggests.
    choices: of a choice. needed: a card without it is refused. default: text used when nothing was typed,
    None when there is none. sign: what a number may be. help: half a sentence. source: of the default.
    """

    path: str
    label: str
    kind: CardKind = "text"
    dimension: Dimension | None = None
    unit: str = ""
    choices: tuple[str, ...] = ()
    needed: bool = False
    default: str | None = None
    sign: Sign = "any"
    help: str = ""
    source: str = ""

    @property
    def table(self) -> str:
        return self.path.partition(".")[0]

    @property
    def key(self) -> str:
        return self.path.partition(".")[2]


_USUAL = "common practice: what most bearings have; correct it where yours differs"
_UNSAID = "our own: nothing is taken for granted that was not said"


def _choice(
    path: str, label: str, choices: tuple[str, ...], default: str | None = None, **more: object
) -> CardField:
    return CardField(path, label, "choice", choices=choices, default=default, **more)  # type: ignore[arg-type]


def _quantity(path: str, label: str, dimension: Dimension, unit: str, **more: object) -> CardField:
    return CardField(path, label, "quantity", dimension, unit, **more)  # type: ignore[arg-type]


_MACHINE: tuple[CardField, ...] = (
    CardField("machine.tag", "Machine number", needed=True, help="the plant's own number"),
    CardField("machine.name", "Machine", needed=True, help="what people call it"),
    _choice("machine.kind", "Kind of machine", get_args(MachineKind), needed=True),
    _quantity("machine.speed", "Speed", "rotation", "rpm", needed=True, sign="above zero"),
    _quantity("machine.power", "Power", "power", "kW", sign="above zero"),
    CardField("machine.view_from", "Left and right are seen from", default="drive end",
              source="common practice",
              help="one of the bearing's ends; the same for every bearing of the machine"),
    _choice("machine.rotation", "The shaft turns", get_args(Rotation), "not known", source=_UNSAID,
            help="as seen from the same end"),
    CardField("machine.maker", "Maker of the machine"),
    CardField("machine.drawing", "Drawing", help="number and revision"),
)  # fmt: skip

_BEARING: tuple[CardField, ...] = (
    CardField("bearing.position", "Bearing", needed=True, help="which bearing of the machine"),
    _quantity("bearing.journal_diameter", "Journal diameter", "length", "mm", needed=True, sign="above zero",
              help="the whole diameter, measured cold"),
    _quantity("bearing.length", "Length of the white-metal land", "length", "mm", needed=True,
              sign="above zero"),
    _choice("bearing.profile", "Bore", get_args(Profile), "plain", source=_USUAL),
    CardField("bearing.ends", "Ends of the land", "two texts", default="drive end, other end", source=_USUAL,
              help="axial places are measured from the edge at the first"),
    CardField("bearing.match_mark_end", "Match mark at", default="drive end", help="one of the ends",
              source=_USUAL),
    _choice("bearing.lubrication", "Lubrication", get_args(Lubrication), "other", source=_UNSAID),
    _quantity("bearing.side_to_top", "Side clearance over top clearance", "ratio", "", sign="above zero",
              help="lemon bore only, both diametral"),
    CardField("bearing.lining", "White metal", help="e.g. the alloy"),
    _choice("bearing.seat", "Seat of the shell", ("cylindrical", "spherical", "not known"), "not known",
            source=_UNSAID),
    CardField("bearing.scraping_allowed", "Maker allows scraping", "yes or no",
              help="leave out when the maker's book does not say"),
    CardField("bearing.groove_at_top", "Oil groove along top centre", "yes or no", default="no",
              help="wires then lie beside it", source=_USUAL),
    _choice("bearing.unit", "Clearances are shown in", ("mm", "in", "thou"), "mm", source=_USUAL),
)  # fmt: skip

_CONSTRUCTION: tuple[CardField, ...] = (
    _choice("construction.shell", "Shell", get_args(ShellMade), "not known", source=_UNSAID,
            help="the steps of a job follow from how the bearing is built"),
    _choice("construction.upper_held", "Upper shell", get_args(UpperHeld), "not known", source=_UNSAID,
            help="a loose one falls out of a lifted cap"),
    _choice("construction.dowels", "Dowels or pins hold the shells", get_args(Said), "not known",
            source=_UNSAID),
    _choice("construction.seals", "Shaft seals", get_args(EndSeal), "not known", source=_UNSAID),
    _choice("construction.insulated", "Insulated against shaft currents", get_args(Said), "not known",
            source=_UNSAID),
    _choice("construction.thrust_faces", "Has thrust faces", get_args(Said), "not known", source=_UNSAID),
    _choice("construction.jacking_oil", "Has jacking oil", get_args(Said), "not known", source=_UNSAID),
    _choice("construction.water_cooled", "Cooled by water", get_args(Said), "not known", source=_UNSAID),
    CardField("construction.probes", "Thermometers and probes in it", help="which and how many"),
    _quantity("construction.cap_mass", "Mass of the cap", "mass", "kg", sign="above zero"),
    CardField("construction.lifting", "Cap is slung at", help="eye bolts, their thread"),
    CardField("construction.jack_points", "Rotor may be lifted at", help="as the maker's book says"),
)  # fmt: skip

_JOINT: tuple[CardField, ...] = (
    _choice("joint.filling", "Joint at the final closing", ("metal to metal", "shims", "gasket", "sealant"),
            "metal to metal", source=_USUAL),
    _quantity("joint.left", "Its thickness left, under load", "length", "mm", default="0 mm",
              sign="not negative", source=_UNSAID),
    _quantity("joint.right", "Its thickness right, under load", "length", "mm", default="0 mm",
              sign="not negative", source=_UNSAID),
    _choice("joint.shim_sits", "It lies in", get_args(ShimSits), "nowhere", source=_UNSAID,
            help="a gap in the shell joint opens the bore; in the housing joint outside a shell it does not"),
)  # fmt: skip

_FASTENERS: tuple[CardField, ...] = (
    CardField("fasteners.count", "Cap nuts or bolts", "whole number", sign="above zero"),
    CardField("fasteners.size", "Size"),
    CardField("fasteners.grade", "Grade"),
    _quantity("fasteners.torque", "Final torque", "torque", "N m", sign="above zero"),
    CardField("fasteners.source", "Torque taken from", help="document and revision"),
    CardField("fasteners.lubricant", "Thread lubricant",
              help="dry, oiled, ...: the state of thread and seat for which the torque is stated"),
    _choice("fasteners.layout", "They stand in", get_args(Layout), "two rows", source=_USUAL,
            help="a circle on a round cover; the order of tightening follows from it"),
    _choice("fasteners.housing", "The thread goes into", get_args(ThreadIn), "not known", source=_UNSAID,
            help="a stud in old cast iron strips before it stretches"),
    _quantity("fasteners.engagement", "Length of thread engaged", "length", "mm", sign="above zero"),
    _quantity("fasteners.grip", "Clamped length", "length", "mm", sign="above zero",
              help="from under the nut to the first thread engaged; the stretch follows from it"),
    CardField("fasteners.signed_by", "Torque signed by",
              help="the engineer, where the torque is not the maker's own"),
    CardField("fasteners.passes", "Passes",
              help="the maker's, in percent of the final torque, like 40, 70, 100; without it 30, 60, 100"),
)  # fmt: skip

_OIL: tuple[CardField, ...] = (
    CardField("oil.grade", "Oil"),
    CardField("oil.quantity", "Quantity", help="as the maker's book states it"),
    _quantity(
        "oil.feed_pressure",
        "Pressure at the bearing",
        "pressure",
        "kPa",
        sign="not negative",
        help="gauge, of oil that is fed under pressure",
    ),
    _quantity(
        "oil.inlet_temperature", "It enters at", "temperature", "degC", help="where oil is fed under pressure"
    ),
)

_DUTY: tuple[CardField, ...] = (
    _quantity("duty.load", "Load on this bearing", "force", "kN", sign="not negative"),
    _choice("duty.direction", "The load points", get_args(LoadDirection), "down", source=_USUAL,
            help="as seen from the machine's viewing end"),
    _choice("duty.loaded_half", "Loaded half", ("lower", "upper"), "lower", source=_USUAL),
    _quantity("duty.hot_temperature", "Temperature in service", "temperature", "degC"),
    _quantity("duty.ambient", "Air around the housing", "temperature", "degC"),
    _quantity("duty.rotor_mass", "Rotor mass on this bearing", "mass", "kg", sign="above zero",
              help="for whirl; without it the load is taken for its weight"),
)  # fmt: skip

_LIMIT: tuple[CardField, ...] = (
    _choice("limit.of", "Limit of", tuple(LIMITED), default=OIL_CLEARANCE, help="the quantity it limits",
            source=_USUAL),
    _quantity("limit.minimum", "Minimum", "length", "mm", help="for a bearing put back"),
    _quantity("limit.maximum", "Maximum", "length", "mm", help="for a bearing put back"),
    _quantity("limit.renewal", "Renewal", "length", "mm",
              help="the part is renewed at this value; it is no limit for a new fit"),
    _choice("limit.basis", "Basis", get_args(Basis),
            help="as it stands in the document; must be said where the quantity has more than one"),
    _choice("limit.rung", "Stands on", RUNGS, needed=True),
    CardField("limit.document", "Document", needed=True),
    CardField("limit.revision", "Revision", needed=True),
    CardField("limit.with_wire_method", "Maker states it together with the wire method", "yes or no",
              default="no", help="simple acceptance may then be chosen", source=_UNSAID),
    CardField("limit.signed_by", "Adopted by", help="the engineer who adopted a general rule"),
    CardField("limit.confirmed_by", "Confirmed by", help="who looked again at a strange-looking limit"),
)  # fmt: skip

_UNCERTAINTY: tuple[CardField, ...] = (
    _quantity("uncertainty.strip", "Strip not uniform", "length", "µm", sign="not negative"),
    _quantity("uncertainty.closure", "Joint closing again", "length", "µm", sign="not negative"),
    _quantity("uncertainty.placement", "Strip not where it is noted", "length", "µm", sign="not negative"),
    _quantity("uncertainty.spring_back", "Strip springs back", "length", "µm", sign="not negative"),
    _quantity("uncertainty.placement_arc", "Place along the arc", "length", "mm", sign="not negative"),
    _quantity("uncertainty.temperature", "Journal and shell not equally warm", "temperature difference", "K",
              sign="not negative"),
    _quantity("uncertainty.zero", "Zero not checked", "length", "µm", sign="not negative"),
    _quantity("uncertainty.gasket_share", "Gasket or sealant under load, share of its thickness", "ratio", "",
              sign="not negative"),
    _quantity("uncertainty.shim", "Shim thickness", "length", "µm", sign="not negative"),
    _quantity("uncertainty.anvil_width", "Width of a flat anvil", "length", "mm", sign="not negative"),
)  # fmt: skip

CARD_FIELDS: tuple[CardField, ...] = (
    *_MACHINE, *_BEARING, *_CONSTRUCTION, *_JOINT, *_FASTENERS, *_OIL, *_DUTY, *_LIMIT, *_UNCERTAINTY,
)  # fmt: skip
"""Every field of a card, in the order in which it is written."""

BY_PATH: dict[str, CardField] = {declared.path: declared for declared in CARD_FIELDS}


def declared(path: str) -> CardField | None:
    """The declaration of a path of a card's texts: "bearing.length", "limit.2.minimum"; None if unknown."""
    parts = path.split(".")
    if len(parts) == 3 and parts[0] == "limit" and parts[1].isdigit():
        path = f"limit.{parts[2]}"
    elif path.startswith("limit."):
        return None
    return BY_PATH.get(path)


LIMIT_FIGURES = ("minimum", "maximum", "renewal")
"""Keys of a limit whose dimension, usual unit and sign are those of the quantity it limits."""


def limiting(field: CardField, of: str) -> CardField:
    """A field of a limit as it is for a limit of the quantity ``of``; unchanged for an unknown one."""
    quantity = LIMITED.get(of)
    if field.table != "limit" or field.key not in LIMIT_FIGURES or quantity is None:
        return field
    sign: Sign = "any" if quantity.signed else "not negative" if field.key == "minimum" else "above zero"
    return replace(field, dimension=quantity.dimension, unit=quantity.unit, sign=sign)


def fields_of(table: str) -> tuple[CardField, ...]:
    """The fields of one table."""
    return tuple(each for each in CARD_FIELDS if each.table == table)
