"""Which methods there are. A new method is one file and one line in ``METHODS``."""

from __future__ import annotations

from whitemetal.errors import InputError, Problem
from whitemetal.gauging.air_gap import AIR_GAP
from whitemetal.gauging.alignment import ALIGNMENT
from whitemetal.gauging.bond import BOND
from whitemetal.gauging.bore import BORE
from whitemetal.gauging.bridge import BRIDGE
from whitemetal.gauging.closed_up import CLOSED_UP
from whitemetal.gauging.condition import CONDITION
from whitemetal.gauging.contact import CONTACT
from whitemetal.gauging.contract import Method
from whitemetal.gauging.crown import CROWN
from whitemetal.gauging.crush import CRUSH
from whitemetal.gauging.dowels import DOWELS
from whitemetal.gauging.end_float import END_FLOAT
from whitemetal.gauging.feeler import FEELER
from whitemetal.gauging.gear_mesh import GEAR_MESH
from whitemetal.gauging.impeller import IMPELLER
from whitemetal.gauging.insulation import INSULATION
from whitemetal.gauging.journal import JOURNAL
from whitemetal.gauging.lift import LIFT
from whitemetal.gauging.oil_ring import OIL_RING
from whitemetal.gauging.seals import SEALS
from whitemetal.gauging.seat import SEAT
from whitemetal.gauging.strip import STRIP
from whitemetal.gauging.tightening import TIGHTENING
from whitemetal.gauging.tightening.stretch import STUD_STRETCH
from whitemetal.gauging.vibration import VIBRATION
from whitemetal.gauging.wire import WIRE

METHODS: dict[str, Method] = {
    method.key: method
    for method in (
        WIRE,
        STRIP,
        LIFT,
        FEELER,
        JOURNAL,
        BORE,
        SEAT,
        TIGHTENING,
        STUD_STRETCH,
        CRUSH,
        CONTACT,
        CROWN,
        BRIDGE,
        CONDITION,
        OIL_RING,
        DOWELS,
        END_FLOAT,
        INSULATION,
        BOND,
        SEALS,
        ALIGNMENT,
        AIR_GAP,
        IMPELLER,
        GEAR_MESH,
        VIBRATION,
        CLOSED_UP,
    )
}  # fmt: skip


def register(method: Method) -> None:
    """Add a method from outside the package (a plug-in or a test). Raises ValueError on a taken key."""
    if method.key in METHODS:
        raise ValueError(f"there is already a method called {method.key}")
    METHODS[method.key] = method


def method_named(key: str) -> Method:
    """The method called ``key``. Raises InputError when there is none."""
    try:
        return METHODS[key]
    except KeyError:
        raise InputError(Problem("method", key, f"one of {', '.join(METHODS)}")) from None
