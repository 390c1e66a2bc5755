"""Units at the door: text as typed in, SI floats out, and back to text for people.

One table of the units the trade uses. Inside the program every number is SI (m, rad, K, Pa, s, kg);
text and units exist only in this module and in the faces that call it.

Sources: exact conversion factors are from NIST SP 811 (2008) Appendix B.8, from memory, except the inch
(25.4 mm exactly) and the pound (0.45359237 kg exactly), which are the 1959 definitions.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Literal

from whitemetal.errors import Problem, UnitError

Dimension = Literal[
    "length", "angle", "torque", "temperature", "temperature difference", "rotation", "force", "pressure",
    "dynamic viscosity", "kinematic viscosity", "power", "mass", "ratio", "time",
    "resistance", "count per area", "velocity",
]  # fmt: skip

INCH = 0.0254
"""An inch [m]: exact, by the definition of 1959."""
POUND_FORCE = 4.4482216152605
"""A pound-force [N]: exact, 0.45359237 kg times 9.80665 m/s²."""


@dataclass(frozen=True)
class Unit:
    """A unit: SI value = number * scale + offset."""

    name: str
    dimension: Dimension
    scale: float
    offset: float = 0.0
    also: tuple[str, ...] = ()


UNITS: tuple[Unit, ...] = (
    Unit("mm", "length", 1e-3),
    Unit("µm", "length", 1e-6, also=("um", "μm", "micron", "microns")),
    Unit("cm", "length", 1e-2),
    Unit("m", "length", 1.0),
    Unit("in", "length", INCH, also=('"', "inch", "inches")),
    Unit("thou", "length", INCH / 1000, also=("mil", "mils")),
    Unit("deg", "angle", math.pi / 180, also=("°", "degrees")),
    Unit("rad", "angle", 1.0),
    Unit("N m", "torque", 1.0, also=("Nm", "N·m")),
    Unit("lbf ft", "torque", POUND_FORCE * 12 * INCH, also=("ft lbf", "lb ft", "ft lb", "lbf·ft")),
    Unit("lbf in", "torque", POUND_FORCE * INCH, also=("in lbf", "lb in", "in lb", "lbf·in")),
    Unit("degC", "temperature", 1.0, 273.15, also=("°C", "C")),
    Unit("degF", "temperature", 5 / 9, 459.67 * 5 / 9, also=("°F", "F")),
    Unit("K", "temperature", 1.0),
    Unit("K", "temperature difference", 1.0, also=("degC", "°C", "C")),
    Unit("degF", "temperature difference", 5 / 9, also=("°F", "F")),
    Unit("rpm", "rotation", 2 * math.pi / 60, also=("r/min", "1/min", "rev/min")),
    Unit("rad/s", "rotation", 1.0),
    Unit("N", "force", 1.0),
    Unit("kN", "force", 1e3),
    Unit("lbf", "force", POUND_FORCE),
    Unit("Pa", "pressure", 1.0),
    Unit("kPa", "pressure", 1e3),
    Unit("MPa", "pressure", 1e6, also=("N/mm2", "N/mm²")),
    Unit("bar", "pressure", 1e5),
    Unit("psi", "pressure", POUND_FORCE / INCH**2),
    Unit("mPa s", "dynamic viscosity", 1e-3, also=("cP",)),
    Unit("Pa s", "dynamic viscosity", 1.0),
    Unit("mm2/s", "kinematic viscosity", 1e-6, also=("cSt", "mm²/s")),
    Unit("kW", "power", 1e3),
    Unit("W", "power", 1.0),
    Unit("hp", "power", 745.69987158227),
    Unit("kg", "mass", 1.0),
    Unit("lb", "mass", 0.45359237),
    Unit("", "ratio", 1.0, also=("-",)),
    Unit("%", "ratio", 1e-2, also=("percent",)),
    Unit("‰", "ratio", 1e-3, also=("per mille",)),
    Unit("h", "time", 3600.0),
    Unit("min", "time", 60.0),
    Unit("s", "time", 1.0),
    Unit("Mohm", "resistance", 1e6, also=("MΩ", "megohm", "megohms")),
    Unit("kohm", "resistance", 1e3, also=("kΩ",)),
    Unit("ohm", "resistance", 1.0, also=("Ω", "ohms")),
    Unit("mm/s", "velocity", 1e-3),
    Unit("in/s", "velocity", INCH, also=("ips",)),
    Unit("m/s", "velocity", 1.0),
    Unit("per cm2", "count per area", 1e4, also=("per cm²", "/cm2", "/cm²", "1/cm2", "1/cm²")),
    Unit("per in2", "count per area", 1.0 / INCH**2, also=("per in²", "/in2", "/in²", "1/in2")),
)

MOST_DIGITS = 15
"""Digits of a whole number at most: what a float still holds exactly. Our own."""

EXAMPLES: dict[Dimension, str] = {
    "length": '"0.243 mm"', "rotation": '"990 rpm"', "torque": '"210 N m"', "ratio": '"5 %"',
}  # fmt: skip
"""What is shown to somebody who typed something else; the first unit of a dimension where none is here."""

LARGEST = 1e8
"""No number typed at a bench is larger than this in its own unit; larger ones are a slip of the key. Our
own."""

MOST_DECIMALS = 30
"""More decimals than this are a slip too; below it every step is a number greater than zero. Our
own."""


@dataclass(frozen=True)
class Typed:
    """What a person typed, and what it means.

    text: exactly as typed. value: SI. resolution: SI value of one step of the last digit typed
    (the trailing zero counts: "0.240 mm" resolves 1 µm). unit: the unit's name in this table.
    unit_given: False when the unit was taken from the field's default.
    """

    text: str
    value: float
    resolution: float
    unit: str
    dimension: Dimension
    unit_given: bool = True


_NUMBER = re.compile(r"^\s*([+-]?[0-9][0-9.,'\u00a0 ]*|[+-]?[.,][0-9]+)\s*(.*?)\s*$", re.DOTALL)
_SHORT = re.compile(r".{0,1000}", re.DOTALL)
"""No number with its unit is longer; on a longer text the two below could take very long."""
_EXPONENT = re.compile(r"^\s*([+-]?[0-9]*[.,]?[0-9]+[eE][+-]?[0-9]{1,3})\s*(.*?)\s*$", re.DOTALL)


def units_of(dimension: Dimension) -> tuple[Unit, ...]:
    """The units a field of this dimension accepts, the usual one first."""
    return tuple(unit for unit in UNITS if unit.dimension == dimension)


def find_unit(name: str, dimension: Dimension) -> Unit | None:
    """The unit called ``name`` (any spelling in the table) in this dimension, or None."""
    wanted = " ".join(name.split())
    for unit in units_of(dimension):
        if wanted == unit.name or wanted in unit.also:
            return unit
    for unit in units_of(dimension):
        if wanted.lower() in {spelling.lower() for spelling in (unit.name, *unit.also)}:
            return unit
    return None


def read(text: str, dimension: Dimension, *, field: str, default_unit: str | None = None) -> Typed:
    """Read one number with its unit, as a person types it.

    Decimal comma and decimal point are both accepted. "1,234" and "1.234,5" are asked, never guessed.

    Raises UnitError when there is no number, no unit and no default unit, an unknown unit, a
    thousands separator that could be a decimal one, NaN, a number beyond LARGEST or more than
    MOST_DECIMALS decimals.
    """
    number_text, unit_text = _split(text, dimension, field)
    number = _number(number_text, text, field)
    unit = _unit(unit_text, text, dimension, field, default_unit)
    if max(abs(number), Decimal(1).scaleb(number.adjusted())) > LARGEST:
        raise UnitError(Problem(field, text, f"a number below {LARGEST:.0e} {written(unit.name)}".rstrip()))
    exponent = number.as_tuple().exponent
    if not isinstance(exponent, int):
        raise UnitError(Problem(field, text, "a finite number"))
    if exponent < -MOST_DECIMALS:
        raise UnitError(Problem(field, text, f"a number with at most {MOST_DECIMALS} decimals"))
    step = float(Decimal(1).scaleb(exponent)) * unit.scale
    value = float(number) * unit.scale + unit.offset
    return Typed(text, value, step, unit.name, dimension, unit_given=bool(unit_text))


def _split(text: str, dimension: Dimension, field: str) -> tuple[str, str]:
    short = _SHORT.fullmatch(text)
    match = short and (_EXPONENT.match(text) or _NUMBER.match(text))
    if match is None:
        example = EXAMPLES.get(dimension, f'"1.5 {written(units_of(dimension)[0].name)}"')
        raise UnitError(Problem(field, text, f"a number with its unit, for example {example}"))
    return match.group(1).strip(), match.group(2)


def _number(number: str, text: str, field: str) -> Decimal:
    body = number.lstrip("+-")
    has_comma, has_point = "," in body, "." in body
    if has_comma and has_point:
        raise UnitError(
            Problem(field, text, "one decimal sign: either a comma or a point, no thousands mark")
        )
    if has_comma and re.fullmatch(r"[1-9][0-9]{0,2}(,[0-9]{3})+", body):
        plain = body.replace(",", "")
        point = body.replace(",", ".", 1)
        raise UnitError(
            Problem(field, text, f"either {point} or {plain}: the comma can mean both, type one of them")
        )
    if body.count(",") > 1 or body.count(".") > 1 or re.search(r"['\u00a0 ]", body):
        raise UnitError(Problem(field, text, "one number without thousands marks or spaces inside"))
    try:
        return Decimal(number.replace(",", "."))
    except InvalidOperation:
        raise UnitError(Problem(field, text, "a number")) from None


def _unit(unit_text: str, text: str, dimension: Dimension, field: str, default_unit: str | None) -> Unit:
    accepted = ", ".join(written(unit.name) or "a bare number" for unit in units_of(dimension))
    if not unit_text and not default_unit and dimension == "ratio":
        return units_of("ratio")[0]
    if not unit_text and default_unit is None:
        raise UnitError(Problem(field, text, f"a unit with the number: one of {accepted}"))
    unit = find_unit(unit_text or default_unit or "", dimension)
    if unit is None:
        raise UnitError(Problem(field, text, f"one of the units {accepted}"))
    return unit


def show(
    value: float, unit_name: str, dimension: Dimension, *, step: float | None = None, digits: int = 3
) -> str:
    """An SI value as text in a unit: rounded to ``step`` [SI] when given, else to ``digits`` significant.

    A value within a millionth of a step of the middle between two steps is taken for the middle, so that two
    ways of adding up the same numbers print the same.
    """
    number = show_number(value, unit_name, dimension, step=step, digits=digits)
    return f"{number} {written(unit_name)}".rstrip()


def written(unit_name: str) -> str:
    """A unit as people write it on pages, on paper and in sentences. In files and entries it keeps its name
    of the table, in ASCII."""
    return {"degC": "°C", "degF": "°F"}.get(unit_name, unit_name)


def show_number(
    value: float, unit_name: str, dimension: Dimension, *, step: float | None = None, digits: int = 3
) -> str:
    """As `show`, without the unit's name."""
    unit = find_unit(unit_name, dimension)
    if unit is None:
        raise UnitError(Problem("unit", unit_name, f"a unit of {dimension}"))
    scaled = (value - unit.offset) / unit.scale
    if not math.isfinite(scaled):
        return "–"
    if step is not None:
        decimals = max(0, -math.floor(math.log10(step / unit.scale) + 1e-9))
        scaled = float(f"{scaled:.{decimals + 6}f}")
    elif scaled == 0:
        decimals = 0
    else:
        decimals = max(0, digits - 1 - math.floor(math.log10(abs(scaled))))
    text = f"{scaled:.{decimals}f}"
    return text[1:] if text.startswith("-") and float(text) == 0 else text


def clearance_step(unit_name: str) -> float:
    """The step [m] to which clearances are shown: 1 µm in metric units, 0.05 thou in inch units."""
    return {"in": 0.00001 * INCH, "thou": 0.01 * INCH / 1000}.get(unit_name, 1e-6)


def whole(text: str) -> int | None:
    """A whole number as typed, in digits alone; None for anything else, and for more digits than anything has
    that is counted here: Python itself takes no more than some thousand."""
    return int(text) if text.isdecimal() and len(text) <= MOST_DIGITS else None
