"""Alignment at the coupling as it was found or left: recorded with its limits. Working out how to move the
machine is another job and is not done here."""

from __future__ import annotations

from whitemetal.card import Card
from whitemetal.gauging.contract import Field, GeneralRule, HoldPoint, RejectionRule
from whitemetal.gauging.recorded import Item, Look, recorded
from whitemetal.units import INCH

TABLE_SOURCE = "a widely copied table of alignment tolerances for short flexible couplings"
THOU = INCH / 1000.0
"""A thousandth of an inch [m]: exact, by definition."""
BY_SPEED: tuple[tuple[float, float, float], ...] = (
    (1500.0, 0.09e-3, 0.7e-3),
    (1800.0, 3.0 * THOU, 0.5e-3),
    (3000.0, 0.06e-3, 0.4e-3),
    (3600.0, 1.5 * THOU, 0.3e-3),
)
"""To this speed [rev/min]: acceptable offset [m] and angle [-, gap over length]. Printed as 0.09 mm and
0.07 mm per 100 mm; 3.0 thou and 5 thou per 10 in; 0.06 mm and 0.04 mm per 100 mm; 1.5 thou and 3 thou per
10 in, in a widely copied table (common practice)."""

SOFT_FOOT = 0.06e-3
"""Largest soft foot [m], same table (2 thou), common practice."""

_ERROR, _ERROR_SOURCE = 10e-6, "dial indicator or laser head, common practice"


def rules(card: Card) -> tuple[GeneralRule, ...]:
    """The row of the table for the machine's speed; none above 3600 rev/min."""
    row = next((row for row in BY_SPEED if card.machine.rpm <= row[0] * 1.01), None)
    foot = GeneralRule("soft foot", "no more than 0.06 mm", TABLE_SOURCE, None, SOFT_FOOT)
    if row is None:
        return (foot,)
    title = f"short flexible coupling, to {row[0]:.0f} rev/min"
    return (
        GeneralRule("alignment offset", title, TABLE_SOURCE, None, row[1]),
        GeneralRule("alignment angle", title, TABLE_SOURCE, None, row[2]),
        foot,
    )


ALIGNMENT = recorded(
    "alignment",
    "Alignment at the coupling",
    (
        Item(
            "offset_upright",
            "Offset up and down",
            "alignment offset",
            _ERROR,
            _ERROR_SOURCE,
            "without its sign",
        ),
        Item(
            "offset_sideways",
            "Offset sideways",
            "alignment offset",
            _ERROR,
            _ERROR_SOURCE,
            "without its sign",
        ),
        Item(
            "angle_upright",
            "Angle up and down",
            "alignment angle",
            0.05e-3,
            _ERROR_SOURCE,
            "gap over the diameter it is read at: 0.05 mm on 100 mm is 0.5 ‰",
        ),
        Item("angle_sideways", "Angle sideways", "alignment angle", 0.05e-3, _ERROR_SOURCE, "as above"),
        Item("soft_foot", "Soft foot, the worst", "soft foot", _ERROR, _ERROR_SOURCE, needed=False),
    ),
    (
        Look(
            "bolts_tight",
            "Foot bolts tight when it was read",
            "yes",
            "hold",
            "Read with the foot bolts loose: tightening moves it.",
        ),
        Look(
            "piping_off",
            "No strain from pipes or ducts",
            "yes",
            "warning",
            "Pipes or ducts strain the machine: the alignment will not stay.",
            needed=False,
        ),
    ),
    about="Offset and angle at the coupling, hot or cold, as found and as left: any shell or scraping work "
    "moves the shaft. It records; it does not work out corrections.",
    fields=(
        Field("state", "Machine", "choice", choices=("cold", "hot"), needed=True),
        Field("target", "Cold target from the maker or from growth", "text", help="what it should read cold"),
        Field("how", "Read with", "text", help="indicators or laser, and who"),
    ),
    rules=rules,
    hold_points=(
        HoldPoint(
            "isolated",
            "before",
            "Isolated, locked and tried; coupling guard off only now; permit number noted",
            "a coupling that turns takes a hand",
            people=True,
        ),
        HoldPoint(
            "guard_back", "after", "Coupling guard back on", "a coupling that turns takes a hand", people=True
        ),
    ),
    by_eye=(
        RejectionRule("bracket_sag", "sag of the bracket not taken off", "person", "common practice"),
        RejectionRule("bearing_open", "read with a bearing open or a shell out", "person", "common practice"),
    ),
    cautions=("isolated", "fingers"),
    steps=("Shafts turned together; read at four quarters; check that opposite readings add up.",),
    proves="alignment",
    subject="machine",
)
