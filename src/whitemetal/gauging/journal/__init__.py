"""Journal survey: twelve diameters for roundness and taper, roughness, scratches, undersize."""

from __future__ import annotations

from whitemetal.gauging.contract import Field, HoldPoint, Method, RejectionRule, SheetLine
from whitemetal.gauging.diameters import EXPANSION, INSTRUMENT_FIELDS
from whitemetal.gauging.journal.evaluate import KEY, SHAFT, evaluate
from whitemetal.gauging.journal.limits import rules, standard_places

_PRACTICE = "common practice"
_YES_NO = ("yes", "no")

FIELDS: tuple[Field, ...] = (
    Field("roughness", "Roughness Ra", "quantity", dimension="length", unit="µm", measured=True,
          help="along the axis, at the middle of the land"),
    Field("scratch_depth", "Deepest scratch", "quantity", dimension="length", measured=True,
          help="leave empty when there is none to feel"),
    Field("least_film", "Least film in service", "quantity", dimension="length", unit="µm",
          help="from the film's page; a scratch deeper than six times it is deep"),
    Field("raised_metal", "Raised metal at a scratch or hole", "yes or no", choices=_YES_NO, needed=True,
          measured=True),
    Field("cracks", "Cracks, heat marks or smeared white metal", "yes or no", choices=_YES_NO, needed=True,
          measured=True),
    Field("finish", "Direction of the finish", "choice",
          choices=("round the journal, in the direction of rotation", "round the journal", "along the axis",
                   "crossed"), measured=True),
    Field("journal_temperature", "Temperature of the journal", "quantity", dimension="temperature",
          unit="degC"),
    Field("journal_material", "Journal", "choice", choices=tuple(EXPANSION), default=SHAFT,
          source=_PRACTICE),
    Field("mark", "What 0° is", "text", help="keyway, coupling mark: so that the survey can be repeated"),
    Field("date", "Date of the readings", "date", help="year-month-day"),
    *INSTRUMENT_FIELDS,
)  # fmt: skip

HOLD_POINTS: tuple[HoldPoint, ...] = (
    HoldPoint("isolated", "before", "Isolated, locked and tried; permit number noted",
              "a machine that starts kills", people=True),
    HoldPoint("shaft_held", "before", "Shaft held on blocks or rollers with tested gear; it cannot roll off",
              "a shaft that rolls crushes", people=True),
    HoldPoint("clean", "before", "Journal wiped clean and dry, burrs stoned, 0° marked",
              "dirt and burrs are read as diameter"),
    HoldPoint("same_warmth", "before", "Journal and micrometer have stood together",
              "10 K on one of them is 17 µm on 150 mm"),
    HoldPoint("protected", "after", "Journal oiled and wrapped", "a knock is a scratch"),
)  # fmt: skip

REJECTION_RULES: tuple[RejectionRule, ...] = (
    RejectionRule("journal.directions", "fewer than four directions at a station", "program", _PRACTICE),
    RejectionRule("journal.stations", "fewer than three stations", "program", _PRACTICE),
    RejectionRule("journal.hot", "journal above 40 °C", "program", "our own threshold"),
    RejectionRule("journal.zero_drift", "micrometer moved on its setting standard", "program", _PRACTICE),
    RejectionRule("journal.calibration", "calibration overdue", "program", _PRACTICE),
    RejectionRule("journal.repeats_differ", "repeats at a place do not agree", "program",
                  "our own threshold"),
    RejectionRule("journal.far_off", "reading not near the journal diameter", "program",
                  "our own threshold"),
    RejectionRule("journal.raised_metal", "raised metal not dressed off", "program", _PRACTICE),
    RejectionRule("over_mark", "taken over a keyway, hole, seal track or ridge", "person", _PRACTICE),
    RejectionRule("not_square", "micrometer not square to the axis", "person", _PRACTICE),
)  # fmt: skip

JOURNAL = Method(
    key=KEY,
    title="Journal survey",
    measures="journal out-of-round",
    basis="none",
    reading_field=Field("diameter", "Diameter", "quantity", dimension="length"),
    fields=FIELDS,
    default_places=standard_places,
    evaluate=evaluate,
    views=("round",),
    ring="journal",
    hold_points=HOLD_POINTS,
    rejection_rules=REJECTION_RULES,
    sheet_lines=(
        SheetLine("0° is at", "mark"),
        SheetLine("Temperature of the journal", "journal_temperature"),
        SheetLine("Roughness Ra", "roughness"),
        SheetLine("Deepest scratch", "scratch_depth"),
        SheetLine("Least film in service", "least_film"),
        SheetLine("Finish", "finish"),
        SheetLine("Raised metal", "raised_metal"),
        SheetLine("Cracks, heat marks", "cracks"),
    ),
    cautions=("isolated", "fingers"),
    assesses=("journal out-of-round", "journal taper", "journal roughness", "journal scratch depth",
              "journal undersize"),
    rules=rules,
    repeats=False,
    about="Whether the journal is round, straight and smooth enough for its film. A micrometer touches two "
    "points and sees no odd number of lobes, however deep; a V-block with an indicator, or a roundness "
    "instrument, shows those. It says nothing of whether the journal runs true to the shaft.",
    again="take the diameters again with the micrometer set anew",
    finish="Oil and wrap the journal.",
    finer="A finer way: the journal in a V-block or between centres with an indicator of 1 µm, which sees "
    "odd lobes too.",
    steps=(
        "Wipe the journal, stone burrs off, mark 0° on its end; let it stand with the micrometer.",
        "At three stations, each end and the middle of the land, take the diameter at 0, 45, 90 and 135°.",
        "Note every diameter where it was taken, to the last digit; check the micrometer again.",
        "Read the roughness along the axis; feel for scratches with a nail and measure the deepest.",
    ),
)  # fmt: skip
