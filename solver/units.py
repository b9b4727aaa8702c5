"""Text and numbers to µm and degrees, and back; the one room that knows units.

The four units of the bench are exact constants; text in any other unit is read by pint, which
takes a third of a second to start and is therefore started only when such text turns up.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from solver.trouble import shown

if TYPE_CHECKING:
    import pint

UM_PER = {"mm": 1000.0, "um": 1.0, "in": 25400.0, "thou": 25.4}  # exact; NIST SP 811, B.8
UNITS = tuple(UM_PER)
DECIMALS = {"mm": 3, "um": 1, "in": 4, "thou": 1}
PITCHES_UM = (200.0, 10000.0)  # no thread of a pinion is finer or coarser
LONGEST_UM = 1e7  # ten metres: past it a number is a slip, and sums would lose digits

_SPELT = {
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "um": ("um", "µm", "micron", "microns", "micrometre", "micrometres", "micrometer"),
    "in": ("in", "in.", "inch", "inches", '"', "''", "″", "”"),
    "thou": ("thou", "thous", "mil", "mils"),
}
_BENCH = {word: unit for unit, words in _SPELT.items() for word in words}
_PER_INCH = ("tpi", "t.p.i.", "threads per inch", "per inch")
_DEGREES = ("deg", "degree", "degrees", "°")
# A registry of our own: pint's usual one would take 'hand', 'point' or 'thou' as whatever it likes.
_DEFINED = (
    "metre = [length] = m = meter = metres = meters",
    "centimetre = 0.01 * metre = cm = centimeter = centimetres = centimeters",
    "nanometre = 1e-9 * metre = nm = nanometer = nanometres = nanometers",
    "foot = 0.3048 * metre = ft = feet",
    "kilogram = [mass] = kg = kilograms",
    "gram = 0.001 * kilogram = g = grams",
    "pound = 0.45359237 * kilogram = lb = lbs = pounds",
    "second = [time] = s = seconds",
    "newton = kilogram * metre / second ** 2 = N = newtons",
    "newton_metre = newton * metre = Nm",
    "radian = [] = rad = radians",
    "degree = 0.017453292519943295 * radian = deg = degrees",
    "minute_of_arc = degree / 60 = arcmin",
)
_PINT_WORDS = frozenset(
    part.strip() for line in _DEFINED for place, part in enumerate(line.split(" = ")) if place != 1
)
_PARTS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SAME = {"\u00a0": " ", "\u202f": " ", "\u2009": " ", "−": "-", "μ": "µ", "⁄": "/"}
_NUMBER = re.compile(
    r"(?P<sign>[+-]?) ?"
    r"(?:(?:(?P<whole>[0-9]{1,9})[ -])?(?P<over>[0-9]{1,6})/(?P<under>[0-9]{1,6})"
    r"|(?P<plain>(?:[0-9]{1,15}(?:[.,][0-9]{0,30})?|[.,][0-9]{1,30})(?:[eE][+-]?[0-9]{1,2})?))"
    r" ?(?P<unit>.*)"
)


class NotAQuantity(ValueError):
    """A value that cannot be read as the quantity it should be: found, wanted, way out."""

    def __init__(self, found: str, wanted: str, way_out: str) -> None:
        super().__init__(f"found {found}, wanted {wanted}; {way_out}")
        self.found, self.wanted, self.way_out = found, wanted, way_out


def unit_named(text: object) -> str | None:
    """Find which bench unit a word means. text: a word. Returns: a key of UM_PER, or None."""
    if not isinstance(text, str):
        return None
    return _BENCH.get(text.strip().replace("μ", "µ").lower())


def bare_number(value: object, wanted: str = "a number") -> float:
    """Read a number that has no unit.

    value: from a file; wanted: what it should be, for the message. Returns: a finite float.
    Raises: NotAQuantity for text, truth values, not-a-number, infinities.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise NotAQuantity(said(value), wanted, "write a plain number such as 0.5")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise NotAQuantity(said(value), wanted, "write a finite number")
    return number


def length_um(value: object, unit: str | None, *, decimal_comma: bool = False) -> float:
    """Read a length.

    value: a number in `unit`, or text such as '0.93 mm', '36 1/2 thou', '0.0365"'; unit: 'mm',
    'um', 'in', 'thou', or None where none is known; decimal_comma: the file it comes from writes
    decimal commas, so '1,250' is one and a quarter.
    Returns: the length [µm]. Raises: NotAQuantity. Source: NIST SP 811, appendix B.
    """
    wanted = "a length"
    way_out = f"write a number in {unit} or text such as '0.93 mm'" if unit else _WITH_UNIT
    if isinstance(value, str):
        number, word = number_and_word(value, wanted, way_out, decimal_comma)
        um = _length_of(number, word, unit, value)
    elif isinstance(value, bool) or not isinstance(value, int | float):
        raise NotAQuantity(said(value), wanted, way_out)
    elif unit is None:
        raise NotAQuantity(f"{said(value)} without a unit", wanted, _WITH_UNIT)
    else:
        um = bare_number(value, wanted) * UM_PER[unit]
    if not abs(um) <= LONGEST_UM:
        way_out = "check the number and the unit"
        raise NotAQuantity(said(value), "a length under 10 metres", way_out)
    return um


_WITH_UNIT = "write the unit too, such as '0.93 mm' or '36.5 thou'"


def angle_deg(value: object) -> float:
    """Read an angle: a number in degrees, or text such as '20 deg', '20°', '0.35 rad'.

    value: from a file. Returns: the angle [degrees]. Raises: NotAQuantity.
    """
    wanted, way_out = "an angle", "write a number in degrees, such as 20"
    if not isinstance(value, str):
        try:
            return bare_number(value, wanted)
        except NotAQuantity as fault:
            raise NotAQuantity(fault.found, wanted, way_out) from None
    number, word = number_and_word(value, wanted, way_out, decimal_comma=False)
    if not word or word in _DEGREES:
        return number
    if word in _PINT_WORDS:
        quantity = number * _registry()(word)
        if quantity.check("[]"):
            return float(quantity.to("degree").magnitude)
    raise NotAQuantity(shown(value), wanted, way_out)


def pitch_um(value: object) -> float:
    """Read the pitch of a thread: text such as '1.5 mm' or '14 tpi'.

    value: from a file. Returns: the advance of one turn [µm]. Raises: NotAQuantity, also for a bare
    number, which may be either. Source: ASME B1.1, ISO 261.
    """
    wanted, way_out = "the pitch of a thread", "write text such as '1.5 mm' or '14 tpi'"
    if not isinstance(value, str):
        raise NotAQuantity(said(value), wanted, way_out)
    number, word = number_and_word(value, wanted, way_out)
    if word.lower() in _PER_INCH:
        um = UM_PER["in"] / number if number > 0.0 else 0.0
    else:
        um = length_um(value, None)
    if not PITCHES_UM[0] <= um <= PITCHES_UM[1]:
        raise NotAQuantity(shown(value), "a pitch of 0.2 to 10 mm", way_out)
    return um


def in_unit(value_um: float, unit: str) -> float:
    """Turn a length into a unit. value_um: [µm]; unit: 'mm', 'um', 'in' or 'thou'. Returns it."""
    return value_um / UM_PER[unit]


def shown_length(value_um: float, unit: str) -> str:
    """Show a length to the digits of the bench.

    value_um: [µm]; unit: 'mm', 'um', 'in' or 'thou'. Returns text such as '0.930 mm'.
    """
    text = f"{in_unit(value_um, unit):.{DECIMALS[unit]}f}"
    if text.startswith("-") and not float(text):
        text = text[1:]  # a tiny negative is not '-0.0'
    return f"{text} {'µm' if unit == 'um' else unit}"


def said(value: object) -> str:
    """Say a value found in a file, safely. value: anything a file can hold. Returns text."""
    if value is None:
        return "nothing"
    if isinstance(value, int) and abs(value) > 10**30:
        return "a whole number of more than 30 digits"  # Python refuses to print the longest ones
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return shown(value)


def number_and_word(
    value: str, wanted: str, way_out: str, decimal_comma: bool = False
) -> tuple[float, str]:
    """Part a text into its number and its unit word.

    value: the text; wanted, way_out: for the message; decimal_comma: as for `length_um`. Returns:
    the number, and the word behind it, blank where there is none. Raises: NotAQuantity.
    """
    text = value
    for odd, plain in _SAME.items():
        text = text.replace(odd, plain)
    for odd, plain in _PARTS.items():
        text = text.replace(odd, f" {plain}")
    text = re.sub(" +", " ", text.strip())
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise NotAQuantity(shown(value) if text else "nothing", wanted, way_out)
    if match["over"]:
        if not int(match["under"]):
            raise NotAQuantity(shown(value), wanted, "a fraction cannot be divided by 0")
        part = Fraction(int(match["over"]), int(match["under"]))
        if match["whole"] and part >= 1:
            way_out = "write a fraction below 1, as in '36 1/2 thou'"
            raise NotAQuantity(shown(value), wanted, way_out)
        number = float(part + int(match["whole"] or 0))
    else:
        plain = match["plain"]
        if not decimal_comma and re.fullmatch("[1-9][0-9]{0,2},[0-9]{3}", plain):
            either = f"{plain.replace(',', '.')} or {plain.replace(',', '')}"
            raise NotAQuantity(shown(value), "one meaning for the comma", f"write {either}")
        number = float(plain.replace(",", "."))
    return (-number if match["sign"] == "-" else number), match["unit"].strip()


def _length_of(number: float, word: str, unit: str | None, value: str) -> float:
    """A number with its unit word in µm."""
    if not word:
        if unit is None:
            raise NotAQuantity(f"{shown(value)} without a unit", "a length", _WITH_UNIT)
        return number * UM_PER[unit]
    bench = unit_named(word)
    if bench is not None:
        return number * UM_PER[bench]
    if word in _DEGREES or word in _PINT_WORDS:
        quantity = number * _registry()("degree" if word in _DEGREES else word)
        if quantity.check("[length]"):
            return float(quantity.to("metre").magnitude * 1e6)
        raise NotAQuantity(f"{shown(value)}, which is no length", "a length", _WITH_UNIT)
    if not word[0].isalpha():
        raise NotAQuantity(shown(value), "a length", _WITH_UNIT)
    known = "write mm, um, in or thou, such as '0.93 mm'"
    raise NotAQuantity(f"{shown(value)} with an unknown unit", "a length", known)


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    for line in _DEFINED:
        registry.define(line)
    return registry
